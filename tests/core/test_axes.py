"""Sides, directions and turns, held against SciPy's rotation groups."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from tagtrack.core import axes
from tagtrack.core.axes import IDENTITY, ROTATIONS, Direction, Side
from tagtrack.core.errors import Refusal

# the rotation group of the cube, from SciPy
CUBE = np.rint(Rotation.create_group("O").as_matrix()).astype(int)
SIDED = [Side.LEFT, Side.RIGHT]
UNITS = [(1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)]
units = st.sampled_from(UNITS)


def as_set(matrices):
    return {tuple(map(tuple, np.asarray(m).tolist())) for m in matrices}


def test_the_24_ways_are_those_of_scipys_group():
    assert as_set(ROTATIONS) == as_set(CUBE)
    assert len(ROTATIONS) == 24


@given(st.sampled_from(ROTATIONS), units)
def test_a_turned_vector_is_scipys_product(turn, v):
    assert axes.turned(turn, v) == tuple(Rotation.from_matrix(np.array(turn)).apply(v).round().astype(int).tolist())


@given(st.dictionaries(st.sampled_from("abc"), units, min_size=1), st.data())
def test_turns_are_all_of_the_group_that_fit_and_no_others(wanted, data):
    seen = {name: data.draw(units) for name in wanted}
    brute = [m for m in CUBE if all((m @ seen[n] == wanted[n]).all() for n in wanted)]
    assert as_set(axes.turns(seen, wanted)) == as_set(brute)


def test_one_mark_leaves_four_ways_and_two_at_right_angles_one():
    assert len(axes.turns({"m": (0, 0, 1)}, {"m": (0, 0, 1)})) == 4
    assert axes.turns({"m": (0, 0, 1), "a": (1, 0, 0)}, {"m": (0, 0, 1), "a": (1, 0, 0)}) == (IDENTITY,)
    assert len(axes.turns({}, {})) == 24
    assert axes.turns({"m": (0, 0, 1), "a": (0, 0, 1)}, {"m": (0, 0, 1), "a": (1, 0, 0)}) == ()


# what the words of a turn mean, written down a second time: half turns, and where the leading edge goes
HALF = {"fore-and-aft": "x", "in-and-outboard": "y", "up-and-down": "z"}
QUARTER = {
    ("fore-and-aft", "top right"): ("x", (0, 0, 1), (0, -1, 0)),
    ("fore-and-aft", "top left"): ("x", (0, 0, 1), (0, 1, 0)),
    ("in-and-outboard", "nose end down"): ("y", (1, 0, 0), (0, 0, -1)),
    ("in-and-outboard", "nose end up"): ("y", (1, 0, 0), (0, 0, 1)),
    ("up-and-down", "nose end to the left"): ("z", (1, 0, 0), (0, 1, 0)),
    ("up-and-down", "nose end to the right"): ("z", (1, 0, 0), (0, -1, 0)),
}


def by_words(words):
    """Return the rotation that the words describe, by SciPy."""
    whole = Rotation.identity()
    for step in filter(None, words.split(", then ")):
        half = re.fullmatch(r"turn it half round the (\S+) axis", step)
        if half:
            whole = Rotation.from_euler(HALF[half[1]], 180, degrees=True) * whole
            continue
        quarter = re.fullmatch(r"turn it a quarter round the (\S+) axis, (.+)", step)
        axis, lead, goes = QUARTER[quarter[1], quarter[2]]
        both = [Rotation.from_euler(axis, angle, degrees=True) for angle in (90, -90)]
        (right,) = [r for r in both if np.allclose(r.apply(lead), goes)]
        whole = right * whole
    return np.rint(whole.as_matrix()).astype(int)


@pytest.mark.parametrize("turn", ROTATIONS)
def test_the_words_of_a_turn_describe_that_turn(turn):
    assert as_set([by_words(axes.in_words(turn))]) == as_set([turn])


@given(st.lists(st.sampled_from(ROTATIONS), min_size=1))
def test_the_least_turn_is_one_of_them_and_none_is_smaller(some):
    least = axes.least_turn(some)
    assert least in some
    if IDENTITY in some:
        assert least == IDENTITY
    main = [r for r in some if any(r[i][i] == 1 for i in range(3))]
    if main:
        angle = min(Rotation.from_matrix(np.array(r)).magnitude() for r in main)
        assert Rotation.from_matrix(np.array(least)).magnitude() == pytest.approx(angle)


@pytest.mark.parametrize("side", SIDED)
@pytest.mark.parametrize("way", Direction)
def test_a_direction_and_its_opposite_point_apart(side, way):
    assert np.array_equal(np.array(axes.vector(way, side)) * -1, axes.vector(way.opposite, side))


@pytest.mark.parametrize("way", [d for d in Direction if d not in (Direction.LEFT, Direction.RIGHT)])
def test_the_mirror_of_a_direction_is_the_same_word_on_the_other_side(way):
    assert axes.mirrored(axes.vector(way, Side.LEFT)) == axes.vector(way, Side.RIGHT)


def test_the_axes_are_right_handed():
    x, y, z = (axes.vector(way, Side.CENTRE) for way in (Direction.FWD, Direction.LEFT, Direction.UP))
    assert np.array_equal(np.cross(x, y), z)


@pytest.mark.parametrize("way", [Direction.INBD, Direction.OUTBD])
def test_inboard_and_outboard_do_not_exist_on_the_centre_line(way):
    with pytest.raises(Refusal) as told:
        axes.vector(way, Side.CENTRE)
    assert told.value.todo


@pytest.mark.parametrize(
    ("words", "side"),
    [("L LH left Port", Side.LEFT), ("R rh RIGHT, starboard", Side.RIGHT), ("c centre CENTER Ctr.", Side.CENTRE)],
)
def test_a_side_is_known_by_all_its_usual_names(words, side):
    assert {axes.side(word) for word in words.split()} == {side}
    assert side.letter == side.value[0]
    assert side.opposite.opposite is side


@pytest.mark.parametrize("word", ["", "up", "lefty", "LR", "middle"])
def test_another_word_is_no_side(word):
    with pytest.raises(Refusal):
        axes.side(word)


@pytest.mark.parametrize("word", ["", "sideways", "north", "UPP"])
def test_another_word_is_no_direction(word):
    with pytest.raises(Refusal):
        axes.direction(word)


@pytest.mark.parametrize(
    ("word", "way"),
    [("top", Direction.UP), ("lwr", Direction.DOWN), ("forward", Direction.FWD), ("Aft,", Direction.AFT),
     ("inboard", Direction.INBD), ("OUTB", Direction.OUTBD)],
)  # fmt: skip
def test_a_direction_is_known_by_its_usual_names(word, way):
    assert axes.direction(word) is way

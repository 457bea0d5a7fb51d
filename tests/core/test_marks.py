"""How a part sits: what marks may be, what was seen, and the turn that mends it (SciPy's rotations hold against it)."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from tagtrack.core import axes, marks
from tagtrack.core.axes import ROTATIONS, Direction, Side
from tagtrack.core.errors import Refusal
from tagtrack.core.marks import Mark, Marks, Sits

WAYS = [Direction.UP, Direction.DOWN, Direction.FWD, Direction.AFT, Direction.INBD, Direction.OUTBD]
sides = st.sampled_from([Side.LEFT, Side.RIGHT])


def pair(mark, arrow):
    return Marks((Mark("mark", mark), Mark("arrow", arrow)))


@st.composite
def right_marks(draw):
    mark = draw(st.sampled_from(WAYS))
    arrow = draw(st.sampled_from([w for w in WAYS if w not in (mark, mark.opposite)]))
    return pair(mark, arrow)


@given(right_marks(), sides)
def test_marks_read_back_as_they_are_written(given_marks, side):
    assert marks.parse(str(given_marks), side) == given_marks


@given(right_marks(), right_marks(), sides)
def test_the_mend_brings_what_was_seen_to_what_was_recorded(recorded, seen, side):
    outcome = marks.compare(recorded, seen, side)
    if recorded == seen:
        assert outcome.sits is Sits.SAME
        return
    # two marks at right angles always can be turned into two others
    assert outcome.sits is Sits.TURNED
    fits = [
        r for r in Rotation.create_group("O")
        if all(np.allclose(r.apply(seen.vectors(side)[f]), recorded.vectors(side)[f]) for f in ("mark", "arrow"))
    ]  # fmt: skip
    assert len(fits) == 1
    (turn,) = [t for t in ROTATIONS if np.allclose(t, fits[0].as_matrix())]
    assert outcome.mend == axes.in_words(turn)


def test_three_marks_tell_the_other_hand():
    recorded = marks.parse("mark UP, arrow FWD, wicks OUTBD", Side.LEFT)
    mirrored = marks.parse("mark UP, arrow FWD, wicks INBD", Side.LEFT)
    outcome = marks.compare(recorded, mirrored, Side.LEFT)
    assert outcome.sits is Sits.OTHER_HAND
    assert "opposite-hand" in outcome.mend


def test_marks_may_point_the_same_way():
    assert len(marks.parse("mark UP, wicks UP", Side.LEFT).each) == 2


@pytest.mark.parametrize(
    ("text", "side"),
    [
        ("mark UP, mark DOWN", Side.LEFT),
        ("mark UP, arrow UP", Side.LEFT),
        ("mark UP, arrow DOWN", Side.RIGHT),
        ("mark OUTBD", Side.CENTRE),
        ("mark LEFT, arrow OUTBD", Side.LEFT),
        ("UP", Side.LEFT),
        ("mark", Side.LEFT),
        ("mark UP, arrow", Side.LEFT),
        ("", Side.LEFT),
        ("mark SIDEWAYS", Side.LEFT),
    ],
)
def test_marks_that_no_part_can_carry_are_refused_with_what_to_do(text, side):
    with pytest.raises(Refusal) as told:
        marks.parse(text, side)
    assert told.value.todo


def test_the_same_mark_twice_is_one_mark():
    assert str(marks.parse("mark UP, mark up", Side.LEFT)) == "mark UP"


def test_a_description_in_words_names_a_mark():
    assert str(marks.parse("drain hole DOWN arrow forward", Side.RIGHT)) == "drain hole DOWN, arrow FWD"


RECORDED = marks.parse("mark UP, arrow FWD", Side.LEFT)


@pytest.mark.parametrize("text", ["up fwd", "UP, FWD", "mark up, arrow fwd", "arrow fwd mark up", "top forward"])
def test_what_was_seen_is_taken_bare_or_named(text):
    assert marks.compare(RECORDED, marks.parse_seen(text, RECORDED, Side.LEFT), Side.LEFT).sits is Sits.SAME


@pytest.mark.parametrize("text", ["up", "up fwd aft", "mark up", "up up", "mark up arrow sideways"])
def test_what_was_seen_must_say_every_mark(text):
    with pytest.raises(Refusal) as told:
        marks.parse_seen(text, RECORDED, Side.LEFT)
    assert told.value.todo


def test_no_marks_are_empty():
    assert Marks().is_empty()
    assert str(Marks()) == ""

"""Whether marks tell a left part from a right one: our arithmetic against SciPy's octahedral group, over every case."""

from __future__ import annotations

from itertools import combinations, product

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from tagtrack.core.axes import Direction, Side, vector
from tagtrack.core.handed import Mounting, lacking, passes_unseen, tell_tale, told_lacking, turns_across
from tagtrack.core.marks import Mark, Marks, parse

GROUP = [np.rint(turn.as_matrix()).astype(int) for turn in Rotation.create_group("O")]
WAYS = (Direction.UP, Direction.DOWN, Direction.FWD, Direction.AFT, Direction.INBD, Direction.OUTBD)
MOUNTINGS = [Mounting(None), *(Mounting(way, either) for way, either in product(WAYS, (False, True)))]


def across(mounting, side):
    """The turns that bring the mounting face to the mirrored mounting, out of SciPy's group and nothing of ours."""
    if mounting.way is None:
        return GROUP
    here, there = (np.array(vector(mounting.way, on)) for on in (side, side.opposite))
    return [g for g in GROUP if (g @ here == there).all() or (mounting.either and (g @ here == -there).all())]


@pytest.mark.parametrize("mounting", MOUNTINGS)
@pytest.mark.parametrize("side", [Side.LEFT, Side.RIGHT])
def test_the_turns_across_are_those_of_the_group(mounting, side):
    mine = sorted(map(repr, (np.array(turn).tolist() for turn in turns_across(mounting, side))))
    assert mine == sorted(map(repr, (g.tolist() for g in across(mounting, side))))
    assert len(mine) == (24 if mounting.way is None else 8 if mounting.either else 4)


def every_marking():
    """One, two or three marks that lie along different axes, or not."""
    names = ("mark", "arrow", "wicks")
    for count in (1, 2, 3):
        for ways in product(WAYS, repeat=count):
            if not all(np.dot(vector(a, Side.LEFT), vector(b, Side.LEFT)) == 0 for a, b in combinations(ways[:2], 2)):
                continue
            yield Marks(tuple(Mark(name, way) for name, way in zip(names, ways, strict=False)))


@pytest.mark.parametrize("mounting", MOUNTINGS)
def test_marks_are_enough_exactly_when_no_turn_hides_the_wrong_side(mounting):
    """For a pair whose parts are each other's mirror image, over all turns of SciPy's group."""
    for marks in every_marking():
        wanted, theirs = marks.vectors(Side.RIGHT), marks.vectors(Side.LEFT)
        hidden = [
            g for g in across(mounting, Side.LEFT)
            if all((g @ np.array(theirs[name]) == np.array(wanted[name])).all() for name in wanted)
        ]  # fmt: skip
        assert bool(lacking(marks, mounting, Side.RIGHT)) == bool(hidden), (mounting, str(marks))
        assert len(passes_unseen(marks, marks, mounting, Side.RIGHT)) == len(hidden)


@pytest.mark.parametrize(
    ("mount", "marks", "missing"),
    [
        # a weight bolted on by its inboard face needs UP/DOWN and FWD/AFT
        ("INBD", "mark UP", "one that points FWD or AFT"),
        ("INBD", "mark UP, arrow OUTBD", "one that points FWD or AFT"),
        ("INBD", "mark UP, arrow FWD", ""),
        # bolted on from below: FWD/AFT and INBD/OUTBD
        ("DOWN", "mark UP, arrow FWD", "one that points INBD or OUTBD"),
        ("DOWN", "mark FWD, arrow INBD", ""),
        # nothing known of the mounting: all three
        ("", "mark UP, arrow FWD", "one that points INBD or OUTBD"),
        ("", "mark UP, arrow FWD, wicks OUTBD", ""),
    ],
)
def test_the_mark_that_is_missing_is_named(mount, marks, missing):
    mounting = Mounting(Direction[mount] if mount else None)
    assert told_lacking(lacking(parse(marks, Side.LEFT), mounting, Side.LEFT)) == missing


@pytest.mark.parametrize(
    ("mount", "marks", "told"),
    [
        ("INBD", "mark UP, arrow FWD", "with the mark UP, the other side's part would show arrow AFT"),
        ("OUTBD", "mark FWD, arrow UP", "with the mark FWD, the other side's part would show arrow DOWN"),
        ("DOWN", "mark FWD, arrow INBD", "with the mark FWD, the other side's part would show arrow OUTBD"),
        # turned end for end it would show nothing
        ("INBD", "mark UP", ""),
        ("INBD", "", ""),
    ],
)
@pytest.mark.parametrize("side", [Side.LEFT, Side.RIGHT])
def test_what_the_wrong_part_would_show(mount, marks, told, side):
    each = parse(marks, side) if marks else Marks()
    assert tell_tale(each, each, Mounting(Direction[mount]), side) == told


def test_of_a_pair_with_one_part_number_each_record_counts_not_the_mirror():
    """Both halves sat with their arrow to the LEFT wing: the other side's part looks just the same, and may go on."""
    mine, its = parse("mark UP, arrow OUTBD", Side.LEFT), parse("mark UP, arrow INBD", Side.RIGHT)
    assert passes_unseen(mine, its, Mounting(Direction.DOWN), Side.LEFT)
    assert tell_tale(mine, its, Mounting(Direction.DOWN), Side.LEFT) == ""


@pytest.mark.parametrize("mounting", MOUNTINGS)
def test_a_tell_tale_is_told_exactly_where_something_shows(mounting):
    for marks in every_marking():
        told = tell_tale(marks, marks, mounting, Side.LEFT)
        assert bool(told) == (not passes_unseen(marks, marks, mounting, Side.LEFT)), (mounting, str(marks))

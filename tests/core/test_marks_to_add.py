"""The marks that are proposed for a pair are enough, and no fewer would do."""

from __future__ import annotations

from itertools import product

import pytest

from tagtrack.core.axes import Direction, Side
from tagtrack.core.handed import Mounting, tells_apart, to_add
from tagtrack.core.marks import Mark, Marks, checked, parse

WAYS = (Direction.UP, Direction.DOWN, Direction.FWD, Direction.AFT, Direction.INBD, Direction.OUTBD)
MOUNTINGS = [Mounting(None), *(Mounting(way, either) for way, either in product(WAYS[::2], (False, True)))]
NOTHING = Marks()


def markings(side):
    yield NOTHING
    for name in ("mark", "arrow", "wicks"):
        yield from (Marks((Mark(name, way),)) for way in WAYS)
    for one, two in product(WAYS, repeat=2):
        if one not in (two, two.opposite):
            yield Marks((Mark("mark", one), Mark("arrow", two)))
    yield parse("mark UP, arrow FWD, dot INBD", side)


@pytest.mark.parametrize("mounting", MOUNTINGS)
def test_what_is_proposed_is_enough_whatever_the_two_parts_bear(mounting):
    for mine, its in product(markings(Side.LEFT), markings(Side.RIGHT)):
        more, others = to_add(mine, its, mounting, Side.LEFT)
        left = checked(Marks((*mine.each, *more.each)), Side.LEFT)
        right = checked(Marks((*its.each, *others.each)), Side.RIGHT)
        assert tells_apart(left, right, mounting, Side.LEFT), (mounting, str(mine), str(its), str(more), str(others))


@pytest.mark.parametrize(
    ("mount", "left", "right", "add_left", "add_right"),
    [
        (None, "mark UP, arrow FWD", "mark UP, arrow FWD", "dot INBD", "dot INBD"),
        (None, "", "", "mark UP, arrow FWD, dot INBD", "mark UP, arrow FWD, dot INBD"),
        (Direction.INBD, "mark UP", "mark UP", "arrow FWD", "arrow FWD"),
        (Direction.UP, "mark FWD", "mark FWD", "arrow INBD", "arrow INBD"),
        # one side was marked, the other was not
        (None, "mark UP, arrow FWD", "", "dot INBD", "mark UP, arrow FWD, dot INBD"),
        # three ways, but not each other's mirror image: one turn would hide it
        (None, "mark UP, arrow FWD, dot INBD", "mark UP, arrow FWD, dot OUTBD", "line INBD", "line INBD"),
        (None, "mark UP, arrow FWD, dot INBD", "mark UP, arrow FWD, dot INBD", "", ""),
    ],
)
def test_the_fewest_marks_are_proposed(mount, left, right, add_left, add_right):
    mine, its = (parse(text, side) if text else NOTHING for text, side in ((left, Side.LEFT), (right, Side.RIGHT)))
    more = to_add(mine, its, Mounting(mount), Side.LEFT)
    assert tuple(map(str, more)) == (add_left, add_right)

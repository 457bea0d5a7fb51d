"""What the fold's values promise: a changed one is a value of the same kind, frozen, and the first is untouched."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, fields, replace

import pytest

from tagtrack.core.axes import Side
from tagtrack.core.frozen import changed
from tagtrack.core.records import Position
from tagtrack.core.things import PositionState

KNOWN = PositionState(position=Position("elevator fairing", Side.LEFT), area="tail", cycle=1, acts=("a",))


def test_a_changed_value_is_what_the_standard_library_makes_of_it():
    """`dataclasses.replace` of the standard library is the measure, field by field."""
    ours, theirs = changed(KNOWN, cycle=2, acts=("a", "b")), replace(KNOWN, cycle=2, acts=("a", "b"))
    assert type(ours) is PositionState
    assert [getattr(ours, f.name) for f in fields(ours)] == [getattr(theirs, f.name) for f in fields(theirs)]
    assert ours == theirs


def test_the_first_value_stays_as_it_was():
    changed(KNOWN, cycle=9)
    assert KNOWN.cycle == 1


def test_a_changed_value_is_frozen():
    with pytest.raises(FrozenInstanceError):
        changed(KNOWN, cycle=2).cycle = 3


def test_a_field_that_does_not_exist_is_refused():
    with pytest.raises(AttributeError, match="cycles"):
        changed(KNOWN, cycles=2)

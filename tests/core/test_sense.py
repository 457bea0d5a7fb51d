"""Which way controls move: FAA-H-8083-25, chapter on flight controls (from memory)."""

from __future__ import annotations

import pytest

from tagtrack.core.axes import Direction
from tagtrack.core.records import position
from tagtrack.core.sense import expected, moves, reversed_sense


@pytest.mark.parametrize(
    ("where", "command", "way"),
    [
        ("elevator CENTRE", "stick back", "UP"),
        ("elevator LEFT", "yoke forward", "DOWN"),
        ("elevator balance weight LEFT", "stick aft", "UP"),
        ("aileron LEFT", "stick left", "UP"),
        ("aileron RIGHT", "stick left", "DOWN"),
        ("aileron LEFT", "wheel right", "DOWN"),
        ("aileron RIGHT", "wheel right", "UP"),
        ("rudder CENTRE", "left pedal", "LEFT"),
        ("rudder CENTRE", "right pedal", "RIGHT"),
        ("flap LEFT", "flaps down", "DOWN"),
        # only the maker's data say
        ("elevator trim tab LEFT", "trim nose up", None),
        ("stabilator CENTRE", "stick back", None),
        ("hinge bracket LEFT", "stick back", None),
        ("elevator LEFT", "moved", None),
        ("elevator LEFT", "stick back and forward", None),
    ],
)
def test_what_is_known_of_conventional_controls(where, command, way):
    found = expected(position(where), command)
    assert (found.value if found else None) == way


def test_both_ailerons_never_move_the_same_way():
    for command in ("stick left", "stick right"):
        left, right = (expected(position(f"aileron {side}"), command) for side in ("LEFT", "RIGHT"))
        assert left is right.opposite


@pytest.mark.parametrize(
    ("moved", "wanted"), [("trailing edge DOWN", Direction.UP), ("UP", None), ("up, and down again", None), ("?", None)]
)
def test_a_reversed_control_is_told(moved, wanted):
    assert reversed_sense(position("elevator LEFT"), "stick back", moved) is wanted


@pytest.mark.parametrize(("said", "does"), [("not affected", False), ("none", False), ("UP", True), ("so", True)])
def test_what_does_not_move_is_said(said, does):
    assert moves(said) is does

"""Typed names and positions: cleaned without loss, offered when nearly right, refused when empty."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagtrack.core import spelling
from tagtrack.core.axes import Side
from tagtrack.core.errors import Refusal
from tagtrack.core.records import Position, position


@given(st.text(max_size=80))
def test_cleaning_twice_changes_nothing_more(text):
    once = spelling.clean(text)
    assert spelling.clean(once) == once
    assert once == unicodedata.normalize("NFC", once)
    assert not any(unicodedata.category(c).startswith("C") for c in once)


@pytest.mark.parametrize("name", ["hélice", "елерон", "补助翼", "גלגל", "جناح", "elevátor č. 2"])
def test_a_name_in_any_script_is_kept(name):
    assert spelling.name(name, what="name") == unicodedata.normalize("NFC", name)


@pytest.mark.parametrize("text", ["", "  ", "---", "\u200b\u200e", "x" * 121])
def test_a_name_that_says_nothing_or_too_much_is_refused(text):
    with pytest.raises(Refusal) as told:
        spelling.name(text, what="position")
    assert told.value.todo


@pytest.mark.parametrize("text", ["", "ok", "..", "x" * 2001])
def test_a_reason_must_say_something(text):
    with pytest.raises(Refusal):
        spelling.reason(text)


def test_direction_marks_do_not_hide_in_names():
    assert spelling.clean("abc\u202edef") == "abcdef"


@pytest.mark.parametrize(
    ("typed", "nearest"),
    [("elevater weight", "elevator weight"), ("Hinge Braket", "hinge bracket"), ("hinge", None), ("propeller", None)],
)
def test_a_near_miss_is_offered(typed, nearest):
    known = ["elevator weight", "hinge bracket", "rudder horn"]
    assert (spelling.nearest(typed, known) or (None,))[0] == nearest


@pytest.mark.parametrize(
    ("one", "other", "apart"),
    [
        ("panel 3", "panel 4", True), ("upper hinge", "lower hinge", True), ("access panel A", "access panel B", True),
        ("fwd bracket", "aft bracket", True), ("hinge braket", "hinge bracket", False), ("panel 3", "panel 3", False),
        ("hinge12", "hinge13", True),
    ],
)  # fmt: skip
def test_names_that_differ_on_purpose_are_no_slips(one, other, apart):
    assert spelling.told_apart(one, other) is apart


@pytest.mark.parametrize(
    ("text", "name", "side"),
    [
        ("elevator balance weight LEFT", "elevator balance weight", Side.LEFT),
        ("Elevator weight, lh", "Elevator weight", Side.LEFT),
        ("right aileron hinge", "aileron hinge", Side.RIGHT),
        ("tail cone C", "tail cone", Side.CENTRE),
        ("rudder center.", "rudder", Side.CENTRE),
    ],
)
def test_a_position_is_a_name_and_a_side(text, name, side):
    assert position(text) == Position(name, side)


@pytest.mark.parametrize("text", ["elevator", "elevator up", "", "LEFT", "left right"])
def test_a_position_without_a_side_or_a_name_is_refused(text):
    with pytest.raises(Refusal) as told:
        position(text)
    assert told.value.todo


@given(st.text(min_size=1).map(spelling.clean).filter(lambda t: any(c.isalnum() for c in t)), st.sampled_from(Side))
def test_a_stored_position_reads_back(name, side):
    here = Position(name, side)
    assert Position.read(str(here)) == here
    assert here.mirrored.mirrored == here
    assert not here < here  # noqa: PLR0124 - an order never puts a thing before itself


@pytest.mark.parametrize("text", ["", "yes", "OK", "y", "x", "done.", "Checked", "-", "x" * 2001])
def test_a_tick_is_no_observation(text):
    with pytest.raises(Refusal, match="what was seen is not said") as told:
        spelling.observation(text)
    assert told.value.todo


@pytest.mark.parametrize("text", ["UP", "stick back, elevator UP", "none", "not affected", "no play"])
def test_what_was_seen_is_taken_in_few_words(text):
    assert spelling.observation(text) == text

"""Hardware as a mechanic writes it: what is taken, what it comes to, what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagtrack.core import hardware
from tagtrack.core.axes import Direction
from tagtrack.core.errors import Refusal
from tagtrack.core.hardware import Line, Stack

CALLOUTS = ["AN3-5A", "AN960-10", "MS21044N3", "AN310-3", "MS24665-132", "trim screws", "NAS6203-4"]
lines = st.builds(Line, st.integers(1, 999), st.sampled_from(CALLOUTS), st.booleans())
ordered = st.builds(
    lambda each, times, grip, head: Stack(tuple(each), times, min(grip, len(each)), head),
    st.lists(lines, min_size=1, max_size=6), st.integers(1, 20), st.integers(0, 6),
    st.none() | st.sampled_from(Direction),
)  # fmt: skip
flat = st.builds(lambda each: Stack(tuple(each)), st.lists(lines, min_size=1, max_size=6))


@given(ordered)
def test_a_stack_in_order_reads_back_as_it_is_written(stack):
    assert hardware.parse(str(stack)) == (stack,)


@given(flat)
def test_a_list_reads_back_as_it_is_written(stack):
    assert hardware.parse(str(stack)) == (stack,)


@given(st.lists(ordered, min_size=1, max_size=3))
def test_nothing_is_lost_in_counting_out(stacks):
    pieces = sum(line.count * stack.times for stack in stacks for line in stack.lines)
    assert sum(hardware.totals(stacks).values()) == pieces
    assert sum(line.count for stack in stacks for line in hardware.total_lines(stack)) == pieces


@pytest.mark.parametrize(
    ("text", "totals"),
    [
        ("2x [AN3-5A AN960-10 | AN960-10 MS21044N3]", {"AN3-5A": 2, "AN960-10": 4, "MS21044N3": 2}),
        ("[AN3-5A | AN365-1032A]", {"AN3-5A": 1, "AN365-1032A": 1}),
        ("2 [AN4-7 2 AN960-416 | AN310-4]", {"AN4-7": 2, "AN960-416": 4, "AN310-4": 2}),
        ("2 AN3-5A, 4 AN960-10, 2 MS21044N3", {"AN3-5A": 2, "AN960-10": 4, "MS21044N3": 2}),
        ("11 trim screws, short", {"TRIM SCREWS, SHORT": 11}),
        ("4x an525-10r8", {"AN525-10R8": 4}),
        ("4 × AN525 – 10R8", {"AN525-10R8": 4}),
        ("3 'long washer'; 1 AN3-5A", {"LONG WASHER": 3, "AN3-5A": 1}),
        ("2 שייבה", {"שייבה": 2}),
        ("2 AN3-5A, 2 AN3-5A", {"AN3-5A": 4}),
    ],
)
def test_what_mechanics_write_is_understood(text, totals):
    assert hardware.totals(hardware.parse(text)) == totals


@pytest.mark.parametrize(
    "text",
    [
        "", "   ", "0 AN3-5A", "-1 AN3-5A", "1000 AN960-10", "99999999999999999999 AN960-10", "4", "4 ;", "[]", "[|]",
        "2x [AN3-5A", "AN3-5A]", "[AN3-5A | AN960-10 | MS21044N3]", "0x [AN3-5A |]", "[AN3-5A] sideways",
        "[AN3-5A | AN310-3] head SIDEWAYS", "2 AN3-5A, AN960-10", "3 !!!", f"1 {'x' * 200}", "[2]",
    ],
)  # fmt: skip
def test_what_cannot_be_counted_is_refused_with_what_to_do(text):
    with pytest.raises(Refusal) as told:
        hardware.parse(text)
    assert told.value.todo
    assert told.value.expected


@given(st.text(max_size=60))
def test_no_text_at_all_breaks_the_reader(text):
    try:
        stacks = hardware.parse(text)
    except Refusal:
        return
    assert all(1 <= line.count <= hardware.MOST for stack in stacks for line in stack.lines)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("an960-10", "AN 960 - 10"),
        ("AN960–10", "AN960--10"),
        ("Trim  screws", "TRIM SCREWS"),
        ("ms24665-132", "MS24665 -132"),
    ],
)
def test_two_spellings_of_one_callout_are_the_same(one, other):
    assert hardware.spec_key(one) == hardware.spec_key(other)


def test_blanks_tell_descriptions_apart_but_not_callouts():
    assert hardware.spec_key("trim screws") != hardware.spec_key("trimscrews")


@pytest.mark.parametrize(
    ("text", "fasteners"),
    [
        ("2x [AN3-5A | AN310-3]", 2),
        ("12 AN525-10R8", 12),
        ("2 AN3-5A, 4 AN960-10", 1),
        ("3x [2 AN3-5A | 2 AN310-3]", 6),
    ],
)
def test_fasteners_are_counted_by_their_heads(text, fasteners):
    assert hardware.parse(text)[0].fasteners == fasteners


def test_a_flat_reading_counts_brackets_out_and_keeps_what_is_used_once():
    assert hardware.parse_flat("2x [AN3-5A | MS24665-132!]; 1 AN3-5A") == (
        Line(3, "AN3-5A"), Line(2, "MS24665-132", once=True),
    )  # fmt: skip


def test_counts_are_told_as_a_list():
    assert hardware.text_of({"AN3-5A": 2, "AN960-10": 0}) == "2 AN3-5A"
    assert hardware.text_of({}) == "nothing"

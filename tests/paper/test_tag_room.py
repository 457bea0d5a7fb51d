"""What gives way to what where a label is short of room: what is never cut, what is named or counted instead."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest
from paper.samples import BAG, BLANK, PERSON, PLACE, RICH, STUFFED, TEMPLATES, WIRE, ZONE

from tagtrack.core.axes import Side
from tagtrack.paper.fonts import Font
from tagtrack.paper.ink import Stroke, Symbol, Text
from tagtrack.paper.labels import face_ink
from tagtrack.paper.symbol import MODULES, QUIET
from tagtrack.paper.tag_frame import LEAST_MODULE, holds_full_layout, in_groups
from tagtrack.paper.template import named
from tagtrack.paper.text import ELLIPSIS, fit_name

STOCKS = [named(name) for name in TEMPLATES]
FULL = [s for s in STOCKS if holds_full_layout(s.width - s.eyelet - s.stub, s.height, s.safe)]
LITTLE = [s for s in STOCKS if s not in FULL]
BY_NAME = {"ids": lambda stock: stock.name}

# as long as a position may be: 120 characters
LONG = (
    "vertical stabilizer attach fitting, aft spar, lower bolt group of the fuselage frame at FS 228.5, "
    "second bolt from outbd"
)
FILLED = replace(
    RICH, mount="mount: INBD face", area="tail LEFT", goes_back="GOES BACK: 3 AN3-5A (found 2)",
    job="WO 2026-0143-B annual", by="KT/PM 2026-03-02",
)  # fmt: skip
SIDES = [Side.LEFT, Side.RIGHT, Side.CENTRE]


def texts(face, stock):
    return [mark.text for mark in face_ink(face, stock) if isinstance(mark, Text)]


def said(face, stock):
    """All that stands on the label, without blanks: where a line ends is of no account."""
    return "".join(texts(face, stock)).replace(" ", "")


def symbols(face, stock):
    return [mark for mark in face_ink(face, stock) if isinstance(mark, Symbol) and mark.code == face.code]


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("stock", STOCKS, **BY_NAME)
def test_a_code_and_a_side_are_never_cut(stock, side):
    face = replace(STUFFED, side=side, code="WWWWWWWWWW")
    assert in_groups(face.code) in texts(face, stock)
    assert {side.letter, side.value} <= set(texts(face, stock))


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("face", [FILLED, STUFFED, WIRE, replace(BAG, goes_back=FILLED.goes_back)])
@pytest.mark.parametrize("stock", FULL, **BY_NAME)
def test_the_longest_position_is_whole_on_every_tag_of_the_full_layout(stock, face, side):
    assert LONG.replace(" ", "") in said(replace(face, title=LONG, side=side), stock)


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("face", [RICH, BAG, WIRE, ZONE], ids=lambda face: face.kind.value)
@pytest.mark.parametrize("stock", LITTLE, **BY_NAME)
def test_a_position_of_five_words_is_whole_on_the_smallest_label_too(stock, face, side):
    position = "aileron hinge bracket, inboard"
    assert position.replace(" ", "") in said(replace(face, title=position, side=side), stock)


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("stock", STOCKS, **BY_NAME)
def test_nothing_that_a_tag_has_no_room_for_goes_unsaid(stock, side):
    """What is not there is named, or counted, or an ellipsis says that there is more."""
    face = replace(FILLED, side=side)
    there = said(face, stock)
    lists = [text for text in texts(face, stock) if text.startswith("SEE LIST")]
    named_there = lists[0] if lists else ""
    missing = [
        name for name, words in (("where it goes", face.goes_to), ("marks", face.marks), ("mount", face.mount),
                                 ("what goes back", face.goes_back))
        if words.replace(" ", "") not in there
    ]  # fmt: skip
    counted = re.search(r"and (\d+) more$", named_there)
    told = [name for name in missing if name in named_there]
    assert len(told) + (int(counted[1]) if counted else 0) >= len(missing), (named_there, missing)
    shown = sum(line.replace(" ", "") in there for line in face.hardware)
    more = [text for text in texts(face, stock) if text.startswith("+ ")]
    assert "hardware" in named_there or counted or shown + (int(more[0].split()[1]) if more else 0) == 3


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("stock", FULL, **BY_NAME)
def test_the_mounting_and_what_goes_back_stand_on_every_tag_of_the_full_layout(stock, side):
    there = said(replace(FILLED, side=side), stock)
    assert "mount:INBDface" in there
    assert "GOESBACK:3AN3-5A(found2)" in there


@pytest.mark.parametrize("stock", FULL, **BY_NAME)
def test_the_zone_stands_where_there_is_room_and_gives_way_to_whose_tag_it_is(stock):
    left = said(replace(FILLED, side=Side.LEFT), stock)
    assert "zone:tailLEFT" in left
    for side in SIDES:
        there = said(replace(FILLED, side=side), stock)
        assert "WO2026-0143-Bannual" in there
        assert "KT/PM2026-03-02" in there
    small = [mark.size for mark in face_ink(replace(FILLED, side=Side.LEFT), stock)
             if isinstance(mark, Text) and mark.text.startswith(("WO", "KT", "N1", "zone"))]  # fmt: skip
    assert min(small) >= 4.0


def test_lines_of_hardware_too_long_for_the_room_go_on_in_the_next_row_and_are_whole():
    lines = (
        "8 trim screws, cross recessed, countersunk, short, black",
        "3 lockwashers found under the head of the middle screw",
        "1 bracket",
    )
    for stock in FULL:
        there = texts(replace(BAG, hardware=lines), stock)
        assert not [text for text in there if ELLIPSIS in text]
        assert "".join(lines).replace(" ", "") in "".join(there).replace(" ", "")


@pytest.mark.parametrize("stock", FULL, **BY_NAME)
def test_a_tag_on_which_a_text_is_cut_says_where_the_whole_of_it_is(stock):
    cut = texts(replace(RICH, marks_note="far too much to say of a mark " * 40), stock)
    assert [text for text in cut if ELLIPSIS in text and "see list" not in text]
    assert f"{ELLIPSIS} see list" in cut
    assert f"{ELLIPSIS} see list" not in texts(RICH, stock)


@pytest.mark.parametrize("face", [replace(RICH, side=Side.CENTRE), WIRE, PLACE, PERSON, ZONE,
                                  replace(ZONE, side=Side.CENTRE)], ids=lambda face: face.title)  # fmt: skip
@pytest.mark.parametrize("stock", FULL, **BY_NAME)
def test_two_symbols_stand_at_opposite_ends_of_the_full_layout(stock, face):
    one, other = sorted(symbols(face, stock), key=lambda mark: mark.x)
    assert other.x + other.side - one.x > (stock.width - stock.eyelet) * 0.7
    assert {one.module, other.module} <= {0.75, 0.625, LEAST_MODULE}


@pytest.mark.parametrize("face", [RICH, BAG, WIRE, PLACE, PERSON, ZONE], ids=lambda face: face.kind.value)
@pytest.mark.parametrize("side", [*SIDES, None])
@pytest.mark.parametrize("stock", LITTLE, **BY_NAME)
def test_where_a_small_label_has_one_symbol_a_second_would_not_fit_under_it(stock, side, face):
    found = symbols(replace(face, side=side), stock)
    if len(found) == 1:
        code = [mark for mark in face_ink(replace(face, side=side), stock)
                if isinstance(mark, Text) and mark.text == in_groups(face.code)]  # fmt: skip
        below = stock.height - max(mark.y for mark in code)
        # symbol and its white; at the label's own edge the white may be the label's
        assert below < (MODULES + 2 * QUIET) * LEAST_MODULE + 1.0


@pytest.mark.parametrize("stock", STOCKS, **BY_NAME)
def test_a_blank_has_lines_for_a_pen_wherever_there_is_room(stock):
    ink = face_ink(BLANK, stock)
    words = [mark.text for mark in ink if isinstance(mark, Text)]
    lines = [mark for mark in ink if isinstance(mark, Stroke) and not mark.dashed]
    assert "position" in words
    assert {"L", "R", "C"} <= set(words)
    longest = max(mark.points[1][0] - mark.points[0][0] for mark in lines)
    assert longest >= 12
    asked = [mark for mark in ink if isinstance(mark, Text) and mark.text in ("position", "side", "what", "date")]
    # a stub has lines of its own
    heights = sorted({round(mark.y, 3) for mark in asked if mark.x < stock.width - stock.stub})
    assert all(low - high >= 4.5 for high, low in pairwise(heights))
    if stock in FULL:
        assert {"position", "side", "what", "date", "initials", "W.O.", "reg."} <= set(words)


def test_only_a_blank_has_lines_for_a_pen():
    for face in (RICH, PLACE, PERSON, ZONE, BAG):
        assert not {"position", "initials", "what"} & set(texts(face, STOCKS[1]))


def test_a_name_keeps_to_one_line_where_two_would_not_be_much_larger():
    room = {"room": 60.0, "height": 40.0, "size": 60.0, "least": 8.0}
    assert fit_name("Shelf B", Font.BOLD, **room).lines == ("Shelf B",)
    assert len(fit_name("Katarzyna Østergård", Font.BOLD, **room).lines) == 2


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("stock", LITTLE, **BY_NAME)
def test_notes_that_a_small_label_has_no_room_for_are_told_to_be_on_the_list(stock, side):
    long = replace(BAG, side=side, hardware_note="lock: cotter; looks like bag 34DN XD5R: one grip shorter")
    for face in (long, replace(RICH, side=side, bag="1 bag: T9SC 9F4Z"), replace(long, hardware=())):
        notes = [note for note in (face.hardware_note, face.bag if face is not long else "", face.marks_note) if note]
        told = any("SEE LIST" in text or text.endswith(" + list") or " + list " in text for text in texts(face, stock))
        assert told or all(note.replace(" ", "").casefold() in said(face, stock).casefold() for note in notes)
    assert not any("list" in text.casefold() for text in texts(replace(BAG, side=side, hardware=()), stock))


@pytest.mark.parametrize("stock", FULL, **BY_NAME)
def test_what_is_written_on_the_part_stands_on_a_tag_with_room(stock):
    face = replace(RICH, numbers="P/N 0432-7, S/N 77", area="", hardware_note="", bag="")
    said = " ".join(texts(face, stock))
    assert all(word in said for word in ("P/N", "0432-7", "S/N", "77"))
    without = replace(face, numbers="")
    assert said.count("...") == " ".join(texts(without, stock)).count("...")

"""Text that stays inside its box, and characters that never vanish unseen."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tagtrack.paper.characters import columns, paragraphs, printable, visual
from tagtrack.paper.fonts import Font, drawable, missing_characters, width
from tagtrack.paper.text import ELLIPSIS, fit, fit_block, height_of, lines_in, wrap

FONT = st.sampled_from(Font)
# a hair for floating point, in millimetres
HAIR = 1e-6


@given(st.text(max_size=300), FONT, st.floats(0.5, 120), st.floats(4, 40), st.floats(3, 12))
@example("W" * 5000, Font.BOLD, 20.0, 12.0, 6.0)
@settings(max_examples=150, deadline=None)
def test_a_fitted_line_is_never_wider_than_its_room(text, font, room, size, least):
    line = fit(text, font, room=room, size=size, least=least)
    assert width(line.text, font, line.size) <= room + HAIR
    assert line.size <= size
    assert bool(line.text) == bool(drawable(text))


@given(st.text(max_size=400), FONT, st.floats(5, 120), st.floats(4, 30))
@settings(max_examples=120, deadline=None)
def test_wrapped_lines_keep_every_word_and_stay_in_the_room(text, font, room, size):
    lines = wrap(text, font, room=room, size=size)
    assert "".join(lines).replace(" ", "") == drawable(text).replace(" ", "")
    # one character always goes on a line, or nothing would ever be set
    assert all(width(line, font, size) <= room + HAIR or len(line) == 1 for line in lines)


@given(st.text(max_size=400), FONT, st.floats(15, 120), st.floats(8, 60), st.floats(10, 40))
@settings(max_examples=120, deadline=None)
def test_a_fitted_block_stays_in_its_box_and_says_when_it_was_cut(text, font, room, height, size):
    block = fit_block(text, font, room=room, height=height, size=size, least=5)
    assert all(width(line, font, block.size) <= room + HAIR for line in block.lines)
    assert block.height <= height + HAIR
    said = "".join(block.lines).replace(" ", "")
    assert block.whole == (said == drawable(text).replace(" ", ""))
    assert block.whole or ELLIPSIS in said


def test_a_cut_line_keeps_both_its_ends():
    line = fit("elevator balance weight, outboard hinge, LEFT", Font.BOLD, room=30, size=12, least=8)
    assert line.text.startswith("elev")
    assert line.text.endswith("LEFT")
    assert ELLIPSIS in line.text


def test_a_text_shrinks_before_it_is_cut():
    line = fit("aileron, inboard", Font.BOLD, room=30, size=20, least=6)
    assert (line.text, 6 < line.size < 20) == ("aileron, inboard", True)


def test_a_long_word_breaks_behind_its_own_hyphens_first():
    assert wrap("NAS1149F0332P-MS21044N3-AN960-10", Font.REGULAR, room=42, size=10)[0].endswith("-")


def test_lines_in_and_height_of_agree():
    for count in range(1, 9):
        assert lines_in(height_of(count, 9.0), 9.0) == count


def test_the_least_room_gets_one_line():
    assert lines_in(0.0, 9.0) == 1


@pytest.mark.parametrize(
    ("text", "shown", "missing"),
    [
        ("AN3-5A Ø Ł Ж Ω ½ ° → ✓", "AN3-5A Ø Ł Ж Ω ½ ° → ✓", ()),
        ("AN3\u200b-5A", "AN3□-5A", ("\u200b",)),
        ("bolt\x1b[31m", "bolt□[31m", ("\x1b",)),
        ("機体 tail", "□□ tail", ("機", "体")),
        ("ok 🛩🛩", "ok □□", ("🛩",)),
        ("half \ud800 pair", "half □ pair", ("\ud800",)),
        ("\u202eevil", "□evil", ("\u202e",)),
        ("e\u0301", "é", ()),
        ("a\tb\nc\u00a0d", "a b c d", ()),
        ("□", "□", ()),
        ("", "", ()),
    ],
)
def test_what_the_fonts_lack_prints_as_a_box_and_is_told(text, shown, missing):
    assert drawable(text) == shown
    assert missing_characters(text) == missing


@given(st.text(max_size=80))
@settings(max_examples=200, deadline=None)
def test_every_character_drawn_has_a_glyph_in_both_fonts(text):
    assert missing_characters(drawable(text)) == ()


def test_missing_characters_of_several_texts_are_told_once_each():
    assert missing_characters("機", "体機", "ok") == ("機", "体")


def test_right_to_left_text_is_placed_as_it_is_read():
    # stored first letter first; drawn from the left it must begin with the last letter
    assert visual("אבג") == "גבא"
    assert visual("part אבג 12 דה, LEFT") == "part הד 12 גבא, LEFT"
    assert visual("hinge (אב) 12") == "hinge (בא) 12"
    assert visual("אב 2026-03-02") == "בא 2026-03-02"
    assert visual("א 2026-03-02 ב") == "ב 2026-03-02 א"
    assert visual("א(ב)ג") == "ג(ב)א"
    assert visual("AN3-5A") == "AN3-5A"


@given(st.text(max_size=60))
@settings(deadline=None)
def test_turning_the_reading_direction_loses_no_character(text):
    swapped = str.maketrans("()[]{}<>«»", "(([[{{<<««")
    assert sorted(visual(text).translate(swapped)) == sorted(text.translate(swapped))


@given(st.text(max_size=60))
def test_printable_text_is_one_line_without_control_characters(text):
    shown = printable(text)
    assert len(shown.splitlines()) <= 1
    assert printable(shown) == shown
    assert all(character == " " or not character.isspace() for character in shown)


def test_a_texts_own_lines_are_kept_apart():
    assert paragraphs("one\r\ntwo\n\nfour") == ("one", "two", "", "four")
    assert paragraphs("") == ("",)


def test_wide_and_stacked_characters_count_as_they_show():
    assert (columns("abc"), columns("機体"), columns("x\u0302")) == (3, 4, 1)


def test_a_font_file_that_is_gone_is_a_fault_with_its_name():
    # in a process of its own, because a font once read is kept
    script = (
        "from tagtrack.core.errors import Fault\n"
        "from tagtrack.paper import fonts\n"
        "fonts.__file__ = 'nowhere/fonts.py'\n"
        "try:\n"
        "    fonts.width('a', fonts.Font.REGULAR, 1.0)\n"
        "except Fault as fault:\n"
        "    print(fault)\n"
    )
    said = subprocess.run([sys.executable, "-c", script], capture_output=True, check=True, text=True).stdout
    assert "DejaVuSans.ttf cannot be read" in said
    assert "do:" in said


def test_a_count_stays_with_what_it_counts():
    words = "2 AN3-5, 4 AN960-10, 2 AN310-3, 2x MS24665-132"
    for room in range(30, 90):
        lines = wrap(words, Font.REGULAR, room=room, size=8.5)
        assert not [line for line in lines[:-1] if line.split()[-1] in {"2", "4", "2x"}], (room, lines)

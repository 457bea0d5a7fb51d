"""Long lines in a narrow terminal: broken between words, nothing lost, nothing that is read as one torn apart."""

from __future__ import annotations

import doctest
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagtrack.cli import wrapping
from tagtrack.cli.wrapping import broken, fitted


def test_the_example_is_true():
    outcome = doctest.testmod(wrapping)
    assert outcome.attempted
    assert not outcome.failed


@pytest.mark.parametrize(
    ("line", "second"),
    [
        ("    came:     a very long answer that goes on and on over the edge", " " * 14),
        ("  64E787  missing                cover, LEFT: its hardware, all of it", " " * 33),
        (" ok OFF  elevator balance weight, LEFT, with everything on it", " " * 9),
        ("          -> fetch it and put it back; its hardware lies in a bag", " " * 13),
        ("      undo: your last step; undo ID: that one, while nothing rests", " " * 8),
        ("plain words that only go on until they meet the edge", "  "),
    ],
)
def test_what_continues_stands_under_its_own_text(line, second):
    first, *rest = broken(line, 48 if len(second) < 20 else 64).splitlines()
    assert line.startswith(first)
    assert rest
    for each in rest:
        assert each.startswith(second)
        assert each[len(second)] != " "


@pytest.mark.parametrize("one", ["57Z8 PHR7", "2 MS24665-132", "12 AN525-10R8", "AN3-5A"])
def test_codes_and_counts_are_never_torn(one):
    for before in range(60):
        assert one in broken(f"  {'x' * (before % 7 + 1)} " * (before // 7 + 1) + one + " and so on, and so on", 40)


@given(st.lists(st.text("abcXYZ019-,;:", min_size=1, max_size=25), min_size=1, max_size=30), st.integers(30, 120))
def test_no_word_is_lost_and_no_line_too_long(words, width):
    line = " ".join(words)
    told = broken(line, width)
    assert told.split() == line.split()
    # a code or a count with its callout stays together, so it may need more room
    for each in told.splitlines():
        assert len(each) <= width or " " not in wrapping.ONE.sub(wrapping.KEPT, each.strip())


@pytest.mark.parametrize("width", [0, 10, 29])
def test_a_terminal_too_narrow_for_words_is_left_to_itself(width):
    assert broken("word " * 20, width) == "word " * 20


def test_a_column_that_would_leave_no_room_is_not_kept():
    told = broken("  64E787  missing                cover, LEFT: its hardware, all of it", 44)
    assert told.splitlines()[1].startswith("    ")
    assert not told.splitlines()[1].startswith("     ")


class Screen(io.StringIO):
    def isatty(self):
        return True


def test_a_file_or_pipe_gets_the_whole_line(monkeypatch):
    monkeypatch.setenv("COLUMNS", "40")
    line = "every recorded step of the work order, oldest first"
    assert fitted(line, io.StringIO()) == line
    assert fitted(line, Screen()).count("\n") == 1

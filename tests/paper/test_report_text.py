"""A sheet as plain text."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from paper.samples import SHEET_SAMPLE

from tagtrack.core.sheets import Section, Sheet, Table
from tagtrack.paper.characters import columns, paragraphs
from tagtrack.paper.report_text import WIDTH, report_text
from tagtrack.paper.shares import shares

GOLDEN = Path(__file__).with_name("golden") / "report.txt"


def test_the_sample_sheet_reads_as_the_golden_text():
    assert report_text(SHEET_SAMPLE) == GOLDEN.read_text(encoding="utf-8")


def squeezed(text):
    """Letters only, so that wrapping does not matter."""
    return "".join(character for paragraph in paragraphs(text) for character in paragraph if not character.isspace())


CELL = st.text(max_size=40) | st.text("ab ", max_size=300)
TABLE = st.integers(1, 6).flatmap(
    lambda count: st.builds(
        Table,
        columns=st.tuples(*[CELL] * count),
        rows=st.lists(st.tuples(*[CELL] * count), max_size=4).map(tuple),
        widths=st.just(()) | st.tuples(*[st.integers(0, 9)] * count),
    )
)
SECTION = st.builds(Section, heading=CELL, note=CELL, table=st.none() | TABLE, loud=st.booleans())
SHEETS = st.builds(
    Sheet,
    title=CELL,
    verdict=CELL,
    facts=st.lists(st.tuples(CELL, CELL), max_size=4).map(tuple),
    sections=st.lists(SECTION, max_size=3).map(tuple),
    cautions=st.lists(CELL, max_size=2).map(tuple),
    foot=CELL,
)


@given(SHEETS)
@settings(max_examples=80)
def test_no_line_is_wider_than_the_page_and_nothing_steers_the_terminal(sheet):
    text = report_text(sheet)
    # str.splitlines would also split at what a terminal does not: none of that may be in the text
    assert text.splitlines() == text.split("\n")[:-1]
    assert all(columns(line) <= WIDTH for line in text.splitlines())
    assert all(character.isprintable() or character == "\n" for character in text)


@given(st.lists(CELL, min_size=1, max_size=5))
@settings(max_examples=60)
def test_every_character_of_every_cell_is_there(cells):
    table = Table(columns=tuple("c" for _ in cells), rows=(tuple(cells),))
    text = report_text(Sheet(title="t", verdict="", sections=(Section(heading="h", table=table),)))
    wanted = sorted(character for cell in cells for character in squeezed(cell))
    body = text.split("H\n-\n", 1)[1]
    have = list(squeezed(body))
    for character in wanted:
        have.remove(character)


def test_loud_sections_are_framed_and_others_are_not():
    lines = report_text(SHEET_SAMPLE).splitlines()
    framed = [line for line in lines if line.startswith("|")]
    assert framed
    assert all(len(line) == WIDTH and line.endswith("|") for line in framed)
    assert "UNACCOUNTED" in " ".join(framed)
    assert "FINDINGS" not in " ".join(framed)


def test_an_empty_sheet_is_a_title_and_nothing_else():
    assert report_text(Sheet(title="Nothing", verdict="")).splitlines() == ["=" * 100, "NOTHING", "=" * 100]


def test_a_table_without_rows_still_shows_its_headings():
    sheet = replace(SHEET_SAMPLE, sections=(Section(heading="h", table=Table(columns=("Kind", "Where"), rows=())),))
    assert "Kind  Where" in report_text(sheet)


@pytest.mark.parametrize(
    ("needs", "weights", "room", "wanted"),
    [((5, 5), (1, 1), 20, (5, 5)), ((50, 50), (1, 3), 40, (10, 30)), ((5, 50, 50), (1, 1, 1), 45, (5, 20, 20))],
)
def test_narrow_columns_take_what_they_need_and_the_rest_is_shared_by_weight(needs, weights, room, wanted):
    assert shares(needs, weights, room) == wanted

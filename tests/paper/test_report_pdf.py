"""A sheet as pages: nothing lost at a page end, the foot on every page, any text whatever."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import pytest
from paper.samples import SHEET_SAMPLE
from pypdf import PdfReader

from tagtrack.core.sheets import Section, Sheet, Signature, Table
from tagtrack.paper.ink import Stroke, Text, extent
from tagtrack.paper.report_layout import report_pages
from tagtrack.paper.report_pdf import Paper, report_pdf

AWKWARD = (
    "<b>not bold</b> & <para>&amp;",
    "x" * 5000,
    "many words " * 450,
    "Łódź Ørsted Жуковский Ωμέγα",
    "機体 □ 🛩",
    "\x00\x1b[2J\u202e\u200b",
    "one\ntwo\r\nthree",
    "</td> %s {} \\n",
    "",
)


def bytes_of(sheet, paper=Paper.LETTER):
    out = BytesIO()
    count = report_pdf(sheet, out=out, paper=paper)
    assert len(PdfReader(BytesIO(out.getvalue())).pages) == count
    return out.getvalue()


def pages_of(sheet, paper=Paper.LETTER):
    return [page.extract_text() for page in PdfReader(BytesIO(bytes_of(sheet, paper))).pages]


def squeezed(text):
    return "".join(text.split())


def long_sheet(rows=120):
    table = Table(
        columns=("Position", "Spec", "Found", "Now"),
        rows=tuple((f"position {n}, LEFT", f"AN{n}-5A", f"found{n}", f"now{n}") for n in range(rows)),
    )
    loud = Section(heading="Loud table", table=table, loud=True)
    return replace(SHEET_SAMPLE, sections=(*SHEET_SAMPLE.sections, Section(heading="All joints", table=table), loud))


@pytest.mark.parametrize("paper", Paper)
def test_every_word_of_the_sheet_is_on_its_pages(paper):
    text = squeezed(" ".join(pages_of(SHEET_SAMPLE, paper)))
    cells = [cell for section in SHEET_SAMPLE.sections if section.table for row in section.table.rows for cell in row]
    heads = [cell for section in SHEET_SAMPLE.sections if section.table for cell in section.table.columns]
    notes = [section.note for section in SHEET_SAMPLE.sections]
    facts = [part for fact in SHEET_SAMPLE.facts for part in fact]
    for word in (SHEET_SAMPLE.title, SHEET_SAMPLE.verdict, *facts, *heads, *notes, *SHEET_SAMPLE.cautions):
        assert squeezed(word) in text
    for signature in SHEET_SAMPLE.signatures:
        assert squeezed(signature.statement) in text
    assert "UNACCOUNTED" in text
    # a wrapped cell is parted by its neighbours' lines, so its words are looked for one by one
    for cell in cells:
        assert all(word in text for word in cell.split())


def test_foot_and_page_number_are_on_every_page():
    pages = pages_of(long_sheet())
    assert len(pages) > 4
    for number, text in enumerate(pages, start=1):
        assert squeezed(SHEET_SAMPLE.foot) in squeezed(text)
        assert f"page {number} of {len(pages)}" in text


def test_headings_stand_again_on_each_page_of_a_long_table_and_no_row_is_lost():
    pages = pages_of(long_sheet())
    for text in pages:
        if "AN" in text and "found" in text:
            assert squeezed("Position") in squeezed(text)
    everything = " ".join(pages).split()
    for n in range(120):
        assert everything.count(f"found{n}") == 2


def test_a_loud_section_is_boxed_on_every_page_it_covers():
    for page in report_pages(long_sheet(), wide=215.9, high=279.4):
        large = [mark for mark in page.ink if isinstance(mark, Text) and mark.size == 10.5]
        rows = [mark for mark in large if mark.text.startswith("found")]
        boxes = [extent(mark) for mark in page.ink if isinstance(mark, Stroke) and mark.closed and mark.pen == 0.8]
        for mark in rows:
            assert any(box[0] < mark.x and box[1] < mark.y < box[3] and mark.x < box[2] for box in boxes)


@pytest.mark.parametrize("paper", Paper)
def test_no_ink_leaves_the_margins_and_no_line_covers_another(paper):
    wide, high = paper.size
    for page in report_pages(long_sheet(), wide=wide, high=high):
        lines = [extent(mark) for mark in page.ink if isinstance(mark, Text)]
        for left, top, right, bottom in lines:
            assert left >= 14.9
            assert top >= 14.9
            assert right <= wide - 14.9
            assert bottom <= high - 5
        ordered = sorted(lines, key=lambda box: box[1])
        for number, one in enumerate(ordered):
            for two in ordered[number + 1 : number + 30]:
                across = min(one[2], two[2]) - max(one[0], two[0])
                down = min(one[3], two[3]) - max(one[1], two[1])
                assert across < 0.05 or down < 0.05


def test_the_same_sheet_gives_the_same_bytes():
    assert bytes_of(long_sheet()) == bytes_of(long_sheet())


@pytest.mark.parametrize("text", AWKWARD, ids=[f"{n}" for n in range(len(AWKWARD))])
def test_any_text_anywhere_is_set_and_breaks_nothing(text):
    table = Table(columns=(text, "b", text), rows=((text, "end of row", text), ("", "", "")))
    sections = (Section(heading=text, note=text, table=table), Section(heading=text, table=table, loud=True))
    sheet = Sheet(
        title=text,
        verdict=text,
        facts=((text, text), ("label", text), (text, "")),
        sections=sections,
        cautions=(text,),
        signatures=(Signature(role=text, statement=text, name=text),),
        foot=text,
    )
    pages = pages_of(sheet)
    assert " ".join(pages).count("end of row") == 2


def test_a_cell_of_five_thousand_characters_is_whole_across_its_pages():
    words = [f"w{n:04d}" for n in range(1000)]
    table = Table(columns=("a", "b"), rows=((" ".join(words), "short"), ("after", "it")))
    text = " ".join(pages_of(Sheet(title="t", verdict="v", sections=(Section(heading="h", table=table),))))
    assert [word for word in words if word not in text] == []
    assert "after" in text


def test_forty_columns_are_set_narrow_but_set():
    table = Table(columns=tuple("abcdefghij" * 4), rows=(("12345",) * 40,))
    text = squeezed("".join(pages_of(Sheet(title="t", verdict="", sections=(Section(heading="h", table=table),)))))
    assert text.count("1") >= 40


def test_signature_lines_leave_room_for_ink_and_stay_with_their_words():
    for rows in range(20, 60):
        for page in report_pages(long_sheet(rows), wide=215.9, high=279.4):
            said = [mark for mark in page.ink if isinstance(mark, Text) and mark.text.startswith("I compared")]
            rules = [mark for mark in page.ink if isinstance(mark, Text) and mark.text.startswith("Name: K.")]
            assert len(said) == len(rules)
            for words, caption in zip(said, rules, strict=True):
                assert caption.y - words.y > 12


def test_the_words_for_a_paper_are_its_values():
    assert [Paper("letter").size, Paper("a4").size] == [(215.9, 279.4), (210.0, 297.0)]

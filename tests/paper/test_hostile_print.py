"""What no shop should send to a printer, and somebody will: a clear sentence or a sound print, never half of one."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from paper.samples import BAG, BLANK, RICH
from pypdf import PdfReader

from tagtrack.core.axes import Side
from tagtrack.core.errors import Fault, Refusal
from tagtrack.core.faces import FaceKind
from tagtrack.paper.labels import tags_pdf
from tagtrack.paper.template import named, read

WORDS = {
    "five thousand letters": "x" * 5000,
    "five thousand words": "AN960-10 " * 5000,
    "from right to left": "כנף שמאל 12 (AN3-5A) مسمار",
    "turned by hidden signs": "\u202eAN3-5A\u202c \u2066horn\u2069 \u200b\ufeff",
    "emoji": "🔩✈️👩‍🔧 bolt",
    "control characters": "\x00\x07\x1b[31mred\x7f\r\n\t\x85 horn",
    "half a character": "horn \ud83d and \udcff",
    "nothing but blanks": " \t\u00a0\u3000 ",
    "marks upon marks": "Z" + "\u0301\u0327" * 200,
    "what a PDF is made of": ") Tj ET (\\ endstream endobj %%EOF <</",
}


@pytest.mark.parametrize("words", WORDS.values(), ids=WORDS)
@pytest.mark.parametrize("name", ["letter-4x2in-10up", "roll-4x2in-stub", "a4-38.1x21.2mm-65up"])
def test_any_words_on_any_tag_are_a_whole_pdf(name, words):
    face = replace(
        RICH, title=words, registration=words, job=words, marks=words, marks_note=words, mount=words, by=words,
        hardware=(words, words, "2 AN3-5A"), goes_back=words, hardware_note=words, goes_to=words, area=words,
        warnings=(words, "CRITICAL"), proof=words,
    )  # fmt: skip
    faces = [replace(face, kind=kind, side=side) for kind in FaceKind for side in (None, *Side)]
    out = BytesIO()
    sheets = tags_pdf(faces, named(name), out=out, proof=words)
    # strict: an unescaped bracket or a wrong length would be told
    assert len(PdfReader(out, strict=True).pages) == sheets


LENGTH = st.one_of(
    st.floats(-10, 300), st.sampled_from([0, -1, 1e-9, 1e9, 15, 10, 1500, float("nan"), float("inf"), True, "2 in"])
)
COUNT = st.one_of(st.integers(-2, 60), st.sampled_from([0, 10**9, 2.5, "two", False]))
KEYS = (
    "sheet.width", "sheet.height", "grid.left", "grid.top", "grid.gap_x", "grid.gap_y", "label.width", "label.height",
    "label.safe", "label.eyelet", "label.stub",
)  # fmt: skip
SOUND = {
    "sheet.width": 210, "sheet.height": 297, "grid.left": 4.65, "grid.top": 13.1, "grid.gap_x": 2.5, "grid.gap_y": 0,
    "label.width": 99.1, "label.height": 67.7, "label.safe": 2, "label.eyelet": 0, "label.stub": 0,
    "grid.columns": 2, "grid.rows": 4,
}  # fmt: skip


def written(figures):
    """A template file of those figures, as TOML writes them."""
    tables = {}
    for key, value in figures.items():
        table, name = key.split(".")
        told = f'"{value}"' if isinstance(value, str) else str(value).lower()
        tables.setdefault(table, []).append(f"{name} = {told}")
    return 'unit = "mm"\n' + "\n".join(f"[{table}]\n" + "\n".join(lines) for table, lines in tables.items())


@given(st.dictionaries(st.sampled_from(KEYS), LENGTH, max_size=4),
       st.dictionaries(st.sampled_from(["grid.columns", "grid.rows"]), COUNT, max_size=1))  # fmt: skip
@example({"label.stub": 90.0}, {})
@example({"label.stub": 20.0}, {})
@example({"grid.gap_x": -50.0}, {})
@example({"label.width": 15.0, "label.height": 10.0, "label.safe": 0}, {})
@settings(max_examples=200, deadline=None)
def test_any_figures_at_all_are_a_fault_a_refusal_or_a_print(tmp_path_factory, lengths, counts):
    file = tmp_path_factory.mktemp("stock") / "mine.toml"
    file.write_text(written(SOUND | lengths | counts), encoding="utf-8")
    out = BytesIO()
    told, stock, sheets = attempt(file, out)
    if told is not None:
        assert told.what
        assert told.expected
        assert told.todo
        assert out.getvalue() == b""
    else:
        page = PdfReader(out).pages[0].mediabox
        assert len(PdfReader(out).pages) == sheets
        assert float(page.width) * 25.4 / 72 == pytest.approx(stock.sheet_width, abs=0.01)


def attempt(file, out):
    """Trouble or None, the stock, and how many sheets were printed; the first sheet holds none with a stub."""
    try:
        stock = read(file)
        return None, stock, tags_pdf([BAG] * min(stock.per_sheet, 12) + [RICH, BLANK], stock, out=out)
    except (Fault, Refusal) as told:
        return told, None, 0

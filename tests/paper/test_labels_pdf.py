"""Printed sheets of tags, looked at as a picture: every symbol read, every edge measured."""

from __future__ import annotations

import subprocess
import sys
import tracemalloc
from dataclasses import replace
from functools import cache
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryFile

import cv2
import numpy as np
import pypdfium2
import pytest
import zxingcpp
from paper.samples import FACES, RICH, TEMPLATES, tags_bytes
from PIL import Image
from pypdf import PdfReader

from tagtrack.core.axes import Side
from tagtrack.core.errors import Refusal
from tagtrack.core.faces import FaceKind
from tagtrack.paper import labels
from tagtrack.paper.grid import corner
from tagtrack.paper.ink import Page, Stroke, Text, extent
from tagtrack.paper.labels import outlines_pdf, stub_of, tags_pdf
from tagtrack.paper.pdf import write_pdf
from tagtrack.paper.preview import pages_as_png
from tagtrack.paper.tag_frame import holds_full_layout
from tagtrack.paper.template import named

ROOT = Path(__file__).parent.parent.parent
DPI = 200
DOT = 25.4 / DPI
STOCKS = [named(name) for name in TEMPLATES]


def full_sheet(stock):
    """As many faces as a sheet has labels, each with a code of its own."""
    chosen = [FACES[n % len(FACES)] for n in range(stock.per_sheet)]
    return [replace(face, code=f"7K3M9{n:02d}X") for n, face in enumerate(chosen, start=1)]


@cache
def picture_of(name):
    (page,) = pages_as_png(tags_bytes(full_sheet(named(name)), named(name)), dpi=DPI)
    return Image.open(BytesIO(page)).convert("L")


def codes_of(face, stock):
    """The codes that stand on a label: its own, and on a tag in two halves that of the stub."""
    stubbed = stock.stub and face.kind in (FaceKind.PART, FaceKind.BLANK)
    return {face.code, stub_of(face).code} if stubbed else {face.code}


def label_picture(picture, stock, position, offset=(0.0, 0.0)):
    x, y = corner(stock, position)
    x, y = x + offset[0], y + offset[1]
    return picture.crop(tuple(round(mm / DOT) for mm in (x, y, x + stock.width, y + stock.height)))


def dark_share(picture, left, top, right, bottom):
    """How much of a rectangle, in millimetres, is black."""
    box = [round(mm / DOT) for mm in (left, top, right, bottom)]
    # a label's own rounding may leave its picture a dot narrower than the rectangle
    part = picture.crop((box[0], box[1], min(box[2], picture.width), min(box[3], picture.height)))
    return sum(part.histogram()[:128]) / (part.width * part.height)


@pytest.mark.parametrize("name", TEMPLATES)
def test_every_symbol_on_the_sheet_is_read_and_is_the_code_of_its_own_label(name):
    stock, faces = named(name), full_sheet(named(name))
    for position, face in enumerate(faces, start=1):
        found = zxingcpp.read_barcodes(label_picture(picture_of(name), stock, position))
        assert {symbol.text for symbol in found} == codes_of(face, stock)


@pytest.mark.parametrize("name", TEMPLATES)
def test_every_label_is_read_by_a_second_decoder_of_other_people(name):
    """OpenCV's own detector, which finds symbols and reads them by code that zxing knows nothing of."""
    stock, faces = named(name), full_sheet(named(name))
    reader = cv2.QRCodeDetectorAruco()
    for position, face in enumerate(faces, start=1):
        label = label_picture(picture_of(name), stock, position)
        found = set()
        # nearer and nearer to the camera, as one label is looked at
        for times in (3, 4, 2, 5):
            large = np.asarray(label.resize((label.width * times, label.height * times)))
            _, texts, _, _ = reader.detectAndDecodeMulti(np.pad(large, 60, constant_values=255))
            found |= {text for text in texts if text}
            if found >= codes_of(face, stock):
                break
        assert found == codes_of(face, stock), position


@pytest.mark.parametrize("name", TEMPLATES)
def test_the_whole_sheet_is_read_in_one_picture(name):
    found = zxingcpp.read_barcodes(picture_of(name))
    stock = named(name)
    assert {symbol.text for symbol in found} == {code for face in full_sheet(stock) for code in codes_of(face, stock)}


@pytest.mark.parametrize("stock", STOCKS, ids=TEMPLATES)
@pytest.mark.parametrize("side", [Side.LEFT, Side.RIGHT, Side.CENTRE, None])
def test_the_band_is_at_the_edge_that_its_side_says_and_at_no_other(stock, side):
    (page,) = pages_as_png(tags_bytes([replace(RICH, side=side)], stock), dpi=DPI)
    label = label_picture(Image.open(BytesIO(page)).convert("L"), stock, 1)
    begin, high, safe, thick = stock.eyelet, stock.height, stock.safe, 1.2
    # beside the cut of a tag in two halves
    wide = stock.width - (stock.stub + 0.5 if stock.stub else 0.0)
    edges = {
        "left": (begin + safe + 0.3, safe + 0.3, begin + safe + thick, high - safe - 0.3),
        "right": (wide - safe - thick, safe + 0.3, wide - safe - 0.3, high - safe - 0.3),
        "top": (begin + safe + 0.3, safe + 0.3, wide - safe - 0.3, safe + thick),
        "bottom": (begin + safe + 0.3, high - safe - thick, wide - safe - 0.3, high - safe - 0.3),
    }
    if side is Side.CENTRE and holds_full_layout(wide - begin, high, safe):
        # the upper band leaves the symbol's corner free
        edges["top"] = (begin + safe + 0.3, safe + 0.3, wide - safe - 23.0, safe + thick)
    elif side is Side.CENTRE:
        # on a small label both bands leave the symbol's end free
        edges = {name: (box[0], box[1], begin + (wide - begin) * 0.5, box[3]) if name in ("top", "bottom") else box
                 for name, box in edges.items()}  # fmt: skip
    wanted = {Side.LEFT: {"left"}, Side.RIGHT: {"right"}, Side.CENTRE: {"top", "bottom"}, None: set()}[side]
    assert {edge for edge, box in edges.items() if dark_share(label, *box) > 0.98} == wanted
    # the other edges are at most brushed by letters
    assert all(dark_share(label, *box) < 0.75 for edge, box in edges.items() if edge not in wanted)


@pytest.mark.parametrize("stock", STOCKS, ids=TEMPLATES)
def test_the_safe_edge_of_every_label_and_all_between_labels_stays_white(stock):
    picture = picture_of(stock.name)
    inside = stock.safe - 2 * DOT
    for position in range(1, stock.per_sheet + 1):
        label = label_picture(picture, stock, position)
        wide, high = stock.width, stock.height
        for edge in (
            (0, 0, wide, inside),
            (0, high - inside, wide, high),
            (0, 0, inside, high),
            (wide - inside, 0, wide, high),
        ):
            assert dark_share(label, *edge) == 0


@pytest.mark.parametrize("stock", STOCKS, ids=TEMPLATES)
@pytest.mark.parametrize("offset", [(0.0, 0.0), (1.5, -1.0)])
def test_the_outlines_lie_where_the_template_says(stock, offset):
    out = BytesIO()
    outlines_pdf(stock, out=out, offset_mm=offset)
    document = pypdfium2.PdfDocument(out.getvalue())
    page = document[0]
    assert page.get_size() == pytest.approx((stock.sheet_width * 72 / 25.4, stock.sheet_height * 72 / 25.4), abs=0.01)
    paths = [tuple(mark.get_bounds()) for mark in page.get_objects() if mark.type == 2]
    labels = [box for box in paths if (box[2] - box[0]) * 25.4 / 72 > stock.width - 1]
    assert len(labels) == stock.per_sheet
    for position, (left, bottom, right, top) in enumerate(labels, start=1):
        x, y = corner(stock, position)
        mm = [value * 25.4 / 72 for value in (left, top, right, bottom)]
        middle = ((mm[0] + mm[2]) / 2, stock.sheet_height - (mm[1] + mm[3]) / 2)
        assert middle == pytest.approx((x + offset[0] + stock.width / 2, y + offset[1] + stock.height / 2), abs=0.01)
        # the viewer adds the pen, 0.2 mm, on every side
        assert mm[2] - mm[0] == pytest.approx(stock.width + 0.4, abs=0.02)
        assert mm[1] - mm[3] == pytest.approx(stock.height + 0.4, abs=0.02)
    document.close()


@pytest.mark.parametrize("stock", STOCKS, ids=TEMPLATES)
def test_a_symbols_place_and_module_in_the_pdf_are_those_asked_for(stock):
    document = pypdfium2.PdfDocument(tags_bytes([RICH], stock))
    page = document[0]
    boxes = [[v * 25.4 / 72 for v in mark.get_bounds()] for mark in page.get_objects() if mark.type == 2]
    squares = [b for b in boxes if abs((b[2] - b[0]) - (b[3] - b[1])) < 0.01 and b[2] - b[0] > 10]
    modules = sorted(round((b[2] - b[0]) / 21, 2) for b in squares)
    allowed = (0.5, 0.62, 0.75)
    assert modules
    assert all(min(abs(module - each) for each in allowed) < 0.02 for module in modules), modules
    document.close()


def test_a_part_used_sheet_is_begun_where_it_is_told_and_the_rest_goes_on_the_next():
    stock = STOCKS[1]
    faces = full_sheet(stock)[:3]
    pages = [*pages_as_png(tags_bytes(faces, stock, start=9, offset_mm=(0.5, 0.5)), dpi=DPI)]
    assert len(pages) == 2
    at = [(0, 9), (0, 10), (1, 1)]
    for face, (page, position) in zip(faces, at, strict=True):
        label = label_picture(Image.open(BytesIO(pages[page])), stock, position, (0.5, 0.5))
        assert {found.text for found in zxingcpp.read_barcodes(label)} == {face.code}


def test_the_same_faces_give_the_same_bytes_in_another_process_too():
    stock = STOCKS[1]
    once, twice = tags_bytes(FACES, stock), tags_bytes(FACES, stock)
    script = (
        f"import sys; sys.path[:0] = [{str(ROOT)!r}, {str(ROOT / 'tests')!r}]\n"
        "from paper.samples import FACES, tags_bytes\n"
        "from tagtrack.paper.template import named\n"
        f"sys.stdout.buffer.write(tags_bytes(FACES, named({stock.name!r})))\n"
    )
    other = subprocess.run([sys.executable, "-c", script], capture_output=True, check=True).stdout
    assert once == twice == other
    assert b"CreationDate" not in once or b"2000" in once


def test_the_pdf_carries_its_own_fonts_and_its_words_can_be_searched():
    reader = PdfReader(BytesIO(tags_bytes(FACES, STOCKS[0], proof="WO 2026-014, record check 41-9f3a22c1")))
    words = reader.pages[0].extract_text()
    for word in ("7K3M 9QXT", "2 AN3-5A", "4 AN960-10", "pen mark UP", "Østergård", "sheet 1 of 2"):
        assert word in words
    for page in reader.pages:
        fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]
        assert all("DejaVuSans" in font["/BaseFont"] for font in fonts)
    assert reader.metadata.title == "Tags"
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_a_sheet_of_labels_stays_small_and_binary():
    content = tags_bytes([replace(RICH, code=f"7K3M9{n:03d}") for n in range(300)], STOCKS[1])
    assert b"ASCII85Decode" not in content
    assert len(content) < 300 * 1200


@pytest.mark.parametrize(
    ("faces", "how"),
    [
        ([], {}),
        ([RICH], {"start": 0}),
        ([RICH], {"start": 11}),
        ([RICH], {"offset_mm": (20, 0)}),
        ([RICH, replace(RICH, code="7k3m9qxt")], {}),
        ([replace(RICH, code="")], {}),
    ],
    ids=["none", "place 0", "place 11", "offset", "lower case", "no code"],
)
def test_what_cannot_be_printed_is_refused_before_a_byte_is_written(faces, how):
    out = BytesIO()
    with pytest.raises(Refusal):
        tags_pdf(faces, STOCKS[1], out=out, **how)
    assert out.getvalue() == b""


def test_a_preview_has_the_size_of_the_page_at_its_resolution():
    (page,) = pages_as_png(tags_bytes([RICH], STOCKS[1]), dpi=100)
    assert Image.open(BytesIO(page)).size == (850, 1100)
    with pytest.raises(Refusal, match="resolution"):
        pages_as_png(b"", dpi=5000)


def test_a_preview_library_is_not_loaded_before_a_preview_is_asked_for():
    script = "import sys, tagtrack.paper.labels, tagtrack.paper.preview; sys.exit('pypdfium2' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", script], check=False, cwd=ROOT).returncode == 0


def test_a_code_that_no_symbol_can_hold_is_refused_before_a_byte_is_written_also_on_the_last_sheet():
    out = BytesIO()
    with pytest.raises(Refusal, match="cannot be a tag code"):
        tags_pdf([RICH] * 25 + [replace(RICH, code="no code")], named("letter-4x2in-10up"), out=out)
    assert out.getvalue() == b""


def test_it_is_told_after_each_label_how_far_the_print_is():
    told = []
    tags_pdf([RICH] * 12, named("letter-4x2in-10up"), out=BytesIO(), progress=lambda *far: told.append(far))
    assert told == [(number, 12) for number in range(1, 13)]


def test_each_sheet_is_in_the_stream_before_the_next_one_is_laid_out():
    """So that a print of any length takes the memory of one sheet."""
    out, written = BytesIO(), []
    tags_pdf([RICH] * 31, STOCKS[1], out=out, progress=lambda *_: written.append(out.tell()))
    sheets = [set(written[first : first + 10]) for first in (0, 10, 20, 30)]
    assert [len(sizes) for sizes in sheets] == [1, 1, 1, 1]
    sizes = [size.pop() for size in sheets]
    # nothing before the first sheet is whole; then more than a symbol's worth for each label
    assert sizes[0] == 0
    assert all(later - earlier > 10 * 145 for earlier, later in pairwise(sizes))


def test_a_page_that_is_written_is_forgotten():
    lines = tuple(Text(x=10, y=10 + n, text=f"{n} AN960-{n * 7919}", size=5) for n in range(250))
    held = []

    def pages():
        for number in range(400):
            if number in (100, 399):
                held.append(tracemalloc.get_traced_memory()[0])
            yield Page(width=215.9, height=279.4, ink=(*lines, Text(x=5, y=5, text=f"page {number}", size=5)))

    tracemalloc.start()
    try:
        with TemporaryFile() as out:
            assert write_pdf(pages(), out=out, title="x") == 400
            assert len(PdfReader(out).pages) == 400
            each = out.seek(0, 2) / 400
    finally:
        tracemalloc.stop()
    # a page of operators would be 3 kB packed, and 15 kB as they are drawn
    assert each > 2000
    assert (held[1] - held[0]) / 299 < 1500


def test_a_long_print_is_a_whole_pdf_with_every_page_and_its_fonts():
    faces = [replace(RICH, title=f"bracket {n}") for n in range(41)]
    reader = PdfReader(BytesIO(tags_bytes(faces, STOCKS[1])), strict=True)
    words = [page.extract_text() for page in reader.pages]
    assert len(words) == 5
    assert all(f"bracket {n}" in words[n // 10] for n in range(41))


@pytest.mark.parametrize("stock", STOCKS, ids=TEMPLATES)
def test_the_outlines_are_read_beside_their_ruler_and_show_what_is_kept_free(stock, monkeypatch):
    pages = []
    monkeypatch.setattr(labels, "write_pdf", lambda drawn, **_: pages.extend(drawn))
    outlines_pdf(stock, out=BytesIO())
    (page,) = pages
    words = [extent(mark) for mark in page.ink if isinstance(mark, Text)]
    solid = [extent(mark) for mark in page.ink if isinstance(mark, Stroke) and not mark.closed and not mark.dashed]
    for one, word in enumerate(words):
        for other in (*words[one + 1 :], *solid):
            wide = min(word[2], other[2]) - max(word[0], other[0])
            high = min(word[3], other[3]) - max(word[1], other[1])
            assert wide <= 0.02 or high <= 0.02, (word, other)
    kept_free = [mark for mark in page.ink if isinstance(mark, Stroke) and mark.dashed and not mark.closed]
    assert len(kept_free) == (bool(stock.eyelet) + bool(stock.stub)) * stock.per_sheet

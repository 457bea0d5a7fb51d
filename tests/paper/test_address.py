"""Symbols that hold the shop's address before the code: read back by two decoders, legal, and beside one without it."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import cv2
import numpy as np
import pytest
import zxingcpp
from paper.samples import RICH, TEMPLATES, tags_bytes
from PIL import Image

from tagtrack.core.axes import Side
from tagtrack.core.errors import Refusal
from tagtrack.core.tagcode import addressed, read, shop_address, with_check
from tagtrack.paper.ink import Symbol, extent
from tagtrack.paper.labels import face_ink, holds_address
from tagtrack.paper.preview import pages_as_png
from tagtrack.paper.symbol import MASK, QUIET, across, matrix
from tagtrack.paper.tag_frame import LEAST_MODULE, MODULES_ALLOWED
from tagtrack.paper.template import named
from tagtrack.paper.thermal import label_png

ADDRESS = shop_address("http://192.168.1.20:8765/")
CODE = with_check("7K4M9QX")
FACE = replace(RICH, code=CODE, address=ADDRESS)
LONGEST = "HTTPS://" + "H" * 26 + ":65535"


def symbols(stock, face=FACE):
    return [mark for mark in face_ink(face, stock) if isinstance(mark, Symbol)]


def main(stock, face=FACE):
    return next(mark for mark in symbols(stock, face) if read(mark.code) == face.code)


@pytest.mark.parametrize(
    ("address", "modules", "level"),
    [
        ("HTTP://A", 25, 0b10), ("HTTP://HANGAR", 25, 0b11), ("HTTP://192.168.1.20:8765", 25, 0b00),
        ("HTTP://192.168.100.200:18765", 29, 0b11), (LONGEST, 29, 0b00),
    ],
)
def test_version_and_level_are_what_the_standard_holds(address, modules, level):
    """ISO/IEC 18004:2015, table 7: capacities; table 12: H is 10, Q is 11, M is 00; mask 2 stays."""
    text = addressed(CODE, address)
    rows = matrix(text)
    assert len(rows) == across(text) == modules
    bits = int("".join(str(int(rows[8][x])) for x in range(5)), 2) ^ 0b10101
    assert bits == (level << 3) | MASK


@pytest.mark.parametrize("name", TEMPLATES)
@pytest.mark.parametrize("side", [*Side, None])
@pytest.mark.parametrize("address", [ADDRESS, LONGEST])
def test_on_every_stock_the_symbol_is_legal_keeps_its_quiet_zone_and_leaves_all_else_as_it_was(name, side, address):
    stock = named(name)
    face = replace(FACE, side=side, address=address)
    bare = [mark for mark in face_ink(replace(face, address=""), stock) if not isinstance(mark, Symbol)]
    assert [mark for mark in face_ink(face, stock) if not isinstance(mark, Symbol)] == bare
    for mark in symbols(stock, face):
        assert mark.module in MODULES_ALLOWED
        assert mark.module >= LEAST_MODULE
        quiet = QUIET * mark.module - 1e-6
        left, top, right, bottom = extent(mark)
        assert min(left, top) >= quiet
        assert right + quiet <= stock.width
        assert bottom + quiet <= stock.height
        for other in bare:
            a, b, c, d = extent(other)
            aside = c <= left - quiet or a >= right + quiet or d <= top - quiet or b >= bottom + quiet
            assert aside, f"{other} in the quiet zone"


@pytest.mark.parametrize("name", ["letter-4x2in-10up", "a4-99x68mm-8up", "roll-4x6in"])
def test_the_printed_label_is_read_by_two_decoders_and_the_second_symbol_holds_the_code_alone(name):
    stock = named(name)
    assert holds_address(FACE, stock)
    (page, *_) = pages_as_png(tags_bytes([FACE], stock), dpi=300)
    picture = Image.open(BytesIO(page)).convert("L")
    texts = [symbol.text for symbol in zxingcpp.read_barcodes(picture)]
    assert addressed(CODE, ADDRESS) in texts
    assert {read(text) for text in texts} == {CODE}
    if len(symbols(stock)) > 1:
        assert CODE in texts
    mark = main(stock)
    box = [round(mm / 25.4 * 300) for mm in (0, 0, stock.left + stock.width + 2, stock.top + stock.height + 2)]
    found = cv2.QRCodeDetectorAruco().detectAndDecodeMulti(np.asarray(picture.crop(box)))[1]
    assert mark.code in found


@pytest.mark.parametrize("head", ["203", "300"])
def test_for_a_thermal_head_its_modules_are_whole_dots(head):
    stock = named("roll-4x2in")
    picture = Image.open(BytesIO(label_png(face_ink(FACE, stock), wide=stock.width, high=stock.height, head=head)))
    texts = {symbol.text for symbol in zxingcpp.read_barcodes(picture.convert("L"))}
    assert addressed(CODE, ADDRESS) in texts


def test_where_the_labels_are_too_small_the_symbols_hold_the_code_alone():
    small = [named(name) for name in TEMPLATES if not holds_address(FACE, named(name))]
    assert small, "at least the smallest stock"
    for stock in small:
        assert {mark.code for mark in symbols(stock)} >= {CODE}


def test_what_is_neither_code_nor_address_is_refused():
    for text in ("HTTP://X/T/", "http://x/T/7K4M9QXQ", "HTTP://X/7K4M9QXQ", "HTTP://" + "X" * 60 + "/T/7K4M9QXQ"):
        with pytest.raises(Refusal):
            across(text)

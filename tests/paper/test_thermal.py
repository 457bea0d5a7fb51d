"""Labels for thermal heads: one bit, whole dots, read back."""

from __future__ import annotations

from io import BytesIO
from itertools import groupby

import pytest
import zxingcpp
from paper.samples import FACES, RICH, TEMPLATES
from PIL import Image

from tagtrack.core.errors import Refusal
from tagtrack.paper.ink import Symbol
from tagtrack.paper.labels import face_ink, stub_of
from tagtrack.paper.symbol import matrix
from tagtrack.paper.template import named
from tagtrack.paper.thermal import HEADS, label_png

ROLLS = [named(name) for name in TEMPLATES if named(name).per_sheet == 1]


def picture(face, stock, head):
    png = label_png(face_ink(face, stock), wide=stock.width, high=stock.height, head=head)
    return Image.open(BytesIO(png))


@pytest.mark.parametrize("head", HEADS)
@pytest.mark.parametrize("stock", ROLLS, ids=lambda stock: stock.name)
def test_every_label_is_read_back_from_its_dots(stock, head):
    for face in FACES:
        drawn = picture(face, stock, head)
        assert drawn.mode == "1"
        found = {symbol.text for symbol in zxingcpp.read_barcodes(drawn.convert("L"))}
        assert found <= {face.code, stub_of(face).code}
        assert face.code in found


@pytest.mark.parametrize("head", HEADS)
@pytest.mark.parametrize("stock", ROLLS, ids=lambda stock: stock.name)
def test_every_module_is_the_same_whole_number_of_dots_and_at_least_four(stock, head):
    dots = HEADS[head] / 25.4
    drawn = picture(RICH, stock, head)
    for mark in (mark for mark in face_ink(RICH, stock) if isinstance(mark, Symbol)):
        middle = (mark.y + mark.side / 2) * dots
        # the first row of modules begins with the seven black ones of a finder pattern
        left = round((mark.x + mark.side / 2) * dots - 21 * round(mark.module * dots) / 2)
        module = round(mark.module * dots)
        assert module >= 4
        top = round(middle - 21 * module / 2)
        for row, modules in enumerate(matrix(mark.code)):
            for step in range(module):
                line = [drawn.getpixel((left + x, top + row * module + step)) == 0 for x in range(21 * module)]
                wanted = [black for black in modules for _ in range(module)]
                assert line == wanted, (row, step, [len(list(run)) for _, run in groupby(line)])


def test_a_picture_knows_its_resolution():
    assert picture(RICH, ROLLS[0], "203").info["dpi"] == pytest.approx((203.2, 203.2), abs=0.1)


def test_another_head_is_refused():
    with pytest.raises(Refusal, match="no head of 600 dpi"):
        picture(RICH, ROLLS[0], "600")

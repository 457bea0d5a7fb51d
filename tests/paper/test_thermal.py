"""Labels for thermal heads: one bit, whole dots, read back."""

from __future__ import annotations

from io import BytesIO
from itertools import groupby

import pytest
import zxingcpp
from paper.samples import FACES, RICH, TEMPLATES
from PIL import Image

from tagtrack.core.errors import Refusal
from tagtrack.paper.ink import Stroke, Symbol, frame
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


def test_a_dashed_line_has_gaps_on_a_thermal_head_too():
    """The line along which a tag is cut in two must not look like an edge that is there already."""
    line = Stroke(points=((5.0, 2.0), (5.0, 18.0)), pen=0.2, dashed=True)
    for head, dots in HEADS.items():
        drawn = Image.open(BytesIO(label_png((line,), wide=10, high=20, head=head)))
        column = [drawn.getpixel((round(5 * dots / 25.4), y)) == 0 for y in range(drawn.height)]
        runs = [len(list(run)) for black, run in groupby(column) if black]
        assert len(runs) > 10
        # a dash is 1.2 points, as in the PDF; its last dot is drawn too
        assert all(abs(run - 1 - 1.2 / 72 * dots) <= 1 for run in runs[:-1])


def test_a_frame_of_dashes_is_closed_and_a_whole_line_stays_whole():
    frame_of_dashes = frame(1, 1, 8, 8, pen=0.2, dashed=True)
    whole = Stroke(points=((1, 5), (9, 5)), pen=0.2)
    drawn = Image.open(BytesIO(label_png((frame_of_dashes, whole), wide=10, high=10, head="203")))
    left = [drawn.getpixel((8, y)) for y in range(10, 70)]
    assert 0 in left
    assert 255 in left
    assert all(drawn.getpixel((x, 40)) == 0 for x in range(10, 70))

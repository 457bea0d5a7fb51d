"""A stack drawn to scale: what is measured off the drawing is what the tables say."""

from __future__ import annotations

import re

import pytest
from pypdf import PdfReader
from reportlab.graphics.shapes import Rect, String

from tagtrack.core.callout import NOTHING_KNOWN, Decoder
from tagtrack.core.hardware import parse
from tagtrack.paper import stack_drawing
from tagtrack.paper.stack_drawing import SCALE
from tagtrack.tables.loader import load

DECODER = Decoder(load())


def drawn(text, decoder=DECODER):
    return stack_drawing.draw(decoder, parse(text)[0])


def boxes(drawing):
    return [(each.width / SCALE, each.height / SCALE) for each in drawing.contents if isinstance(each, Rect)]


def words(drawing):
    return [each.text for each in drawing.contents if isinstance(each, String)]


def test_shank_washers_and_grip_are_to_scale():
    """AN4-12: length 1-9/32, grip 13/16; AN960-416: .500 outside, .063 thick; one washer lies under the head."""
    shank, head, washer, parts, *_ = boxes(drawn("2x [AN4-12 AN960-416 | AN960-416 AN310-4]"))
    assert shank == pytest.approx((1 / 8 + 1 + 9 / 32, 0.25))
    assert head[1] == pytest.approx(7 / 16), "the wrench that fits it"
    assert washer == pytest.approx((0.063, 0.5))
    assert parts[0] == pytest.approx(13 / 16 - 0.063)


def test_every_piece_is_named_in_order_with_its_count():
    told = words(drawn("2x [AN3-5 AN960-10 | AN960-10 AN310-3 MS24665-132!] head UP"))
    assert told[:6] == [
        "2 AN3-5", "2 AN960-10", "the parts that are gripped", "2 AN960-10", "2 AN310-3", "2 MS24665-132 NEW",
    ]  # fmt: skip
    assert any(line.startswith("head UP; grip 1/4 in") for line in told)
    assert "The maker's manual prevails." in told


def test_what_is_not_known_is_drawn_and_said_to_be_unknown():
    told = words(drawn("['odd bolt' washer | nut]", NOTHING_KNOWN))
    assert any("unknown: measure them" in line for line in told)
    assert any("drawn, not measured" in line for line in told)


def test_nothing_is_drawn_outside_the_page():
    drawing = drawn("[AN8-37 AN960-816 | AN960-816 AN310-8 MS24665-285]")
    for each in drawing.contents:
        x1, y1, x2, y2 = each.getBounds()
        assert all(-0.5 <= x <= drawing.width + 0.5 for x in (x1, x2))
        assert all(-0.5 <= y <= drawing.height + 0.5 for y in (y1, y2))


def test_it_is_written_as_svg_and_pdf(tmp_path):
    drawing = drawn("[AN3-5 AN960-10 | AN310-3]")
    assert re.search(rb"<svg[^>]+viewBox", stack_drawing.as_svg(drawing))
    (tmp_path / "stack.pdf").write_bytes(stack_drawing.as_pdf(drawing))
    (page,) = PdfReader(tmp_path / "stack.pdf").pages
    assert "AN310-3" in page.extract_text()
    assert stack_drawing.as_pdf(drawing) == stack_drawing.as_pdf(drawing), "the same bytes each time"

"""A stack drawn to scale: what is measured off the drawing is what the tables say."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from io import BytesIO
from xml.etree import ElementTree as ET

import pytest
from pypdf import PdfReader

from tagtrack.core.callout import NOTHING_KNOWN, Decoder
from tagtrack.core.hardware import parse
from tagtrack.core.stack_shape import Outline, shape_of
from tagtrack.paper.ink import Box, Stroke, Text, extent
from tagtrack.paper.pdf import write_pdf
from tagtrack.paper.stack_drawing import INCH, lettered, page, small
from tagtrack.paper.svg import svg
from tagtrack.tables.loader import load

DECODER = Decoder(load())
WHOLE = "2x [AN4-12 AN960-416 | AN960-416 AN310-4 MS24665-132!] head UP"


def shape(text, decoder=DECODER, span=""):
    return shape_of(decoder, parse(text)[0], span)


def words(ink):
    return [mark.text for mark in ink if isinstance(mark, Text)]


def test_diameter_washers_and_grip_are_those_of_the_tables():
    """AN4-12: length 1-9/32, grip 13/16; AN960-416: .500 outside, .063 thick; one washer lies under the head."""
    stack = shape(WHOLE)
    head, washer, parts, other, nut, pin = stack.pieces
    assert stack.diameter == Fraction(1, 4)
    assert stack.reach - head.long == Fraction(41, 32)
    assert head.across == Fraction(7, 16), "the wrench that fits it"
    assert (washer.long, washer.across) == (other.long, other.across) == (Fraction(63, 1000), Fraction(1, 2))
    assert parts.long == Fraction(13, 16) - Fraction(63, 1000)
    assert [piece.outline for piece in (washer, parts, nut, pin)] == [
        Outline.WASHER, Outline.CLAMPED, Outline.NUT, Outline.PIN,
    ]  # fmt: skip


def test_parts_that_were_measured_are_drawn_as_thick_as_they_are():
    assert shape(WHOLE, span="5/8").pieces[2].long == Fraction(5, 8)


def test_of_a_flat_list_no_order_is_known_and_nothing_is_drawn():
    assert shape("2 AN3-5A, 4 AN960-10, 2 MS21044N3") is None


def test_without_a_bar_no_parts_are_drawn():
    assert all(piece.outline is not Outline.CLAMPED for piece in shape("[AN3-5A AN960-10 MS21044N3]").pieces)


def test_what_is_drawn_is_to_scale():
    stack = shape(WHOLE)
    figure = small(stack, wide=1000, high=1000)
    shank = next(mark for mark in figure.ink if isinstance(mark, Box))
    assert (shank.width, shank.height) == pytest.approx((float(stack.reach) * INCH, INCH / 4))
    half = small(stack, wide=figure.width / 2, high=1000)
    assert half.height == pytest.approx(figure.height / 2)


def test_every_piece_is_named_in_order_with_its_count():
    told = words(lettered(shape("2x [AN3-5 AN960-10 | AN960-10 AN310-3 MS24665-132!] head UP"), wide=150).ink)
    assert told[1:] == [
        "2 AN3-5", "2 AN960-10", "the parts that are gripped", "2 AN960-10", "2 AN310-3", "2 MS24665-132 NEW",
    ]  # fmt: skip
    assert told[0].startswith("head UP; grip 1/4 in")


def test_what_is_not_known_is_drawn_and_said_to_be_unknown():
    told = words(page(shape("['odd bolt' washer | nut]", NOTHING_KNOWN)).ink)
    assert any("unknown: measure them" in line for line in told)
    assert any("drawn, not measured" in line for line in told)
    assert "The maker's manual prevails." in told


@pytest.mark.parametrize("text", ["[AN8-37 AN960-816 | AN960-816 AN310-8 MS24665-285]", "[AN3-3A | MS21042-3]"])
def test_nothing_is_drawn_outside_the_page(text):
    drawn = page(shape(text))
    for mark in drawn.ink:
        left, top, right, bottom = extent(mark)
        assert left >= -0.5
        assert top >= -0.5
        assert right <= drawn.width + 0.5
        assert bottom <= drawn.height + 0.5


def test_it_is_written_as_svg_and_pdf():
    drawn = page(shape("[AN3-5 AN960-10 | AN310-3] head UP"))
    picture = ET.fromstring(svg(drawn))  # noqa: S314 - our own bytes
    texts = ["".join(each.itertext()) for each in picture.iter("{http://www.w3.org/2000/svg}text")]
    assert texts == words(drawn.ink)
    out = BytesIO()
    write_pdf([drawn], out=out, title="a stack")
    (one,) = PdfReader(out).pages
    assert "AN310-3" in one.extract_text()


def edges(text):
    """Return the strokes and filled boxes of the head alone: edges between flats, or a slot."""
    stack = shape(text)
    figure = small(replace(stack, pieces=stack.pieces[:1]), wide=60, high=20)
    marks = [mark for mark in figure.ink if isinstance(mark, Stroke) and len(mark.points) == 2]
    filled = [mark for mark in figure.ink if isinstance(mark, Box) and mark.tone == 0.0]
    return len(marks), len(filled)


def test_a_clevis_bolt_is_drawn_with_its_slot_and_without_the_flats_of_a_hexagon():
    """AN21 to AN36: a round head with a slot, by public tables; its nut has flats all the same."""
    assert edges("[AN23-11 | AN320-3]") == (0, 1)
    assert edges("[AN3-5 | AN310-3]") == (2, 0)
    assert edges("[AN525-10R8 AN960-10 | AN365-1032]") == (0, 0)
    assert shape("[AN23-11 | AN320-3]").pieces[0].across == 2 * Fraction(19, 100), "no wrench fits it"
    assert shape("[AN23-11 | AN320-3]").pieces[-1].outline is Outline.NUT

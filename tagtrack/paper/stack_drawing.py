"""A stack drawn from head to nut: diameter, grip, length and washers to scale where the tables have the figure.

What the tables lack, such as the height of a head, is drawn and not measured, and the drawing says so. Lengths are in
inches, drawn at `SCALE` points an inch.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from io import BytesIO

from reportlab.graphics import renderPDF, renderSVG
from reportlab.graphics.shapes import Drawing, Line, Rect, String
from reportlab.lib.colors import black, white
from reportlab.pdfgen.canvas import Canvas

from tagtrack.core.callout import Callout, Decoder
from tagtrack.core.hardware import Stack
from tagtrack.paper.fonts import Font, drawable, name_for_pdf

SCALE = 150
_MARGIN = 24
# between two lines of the hatching, along one side, in points
_HATCH = 8.0
# drawn, not measured: no table has them
_HEAD = Fraction(1, 8)
_NUT = Fraction(3, 16)
_UNKNOWN = Fraction(1, 4)
_NOTE = "Diameters, grip, length and washers to scale where the tables have them; the rest is drawn, not measured."
_CAUTION = "The maker's manual prevails."


@dataclass(frozen=True, slots=True)
class _Piece:
    """One piece along the axis: how long it is, how wide across, its label; `clamped` are the parts in the grip."""

    label: str
    long: Fraction
    across: Fraction
    clamped: bool = False


def draw(decoder: Decoder, stack: Stack) -> Drawing:
    """Return the drawing of one fastener of a stack that was typed in order, head on the left."""
    callouts = [decoder.read(line.text) for line in stack.lines]
    bolt = callouts[0]
    diameter = bolt.number("diameter") or _UNKNOWN
    pieces = _pieces(decoder, stack, callouts, diameter)
    whole = sum((piece.long for piece in pieces), Fraction(0))
    reach = _HEAD + (bolt.number("length") or whole)
    width = float(max(whole, reach)) * SCALE + 2 * _MARGIN
    tallest = float(max(piece.across for piece in pieces)) * SCALE
    rows = 12 * len(pieces)
    drawing = Drawing(max(width, 480), tallest + rows + 3 * _MARGIN + 26)
    axis = rows + _MARGIN + 30 + tallest / 2
    _shank(drawing, reach, diameter, axis)
    _all(drawing, pieces, axis, tallest)
    _words(drawing, stack, bolt, axis + tallest / 2 + 10)
    return drawing


def _pieces(decoder: Decoder, stack: Stack, callouts: list[Callout], diameter: Fraction) -> list[_Piece]:
    grip = callouts[0].number("grip")
    before = callouts[1 : stack.grip]
    under = sum((each.number("thickness") or Fraction(0) for each in before), Fraction(0))
    clamped = max(grip - under, Fraction(1, 16)) if grip is not None else _UNKNOWN
    pieces: list[_Piece] = []
    for number, (line, callout) in enumerate(zip(stack.lines, callouts, strict=True)):
        if number == stack.grip:
            pieces.append(_Piece("the parts that are gripped", clamped, diameter * 4, clamped=True))
        label = f"{line.count * stack.times} {line.text}" + (" NEW" if line.once else "")
        if callout.kind == "washer" or callout.number("thickness"):
            thick = callout.number("thickness") or Fraction(1, 16)
            pieces.append(_Piece(label, thick, callout.number("outside") or diameter * 2))
        elif callout.kind in ("cotter pin", "lockwire"):
            pieces.append(_Piece(label, callout.number("diameter") or Fraction(1, 16), diameter * 2))
        else:
            fitting = decoder.catalogue.fittings.get(callout.fact("thread"))
            across = (fitting.wrench.number if fitting else None) or diameter * 2
            pieces.append(_Piece(label, _HEAD if number == 0 else _NUT, across))
    return pieces


def _shank(drawing: Drawing, reach: Fraction, diameter: Fraction, axis: float) -> None:
    drawing.add(_box(_MARGIN, axis, float(reach) * SCALE, float(diameter) * SCALE, 1.2))


def _all(drawing: Drawing, pieces: list[_Piece], axis: float, tallest: float) -> None:
    at = float(_MARGIN)
    for number, piece in enumerate(pieces):
        long, across = float(piece.long) * SCALE, float(piece.across) * SCALE
        if piece.clamped:
            _hatched(drawing, at, axis, long, across)
        else:
            drawing.add(_box(at, axis, long, across, 1.4))
        # the last piece has the topmost row, so that no line runs through another's words
        row = axis - tallest / 2 - 14 - 12 * (len(pieces) - 1 - number)
        middle = at + long / 2
        drawing.add(Line(middle, axis - across / 2, middle, row + 3, strokeColor=black, strokeWidth=0.4))
        drawing.add(Line(middle, row + 3, middle + 6, row + 3, strokeColor=black, strokeWidth=0.4))
        drawing.add(_text(middle + 8, row, piece.label, 9, bold=not piece.clamped))
        at += long


def _hatched(drawing: Drawing, at: float, axis: float, long: float, across: float) -> None:
    low = axis - across / 2
    drawing.add(_box(at, axis, long, across, 0.8))
    offset = _HATCH - long
    while offset < across:
        # the line y = x + offset, as far as it lies in the box
        left, right = max(0.0, -offset), min(long, across - offset)
        drawing.add(Line(at + left, low + left + offset, at + right, low + right + offset, strokeColor=black,
                         strokeWidth=0.3))  # fmt: skip
        offset += _HATCH


def _words(drawing: Drawing, stack: Stack, bolt: Callout, top: float) -> None:
    head = f"head {stack.head.value}" if stack.head else "head on the left"
    known = [f"{name} {bolt.facts[name]} in" for name in ("grip", "length") if name in bolt.facts]
    figures = ", ".join(known) or "grip and length unknown: measure them"
    drawing.add(_text(_MARGIN, top + 12, f"{head}; {figures}", 10, bold=True))
    drawing.add(_text(_MARGIN, 16, _NOTE, 7.5))
    drawing.add(_text(_MARGIN, 6, _CAUTION, 7.5, bold=True))


def _text(at: float, row: float, text: str, size: float, *, bold: bool = False) -> String:
    name = name_for_pdf(Font.BOLD if bold else Font.REGULAR)
    return String(at, row, drawable(text), fontName=name, fontSize=size)


def _box(at: float, axis: float, long: float, across: float, line: float) -> Rect:
    """Return a white box along the axis, so many points long and across."""
    return Rect(at, axis - across / 2, long, across, fillColor=white, strokeColor=black, strokeWidth=line)


def as_svg(drawing: Drawing) -> bytes:
    """Return the drawing as SVG."""
    return str(renderSVG.drawToString(drawing)).encode()


def as_pdf(drawing: Drawing) -> bytes:
    """Return the drawing as one page of PDF, as large as the drawing."""
    out = BytesIO()
    canvas = Canvas(out, pagesize=(drawing.width, drawing.height), invariant=1)
    renderPDF.draw(drawing, canvas, 0, 0)
    canvas.save()
    return out.getvalue()

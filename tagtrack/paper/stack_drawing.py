"""A stack drawn from head to nut: diameter, grip, length and washers to scale where the tables have the figure.

One figure serves everywhere: small on a tag, with its words on a sheet, and on a page of its own. What the tables lack
is drawn and not measured, and where there is room the drawing says so.
"""

from __future__ import annotations

from dataclasses import dataclass

from tagtrack.core.stack_shape import Outline, Piece, StackShape
from tagtrack.paper.fonts import CAPITAL, POINT, Font, drawable, width
from tagtrack.paper.ink import Box, Ink, Page, Stroke, Text, frame, moved

INCH = 25.4
# on a page of its own, twice life size
_LARGEST = 2.0
_MARGIN = 8.0
# between two lines of the hatching, along one side, in millimetres
_HATCH = 1.6
_NOTE = "Diameters, grip, length and washers to scale where the tables have them; the rest is drawn, not measured."
_CAUTION = "The maker's manual prevails."
_WORDS_SIZE, _NOTE_SIZE = 9.0, 7.0
# from one label's line to the next, in millimetres
_ROW = 4.2


@dataclass(frozen=True, slots=True)
class Figure:
    """The ink of a drawing from its top left corner, and the room that it takes, in millimetres."""

    ink: tuple[Ink, ...]
    width: float
    height: float


def size_in(shape: StackShape, *, wide: float, high: float) -> tuple[float, float]:
    """Return width and height of the bare figure, as large as the room allows and at most life size."""
    factor = _factor(shape, wide, high)
    return float(shape.long) * factor, float(shape.across) * factor


def small(shape: StackShape, *, wide: float, high: float) -> Figure:
    """Return the bare figure in the size that `size_in` says, head on the left."""
    long, tall = size_in(shape, wide=wide, high=high)
    return Figure(_outlines(shape, _factor(shape, wide, high), axis=tall / 2), long, tall)


def _factor(shape: StackShape, wide: float, high: float) -> float:
    """Return how many millimetres an inch is drawn."""
    return min(wide / float(shape.long), high / float(shape.across), INCH)


def lettered(shape: StackShape, *, wide: float, largest: float = 1.0) -> Figure:
    """Return the figure with every piece named under it, at most `largest` times life size and so wide in all."""
    labels = [drawable(piece.label) for piece in shape.pieces]
    longest = max(width(label, Font.BOLD, _WORDS_SIZE) for label in labels)
    factor = min(largest * INCH, max(wide - longest - 4, wide / 3) / float(shape.long))
    tall = float(shape.across) * factor
    top = _WORDS_SIZE * POINT + 2.0
    axis = top + tall / 2
    words = Text(x=0, y=CAPITAL * _WORDS_SIZE * POINT, text=drawable(shape.words), size=_WORDS_SIZE, font=Font.BOLD)
    ink: list[Ink] = [words, *_outlines(shape, factor, axis=axis)]
    at, furthest = 0.0, words.width
    for number, (piece, label) in enumerate(zip(shape.pieces, labels, strict=True)):
        middle = at + float(piece.long) * factor / 2
        # the last piece has the topmost row, so that no line runs through another's words
        row = axis + tall / 2 + 4.0 + _ROW * (len(labels) - 1 - number)
        start = axis + float(piece.across) * factor / 2
        ink.append(Stroke(points=((middle, start), (middle, row), (middle + 1.8, row)), pen=0.12))
        font = Font.REGULAR if piece.outline is Outline.CLAMPED else Font.BOLD
        base = row + CAPITAL * _WORDS_SIZE * POINT / 2
        text = Text(x=middle + 2.6, y=base, text=label, size=_WORDS_SIZE, font=font)
        ink.append(text)
        furthest = max(furthest, text.x + text.width)
        at += float(piece.long) * factor
    high = top + tall + 4.0 + _ROW * len(labels)
    return Figure(tuple(ink), max(furthest, float(shape.long) * factor), high)


def page(shape: StackShape) -> Page:
    """Return the drawing on a page of its own, at most twice life size, with what it is and is not."""
    figure = lettered(shape, wide=220.0, largest=_LARGEST)
    note_wide = width(_NOTE, Font.REGULAR, _NOTE_SIZE)
    pitch = _NOTE_SIZE * POINT * 1.35
    below = _MARGIN + figure.height + pitch
    notes = (
        Text(x=_MARGIN, y=below, text=_NOTE, size=_NOTE_SIZE),
        Text(x=_MARGIN, y=below + pitch, text=_CAUTION, size=_NOTE_SIZE, font=Font.BOLD),
    )
    wide = max(figure.width, note_wide) + 2 * _MARGIN
    return Page(width=wide, height=below + pitch + _MARGIN / 2, ink=(*moved(figure.ink, _MARGIN, _MARGIN), *notes))


def _outlines(shape: StackShape, factor: float, *, axis: float) -> tuple[Ink, ...]:
    """Return the shank, and over it every piece, white inside, at so many millimetres an inch."""
    ink = [*_box(0.0, axis, float(shape.reach) * factor, float(shape.diameter) * factor, 0.35)]
    at = 0.0
    for piece in shape.pieces:
        long, across = float(piece.long) * factor, float(piece.across) * factor
        ink += _piece(piece, at, axis, long, across)
        at += long
    return tuple(ink)


def _piece(piece: Piece, at: float, axis: float, long: float, across: float) -> tuple[Ink, ...]:
    if piece.outline is Outline.CLAMPED:
        return (*_box(at, axis, long, across, 0.2), *_hatching(at, axis, long, across))
    if piece.outline is Outline.PIN:
        return (Box(x=at, y=axis - across / 2, width=long, height=across),)
    ink = _box(at, axis, long, across, 0.35)
    if piece.outline in (Outline.WASHER, Outline.ROUND_HEAD):
        return ink
    if piece.outline is Outline.SLOTTED_HEAD:
        # the slot is seen end on, in the middle of the top
        return (*ink, Box(x=at, y=axis - across / 14, width=long / 3, height=across / 7))
    # the edges between the flats of a hexagon seen from its side
    edges = (axis - across / 4, axis + across / 4)
    return (*ink, *(Stroke(points=((at, edge), (at + long, edge)), pen=0.15) for edge in edges))


def _box(at: float, axis: float, long: float, across: float, pen: float) -> tuple[Ink, ...]:
    """Return a white box along the axis with its outline."""
    low = axis - across / 2
    return (Box(x=at, y=low, width=long, height=across, tone=1.0), frame(at, low, long, across, pen=pen))


def _hatching(at: float, axis: float, long: float, across: float) -> tuple[Ink, ...]:
    low = axis - across / 2
    lines: list[Ink] = []
    offset = _HATCH - long
    while offset < across:
        # the line y = x + offset, as far as it lies in the box
        begin, end = max(0.0, -offset), min(long, across - offset)
        ends = ((at + begin, low + begin + offset), (at + end, low + end + offset))
        lines.append(Stroke(points=ends, pen=0.1))
        offset += _HATCH
    return tuple(lines)

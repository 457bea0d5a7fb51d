"""Marks on paper as plain values: what a layout makes, and what a writer puts on a page.

All places are millimetres from the top left corner of the label or page, y growing downwards; sizes of letters are
in points. `tone` is 0 for black and 1 for white; nothing between is used to tell things apart, so that a sheet
reads the same from any printer.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from tagtrack.paper.fonts import CAPITAL, DESCENT, POINT, Font, width
from tagtrack.paper.symbol import across
from tagtrack.paper.text import LEADING, Block


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """One line of drawable text, from its left end on its base line."""

    x: float
    y: float
    text: str
    size: float
    font: Font = Font.REGULAR
    tone: float = 0.0

    @property
    def width(self) -> float:
        """How far the line runs, in millimetres."""
        return width(self.text, self.font, self.size)


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A filled rectangle."""

    x: float
    y: float
    width: float
    height: float
    tone: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """A line through points; closed or open, drawn with a pen so many millimetres wide, or filled."""

    points: tuple[tuple[float, float], ...]
    pen: float = 0.25
    closed: bool = False
    filled: bool = False
    dashed: bool = False
    tone: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Symbol:
    """The QR symbol of a code, from its top left module; the quiet zone round it is the layout's duty."""

    x: float
    y: float
    code: str
    # side of one module in millimetres
    module: float

    @property
    def side(self) -> float:
        """Width and height of the symbol in millimetres, without the quiet zone."""
        return self.module * across(self.code)


# length of a dash and of the gap behind it, in points
DASH = 1.2

# what stands on its base line and leaves nothing below it
_STANDING = frozenset("ABCDEFGHIKLMNOPRSTUVWXYZ0123456789 +-:.")

Ink = Text | Box | Stroke | Symbol


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One page, in millimetres, and the ink on it, drawn in order."""

    width: float
    height: float
    ink: tuple[Ink, ...]


def moved(ink: Iterable[Ink], x: float, y: float) -> tuple[Ink, ...]:
    """Return the ink moved right and down by millimetres."""
    return tuple(_moved(mark, x, y) for mark in ink)


def _moved(mark: Ink, x: float, y: float) -> Ink:
    if isinstance(mark, Stroke):
        return replace(mark, points=tuple((px + x, py + y) for px, py in mark.points))
    return replace(mark, x=mark.x + x, y=mark.y + y)


def frame(x: float, y: float, wide: float, high: float, *, pen: float = 0.25, dashed: bool = False) -> Stroke:
    """Return the outline of a rectangle; the pen runs on the edge."""
    corners = ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))
    return Stroke(points=corners, pen=pen, closed=True, dashed=dashed)


def block_ink(block: Block, font: Font, *, x: float, y: float, tone: float = 0.0) -> tuple[Text, ...]:
    """Return a block's lines as ink, from its top left corner."""
    base, pitch = y + CAPITAL * block.size * POINT, LEADING * block.size * POINT
    return tuple(
        Text(x=x, y=base + row * pitch, text=line, size=block.size, font=font, tone=tone)
        for row, line in enumerate(block.lines)
    )


def extent(mark: Ink) -> tuple[float, float, float, float]:
    """Return left, top, right and bottom of a mark in millimetres; a text's from its capitals to its descenders."""
    if isinstance(mark, Text):
        up = CAPITAL * mark.size * POINT
        down = 0.0 if _STANDING.issuperset(mark.text) else DESCENT * mark.size * POINT
        return (mark.x, mark.y - up, mark.x + mark.width, mark.y + down)
    if isinstance(mark, Box):
        return (mark.x, mark.y, mark.x + mark.width, mark.y + mark.height)
    if isinstance(mark, Symbol):
        return (mark.x, mark.y, mark.x + mark.side, mark.y + mark.side)
    half = 0.0 if mark.filled else mark.pen / 2
    xs, ys = [x for x, _ in mark.points], [y for _, y in mark.points]
    return (min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half)

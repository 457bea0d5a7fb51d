"""The hardware of a tag: every line in its order, as large as they all go; or those that fit, and how many more.

A line is never dropped without a word: a bag that says less than it holds is worse than one that says nothing.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from tagtrack.paper.fonts import CAPITAL, POINT, Font, drawable, width
from tagtrack.paper.ink import Ink, Stroke, Text
from tagtrack.paper.tag_frame import Room
from tagtrack.paper.text import LEADING, fit, height_of, lines_in, wrap

# points and columns, tried in this order; 7.5 points is the least that is read at arm's length, and 7 is better than
# a line that is only counted
_WAYS = (
    (16, 1), (14, 1), (13, 1), (12, 1), (11, 1), (10, 1), (9.5, 1), (9, 1),
    (9.5, 2), (9, 2), (8.5, 2), (8, 1), (8, 2), (7.5, 1), (7.5, 2), (7, 1), (7, 2),
)  # fmt: skip
# so few lines stand under each other as long as they can: that is how a stack is read
_FEW = 4
_LARGEST = _WAYS[0][0]
_LAST = 8.0
# lines that need more than one row are as large as all of them go
_LONG = (11.0, 10.0, 9.0)

# a line may still shrink by this much before its middle is cut
_SQUEEZE = 0.85

# what goes on in the next row stands in by so much, of the size
_HANGING = 1.0

# between two columns, in millimetres
_GUTTER = 3.0

# a count of up to three digits, which is set right-aligned under the others
_COUNT = re.compile(r"\d{1,3}(?= )")


@dataclass(frozen=True, slots=True, kw_only=True)
class HardwareInk:
    """The ink, its height in millimetres, the size in points, and how much is lost."""

    ink: tuple[Ink, ...]
    height: float
    size: float
    # 1 for each line that is cut, 2 for each that is only counted
    lost: int


def hardware_ink(lines: tuple[str, ...], room: Room, *, scale: float) -> HardwareInk:
    """Return the lines in the room, in the first way in which all of them fit; else as many as go, and a count."""
    if not lines:
        return HardwareInk(ink=(), height=0.0, size=_LARGEST * scale, lost=0)
    shown = tuple(drawable(line) for line in lines)
    indents = _indents(shown)
    longest = max(indent + width(line, Font.BOLD, 1.0) for indent, line in zip(indents, shown, strict=True))
    for points, columns in sorted(_WAYS, key=lambda way: way[1]) if len(shown) <= _FEW else _WAYS:
        size = points * scale
        deep = -(-len(shown) // columns)
        fits_across = longest * size <= _column(room, columns)
        if fits_across and height_of(deep, size) <= room.height and len(shown) >= columns:
            return _set(shown, room, size=size, columns=columns)
    size = _LAST * scale
    columns = 2 if longest * size * _SQUEEZE <= _column(room, 2) else 1
    if longest * size * _SQUEEZE > _column(room, 1):
        tried = (_wrapped(shown, room, size=points * scale) for points in _LONG)
        return next((setting for setting in tried if not setting.lost), _wrapped(shown, room, size=size))
    deep = lines_in(room.height, size)
    hidden = 0
    if len(shown) > deep * columns:
        kept = deep * columns - 1
        hidden = len(shown) - kept
        shown = shown[:kept]
    return _set(shown, room, size=size, columns=columns, hidden=hidden)


def _wrapped(lines: tuple[str, ...], room: Room, *, size: float) -> HardwareInk:
    """Return lines too long for the room, each on as many rows as it needs; those that find none are counted."""
    most = lines_in(room.height, size)
    inset = _HANGING * size * POINT
    rows: list[tuple[float, str]] = []
    told = 0
    for line in lines:
        # what is longer than all rows together need not be broken to see that
        if width(line, Font.BOLD, size) > (most - len(rows)) * room.width:
            break
        first, *more = wrap(line, Font.BOLD, room=room.width - inset, size=size) or ("",)
        # a row is kept for the count of what finds none, until the last line
        kept = int(told < len(lines) - 1)
        if len(rows) + 1 + len(more) > most - kept:
            break
        rows += [(0.0, first), *((inset, row) for row in more)]
        told += 1
    hidden = len(lines) - told
    if hidden:
        rows.append((0.0, _more(hidden)))
    ink: list[Ink] = []
    for number, (inset, row) in enumerate(rows):
        is_count = bool(hidden) and number == len(rows) - 1
        fitted = fit(row, Font.BOLD, room=room.width - inset, size=size, least=1.0 if is_count else size * _SQUEEZE)
        base = room.y + (CAPITAL + number * LEADING) * size * POINT
        ink.append(Text(x=room.x + inset, y=base, text=fitted.text, size=fitted.size, font=Font.BOLD))
    return HardwareInk(ink=tuple(ink), height=height_of(len(rows), size), size=size, lost=2 * hidden)


def _more(hidden: int) -> str:
    return f"+ {hidden} more {'line' if hidden == 1 else 'lines'}: see list"


def _column(room: Room, columns: int) -> float:
    return (room.width - _GUTTER * (columns - 1)) / columns


@lru_cache(maxsize=256)
def _indents(lines: tuple[str, ...]) -> tuple[float, ...]:
    """Return how far each line moves in, of the size, so that its count ends under the longest count."""
    counts = [count[0] if (count := _COUNT.match(line)) else "" for line in lines]
    longest = max(map(len, counts))
    return tuple(width("0" * (longest - len(count)), Font.BOLD, 1.0) if count else 0.0 for count in counts)


def _set(lines: tuple[str, ...], room: Room, *, size: float, columns: int, hidden: int = 0) -> HardwareInk:
    """Return the lines set downwards, then in the next column; what stands last says how many more there are."""
    more = (_more(hidden),) if hidden else ()
    deep = -(-len(lines + more) // columns)
    # a line that only counts loses more than one that is cut
    lost = 2 * hidden
    column, height = _column(room, columns), height_of(deep, size)
    ink: list[Ink] = [
        Stroke(points=((room.x + room.width / 2, room.y + 0.1), (room.x + room.width / 2, room.y + height)), pen=0.2)
    ] * (columns - 1)
    indents = _indents(lines) if lines else ()
    for number, line in enumerate(lines + more):
        at_column, row = divmod(number, deep)
        indent = 0.0 if number == len(lines) else indents[number] * size
        # the word that there is more shrinks as far as it must, and is never cut
        least = 1.0 if number == len(lines) else size * _SQUEEZE
        fitted = fit(line, Font.BOLD, room=column - indent, size=size, least=least)
        lost += fitted.text != line
        x = room.x + at_column * (column + _GUTTER) + indent
        base = room.y + (CAPITAL + row * LEADING) * size * POINT
        ink.append(Text(x=x, y=base, text=fitted.text, size=fitted.size, font=Font.BOLD))
    return HardwareInk(ink=tuple(ink), height=height, size=size, lost=lost)

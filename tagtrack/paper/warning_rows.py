"""Warnings as white capitals on black, the most important first."""

from __future__ import annotations

from tagtrack.paper.fonts import CAPITAL, POINT, Font, drawable, width
from tagtrack.paper.ink import Box, Ink, Text
from tagtrack.paper.tag_frame import Room
from tagtrack.paper.text import Line, fit

# points, largest first: one row is better than two of larger letters, and any size is better than one hidden
_IN_ONE_ROW = (13.0, 12.0, 11.0, 10.0, 9.0)
_IN_ROWS = (9.5, 8.5, 7.5, 6.5)
_LEAST = 6.0

# millimetres: left and right of the letters, between two boxes; of the letters' height above and below
_PAD, _GAP, _AIR = 1.2, 0.9, 0.42


def warning_ink(
    warnings: tuple[str, ...], room: Room, *, rows: int, scale: float
) -> tuple[tuple[Ink, ...], float, int]:
    """Return the warnings in at most so many rows, their height in millimetres, and how many are cut or hidden.

    Where they are not all there, the last box says how many more there are.
    """
    if not warnings:
        return (), 0.0, 0
    words = tuple(drawable(warning.upper()) for warning in warnings)
    pad, gap = _PAD * scale, _GAP * scale
    tries = [(points * scale, 1) for points in _IN_ONE_ROW] + [(points * scale, rows) for points in _IN_ROWS]
    for size, most in tries:
        set_in = _rows(words, room.width, size, pad, gap)
        if len(set_in) <= most:
            break
    hidden = 0
    if len(set_in) > rows:
        set_in = set_in[:rows]
        # the box that counts the hidden ones takes the place of the last that show; one alone in its row is cut
        last = set_in[-1]
        while len(last) > 1 and len(_rows((*last, _more(len(words))), room.width, size, pad, gap)) > 1:
            last.pop()
        hidden = len(words) - sum(len(row) for row in set_in)
    high = CAPITAL * size * POINT * (1 + 2 * _AIR)
    ink: list[Ink] = []
    lost = 2 * hidden
    for number, row in enumerate(set_in):
        x, y = room.x, room.y + number * (high + gap)
        more = _more(hidden) if hidden and number == len(set_in) - 1 else ""
        # it is never cut: what stands before it is
        kept_free = width(more, Font.BOLD, size) + 2 * pad + gap if more else 0.0
        for word in row:
            fitted = fit(word, Font.BOLD, room=room.right - kept_free - x - 2 * pad, size=size, least=_LEAST * scale)
            lost += fitted.text != word
            ink += _box(fitted, x, y, high=high, pad=pad)
            x += fitted.width + 2 * pad + gap
        if more:
            ink += _box(fit(more, Font.BOLD, room=kept_free, size=size, least=size), x, y, high=high, pad=pad)
    return tuple(ink), len(set_in) * (high + gap) - gap, lost


def _more(count: int) -> str:
    return f"+{count} MORE"


def _box(line: Line, x: float, y: float, *, high: float, pad: float) -> tuple[Ink, Ink]:
    """Return a line in white on a black box, from the box's top left corner."""
    base = y + (high + CAPITAL * line.size * POINT) / 2
    return (
        Box(x=x, y=y, width=line.width + 2 * pad, height=high),
        Text(x=x + pad, y=base, text=line.text, size=line.size, font=Font.BOLD, tone=1.0),
    )


def _rows(words: tuple[str, ...], room: float, size: float, pad: float, gap: float) -> list[list[str]]:
    """Return the words row by row; a word wider than the room has a row of its own."""
    rows: list[list[str]] = []
    left = 0.0
    for word in words:
        needed = width(word, Font.BOLD, size) + 2 * pad
        if not rows or needed > left:
            rows.append([])
            left = room
        rows[-1].append(word)
        left -= needed + gap
    return rows


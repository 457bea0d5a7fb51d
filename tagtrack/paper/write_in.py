"""Lines that a pen fills on a blank tag, before it is scanned: where the thing was, on which side, who, when, whose.

A blank that hangs on a part and says nothing in clear is lost when its symbol is. Lengths are in millimetres.
"""

from __future__ import annotations

from tagtrack.core.axes import Side
from tagtrack.paper.fonts import CAPITAL, POINT, Font, width
from tagtrack.paper.ink import Ink, Stroke, Text
from tagtrack.paper.tag_frame import Room

# from line to line: less is no room for a pen
_LEAST_PITCH, _MOST_PITCH = 4.6, 10.0
_WORDS, _LETTERS = 6.0, 10.0
_PEN = 0.2
_GAP = 1.2
# two words share a line of this width
_TWO = 26.0
# a word of which a letter is ringed, instead of a line
_RING = "side"

# what is asked for on so many lines, the most important first; two on one line share it
_ROWS: tuple[tuple[tuple[str, ...], ...], ...] = (
    (("position",),),
    (("position",), (_RING, "date")),
    (("position",), (_RING, "what"), ("date", "initials")),
    (("position",), (_RING,), ("what",), ("date", "initials")),
    (("position",), (_RING,), ("what",), ("date", "initials"), ("W.O.", "reg.")),
)


def write_in(room: Room, *, scale: float = 1.0) -> tuple[Ink, ...]:
    """Return as many lines as the room has height for, each with its word; none in a room too low for one."""
    count = min(len(_ROWS), int(room.height / _LEAST_PITCH + 1e-9))
    if not count:
        return ()
    pitch = min(room.height / count, _MOST_PITCH)
    ink: list[Ink] = []
    for number, asked in enumerate(_ROWS[count - 1], start=1):
        row = asked if room.width >= _TWO else asked[:1]
        share = (room.width - _GAP * (len(row) - 1)) / len(row)
        for at, word in enumerate(row):
            x = room.x + at * (share + _GAP)
            ink += _field(word, Room(x=x, y=room.y + (number - 1) * pitch, width=share, height=pitch), scale)
    return tuple(ink)


def _field(word: str, room: Room, scale: float) -> tuple[Ink, ...]:
    size = _WORDS * scale
    # under the line nothing hangs but the pen's own tails
    base = room.bottom - 0.8
    told = Text(x=room.x, y=base, text=word, size=size)
    begin = room.x + width(word, Font.REGULAR, size) + 0.8
    if word != _RING:
        return (told, Stroke(points=((begin, base), (room.right - _PEN / 2, base)), pen=_PEN))
    letters = min(_LETTERS * scale, (room.height - 1.2) / (CAPITAL * POINT))
    sides = (Side.LEFT, Side.RIGHT, Side.CENTRE)
    step = (room.right - begin) / len(sides)
    ringed = (
        Text(x=begin + step * (n + 0.5) - width(side.letter, Font.BOLD, letters) / 2, y=base, text=side.letter,
             size=letters, font=Font.BOLD)
        for n, side in enumerate(sides)
    )  # fmt: skip
    return (told, *ringed)

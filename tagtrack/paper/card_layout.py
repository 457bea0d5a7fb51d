"""Zone cards, place cards, person badges and blanks, as ink: the name as large as the label allows, read from afar."""

from __future__ import annotations

from tagtrack.core.faces import TagFace
from tagtrack.paper.fonts import CAPITAL, POINT, Font
from tagtrack.paper.ink import Box, Ink, Symbol, Text, block_ink
from tagtrack.paper.symbol import MODULES, QUIET
from tagtrack.paper.tag_frame import LEAST_MODULE, Room, Row, frame_for
from tagtrack.paper.text import Block, fit, fit_block, fit_name, height_of
from tagtrack.paper.write_in import write_in

# the second symbol and the white round it, and what parts that from the words, in millimetres
_SIDE, _QUIET, _GAP = MODULES * LEAST_MODULE, QUIET * LEAST_MODULE, 0.8


def card_ink(face: TagFace, *, wide: float, high: float, safe: float) -> tuple[Ink, ...]:
    """Return the ink of a card that names a zone, a place or a person, on a label of that size in millimetres."""
    frame = frame_for(face, wide=wide, high=high, safe=safe)
    scale, room = frame.scale, frame.main
    bar = 6.0 * scale
    kind = fit(face.kind.value.upper(), Font.BOLD, room=room.width - 3 * scale, size=13 * scale, least=6.0)
    base = room.y + (bar + CAPITAL * kind.size * POINT) / 2
    ink: tuple[Ink, ...] = (
        *frame.ink,
        Box(x=room.x, y=room.y, width=room.width, height=bar),
        Text(x=room.x + 1.5 * scale, y=base, text=kind.text, size=kind.size, font=Font.BOLD, tone=1.0),
    )
    rest = room.below(bar + 2.2 * scale)
    words = _small_words(face)
    if face.side is None:
        # a card with a side has its second symbol under the letter; here it stands in the corner across
        ink += (Symbol(x=max(rest.x, _QUIET), y=rest.bottom - _SIDE - _QUIET, code=face.code, module=LEAST_MODULE),)
        least = max(rest.x, _QUIET) + _SIDE + _QUIET + _GAP * scale
        beside = Room(x=least, y=rest.y, width=rest.right - least, height=rest.height)
        above = Room(x=rest.x, y=rest.y, width=rest.width, height=rest.height - _SIDE - 2 * _QUIET)
        corner = Room(x=least, y=above.bottom, width=beside.width, height=rest.height - above.height)
    else:
        beside, above, corner = rest, rest, None
    if not face.title and not words:
        # a blank: what a pen writes before anything is scanned
        ink += write_in(beside, scale=scale)
    else:
        in_one = corner is not None and _name(face, above, scale).size > _name(face, beside, scale).size
        ink += _named(face, words, above if in_one else beside, corner if in_one else None, scale)
    rows = (Row(face.registration, Font.BOLD, 12.5), Row(face.job, Font.REGULAR, 9.0), Row(face.by, Font.BOLD, 8.5))
    return ink + frame.rows(rows)


def _named(face: TagFace, words: str, room: Room, corner: Room | None, scale: float) -> tuple[Ink, ...]:
    """Return the name in its room, and the rest of the words in the corner, or under the name where there is none."""
    lines_high = height_of(3, 9 * scale)
    where = corner or room
    small = fit_block(words, Font.REGULAR, room=where.width, height=lines_high, size=11 * scale, least=7 * scale)
    taken = small.height + 1.5 * scale if small.lines and corner is None else 0.0
    room = Room(x=room.x, y=room.y, width=room.width, height=room.height - taken)
    name = _name(face, room, scale)
    # in the middle of its height, so that a short name does not hang under the bar
    spare = max(0.0, room.height - name.height)
    return (
        *block_ink(name, Font.BOLD, x=room.x, y=room.y + spare * 0.45),
        *block_ink(small, Font.REGULAR, x=where.x, y=where.bottom - small.height),
    )


def _name(face: TagFace, room: Room, scale: float) -> Block:
    most, least = 60 * scale, 8 * scale
    return fit_name(face.title, Font.BOLD, room=room.width, height=room.height, size=most, least=least)


def _small_words(face: TagFace) -> str:
    """Return the rest of what the face says: a card seldom says more than its name, but nothing is dropped."""
    words = (*face.warnings, face.goes_to, face.marks, face.marks_note, face.mount, *face.hardware, face.goes_back,
             face.hardware_note, face.bag, face.area)  # fmt: skip
    return "  ·  ".join(word for word in words if word)


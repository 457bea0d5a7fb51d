"""Zone cards, place cards, person badges and blanks, as ink: the name as large as the label allows, read from afar."""

from __future__ import annotations

from tagtrack.core.faces import TagFace
from tagtrack.paper.fonts import CAPITAL, POINT, Font
from tagtrack.paper.ink import Box, Ink, Symbol, Text, block_ink
from tagtrack.paper.symbol import MODULES, QUIET
from tagtrack.paper.tag_frame import LEAST_MODULE, frame_for
from tagtrack.paper.text import fit, fit_block, height_of


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
    lines_high = height_of(3, 9 * scale)
    words = _small_words(face)
    small = fit_block(words, Font.REGULAR, room=rest.width, height=lines_high, size=11 * scale, least=7 * scale)
    small_taken = small.height + 1.5 * scale if small.lines else 0.0
    name_height = rest.height - small_taken
    name = fit_block(face.title, Font.BOLD, room=rest.width, height=name_height, size=60 * scale, least=8 * scale)
    # in the middle of its height, so that a short name does not hang under the bar
    spare = max(0.0, name_height - name.height)
    ink += block_ink(name, Font.BOLD, x=rest.x, y=rest.y + spare * 0.45)
    ink += block_ink(small, Font.REGULAR, x=rest.x, y=rest.bottom - small.height)
    if not face.title and not small.lines:
        # at the other end of the label, where every label of the full layout has room; between them a pen writes
        low = rest.bottom - (QUIET + MODULES) * LEAST_MODULE
        ink += (Symbol(x=rest.x + QUIET * LEAST_MODULE, y=low, code=face.code, module=LEAST_MODULE),)
    rows = ((face.registration, Font.BOLD, 12.5), (face.job, Font.REGULAR, 9.0), (face.by, Font.BOLD, 8.5))
    return ink + frame.rows(rows)


def _small_words(face: TagFace) -> str:
    """Return the rest of what the face says: a card seldom says more than its name, but nothing is dropped."""
    words = (*face.warnings, face.goes_to, face.marks, face.marks_note, *face.hardware, face.hardware_note, face.bag)
    return "  ·  ".join(word for word in words if word)


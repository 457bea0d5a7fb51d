"""A tag on a label too small for the full layout: side, position and code always, then what still has room.

When space is short, what is dropped is said: `+ 3 more lines: see list`. Two symbols stand as far apart as they can
wherever they fit, because stains and scratches seldom hit both. The words are in `small_words`. Lengths are in
millimetres, sizes in points.
"""

from __future__ import annotations

from tagtrack.core.axes import Side
from tagtrack.core.errors import Refusal
from tagtrack.core.faces import FaceKind, TagFace
from tagtrack.paper.fonts import CAPITAL, DESCENT, POINT, Font
from tagtrack.paper.ink import Box, Ink, Symbol, Text
from tagtrack.paper.small_words import small_words
from tagtrack.paper.symbol import MODULES, QUIET
from tagtrack.paper.tag_frame import LEAST_MODULE, MODULES_ALLOWED, Room, in_groups, main_symbol
from tagtrack.paper.text import fit

# inside the safe edges; below, side, position and code cannot all be read
LEAST_WIDTH, LEAST_HEIGHT = 33.0, 16.5
# what the text between the symbols keeps, before a second symbol is given up
_TEXT = 22.0
# and what it keeps where the second symbol may stand under the first
_WORDS = 30.0
_BAND_SHARE, _CENTRE_SHARE, _MOST_BAND = 0.06, 0.08, 4.0
_GAP = 1.2
_CODE_SIZE, _LEAST_CODE = 9.0, 4.5
_OVERSHOOT = 0.15
# of the room, the most that the larger symbol takes with its quiet zone
_SYMBOL_SHARE = 0.46
# the smaller symbol, and the white that it needs round it
_SIDE, _QUIET = MODULES * LEAST_MODULE, QUIET * LEAST_MODULE


def small_ink(face: TagFace, *, wide: float, high: float, safe: float) -> tuple[Ink, ...]:
    """Return the ink of a tag or card on a small label of that size in millimetres; refuse one that is too small."""
    # round letters reach a little beyond their height
    safe += _OVERSHOOT
    whole = Room(x=safe, y=safe, width=wide - 2 * safe, height=high - 2 * safe)
    if whole.width < LEAST_WIDTH or whole.height < LEAST_HEIGHT:
        raise Refusal(
            "this label is too small for a tag",
            expected=f"at least {LEAST_WIDTH:g} x {LEAST_HEIGHT:g} mm inside its safe edges",
            came=f"{whole.width:.1f} x {whole.height:.1f} mm", todo="choose a template with larger labels",
        )  # fmt: skip
    ink, room = _band(face.side, whole)
    # the code stands at the end away from the band: a RIGHT tag is a LEFT tag mirrored
    at_left = face.side is Side.RIGHT
    # the label's own white edge may be part of the quiet zone
    edge = Room(x=0.0, y=0.0, width=wide, height=high)
    module = _module(room, edge)
    column, inner, low = _column(face, module, room, edge, at_left=at_left)
    ink += column
    main = Room(x=inner if at_left else room.x, y=room.y, width=room.right - inner if at_left else inner - room.x,
                height=room.height)  # fmt: skip
    if face.side is Side.CENTRE:
        bands, main = _centre_bands(main)
        ink += bands
    other = _SIDE + 2 * _QUIET
    at_foot = min(room.bottom, high - _QUIET) - _SIDE
    fits_end = main.width - other >= _TEXT and other <= main.height
    fits_foot = at_foot - _QUIET >= low
    # a blank has no words that want the width
    roomy = main.width - other >= _WORDS or face.kind is FaceKind.BLANK
    if fits_end and (roomy or not fits_foot):
        x = main.right - _SIDE - _QUIET if at_left else main.x + _QUIET
        ink += (Symbol(x=x, y=(high - _SIDE) / 2, code=face.code, module=LEAST_MODULE),)
        main = Room(x=main.x + (0.0 if at_left else other), y=main.y, width=main.width - other, height=main.height)
    elif fits_foot:
        # at the foot of the same column, under the code
        x = max(room.x, _QUIET) if at_left else min(room.right, wide - _QUIET) - _SIDE
        ink += (Symbol(x=x, y=at_foot, code=face.code, module=LEAST_MODULE),)
    return ink + small_words(face, main)


def _band(side: Side | None, whole: Room) -> tuple[tuple[Ink, ...], Room]:
    """Return the band on the edge of a left or right side, and the room that it leaves."""
    if side not in (Side.LEFT, Side.RIGHT):
        return (), whole
    thick = min(_MOST_BAND, whole.width * _BAND_SHARE)
    left = side is Side.LEFT
    band = Box(x=whole.x if left else whole.right - thick, y=whole.y, width=thick, height=whole.height)
    x = whole.x + thick + _GAP if left else whole.x
    return (band,), Room(x=x, y=whole.y, width=whole.width - thick - _GAP, height=whole.height)


def _centre_bands(main: Room) -> tuple[tuple[Ink, ...], Room]:
    """Return the bands of the centre line, over and under the words, and the room between them.

    They leave the symbol's end free: on a label this small it needs the whole height.
    """
    thick = min(_MOST_BAND, main.height * _CENTRE_SHARE)
    bands = (
        Box(x=main.x, y=main.y, width=main.width, height=thick),
        Box(x=main.x, y=main.bottom - thick, width=main.width, height=thick),
    )
    return bands, Room(x=main.x, y=main.y + thick + 0.5, width=main.width, height=main.height - 2 * thick - 1.0)


def _module(room: Room, edge: Room) -> float:
    """Return the largest module whose symbol, quiet zone and code in clear fit, and which leaves room for words."""
    under = _LEAST_CODE * POINT * (CAPITAL + DESCENT)
    for module in MODULES_ALLOWED:
        low = edge.y + (MODULES + 2 * QUIET) * module + under
        if low <= room.bottom and (MODULES + 2 * QUIET) * module <= room.width * _SYMBOL_SHARE:
            return module
    return LEAST_MODULE


def _column(
    face: TagFace, module: float, room: Room, edge: Room, *, at_left: bool
) -> tuple[tuple[Ink, ...], float, float]:
    """Return the symbol at one end with the code in clear under it, where its quiet zone ends, and where the code."""
    side, quiet = MODULES * module, QUIET * module
    x = max(room.x, edge.x + quiet) if at_left else min(room.right, edge.right - quiet) - side
    y = max(room.y, edge.y + quiet)
    inner = x + side + quiet if at_left else x - quiet
    wide = (inner - room.x if at_left else room.right - inner) - _GAP
    size = min(_CODE_SIZE, (room.bottom - (y + side + quiet)) / ((CAPITAL + DESCENT) * POINT))
    line = fit(in_groups(face.code), Font.BOLD, room=wide, size=size, least=1.0)
    base = y + side + quiet + CAPITAL * line.size * POINT
    text_x = room.x if at_left else room.right - line.width
    ink = (
        main_symbol(face, x=x, y=y, module=module),
        Text(x=text_x, y=base, text=line.text, size=line.size, font=Font.BOLD),
    )
    return ink, inner, base + DESCENT * line.size * POINT

"""A tag on a label too small for the full layout: side, position and code always, then what still has room.

When space is short, what is dropped is said: `+ 3 more lines: see list`. Two symbols stand at opposite ends wherever
they fit, because stains and scratches seldom hit both. Lengths are in millimetres, sizes in points.
"""

from __future__ import annotations

from tagtrack.core.axes import Side
from tagtrack.core.errors import Refusal
from tagtrack.core.faces import FaceKind, TagFace
from tagtrack.paper.fonts import CAPITAL, DESCENT, POINT, Font, width
from tagtrack.paper.hardware_lines import hardware_ink
from tagtrack.paper.ink import Box, Ink, Symbol, Text, block_ink
from tagtrack.paper.symbol import MODULES, QUIET
from tagtrack.paper.tag_frame import LEAST_MODULE, MODULES_ALLOWED, Room, in_groups, main_symbol
from tagtrack.paper.text import Block, fit, fit_block

# inside the safe edges; below, side, position and code cannot all be read
LEAST_WIDTH, LEAST_HEIGHT = 33.0, 16.5
# what the text between the symbols keeps, before a second symbol is given up
_TEXT = 22.0
_BAND_SHARE, _CENTRE_SHARE, _MOST_BAND = 0.06, 0.08, 4.0
_GAP = 1.2
_CODE_SIZE, _LEAST_CODE = 9.0, 4.5
_OVERSHOOT = 0.15
_TITLE, _LEAST_TITLE = 14.0, 5.0
_NOTE = 5.0
_CAUTION = "Temporary removal tag, not a part marking or release"
# from this width of text on, hardware stands beside the position
_ASIDE = 42.0
_LEAST_HARDWARE = 2.2
# the position needs so much height
_LEAST_ROOM = 2.6
# and what kind of tag it is so much
_HEAD = 2.6
# of the room, the most that the larger symbol takes with its quiet zone
_SYMBOL_SHARE = 0.46


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
    column, inner = _column(face, module, room, edge, at_left=at_left)
    ink += column
    main = Room(x=inner if at_left else room.x, y=room.y, width=room.right - inner if at_left else inner - room.x,
                height=room.height)  # fmt: skip
    if face.side is Side.CENTRE:
        bands, main = _centre_bands(main)
        ink += bands
    other = (MODULES + 2 * QUIET) * LEAST_MODULE
    if main.width - other >= _TEXT and other <= main.height:
        side, quiet = MODULES * LEAST_MODULE, QUIET * LEAST_MODULE
        x = main.right - side - quiet if at_left else main.x + quiet
        ink += (Symbol(x=x, y=(high - side) / 2, code=face.code, module=LEAST_MODULE),)
        main = Room(x=main.x + (0.0 if at_left else other), y=main.y, width=main.width - other, height=main.height)
    return ink + _words(face, main)


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


def _column(face: TagFace, module: float, room: Room, edge: Room, *, at_left: bool) -> tuple[tuple[Ink, ...], float]:
    """Return the symbol at one end with the code in clear under it, and where its quiet zone ends."""
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
    return ink, inner


def _words(face: TagFace, room: Room) -> tuple[Ink, ...]:
    """Return side, warnings, position, marks and hardware from top to bottom, as large as they go."""
    ink: list[Ink] = []
    bottom, whose = _foot(face, room, ink)
    # a long label has the hardware beside the words, away from the side's letter; any other below them
    aside = bool(face.hardware) and room.width >= _ASIDE
    whole = half = room
    if aside:
        at_right = face.side is Side.RIGHT
        half = Room(x=room.x + (0.0 if at_right else room.width * 0.55), y=room.y, width=room.width * 0.45,
                    height=bottom - room.y)  # fmt: skip
        room = Room(x=room.x + room.width * (0.48 if at_right else 0.0), y=room.y, width=room.width * 0.52,
                    height=room.height)  # fmt: skip
    y = room.y
    if face.side is not None:
        # the letter gives way before the position does
        tall = min(room.height * 0.34, 9.0, bottom - room.y - _LEAST_ROOM - _HEAD - 1.5)
        y = _side(face.side, room, ink, tall)
    head = "; ".join((*face.warnings, _kind(face)))
    line = fit(head, Font.BOLD, room=room.width, size=6.0, least=4.0)
    y += CAPITAL * line.size * POINT
    ink.append(Text(x=room.x, y=y, text=line.text, size=line.size, font=Font.BOLD))
    y += 0.9
    rest = Room(x=room.x, y=y, width=room.width, height=bottom - y)
    more = bool((face.hardware and not aside) or face.marks or face.goes_to)
    title = _title(face.title, rest, rest.height * (0.5 if more else 1.0))
    ink += block_ink(title, Font.BOLD, x=rest.x, y=rest.y)
    rest = rest.below(title.height + 0.7)
    left: list[str] = []
    for name, words in (("where it goes", face.goes_to), ("marks", face.marks)):
        block = fit_block(words, Font.BOLD, room=rest.width, height=max(rest.height, 2.0), size=8.0, least=4.5)
        if words and block.height > rest.height:
            left.append(name)
        elif words:
            ink += block_ink(block, Font.BOLD, x=rest.x, y=rest.y)
            rest = rest.below(block.height + 0.5)
    hardware = _hardware(face, half if aside else rest)
    if face.hardware and not hardware:
        left.append("hardware" if len(face.hardware) > 1 else face.hardware[0])
    ink += hardware
    if left:
        # what found no room is said, in the place of whose it is: that stands on the list too
        line = fit(f"SEE LIST: {', '.join(left)}", Font.BOLD, room=whole.width, size=_NOTE, least=3.5)
        whose = Text(x=whole.x, y=whose.y, text=line.text, size=line.size, font=Font.BOLD)
    return (*ink, whose)


def _side(side: Side, room: Room, ink: list[Ink], tall: float) -> float:
    """Set the side's letter as the largest of all, its word beside it, and return the height below them."""
    size = tall / (CAPITAL * POINT)
    letter = width(side.letter, Font.BOLD, size)
    base = room.y + tall
    at_right = side is Side.RIGHT
    x = room.right - letter if at_right else room.x
    ink.append(Text(x=x, y=base, text=side.letter, size=size, font=Font.BOLD))
    word = fit(side.value, Font.BOLD, room=room.width - letter - 1.0, size=size * 0.62, least=5.0)
    word_x = room.right - letter - 1.0 - word.width if at_right else room.x + letter + 1.0
    ink.append(Text(x=word_x, y=base, text=word.text, size=word.size, font=Font.BOLD))
    return base + 1.1


def _kind(face: TagFace) -> str:
    if face.kind is FaceKind.BAG and face.bag:
        return face.bag.upper()
    return face.kind.value.upper()


def _title(text: str, room: Room, height: float) -> Block:
    return fit_block(text, Font.BOLD, room=room.width, height=max(height, 2.4), size=_TITLE, least=_LEAST_TITLE)


def _hardware(face: TagFace, rest: Room) -> tuple[Ink, ...]:
    """Return the hardware that has room, with a count of what has not."""
    if not face.hardware or rest.height < _LEAST_HARDWARE:
        return ()
    return hardware_ink(face.hardware, rest, scale=0.8).ink


def _foot(face: TagFace, room: Room, ink: list[Ink]) -> tuple[float, Text]:
    """Set what it is not along the bottom; return the height above that and the line above it, and that line: whose."""
    bottom = room.bottom
    if face.kind not in (FaceKind.PLACE, FaceKind.PERSON):
        words = fit_block(_CAUTION, Font.REGULAR, room=room.width, height=3.0, size=4.5, least=3.2)
        ink += block_ink(words, Font.REGULAR, x=room.x, y=bottom - words.height)
        bottom -= words.height + 0.3
    size = _NOTE * POINT
    whose = " ".join(filter(None, (face.registration, face.job, face.by)))
    line = fit(whose, Font.REGULAR, room=room.width, size=_NOTE, least=2.5)
    return bottom - size, Text(x=room.x, y=bottom - size * 0.27, text=line.text, size=line.size)

"""What every tag has in the same place: the side's band, letter and word; the symbol with its code; the foot.

The side is told four times, and never by colour: by the band along its edge, by the end at which the letter stands
(a RIGHT tag is a LEFT tag mirrored), by the letter, and by the word. A tag without a side has no band and no letter.

Lengths are in millimetres. They are our own choices for reading at arm's length on a label of about 4 x 2 inches,
and shrink with smaller labels; only the symbol's module has a floor of its own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from tagtrack.core.axes import Side
from tagtrack.core.cautions import TAG
from tagtrack.core.errors import Refusal
from tagtrack.core.faces import FaceKind, TagFace
from tagtrack.core.tagcode import addressed
from tagtrack.paper.fonts import CAPITAL, DESCENT, POINT, Font, drawable, width
from tagtrack.paper.ink import Box, Ink, Symbol, Text, block_ink
from tagtrack.paper.symbol import MODULES, QUIET, across
from tagtrack.paper.text import Block, fit, fit_block, height_of

# measured on synthetic photos: 0.75 mm reads from a metre away, and is 6 dots of a 203 dpi printer, 9 of a 300 dpi one
MODULE = 0.75
# 4 dots of a 203 dpi printer: below, dot gain closes the gaps
LEAST_MODULE = 0.5

MODULES_ALLOWED = (MODULE, 0.625, LEAST_MODULE)
# a label that is smaller by so little keeps the larger module
_NEARLY = 0.03

# inside the safe edges of the label on which the sizes below were chosen
_WIDTH, _HEIGHT = 97.6, 46.8
# below these a tag cannot hold its letter, its symbol and its words in letters that are read without a glass
_LEAST_WIDTH, _LEAST_HEIGHT = 76.0, 38.0

_SIDE_BAND = 5.5
_CENTRE_BAND = 3.0
_LETTER_ROOM = 21.0
_GAP = 1.5
_FOOT = 2.4
# points: read from near by whoever looks for it
_FOOT_SIZE = 5.5

# between two rows under the code, of the size
_BETWEEN = 0.27
# a row under the code is shrunk by so much before it takes two lines, and is cut at this size in points
_ONE_LINE, _LEAST_ROW = 0.65, 4.0
# where the rows would be smaller than this share of their size, those that may give way do
_TINY = 0.68

# the side's letter keeps this height in millimetres, before a second symbol under it is given up
_LEAST_LETTER = 12.0

# these are no removal tags, and nobody takes them off at refit
_STAY = frozenset({FaceKind.PLACE, FaceKind.PERSON})


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """An empty rectangle of the label, in millimetres."""

    x: float
    y: float
    width: float
    height: float

    @property
    def bottom(self) -> float:
        """The lower edge."""
        return self.y + self.height

    @property
    def right(self) -> float:
        """The right edge."""
        return self.x + self.width

    def below(self, used: float) -> Room:
        """Return what is left when so much of the top is used; never less than nothing."""
        return Room(x=self.x, y=self.y + used, width=self.width, height=max(0.0, self.height - used))


@dataclass(frozen=True, slots=True)
class Row:
    """One of the texts under the code: font, size in points, and whether it may be left out where room is short."""

    text: str
    font: Font
    size: float
    gives_way: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """The ink that every tag has, and the rooms it leaves: the main one, and one under the code."""

    ink: tuple[Ink, ...]
    main: Room
    under_code: Room
    # of the sizes chosen for a 4 x 2 inch label
    scale: float

    def rows(self, rows: tuple[Row, ...], *, below: float = 0.0) -> tuple[Ink, ...]:
        """Return texts set under the code from `below` mm on; what may give way does where the rest would be tiny."""
        room = self.under_code.below(below)
        present = [row for row in rows if row.text]
        blocks = [self._row(row, room.width, 1.0) for row in present]
        squeeze = self._squeeze(blocks, room.height)
        while squeeze < _TINY and (gives := [n for n, row in enumerate(present) if row.gives_way]):
            del present[gives[-1]], blocks[gives[-1]]
            squeeze = self._squeeze(blocks, room.height)
        if squeeze < 1.0:
            blocks = [self._row(row, room.width, squeeze) for row in present]
            squeeze = self._squeeze(blocks, room.height)
        ink: list[Ink] = []
        y = room.y
        for row, block in zip(present, blocks, strict=True):
            size = block.size * squeeze
            ink += block_ink(replace(block, size=size), row.font, x=room.x, y=y)
            y += height_of(len(block.lines), size) + _BETWEEN * size * POINT
        return tuple(ink)

    def _row(self, row: Row, room: float, squeeze: float) -> Block:
        """Return a row on one line if it need not become much smaller for that, else on two."""
        size = row.size * self.scale * squeeze
        one = fit(row.text, row.font, room=room, size=size, least=size * _ONE_LINE)
        if one.text == drawable(row.text):
            return Block(lines=(one.text,), size=one.size)
        least = min(_LEAST_ROW, size)
        return fit_block(row.text, row.font, room=room, height=height_of(2, size), size=size, least=least)

    @staticmethod
    def _squeeze(blocks: list[Block], height: float) -> float:
        needed = sum(block.height + _BETWEEN * block.size * POINT for block in blocks)
        return min(1.0, height / needed) if needed else 1.0


def holds_full_layout(wide: float, high: float, safe: float) -> bool:
    """Return whether a label of that size in millimetres holds the full layout."""
    return wide - 2 * safe >= _LEAST_WIDTH and high - 2 * safe >= _LEAST_HEIGHT


def frame_for(face: TagFace, *, wide: float, high: float, safe: float) -> Frame:
    """Return the frame of a face on a label of that size; refuse a label too small to be read at arm's length."""
    whole = Room(x=safe, y=safe, width=wide - 2 * safe, height=high - 2 * safe)
    if whole.width < _LEAST_WIDTH or whole.height < _LEAST_HEIGHT:
        raise Refusal(
            "this label is too small for a tag",
            expected=f"at least {_LEAST_WIDTH:g} x {_LEAST_HEIGHT:g} mm inside its safe edges",
            came=f"{whole.width:.1f} x {whole.height:.1f} mm",
            todo="choose a template with larger labels",
        )
    scale = min(1.0, whole.width / _WIDTH, whole.height / _HEIGHT)
    bands, inner = _band(face.side, whole, scale)
    foot_ink, inner = _foot(face, inner, scale)
    # the upper band of the centre line leaves the symbol's corner free: what is under it needs the height
    column = Room(x=inner.x, y=whole.y, width=inner.width, height=inner.bottom - whole.y)
    code_ink, code_edge, under_code = _code(face, column, wide, scale)
    if face.side is Side.CENTRE:
        upper, lower = bands
        bands = (replace(upper, width=code_edge - upper.x), lower)
    ink: tuple[Ink, ...] = (*bands, *foot_ink, *code_ink)
    main_left, main_right = inner.x, inner.right
    code_at_left = face.side is Side.RIGHT
    if code_at_left:
        main_left = code_edge
    else:
        main_right = code_edge
    if face.side is not None:
        letter_room = _LETTER_ROOM * scale
        letter_x = main_right - letter_room if code_at_left else main_left
        column = Room(x=letter_x, y=inner.y, width=letter_room, height=inner.height)
        ink += _letter(face, face.side, column, scale)
        if code_at_left:
            main_right -= letter_room + _GAP * scale
        else:
            main_left += letter_room + _GAP * scale
    main = Room(x=main_left, y=inner.y, width=main_right - main_left, height=inner.height)
    return Frame(ink=ink, main=main, under_code=under_code, scale=scale)


def _band(side: Side | None, whole: Room, scale: float) -> tuple[tuple[Box, ...], Room]:
    """Return the side's band and the room that it leaves."""
    if side is None:
        return (), whole
    if side is Side.CENTRE:
        thick, gap = _CENTRE_BAND * scale, 1.3 * scale
        bands = tuple(
            Box(x=whole.x, y=y, width=whole.width, height=thick) for y in (whole.y, whole.bottom - thick)
        )
        taken = thick + gap
        return bands, Room(x=whole.x, y=whole.y + taken, width=whole.width, height=whole.height - 2 * taken + gap / 2)
    thick = _SIDE_BAND * scale
    taken = thick + _GAP * scale
    left = side is Side.LEFT
    band = Box(x=whole.x if left else whole.right - thick, y=whole.y, width=thick, height=whole.height)
    inner_x = whole.x + taken if left else whole.x
    return (band,), Room(x=inner_x, y=whole.y, width=whole.width - taken, height=whole.height)


def _foot(face: TagFace, inner: Room, scale: float) -> tuple[tuple[Ink, ...], Room]:
    """Return the caution and the record check number along the bottom, and the room above them."""
    y = inner.bottom - DESCENT * _FOOT_SIZE * scale * POINT
    ink: list[Ink] = []
    room = inner.width
    if face.proof:
        words, size = f"record check {face.proof}", _FOOT_SIZE * scale
        line = fit(words, Font.REGULAR, room=room * 0.32, size=size, least=4 * scale)
        ink.append(Text(x=inner.right - line.width, y=y, text=line.text, size=line.size))
        room -= line.width + _GAP
    if face.kind not in _STAY:
        line = fit(TAG, Font.REGULAR, room=room, size=_FOOT_SIZE * scale, least=3.0)
        ink.append(Text(x=inner.x, y=y, text=line.text, size=line.size))
    taken = _FOOT * scale if ink else 0.0
    return tuple(ink), Room(x=inner.x, y=inner.y, width=inner.width, height=inner.height - taken)


def _code(face: TagFace, inner: Room, wide: float, scale: float) -> tuple[tuple[Ink, ...], float, Room]:
    """Return symbol and code in clear, where the quiet zone ends towards the main room, and what is under it."""
    # in whole dots of a 203 dpi printer: 6, 5 or 4
    module = next((each for each in MODULES_ALLOWED if each <= MODULE * scale + _NEARLY), LEAST_MODULE)
    quiet = QUIET * module
    side = MODULES * module
    at_left = face.side is Side.RIGHT
    # the label's own edge may be part of the quiet zone; what stands next to the label may not
    x = max(inner.x, quiet) if at_left else min(inner.right, wide - quiet) - side
    y = max(inner.y, quiet)
    # below the symbol the words may use the quiet zone's own width, but for a gap to the main room
    column_x = inner.x if at_left else x - quiet + _GAP * scale
    column_width = x + side + quiet - _GAP * scale - inner.x if at_left else inner.right - column_x
    symbol = main_symbol(face, x=x, y=y, module=module)
    line = fit(in_groups(face.code), Font.BOLD, room=column_width, size=11 * scale, least=1.0)
    base = y + side + quiet + CAPITAL * line.size * POINT
    code_x = column_x if at_left else inner.right - line.width
    ink: tuple[Ink, ...] = (symbol, Text(x=code_x, y=base, text=line.text, size=line.size, font=Font.BOLD))
    top = base + 1.9 * scale
    under = Room(x=column_x, y=top, width=column_width, height=inner.bottom - top)
    return ink, x + side + quiet if at_left else x - quiet, under


def main_symbol(face: TagFace, *, x: float, y: float, module: float) -> Symbol:
    """Return the symbol for the place of one of version 1 with such modules: with the shop's address, if that fits.

    A larger version takes smaller modules, never smaller than allowed; the place holds its quiet zone too.
    """
    place = (MODULES + 2 * QUIET) * module
    if face.address:
        text = addressed(face.code, face.address)
        whole = across(text) + 2 * QUIET
        for smaller in MODULES_ALLOWED:
            if whole * smaller <= place + 1e-9:
                inset = (place - whole * smaller) / 2 + QUIET * (smaller - module)
                return Symbol(x=x + inset, y=y + inset, code=text, module=smaller)
    return Symbol(x=x, y=y, code=face.code, module=module)


def in_groups(code: str) -> str:
    """Return the code in groups of four, as it is read out: `7K3M 9QXT`, `7K3M 9QXA T`."""
    return " ".join(code[at : at + 4] for at in range(0, len(code), 4))


def _letter(face: TagFace, side: Side, column: Room, scale: float) -> tuple[Ink, ...]:
    """Return the side's letter as large as its column allows, its word under it, and a second symbol if one fits."""
    unit = width("R", Font.BOLD, 1.0)
    # all three words in one size, the longest as wide as the column
    word_size = column.width / width(Side.CENTRE.value, Font.BOLD, 1.0)
    word_high = 1.6 * scale + CAPITAL * word_size * POINT
    quiet, symbol_side = QUIET * LEAST_MODULE, MODULES * LEAST_MODULE
    tall = min(column.width / unit * CAPITAL * POINT, column.height * 0.55)
    # a letter that is somewhat smaller makes room for a second symbol
    beside = column.height - word_high - symbol_side - 2 * quiet
    tall = min(tall, beside) if beside >= _LEAST_LETTER * scale else tall
    size = tall / (CAPITAL * POINT)
    letter_width = width(side.letter, Font.BOLD, size)
    middle = column.x + column.width / 2
    letter_base = column.y + tall
    word_base = letter_base + word_high
    word_width = width(side.value, Font.BOLD, word_size)
    ink: list[Ink] = [
        Text(x=middle - letter_width / 2, y=letter_base, text=side.letter, size=size, font=Font.BOLD),
        Text(x=middle - word_width / 2, y=word_base, text=side.value, size=word_size, font=Font.BOLD),
    ]
    if word_base + 2 * quiet + symbol_side <= column.bottom + 1e-9 and column.width >= 2 * quiet + symbol_side:
        # at the other end of the label: two symbols survive stains that one does not
        y = column.bottom - quiet - symbol_side
        ink.append(Symbol(x=middle - symbol_side / 2, y=y, code=face.code, module=LEAST_MODULE))
    return tuple(ink)

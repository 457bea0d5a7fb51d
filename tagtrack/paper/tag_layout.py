"""The tag of a part, a bag or a connection, as ink: warnings, position, marks, hardware, and what goes where.

Everything a face says is on the tag, or the tag says that there is more. Sizes are sought, not fixed: the position
is as large as it can be while the hardware stays readable at arm's length, and what surrounds them closes up first.
Sizes are in points on a label of 4 x 2 inches, lengths in millimetres; both shrink with a smaller label.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations_with_replacement

from tagtrack.core.faces import FaceKind, TagFace
from tagtrack.paper.diagram import diagram, height_for, marks_in
from tagtrack.paper.fonts import CAPITAL, POINT, Font, drawable, width
from tagtrack.paper.hardware_lines import HardwareInk, hardware_ink
from tagtrack.paper.ink import Ink, Stroke, Text, block_ink, extent, frame, moved
from tagtrack.paper.stack_drawing import size_in, small
from tagtrack.paper.tag_frame import Frame, Room, Row, frame_for
from tagtrack.paper.text import ELLIPSIS, Block, fit_block, height_of
from tagtrack.paper.warning_rows import warning_ink


@dataclass(frozen=True, slots=True, kw_only=True)
class _Density:
    """How close the tag is set: sizes in points, lengths in millimetres."""

    # sizes of the position's name, largest first
    titles: tuple[float, ...]
    title_lines: int
    warning_rows: int
    # width of the drawing, 0 for none
    drawing: float
    marks: float
    marks_lines: int
    note: float
    note_lines: int
    gap: float


_DENSITIES = (
    _Density(
        titles=(34, 30, 26, 23, 20, 18, 16, 14.5), title_lines=3, warning_rows=2,
        drawing=16, marks=13, marks_lines=2, note=8, note_lines=3, gap=1.6,
    ),
    _Density(
        titles=(20, 18, 16, 14.5, 13), title_lines=5, warning_rows=2,
        drawing=13, marks=11, marks_lines=2, note=7, note_lines=2, gap=1.3,
    ),
    _Density(
        titles=(16, 14.5, 13, 12), title_lines=2, warning_rows=2,
        drawing=13, marks=9.5, marks_lines=1, note=7, note_lines=2, gap=1.3,
    ),
    _Density(
        titles=(14.5, 13, 12), title_lines=2, warning_rows=2,
        drawing=13, marks=9.5, marks_lines=2, note=7, note_lines=2, gap=1.2,
    ),
    _Density(
        titles=(12, 11, 10), title_lines=2, warning_rows=3,
        drawing=0, marks=9, marks_lines=1, note=6.5, note_lines=2, gap=1.0,
    ),
    _Density(
        titles=(9,), title_lines=2, warning_rows=3,
        drawing=0, marks=8, marks_lines=1, note=6, note_lines=1, gap=0.8,
    ),
    *(
        _Density(
            titles=(9, 8, 7), title_lines=6, warning_rows=rows,
            drawing=0, marks=7.5, marks_lines=3, note=5.5, note_lines=3, gap=0.7,
        ) for rows in (2, 3)
    ),
)  # fmt: skip

# rather than cut a position, the closest setting is made so much smaller still
_SMALLER = (1.0, 0.92, 0.85, 0.78)

# how bad it is that a text is cut, beside a line of hardware that is counted instead of told, which is 2
_CUT_TITLE, _CUT_WAY, _CUT_MARKS, _HIDDEN_WARNING, _CUT_BACK, _CUT_NOTE = 10_000, 1_000, 400, 100, 60, 4

# the hardware is asked for this share of the position's size, or for what is large enough in any case
_HARDWARE_SHARE = 0.6
_HARDWARE_ENOUGH = 12.0

# between the lines of hardware and the stack drawn beside them, and the least such drawing, in millimetres
_BESIDE, _LEAST_FIGURE = 3.0, 9.0

# what stands under the code where a text is cut
_CUT_TOLD = f"{ELLIPSIS} see list"

# least sizes, in points, before a text is cut in its middle
_LEAST_TITLE, _LEAST_WORDS, _LEAST_NOTE = 7.0, 6.5, 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stack:
    """What was set in the main room; the hardware's lines in it, and the room that they had."""

    ink: tuple[Ink, ...]
    # it ends inside the room
    inside: bool
    # how much of it is cut, or only counted
    lost: int
    # the position's name is of the size that was tried
    as_asked: bool
    hardware: HardwareInk
    room: Room


def tag_ink(face: TagFace, *, wide: float, high: float, safe: float) -> tuple[Ink, ...]:
    """Return the ink of one removal tag on a label of that size in millimetres."""
    around = frame_for(face, wide=wide, high=high, safe=safe)
    main = _main(face, around.main, around.scale)
    is_cut = any(isinstance(mark, Text) and ELLIPSIS in mark.text for mark in main)
    return (*around.ink, *_under_code(face, around, _CUT_TOLD if is_cut else ""), *main)


def _main(face: TagFace, room: Room, scale: float) -> tuple[Ink, ...]:
    """Return the main room's ink, and beside its hardware the stack as drawn."""
    chosen = _chosen(face, room, scale)
    return (*chosen.ink, *_figure(face, chosen.hardware, chosen.room))


def _chosen(face: TagFace, room: Room, scale: float) -> _Stack:
    """Return the loosest setting in which all is whole and the hardware reads well, or the next best."""
    inside: list[_Stack] = []
    for density in _DENSITIES:
        for points in density.titles:
            stack = _stacked(face, room, density, title=points, scale=scale)
            readable = stack.hardware.size >= min(_HARDWARE_ENOUGH, points * _HARDWARE_SHARE) * scale - 1e-9
            if stack.inside and not stack.lost and stack.as_asked and readable:
                return stack
            inside += [stack] if stack.inside else []
    if not inside or min(stack.lost for stack in inside) >= _CUT_TITLE:
        closest = _DENSITIES[-1]
        tried = (_stacked(face, room, closest, title=closest.titles[-1], scale=scale * less) for less in _SMALLER)
        inside += [stack for stack in tried if stack.inside]
    if inside:
        # of what loses least, the loosest
        return min(inside, key=lambda stack: (stack.lost, not stack.as_asked))
    # a face with too much of everything: set close, cut where it must be, and smaller until it ends inside
    return next(stack for stack in _smaller_and_smaller(face, room, scale) if stack.inside)


def _smaller_and_smaller(face: TagFace, room: Room, scale: float) -> Iterator[_Stack]:
    closest = _DENSITIES[-1]
    smaller = scale
    while True:
        yield _stacked(face, room, closest, title=closest.titles[-1], scale=smaller)
        smaller *= 0.93


def _stacked(face: TagFace, room: Room, density: _Density, *, title: float, scale: float) -> _Stack:
    """Set everything from top to bottom with a position name of that many points."""
    gap = density.gap * scale
    warnings, used, hidden = warning_ink(face.warnings, room, rows=density.warning_rows, scale=scale)
    lost = hidden * _HIDDEN_WARNING
    rest = room.below(used + gap if used else 0.0)
    name = _words(face.title, rest, size=title * scale, least=_LEAST_TITLE * scale, lines=density.title_lines)
    lost += _CUT_TITLE * (not name.whole)
    ink = (*warnings, *block_ink(name, Font.BOLD, x=rest.x, y=rest.y))
    rest = rest.below(name.height + gap if name.lines else 0.0)
    for part in (_goes_to, _marks):
        part_ink, used, cut = part(face, rest, density, scale)
        lost += cut
        ink += part_ink
        rest = rest.below(used + gap if used else 0.0)
    if (face.hardware or face.hardware_note or face.goes_back) and rest.y > room.y:
        # a thin rule parts what the tag is about from what goes with it
        ink += (Stroke(points=((rest.x + 0.15, rest.y), (rest.right - 0.15, rest.y)), pen=0.25),)
        rest = rest.below(gap)
    least = _LEAST_WORDS * scale
    back = _words(face.goes_back, rest, size=density.marks * scale, least=least, lines=density.title_lines)
    note = _words(
        face.hardware_note, rest, size=density.marks * 0.8 * scale, least=least, lines=density.note_lines
    )
    taken = sum(block.height + gap for block in (back, note) if block.lines)
    list_room = Room(x=rest.x, y=rest.y, width=rest.width, height=max(0.0, rest.height - taken))
    hardware = hardware_ink(face.hardware, list_room, scale=scale)
    back_y = rest.y + (hardware.height + gap if face.hardware else 0.0)
    note_y = back_y + (back.height + gap if back.lines else 0.0)
    ink += (*hardware.ink, *block_ink(back, Font.BOLD, x=rest.x, y=back_y),
            *block_ink(note, Font.BOLD, x=rest.x, y=note_y))  # fmt: skip
    inside = max(note_y + note.height, rest.y + hardware.height) <= room.bottom + 1e-9
    as_asked = name.size >= title * scale - 1e-9
    lost += _CUT_BACK * (not back.whole) + _CUT_NOTE * (not note.whole) + hardware.lost
    return _Stack(ink=ink, inside=inside, lost=lost, as_asked=as_asked, hardware=hardware, room=list_room)


def _figure(face: TagFace, hardware: HardwareInk, room: Room) -> tuple[Ink, ...]:
    """Return the stack drawn beside its lines where there is room left over; the lines are what counts."""
    if face.stack is None or hardware.lost or not hardware.ink:
        return ()
    lines = sorted((extent(mark) for mark in hardware.ink), key=lambda line: line[1])
    best: tuple[float, float, float, float] | None = None
    # the lines are of different length: beside which run of them is the most room?
    for first, last in combinations_with_replacement(range(len(lines)), 2):
        top, low = lines[first][1], max(line[3] for line in lines[first : last + 1])
        # in two columns, lines that are not of the run lie beside it too
        left = max(line[2] for line in lines if line[1] < low and line[3] > top) + _BESIDE
        if room.right - left <= 1:
            continue
        wide, _ = size_in(face.stack, wide=room.right - left, high=low - top)
        if wide >= _LEAST_FIGURE and (best is None or wide > best[0] + 0.1):
            best = (wide, left, top, low)
    if best is None:
        return ()
    _, left, top, low = best
    figure = small(face.stack, wide=room.right - left, high=low - top)
    return moved(figure.ink, room.right - figure.width, (top + low - figure.height) / 2)


def _words(text: str, room: Room, *, size: float, least: float, lines: int, font: Font = Font.BOLD) -> Block:
    """Return a text in so many lines of a size, in a smaller size if that is what it takes."""
    return fit_block(text, font, room=room.width, height=height_of(lines, size), size=size, least=least)


def _goes_to(face: TagFace, room: Room, density: _Density, scale: float) -> tuple[tuple[Ink, ...], float, int]:
    """Return where a disconnected end goes, framed, the height it takes, and how bad the cut is, if any."""
    if not face.goes_to:
        return (), 0.0, 0
    pad = max(1.0, density.gap) * scale
    inner = Room(x=room.x + pad, y=room.y + pad, width=room.width - 2 * pad, height=room.height)
    block = _words(
        face.goes_to, inner, size=1.25 * density.marks * scale, least=_LEAST_WORDS * scale, lines=density.title_lines
    )
    high = block.height + 2 * pad
    outline = frame(room.x + 0.3, room.y + 0.3, room.width - 0.6, high - 0.6, pen=0.6)
    return (outline, *block_ink(block, Font.BOLD, x=inner.x, y=inner.y)), high, _CUT_WAY * (not block.whole)


def _marks(face: TagFace, room: Room, density: _Density, scale: float) -> tuple[tuple[Ink, ...], float, int]:
    """Return marks and mounting in words, what to do with them, and the drawing beside; then as `_goes_to` does."""
    if not (face.marks or face.marks_note or face.mount):
        return (), 0.0, 0
    named = marks_in(face.marks, face.side)
    wide = density.drawing * scale if named else 0.0
    ink = diagram(named, face.side, x=room.x, y=room.y, wide=wide) if wide else ()
    inset = wide + 1.6 * scale if wide else 0.0
    beside = Room(x=room.x + inset, y=room.y, width=room.width - inset, height=room.height)
    least = _LEAST_WORDS * scale
    words = _words(face.marks, beside, size=density.marks * scale, least=least, lines=density.marks_lines)
    mount_y = room.y + (words.height + 0.7 * scale if words.lines else 0.0)
    mount = _words(face.mount, beside, size=0.8 * density.marks * scale, least=least, lines=density.marks_lines)
    note_y = mount_y + (mount.height + 0.7 * scale if mount.lines else 0.0)
    note = _words(
        face.marks_note,
        beside,
        size=density.note * scale,
        least=_LEAST_NOTE * scale,
        lines=density.note_lines,
        font=Font.REGULAR,
    )
    ink += block_ink(words, Font.BOLD, x=beside.x, y=room.y)
    ink += block_ink(mount, Font.BOLD, x=beside.x, y=mount_y)
    ink += block_ink(note, Font.REGULAR, x=beside.x, y=note_y)
    used = max(note_y + note.height - room.y, height_for(wide))
    return ink, used, _CUT_MARKS * (2 - words.whole - mount.whole) + _CUT_NOTE * (not note.whole)


def _under_code(face: TagFace, around: Frame, cut_told: str) -> tuple[Ink, ...]:
    """Return what the tag is, whose aircraft, which job, and who took it off when, under the code."""
    room, scale = around.under_code, around.scale
    # "bag 1 of 2" says by itself that it is a bag
    bag = drawable(face.bag)
    is_bag = face.kind is FaceKind.BAG and bool(bag)
    high = 4.4 * scale
    chip_room = Room(x=room.x, y=room.y, width=room.width - 2 * scale, height=high)
    chip = _words((bag if is_bag else face.kind.value).upper(), chip_room, size=9.5 * scale, least=1, lines=1)
    chip_y = room.y + (high - CAPITAL * chip.size * POINT) / 2
    chip_x = room.x + (room.width - max(width(line, Font.BOLD, chip.size) for line in chip.lines)) / 2
    outline = frame(room.x + 0.2, room.y + 0.2, room.width - 0.4, high - 0.4, pen=0.4)
    ink: tuple[Ink, ...] = (outline, *block_ink(chip, Font.BOLD, x=chip_x, y=chip_y))
    rows = (
        Row("" if is_bag else bag, Font.BOLD, 9.0),
        Row(face.registration, Font.BOLD, 12.5),
        Row(cut_told, Font.BOLD, 8.5),
        Row(face.job, Font.REGULAR, 9.0),
        Row(face.by, Font.BOLD, 8.5),
        Row(face.numbers, Font.REGULAR, 8.5, gives_way=True),
        Row(f"zone: {face.area}" if face.area else "", Font.REGULAR, 8.5, gives_way=True),
    )
    return ink + around.rows(rows, below=high + 1.3 * scale)

"""The words of a small label, from top to bottom: side, what it is, position, where it goes, marks, hardware, whose.

The side's letter gives way before the position is cut, and the position is set small before anything of it is lost.
What has no room is named. Lengths are in millimetres, sizes in points.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from tagtrack.core.axes import Side
from tagtrack.core.faces import FaceKind, TagFace
from tagtrack.paper.fonts import CAPITAL, DESCENT, POINT, Font, width
from tagtrack.paper.hardware_lines import hardware_ink
from tagtrack.paper.ink import Box, Ink, Text, block_ink
from tagtrack.paper.tag_frame import Room
from tagtrack.paper.text import ELLIPSIS, Block, fit, fit_block, fit_name, height_of
from tagtrack.paper.write_in import write_in

_CAUTION = "Temporary removal tag, not a part marking or release"
_CAUTION_SIZE, _LEAST_CAUTION = 4.5, 3.2
# whose it is, and what has no room
_NOTE, _LEAST_NOTE, _LEAST_ZONE, _LEAST_LIST = 5.0, 2.5, 4.0, 3.6
_LEAST_HEAD = 4.0
# black round what warns, in millimetres
_PAD = 0.4
# they are made so much smaller before they take two lines
_ONE_LINE = 0.7
# below this, what is said beside the position is better looked up in the list
_MORE, _LEAST_MORE = 8.0, 5.0
# hardware is set in this share of its sizes on a tag of 4 x 2 inches
_HARDWARE, _LEAST_HARDWARE = 0.8, 2.2
# what is noted beside all that, largest and least
_NOTES = (6.0, 4.5)
# the name on a card is read from afar
_CARD, _CARD_READS = 44.0, 8.0
_CARDS = frozenset({FaceKind.ZONE, FaceKind.PLACE, FaceKind.PERSON})
# from this width of text on, hardware stands beside the position
_ASIDE = 42.0
# the side's letter: at most, and in any case
_TALLEST, _LOWEST = 9.0, 3.2


@dataclass(frozen=True, slots=True)
class _Level:
    """How close the words are set: the letter's share of the height; the position's sizes, and share of the rest."""

    letter: float
    title: float
    least: float
    share: float
    # of the usual gaps
    air: float = 1.0
    # the warnings' and the kind's size
    head: float = 6.0


_LEVELS = (
    _Level(0.34, 14.0, 7.0, 0.5),
    _Level(0.30, 11.0, 6.0, 0.6),
    _Level(0.26, 9.0, 5.0, 0.7, air=0.8),
    _Level(0.22, 7.0, 4.5, 0.85, air=0.6, head=5.0),
    _Level(0.18, 5.0, 3.6, 1.0, air=0.4, head=4.4),
)
_LETTER_FOR_HARDWARE = 0.26
# how bad each loss is, beside a line of hardware that is counted instead of told, which is 2
_CUT_TITLE, _CUT_HEAD = 10_000, 300
_LEFT = {"where it goes": 1_000, "marks": 400, "mount": 200, "what goes back": 60}


@dataclass(slots=True)
class _Setting:
    """What was set so far, what found no room, and how bad that is."""

    ink: list[Ink] = field(default_factory=list)
    left: list[str] = field(default_factory=list)
    lost: int = 0
    # there are notes that found no room
    notes: bool = False


def small_words(face: TagFace, room: Room) -> tuple[Ink, ...]:
    """Return the words in the loosest setting in which all of them have room, else in the one that loses least."""
    best = _set(face, room, _LEVELS[0])
    for level in _LEVELS[1:]:
        if not best.lost:
            break
        setting = _set(face, room, level)
        # the side stays large where only some more lines of hardware are to be had for it
        worth = level.letter >= _LETTER_FOR_HARDWARE or best.lost >= min(_LEFT.values()) or not setting.lost
        if worth and setting.lost < best.lost:
            best = setting
    return tuple(best.ink)


def _set(face: TagFace, room: Room, level: _Level) -> _Setting:
    done = _Setting()
    whole = room
    bottom = _caution(face, room, done)
    # a long label has the hardware beside the words, away from the side's letter; any other below them
    aside = bool(face.hardware) and room.width >= _ASIDE
    half = room
    if aside:
        at_right = face.side is Side.RIGHT
        half = Room(x=room.x + (0.0 if at_right else room.width * 0.55), y=room.y, width=room.width * 0.45,
                    height=bottom - room.y)  # fmt: skip
        room = Room(x=room.x + room.width * (0.48 if at_right else 0.0), y=room.y, width=room.width * 0.52,
                    height=room.height)  # fmt: skip
    y = room.y if face.side is None else _side(face.side, room, done, level)
    y = _head(face, Room(x=room.x, y=y, width=room.width, height=bottom - y), done, level)
    rest = Room(x=room.x, y=y, width=room.width, height=max(0.0, bottom - y))
    size = _MORE
    if face.kind in _CARDS:
        _card(face, rest, done)
        rest = rest.below(rest.height)
    elif face.title:
        rest, size = _title(face, rest, done, level)
    said = (("where it goes", face.goes_to), ("marks", face.marks), ("mount", face.mount))
    for name, words in said:
        # nothing is larger than the position
        rest = _told(name, words, rest, done, min(_MORE, max(size, _LEAST_MORE)))
    if aside:
        _hardware(face, half, done)
    else:
        rest = _hardware(face, rest, done)
    _notes(face, rest, done)
    if face.kind is FaceKind.BLANK and not (face.title or face.hardware or face.goes_back):
        done.ink += write_in(rest, scale=0.85)
    _whose(face, whole, bottom, done)
    return done


def _side(side: Side, room: Room, done: _Setting, level: _Level) -> float:
    """Set the side's letter as the largest of all, its word beside it, and return the height below them."""
    tall = max(_LOWEST, min(room.height * level.letter, _TALLEST))
    size = tall / (CAPITAL * POINT)
    letter = width(side.letter, Font.BOLD, size)
    base = room.y + tall
    at_right = side is Side.RIGHT
    x = room.right - letter if at_right else room.x
    done.ink.append(Text(x=x, y=base, text=side.letter, size=size, font=Font.BOLD))
    word = fit(side.value, Font.BOLD, room=room.width - letter - 1.0, size=size * 0.62, least=1.0)
    word_x = room.right - letter - 1.0 - word.width if at_right else room.x + letter + 1.0
    done.ink.append(Text(x=word_x, y=base, text=word.text, size=word.size, font=Font.BOLD))
    return base + 1.1 * level.air


def _head(face: TagFace, room: Room, done: _Setting, level: _Level) -> float:
    """Set warnings and kind, on two lines if it must be, white on black where it warns; return the height below."""
    bag = face.kind is FaceKind.BAG and bool(face.bag)
    words = "; ".join((*face.warnings, (face.bag if bag else face.kind.value).upper()))
    pad = _PAD if face.warnings else 0.0
    wide = room.width - 2 * pad
    two = fit_block(words, Font.BOLD, room=wide, height=height_of(2, level.head), size=level.head, least=_LEAST_HEAD)
    line = fit(words, Font.BOLD, room=wide, size=level.head, least=level.head * _ONE_LINE)
    # a position is worth more than a second line of these
    if ELLIPSIS not in line.text or room.height - two.height < height_of(1, level.least) + 0.5 + 2 * pad:
        block = Block(lines=(line.text,), size=line.size, whole=ELLIPSIS not in line.text)
    else:
        block = two
    # capitals leave nothing below their base line; a bag's words and a hook of a bracket may
    high = block.height - (0.0 if pad else DESCENT * block.size * POINT) + 2 * pad
    if pad:
        longest = max(width(each, Font.BOLD, block.size) for each in block.lines)
        done.ink.append(Box(x=room.x, y=room.y, width=longest + 2 * pad, height=high))
    done.ink += block_ink(block, Font.BOLD, x=room.x + pad, y=room.y + pad, tone=1.0 if pad else 0.0)
    if not block.whole:
        done.lost += _CUT_HEAD
        done.left.append("warnings")
    return room.y + high + 0.9 * level.air


def _title(face: TagFace, rest: Room, done: _Setting, level: _Level) -> tuple[Room, float]:
    """Set the position, and return the room below it and its size."""
    more = bool(face.hardware or face.marks or face.goes_to or face.mount)
    # at least one line, however little there is left
    least = min(level.least, max(1.0, rest.height / height_of(1, 1.0)))
    high = max(rest.height * (level.share if more else 1.0), height_of(1, least))
    block = fit_block(face.title, Font.BOLD, room=rest.width, height=high, size=max(level.title, least), least=least)
    done.ink += block_ink(block, Font.BOLD, x=rest.x, y=rest.y)
    if not block.whole:
        done.lost += _CUT_TITLE
        done.left.append("position")
    if least < level.least:
        done.lost += _CUT_TITLE
    return rest.below(block.height + 0.7 * level.air), block.size


def _card(face: TagFace, rest: Room, done: _Setting) -> None:
    """Set a card's name as large as it goes, in the middle of its height."""
    least = min(4.0, max(1.0, rest.height / height_of(1, 1.0)))
    block = fit_name(face.title, Font.BOLD, room=rest.width, height=rest.height, size=_CARD, least=least)
    done.ink += block_ink(block, Font.BOLD, x=rest.x, y=rest.y + max(0.0, rest.height - block.height) * 0.4)
    # the side's letter gives way before the name is too small to be read in passing
    done.lost += _CUT_TITLE * (not block.whole) + round(max(0.0, _CARD_READS - block.size) * 100)


def _told(name: str, words: str, rest: Room, done: _Setting, size: float) -> Room:
    """Set some words whole, or note that they found no room; return the room below."""
    if not words:
        return rest
    block = fit_block(words, Font.BOLD, room=rest.width, height=max(rest.height, 2.0), size=size, least=_LEAST_MORE)
    if not block.whole or block.height > rest.height:
        done.left.append(name)
        done.lost += _LEFT[name]
        return rest
    done.ink += block_ink(block, Font.BOLD, x=rest.x, y=rest.y)
    return rest.below(block.height + 0.5)


def _hardware(face: TagFace, rest: Room, done: _Setting) -> Room:
    """Set hardware that has room, a count of what has not, and what goes back in another count; return the rest."""
    back = fit_block(face.goes_back, Font.BOLD, room=rest.width, height=height_of(2, _MORE), size=_MORE,
                     least=_LEAST_MORE)  # fmt: skip
    taken = back.height + 0.5 if back.lines else 0.0
    least = _LEAST_HARDWARE if face.hardware else 0.0
    if back.lines and (not back.whole or rest.height < taken + least):
        done.left.append("what goes back")
        done.lost += _LEFT["what goes back"]
        taken = 0.0
    if face.hardware and rest.height < least:
        done.left.append("hardware" if len(face.hardware) > 1 else face.hardware[0])
        done.lost += 2 * len(face.hardware) + 1
        return rest
    room = Room(x=rest.x, y=rest.y, width=rest.width, height=max(0.0, rest.height - taken))
    lines = hardware_ink(face.hardware, room, scale=_HARDWARE)
    done.ink += lines.ink
    done.lost += lines.lost
    rest = rest.below(lines.height + 0.5 if lines.ink else 0.0)
    if taken:
        done.ink += block_ink(back, Font.BOLD, x=rest.x, y=rest.y)
        rest = rest.below(taken)
    return rest


def _notes(face: TagFace, rest: Room, done: _Setting) -> None:
    """Set what there is to note of marks, hardware and bags, in what room is left."""
    bag = face.bag if face.kind is not FaceKind.BAG else ""
    told = [words for words in (face.hardware_note, bag, face.marks_note, face.numbers) if words]
    size, least = _NOTES
    # the part's own numbers stand on the part too, and give way first
    for words in dict.fromkeys(("; ".join(told), "; ".join(told[:-1] if face.numbers else told))):
        block = fit_block(words, Font.REGULAR, room=rest.width, height=max(rest.height, 1.0), size=size, least=least)
        if words and block.whole and block.height <= rest.height:
            done.ink += block_ink(block, Font.REGULAR, x=rest.x, y=rest.y)
            return
        done.notes = done.notes or bool(words)


def _caution(face: TagFace, room: Room, done: _Setting) -> float:
    """Set what it is not along the bottom; return the height above that and the line above it."""
    bottom = room.bottom
    if face.kind not in (FaceKind.PLACE, FaceKind.PERSON):
        words = fit_block(_CAUTION, Font.REGULAR, room=room.width, height=3.0, size=_CAUTION_SIZE,
                          least=_LEAST_CAUTION)  # fmt: skip
        done.ink += block_ink(words, Font.REGULAR, x=room.x, y=bottom - words.height)
        bottom -= words.height + 0.3
    return bottom - _NOTE * POINT


def _whose(face: TagFace, room: Room, bottom: float, done: _Setting) -> None:
    """Set whose it is, or in its place what found no room: whose it is stands on the list too."""
    y = bottom + (1 - 0.27) * _NOTE * POINT
    if done.left:
        left = [*done.left, *(["notes"] if done.notes else [])]
        told = f"SEE LIST: {', '.join(left)}"
        line = fit(told, Font.BOLD, room=room.width, size=_NOTE, least=_LEAST_LIST)
        if line.text != told and len(left) > 1:
            # what is not named is counted
            told = f"SEE LIST: {left[0]} and {len(left) - 1} more"
            line = fit(told, Font.BOLD, room=room.width, size=_NOTE, least=_LEAST_NOTE)
        done.ink.append(Text(x=room.x, y=y, text=line.text, size=line.size, font=Font.BOLD))
        return
    # notes alone do not take the place of whose it is
    whose = " ".join(filter(None, (face.registration, face.job, face.by, "+ list" if done.notes else "")))
    line = fit(whose, Font.REGULAR, room=room.width, size=_NOTE, least=_LEAST_NOTE)
    if face.area:
        longer = fit(f"{whose} zone: {face.area}", Font.REGULAR, room=room.width, size=_NOTE, least=_LEAST_ZONE)
        line = line if ELLIPSIS in longer.text else longer
    done.ink.append(Text(x=room.x, y=y, text=line.text, size=line.size))

"""Text that stays inside its box: shrink, then break, then cut in the middle, never overprint.

Width is linear in size, so each text is measured once. A text that must be cut keeps both ends, because side, part
and terminal stand at the ends of what mechanics write: `elevator bal…eight, LEFT`.

Sizes are in points, lengths in millimetres.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from tagtrack.paper.fonts import CAPITAL, DESCENT, POINT, Font, drawable, width

ELLIPSIS = "…"

# from one line to the next, of the size; DejaVu is a tall face and reads well this close
LEADING = 1.16

# sizes are tried in steps of this many points
_STEP = 0.5

_NARROWEST = "i"

# a name keeps to one line where that is no smaller than this share of the size that it has on several
_ONE_LINE = 0.65

# "2" of "2 AN310-3": at a line's end it would be read with what stands before it
_COUNT = re.compile(r"\d{1,3}x?")
_LONGEST_COUNT = 4

# a word wider than its box is broken behind one of these, if it has one
_BREAKS = re.compile(r"(?<=[-/,.;:_=+)])")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line that fits: its text, its size in points, its width in millimetres."""

    text: str
    size: float
    width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """Lines of one size in points. `whole` is false where the text had to be cut."""

    lines: tuple[str, ...]
    size: float
    whole: bool = True

    @property
    def height(self) -> float:
        """From the top of the first line's capitals to the bottom of the last line's descenders, in millimetres."""
        return height_of(len(self.lines), self.size)


def height_of(count: int, size: float) -> float:
    """Return the height in millimetres of that many lines at a size in points; none have none."""
    return (CAPITAL + (count - 1) * LEADING + DESCENT) * size * POINT if count else 0.0


def fit(text: str, font: Font, *, room: float, size: float, least: float) -> Line:
    """Return the text on one line no wider than `room` mm: at `size`, else smaller down to `least`, else cut."""
    shown = drawable(text)
    least = min(least, size)
    unit = width(shown, font, 1.0)
    best = size if unit == 0 else min(size, room / unit)
    if best >= least:
        return Line(text=shown, size=best, width=unit * best)
    shown = _cut(shown, lambda candidate: width(candidate, font, least) <= room)
    # a box too narrow even for the ellipsis gets a smaller ellipsis: something was here, and it shows
    final = min(least, room / width(shown, font, 1.0))
    return Line(text=shown, size=final, width=width(shown, font, final))


def wrap(text: str, font: Font, *, room: float, size: float) -> tuple[str, ...]:
    """Return one paragraph as lines no wider than `room` mm; a word too wide is broken. Empty text has no line."""
    lines: list[str] = []
    line, used = "", 0.0
    unit_room = room / size
    space = width(" ", font, 1.0)
    words = _words(drawable(text), font)
    for number, word in enumerate(words, start=1):
        following = words[number] if number < len(words) else None
        if line and following is not None and len(word.text) <= _LONGEST_COUNT and _COUNT.fullmatch(word.text):
            # a count stays with what it counts
            together = word.width + space + following.width
            if used + space + together > unit_room >= together:
                lines.append(line)
                line, used = "", 0.0
        for piece in (word,) if word.width <= unit_room else _pieces(word.text, font, unit_room):
            gap = space if line and piece.starts_word else 0.0
            if line and used + gap + piece.width > unit_room:
                lines.append(line)
                line, used, gap = "", 0.0, 0.0
            line += (" " if gap else "") + piece.text
            used += gap + piece.width
    return (*lines, line) if line else tuple(lines)


# while a tag's sizes are sought, most of its texts are asked for again
@lru_cache(maxsize=1024)
def fit_block(text: str, font: Font, *, room: float, height: float, size: float, least: float) -> Block:
    """Return the text in the largest size, `size` to `least`, at which its lines fit `room` x `height` mm.

    Words are broken, and after that the middle is cut, only at the least size.
    """
    shown = drawable(text)
    most = lines_in(height, least)
    # of a text that could not fit if it were all of the narrowest letter, the middle is not even looked at
    kept = int(most * room / (least * width(_NARROWEST, font, 1.0))) + 1
    if len(shown) > 2 * kept:
        return _cut_block(shown[:kept] + shown[-kept:], font, room, least, most)
    longest = max((word.width for word in _words(shown, font)), default=0.0)
    steps = int((size - least) / _STEP)
    for step in range(steps + 1):
        now = size - step * _STEP
        if longest * now <= room:
            lines = wrap(shown, font, room=room, size=now)
            if height_of(len(lines), now) <= height:
                return Block(lines=_balanced(shown, font, room, now, lines), size=now)
    lines = wrap(shown, font, room=room, size=least)
    if len(lines) <= most:
        return Block(lines=lines, size=least)
    return _cut_block(shown, font, room, least, most)


def _cut_block(text: str, font: Font, room: float, least: float, most: int) -> Block:
    cut = _cut(text, lambda candidate: len(wrap(candidate, font, room=room, size=least)) <= most)
    return Block(lines=wrap(cut, font, room=room, size=least), size=least, whole=False)


def fit_name(text: str, font: Font, *, room: float, height: float, size: float, least: float) -> Block:
    """Return a name as `fit_block` does, but on one line where several would not be much larger."""
    block = fit_block(text, font, room=room, height=height, size=size, least=least)
    line = fit(text, font, room=room, size=block.size, least=block.size * _ONE_LINE)
    return Block(lines=(line.text,), size=line.size) if line.text and line.text == drawable(text) else block


def _balanced(text: str, font: Font, room: float, size: float, lines: tuple[str, ...]) -> tuple[str, ...]:
    """Return the same text in as many lines of nearly equal length, so that no lone digit ends on the last line."""
    # the longest word still has to fit, or it would be broken
    low = max((word.width for word in _words(text, font)), default=0.0) * size
    high = room
    for _ in range(6 if len(lines) > 1 else 0):
        middle = (low + high) / 2
        tried = wrap(text, font, room=middle, size=size)
        if len(tried) == len(lines):
            lines, high = tried, middle
        else:
            low = middle
    return lines


def lines_in(height: float, size: float) -> int:
    """Return how many lines of a size in points go into a height in millimetres; at least one is promised."""
    return max(1, math.floor((height / (size * POINT) - CAPITAL - DESCENT) / LEADING + 1 + 1e-9))


@dataclass(frozen=True, slots=True)
class _Piece:
    text: str
    # in millimetres at one point
    width: float
    starts_word: bool


@lru_cache(maxsize=1024)
def _words(text: str, font: Font) -> tuple[_Piece, ...]:
    """Return a drawable text's words, each measured once: what is tried in many sizes is the same words."""
    return tuple(_Piece(word, width(word, font, 1.0), starts_word=True) for word in text.split())


def _pieces(word: str, font: Font, unit_room: float) -> list[_Piece]:
    """Split a word too wide for its line: behind its own hyphens and strokes, else anywhere."""
    parts: list[str] = []
    for part in _BREAKS.split(word):
        rest = part
        while rest and width(rest, font, 1.0) > unit_room:
            keep = _longest_start(rest, font, unit_room)
            parts.append(rest[:keep])
            rest = rest[keep:]
        if rest:
            parts.append(rest)
    return [_Piece(part, width(part, font, 1.0), starts_word=number == 0) for number, part in enumerate(parts)]


def _longest_start(text: str, font: Font, unit_room: float) -> int:
    """Return how many of the first characters surely fit; at least one, or nothing would ever be placed."""
    low, high = 1, min(len(text), int(unit_room / width(_NARROWEST, font, 1.0)) + 1)
    while low < high:
        middle = (low + high + 1) // 2
        if width(text[:middle], font, 1.0) <= unit_room:
            low = middle
        else:
            high = middle - 1
    return low


def _cut(text: str, fits: Callable[[str], bool]) -> str:
    """Return the longest text with its middle cut out that fits, or the ellipsis alone."""
    low, high = 0, len(text) - 1
    while low < high:
        middle = (low + high + 1) // 2
        if fits(_without_middle(text, middle)):
            low = middle
        else:
            high = middle - 1
    # wrapping is not quite monotonic in length, so the last step is checked
    while low > 0 and not fits(_without_middle(text, low)):
        low -= 1
    return _without_middle(text, low)


def _without_middle(text: str, kept: int) -> str:
    tail = kept // 2
    return text[: kept - tail] + ELLIPSIS + (text[-tail:] if tail else "")

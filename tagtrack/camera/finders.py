"""Finder patterns in a picture, each for itself: a plain decoder needs all three of a symbol, the repair needs one.

A pattern is looked for as it is cut by rows and by columns, dark and light in 1 : 1 : 3 : 1 : 1, in the picture and in
smaller copies of it, so that the modules of a photo from near are found as those of a whole bench. What looks like one
is held against the whole pattern, turned every way.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, hypot, pi, sin

from PIL import Image, ImageChops, ImageFilter

from tagtrack.camera.straight import Pattern, Quad, sampled, settled

# light, then dark, light, dark, light, dark: the middle of a finder pattern, whichever way it is cut. Bounded, so that
# no row of a picture can hold the search up
_CUT = re.compile(rb"\xff\x00(?=(\x00{0,9})(\xff{1,10})(\x00{3,30})(\xff{1,10})(\x00{1,10}))")
# runs of 1 : 1 : 3 : 1 : 1 modules may be off by so much of a module
_OFF = 0.6
# a pattern is cut by at least so many rows, of its three modules; from one row to the next it moves by so little
_LEAST_ROWS = 2
# more candidates than this come from a picture that shows something else
_MOST = 600
# light and dark are told apart by what is around: within so many pixels
_AROUND = 24
# the picture itself, and copies of a half, a quarter, an eighth
_SMALLER = (1, 2, 4, 8)
_LEAST_SIDE = 60

# how a pattern is held against the whole of it: turned by so many degrees at a time, moved by so many modules
_TURN = 6
_FIRST, _THEN = (0.5, 0.25), (0.12,)
_LEAST = 0.45
RING = 9


@dataclass(frozen=True, slots=True)
class Finder:
    """Where a finder pattern seems to be: its middle, and the size of a module in pixels as it was cut."""

    x: float
    y: float
    module: float


def _ring() -> Pattern:
    """The pattern with the light ring that lies round it on every symbol: separator or quiet zone."""
    known = {}
    for x in range(RING):
        for y in range(RING):
            away = max(abs(x - RING // 2), abs(y - RING // 2))
            known[x, y] = away in (0, 1, 3)
    return Pattern.of(RING, known)


_RING = _ring()


def finders(picture: Image.Image) -> tuple[Finder, ...]:
    """Return what looks like a finder pattern in a grey picture, cut by rows or by columns."""
    found: list[Finder] = []
    for smaller in _SMALLER:
        if min(picture.size) < _LEAST_SIDE * smaller:
            break
        flat = _black_and_white(picture.reduce(smaller) if smaller > 1 else picture)
        by_rows = _cuts(flat)
        by_columns = [Finder(f.y, f.x, f.module) for f in _cuts(flat.transpose(Image.Transpose.TRANSPOSE))]
        for one in _joined(by_rows, by_columns):
            at = Finder(one.x * smaller, one.y * smaller, one.module * smaller)
            if not any(hypot(at.x - o.x, at.y - o.y) < o.module for o in found):
                found.append(at)
    return tuple(found[:_MOST])


def posed(picture: Image.Image, finder: Finder) -> Quad | None:
    """Return the corners of the pattern with its light ring, or None where no such pattern is."""
    best, most = None, 0.0
    for degrees in range(0, 90, _TURN):
        angle = degrees * pi / 180
        # a cut across a turned pattern is longer than the pattern is wide
        module = finder.module * max(abs(cos(angle)), abs(sin(angle)))
        quad = _square(finder.x, finder.y, module * RING / 2, angle)
        now = _RING.agrees(sampled(picture, quad, RING))
        if now > most:
            best, most = quad, now
    if best is None or most < _LEAST / 2:
        return None
    best, most = settled(picture, best, _RING, _FIRST)
    if most < _LEAST:
        return None
    best, _ = settled(picture, best, _RING, _THEN)
    return best


def _square(x: float, y: float, half: float, angle: float) -> Quad:
    ux, uy = half * cos(angle), half * sin(angle)
    left, right = (x - ux, y - uy), (x + ux, y + uy)
    return (
        (left[0] + uy, left[1] - ux), (right[0] + uy, right[1] - ux),
        (right[0] - uy, right[1] + ux), (left[0] - uy, left[1] + ux),
    )  # fmt: skip


def _joined(by_rows: list[Finder], by_columns: list[Finder]) -> Iterator[Finder]:
    """Each way of cutting knows its own direction best; what only one of them found is taken as it is."""
    left = list(by_columns)
    for one in by_rows:
        near = [o for o in left if hypot(o.x - one.x, o.y - one.y) < 1.6 * one.module]
        if near:
            other = min(near, key=lambda o, one=one: hypot(o.x - one.x, o.y - one.y))  # type: ignore[misc]
            left.remove(other)
            yield Finder(other.x, one.y, (one.module + other.module) / 2)
        else:
            yield one
    yield from left


def _black_and_white(picture: Image.Image) -> Image.Image:
    around = picture.filter(ImageFilter.BoxBlur(_AROUND))
    # darker than around by a little is dark: evened out over shadows and falling light
    return ImageChops.subtract(picture, around, 1.0, 134).point([0 if grey < 128 else 255 for grey in range(256)])


def _cuts(flat: Image.Image) -> list[Finder]:
    """Return the middles of patterns by their rows: enough rows that lie on each other."""
    wide, high = flat.size
    data = flat.tobytes()
    growing: list[tuple[float, float, float, int, int, int]] = []
    done: list[Finder] = []
    for y in range(high):
        hits = _in_row(data[y * wide : (y + 1) * wide])
        if not hits and not growing:
            continue
        still: list[tuple[float, float, float, int, int, int]] = []
        for x, total, module, rows, first, last in growing:
            match = next((h for h in hits if abs(h[0] - x) < module and abs(h[1] - module) < 0.5 * module), None)
            if match is not None:
                hits.remove(match)
                still.append((match[0], total + match[0], module + match[1], rows + 1, first, y))
            elif y - last <= 1:
                still.append((x, total, module, rows, first, last))
            else:
                done += _ended(total, module, rows, first, last)
        growing = still + [(x, x, module, 1, y, y) for x, module in hits]
    for _, total, module, rows, first, last in growing:
        done += _ended(total, module, rows, first, last)
    return done


def _ended(total: float, module: float, rows: int, first: int, last: int) -> list[Finder]:
    module /= rows
    if rows < max(_LEAST_ROWS, 0.7 * module) or rows > 6 * module:
        return []
    return [Finder(total / rows + 0.5, (first + last) / 2 + 0.5, module)]


def _in_row(row: bytes) -> list[tuple[float, float]]:
    """Return middle and module of every cut of 1 : 1 : 3 : 1 : 1 in one row."""
    found: list[tuple[float, float]] = []
    for match in _CUT.finditer(row):
        runs = [match.end(n) - match.start(n) for n in range(1, 6)]
        runs[0] += 1
        # the last run may be longer where the search stopped
        module = sum(runs) / 7
        if all(abs(run - want * module) <= _OFF * module for run, want in zip(runs, (1, 1, 3, 1, 1), strict=True)):
            found.append(((match.start(3) + match.end(3) - 1) / 2, module))
    return found

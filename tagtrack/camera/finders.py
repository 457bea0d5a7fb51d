"""Finder patterns in a picture, and the symbols that they can belong to: for symbols of which one pattern is lost.

A plain decoder needs all three. Two of them already fix where the third must have been, because every symbol of ours
has 21 modules a side; what the photo shows there is painted over by what must stand there (`repair`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from math import hypot

from PIL import Image, ImageChops, ImageFilter

from tagtrack.camera.repair import Corners

Point = tuple[float, float]

# dark, light, dark, light, dark: the middle of a finder pattern, whichever way it is cut. Bounded, so that no row of a
# picture can hold the search up
_CUT = re.compile(rb"(?=(\x00{1,40})(\xff{1,40})(\x00{2,120})(\xff{1,40})(\x00{1,40}))")
# runs of 1 : 1 : 3 : 1 : 1 modules may be off by so much of a module
_OFF = 0.6
# a pattern is cut by at least so many rows, of its three modules; from one row to the next it moves by so little
_LEAST_ROWS = 3
# between two patterns of one symbol, in modules: along a side, and across it
_SIDE, _ACROSS = 14.0, 14.0 * 2**0.5
_NEARLY = 0.18
# more candidates than this come from a picture that shows something else
_MOST = 400
# light and dark are told apart by what is around: within so many pixels
_AROUND = 24


@dataclass(frozen=True, slots=True)
class Finder:
    """One finder pattern: its middle, and the size of a module in pixels."""

    x: float
    y: float
    module: float


def finders(picture: Image.Image) -> tuple[Finder, ...]:
    """Return what looks like a finder pattern in a grey picture, cut by rows and by columns alike."""
    flat = _black_and_white(picture)
    by_rows = _cuts(flat)
    turned = flat.transpose(Image.Transpose.TRANSPOSE)
    by_columns = [Finder(f.y, f.x, f.module) for f in _cuts(turned)]
    found: list[Finder] = []
    for one in by_rows:
        near = [o for o in by_columns if hypot(o.x - one.x, o.y - one.y) < 1.6 * one.module
                and abs(o.module - one.module) < 0.5 * one.module]  # fmt: skip
        if near:
            other = min(near, key=lambda o, one=one: hypot(o.x - one.x, o.y - one.y))  # type: ignore[misc]
            # each way of cutting knows its own direction best
            found.append(Finder(other.x, one.y, (one.module + other.module) / 2))
    return tuple(found[:_MOST])


def _black_and_white(picture: Image.Image) -> Image.Image:
    around = picture.filter(ImageFilter.BoxBlur(_AROUND))
    # darker than around by a little is dark: evened out over shadows and falling light
    return ImageChops.subtract(picture, around, 1.0, 134).point([0 if grey < 128 else 255 for grey in range(256)])


def _cuts(flat: Image.Image) -> list[Finder]:
    """Return the middles of patterns by their rows: enough rows that lie on each other."""
    wide, high = flat.size
    data = flat.tobytes()
    growing: list[tuple[float, float, float, int, int]] = []
    done: list[Finder] = []
    for y in range(high):
        hits = _in_row(data[y * wide : (y + 1) * wide])
        still: list[tuple[float, float, float, int, int]] = []
        for x, total, module, first, last in growing:
            match = next((h for h in hits if abs(h[0] - x) < module and abs(h[1] - module) < 0.5 * module), None)
            if match is not None:
                hits.remove(match)
                still.append((match[0], total + match[0], (module + match[1]) / 2, first, y))
            elif y - last <= 1:
                still.append((x, total, module, first, last))
            else:
                done += _ended(total, module, first, last)
        growing = still + [(x, x, module, y, y) for x, module in hits]
    for _, total, module, first, last in growing:
        done += _ended(total, module, first, last)
    return done


def _ended(total: float, module: float, first: int, last: int) -> list[Finder]:
    rows = last - first + 1
    if rows < max(_LEAST_ROWS, 1.2 * module) or rows > 6 * module:
        return []
    return [Finder(total / rows + 0.5, (first + last) / 2 + 0.5, module)]


def _in_row(row: bytes) -> list[tuple[float, float]]:
    """Return middle and module of every cut of 1 : 1 : 3 : 1 : 1 in one row."""
    found: list[tuple[float, float]] = []
    for match in _CUT.finditer(row):
        if match.start() and row[match.start() - 1] == 0:
            continue
        runs = [match.end(n) - match.start(n) for n in range(1, 6)]
        # the last run may be longer where the search stopped
        module = sum(runs) / 7
        if all(abs(run - want * module) <= _OFF * module for run, want in zip(runs, (1, 1, 3, 1, 1), strict=True)):
            found.append(((match.start(3) + match.end(3) - 1) / 2, module))
    return found


def symbols(found: tuple[Finder, ...]) -> Iterator[Corners]:
    """Yield the corners of every symbol that two of the patterns can belong to: top left, then clockwise."""
    for one, other in combinations(found, 2):
        module = (one.module + other.module) / 2
        if abs(one.module - other.module) > 0.35 * module:
            continue
        apart = hypot(one.x - other.x, one.y - other.y) / module
        if abs(apart - _SIDE) <= _NEARLY * _SIDE:
            yield from _along(one, other)
        if abs(apart - _ACROSS) <= _NEARLY * _ACROSS:
            yield from _across(one, other)


def _along(one: Finder, other: Finder) -> Iterator[Corners]:
    """Two patterns at the ends of one side: the symbol lies to either side, and the third is at either end."""
    for a, b in ((one, other), (other, one)):
        ahead = (b.x - a.x, b.y - a.y)
        # a is the upper left, b the upper right; or b is the lower left and the symbol lies the other way
        yield _square((a.x, a.y), ahead, (-ahead[1], ahead[0]))
        yield _square((a.x, a.y), (ahead[1], -ahead[0]), ahead)


def _across(one: Finder, other: Finder) -> Iterator[Corners]:
    """Two patterns at opposite corners: the upper left is at either of the other two."""
    for a, b in ((one, other), (other, one)):
        middle = ((a.x + b.x) / 2, (a.y + b.y) / 2)
        half = ((b.x - a.x) / 2, (b.y - a.y) / 2)
        corner = (middle[0] + half[1], middle[1] - half[0])
        # a is the upper right, b the lower left, seen from that corner
        right, down = (a.x - corner[0], a.y - corner[1]), (b.x - corner[0], b.y - corner[1])
        if right[0] * down[1] - right[1] * down[0] > 0:
            yield _square(corner, right, down)


def _square(at: Point, right: Point, down: Point) -> Corners:
    """Return the corners of the symbol whose upper left pattern has its middle there, by the middles of its sides."""
    u, w = (right[0] / 14, right[1] / 14), (down[0] / 14, down[1] / 14)

    def point(across: float, below: float) -> tuple[int, int]:
        return round(at[0] + across * u[0] + below * w[0]), round(at[1] + across * u[1] + below * w[1])

    return point(-3.5, -3.5), point(17.5, -3.5), point(17.5, 17.5), point(-3.5, 17.5)

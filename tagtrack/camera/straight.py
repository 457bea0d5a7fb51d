"""A square of modules in a photo, straightened by its four corners, and how well it agrees with what must stand there.

Everything that the repair guesses (where a finder pattern is, where a symbol ends, which way up it lies) is decided by
one measure: how much lighter what must be light is than what must be dark, beside the contrast of that very square.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from operator import itemgetter

from PIL import Image

Point = tuple[float, float]
# upper left, then clockwise
Quad = tuple[Point, Point, Point, Point]

# samples across a module: what is between them is averaged
_FINE = 3
# of the greys of a square, so many tenths from either end, lie its dark and its light
_TENTH = 10
# less is no ink on paper
_LEAST_CONTRAST = 12


@dataclass(frozen=True, slots=True)
class Pattern:
    """Modules that are known beforehand, of a square of so many: which must be dark, and which light."""

    modules: int
    _dark: Callable[[bytes], tuple[int, ...]]
    _light: Callable[[bytes], tuple[int, ...]]

    @classmethod
    def of(cls, modules: int, known: Mapping[tuple[int, int], bool]) -> Pattern:
        """Make one from column and row of each known module, and whether it is dark."""
        at = {black: [y * modules + x for (x, y), dark in known.items() if dark is black] for black in (True, False)}
        return cls(modules, itemgetter(*at[True]), itemgetter(*at[False]))

    def agrees(self, greys: bytes) -> float:
        """Return from -1, everything is the other way round, over 0, chance, to 1, how well the greys agree."""
        dark, light = ends(greys)
        if light - dark < _LEAST_CONTRAST:
            return 0.0
        darks, lights = self._dark(greys), self._light(greys)
        return (sum(lights) / len(lights) - sum(darks) / len(darks)) / (light - dark)


def ends(greys: bytes) -> tuple[int, int]:
    """Return how dark the dark and how light the light of these greys is; specks and glints left out."""
    ordered = sorted(greys)
    part = len(ordered) // _TENTH
    return ordered[part], ordered[-part - 1]


def sampled(picture: Image.Image, quad: Quad, modules: int) -> bytes:
    """Return the grey of every module, row by row; what lies outside the picture is black."""
    side = modules * _FINE
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = quad
    flat = picture.transform(
        (side, side), Image.Transform.QUAD, (x0, y0, x3, y3, x2, y2, x1, y1), Image.Resampling.BILINEAR
    )
    return flat.reduce(_FINE).tobytes()


def settled(picture: Image.Image, quad: Quad, pattern: Pattern, steps: tuple[float, ...]) -> tuple[Quad, float]:
    """Move the square, as a whole and by its corners, to where most agrees; steps in modules, far ones first.

    Returns the square that was found, and how well it agrees.
    """
    best, most = quad, pattern.agrees(sampled(picture, quad, pattern.modules))
    for step in steps:
        for _ in range(3):
            before = most
            for move in _MOVES:
                tried = move(best, step / pattern.modules)
                now = pattern.agrees(sampled(picture, tried, pattern.modules))
                if now > most:
                    best, most = tried, now
            if most <= before:
                break
    return best, most


def point_in(quad: Quad, across: float, down: float) -> Point:
    """Return a point of the square by its shares of width and height, 0 to 1 inside; beyond, the sides go on."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = quad
    a, b, c, d = (1 - across) * (1 - down), across * (1 - down), across * down, (1 - across) * down
    return a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3


def turned(quad: Quad, quarters: int) -> Quad:
    """Return the same square read from another corner: so many quarter turns on."""
    a, b, c, d = (quad[(n + quarters) % 4] for n in range(4))
    return a, b, c, d


def inside(quad: Quad, x: float, y: float) -> bool:
    """Return whether a point lies within the square, its edges included."""
    sides = zip(quad, (*quad[1:], quad[0]), strict=True)
    return len({(bx - ax) * (y - ay) >= (by - ay) * (x - ax) for (ax, ay), (bx, by) in sides}) == 1


def _drawn_from(parts: tuple[tuple[float, float], ...]) -> Callable[[Quad, float], Quad]:
    """Make a move: each corner goes by its share of a step, across and down the square itself."""

    def move(quad: Quad, step: float) -> Quad:
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = quad
        ux, uy = (x1 + x2 - x0 - x3) / 2 * step, (y1 + y2 - y0 - y3) / 2 * step
        wx, wy = (x2 + x3 - x0 - x1) / 2 * step, (y2 + y3 - y0 - y1) / 2 * step
        a, b, c, d = (
            (x + across * ux + down * wx, y + across * uy + down * wy)
            for (x, y), (across, down) in zip(quad, parts, strict=True)
        )
        return a, b, c, d

    return move


def _moves() -> Iterator[Callable[[Quad, float], Quad]]:
    for sign in (1.0, -1.0):
        one, none = sign, 0.0
        # the whole of it, across and down; larger and smaller; round its middle; then each corner by itself
        yield _drawn_from(((one, none),) * 4)
        yield _drawn_from(((none, one),) * 4)
        yield _drawn_from(((-one, -one), (one, -one), (one, one), (-one, one)))
        yield _drawn_from(((one, -one), (one, one), (-one, one), (-one, -one)))
        for corner in range(4):
            yield _drawn_from(tuple((one if n == corner else none, none) for n in range(4)))
            yield _drawn_from(tuple((none, one if n == corner else none) for n in range(4)))


_MOVES = tuple(_moves())

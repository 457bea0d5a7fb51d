"""A copy of a picture with every symbol outlined and named, so that a person sees what was read and where."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from io import BytesIO

from PIL import Image, ImageDraw

from tagtrack.camera.ladder import Sighting

# heights of the names as shares of the picture's shorter side: as large as they go without lying on each other
_LETTERS = (25, 32, 40, 50, 64, 80)

# left, top, right, bottom
Box = tuple[float, float, float, float]


def outlined(picture: Image.Image, sightings: Sequence[Sighting], names: Mapping[str, str]) -> bytes:
    """Return the picture as a JPEG with the outlines on it; `names` says what a code is, else the code stands there."""
    copy = picture.convert("RGB")
    draw = ImageDraw.Draw(copy)
    pen = max(3, min(copy.size) // 300)
    words = [names.get(sighting.code) or sighting.code or "foreign" for sighting in sightings]
    symbols = [_around(sighting, pen) for sighting in sightings]
    sizes = [max(10, min(copy.size) // share) for share in _LETTERS]
    placed: list[Box | None] = []
    for size in sizes:
        placed = name_places(draw, words, symbols, size, copy.size)
        if None not in placed:
            break
    for sighting in sightings:
        corners = [*sighting.corners, sighting.corners[0]]
        # black within white: it shows on any ground, in any print
        draw.line(corners, fill="white", width=pen * 3)
        draw.line(corners, fill="black", width=pen)
    for text, box, symbol in zip(words, placed, symbols, strict=True):
        # where there is no room left at all, a name lies on another
        left, top, right, bottom = box or next(_beside(symbol, *_extent(draw, text, size), copy.size))
        draw.rectangle((left, top, right, bottom), fill="white", outline="black")
        draw.text((left + size / 5, (top + bottom) / 2), text, fill="black", font_size=size, anchor="lm")
    out = BytesIO()
    copy.save(out, "JPEG", quality=85)
    return out.getvalue()


def name_places(
    draw: ImageDraw.ImageDraw, words: Sequence[str], symbols: Sequence[Box], size: int, picture: tuple[int, int]
) -> list[Box | None]:
    """Return a place for each name that touches no symbol and no other name; None where there is none."""
    placed: list[Box | None] = []
    for text, symbol in zip(words, symbols, strict=True):
        wide, high = _extent(draw, text, size)
        taken = [*symbols, *filter(None, placed)]
        free = (box for box in _beside(symbol, wide, high, picture) if not any(_touch(box, other) for other in taken))
        placed.append(next(free, None))
    return placed


def _beside(symbol: Box, wide: float, high: float, picture: tuple[int, int]) -> Iterator[Box]:
    """Yield places beside a symbol, inside the picture: below and above first, from its left end to its right."""
    left, top, right, bottom = symbol
    middle = (top + bottom - high) / 2
    for x, y in (
        (left, bottom), (left, top - high), (right - wide, bottom), (right - wide, top - high),
        ((left + right - wide) / 2, bottom), ((left + right - wide) / 2, top - high), (right, middle),
        (left - wide, middle), (right, bottom), (left - wide, bottom), (right, top - high), (left - wide, top - high),
    ):  # fmt: skip
        # a picture narrower than the words keeps their beginning
        inside_x = max(0.0, min(x, picture[0] - wide - 1))
        inside_y = max(0.0, min(y, picture[1] - high - 1))
        yield inside_x, inside_y, inside_x + wide, inside_y + high


def _around(sighting: Sighting, pen: int) -> Box:
    xs, ys = [x for x, _ in sighting.corners], [y for _, y in sighting.corners]
    return min(xs) - 2 * pen, min(ys) - 2 * pen, max(xs) + 2 * pen, max(ys) + 2 * pen


def _extent(draw: ImageDraw.ImageDraw, text: str, size: int) -> tuple[float, float]:
    return draw.textlength(text, font_size=size) + size / 2.5, size * 1.3


def _touch(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]

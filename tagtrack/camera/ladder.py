"""Every tag in a picture: one plain look, and where something is missing still, dearer looks, the cheapest first.

The order was measured on drawn photos: thresholds earn most on oily and scratched tags, enlarging on small ones. The
ladder is left as soon as all that is expected was seen. A code is taken only if its check character fits; whatever
else a symbol says is told as foreign, never dropped.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

import zxingcpp
from PIL import Image

from tagtrack.camera.finders import finders, posed
from tagtrack.camera.repair import QR, around, repaired
from tagtrack.camera.straight import Quad, inside
from tagtrack.core.errors import Refusal
from tagtrack.core.tagcode import looks_like_code, read

Corner = tuple[int, int]
Corners = tuple[Corner, Corner, Corner, Corner]

# grey levels between the darkest paper and the lightest ink, of 255
_THRESHOLDS = range(60, 201, 20)
# so many finder patterns that lead to no tag come from a picture of something else: nobody waits for the rest
_MOST_IN_VAIN = 200
# tiles bound the memory of an enlarged picture; they overlap by more than the largest symbol that needs enlarging
_TILE, _OVERLAP = 1400, 320


@dataclass(frozen=True, slots=True)
class Sighting:
    """One symbol: the tag's code, or empty with what else it says; its corners in the picture; which look found it."""

    code: str
    said: str
    corners: Corners
    look: str


@dataclass(frozen=True, slots=True)
class Look:
    """One rung: its name, and what it finds in a grey picture, as (text, corners), given where symbols were read."""

    name: str
    find: Callable[[Image.Image, Sequence[Corners]], Iterator[tuple[str, Corners]]]
    # whether it paints back what is lost, by what all our symbols have in common
    repairs: bool = False


def see(
    picture: Image.Image, expected: frozenset[str] = frozenset(), *, patient: bool = True, looks: Sequence[Look] = (),
) -> tuple[Sighting, ...]:  # fmt: skip
    """Return every symbol in a grey picture, each code once.

    Goes up the ladder until every expected code was seen; with nothing expected, to its top if `patient`. `looks` takes
    the place of the ladder.
    """
    looks = looks or LADDER
    found: dict[str, Sighting] = {}
    for look in looks if expected or patient else looks[:1]:
        for text, corners in look.find(picture, [known.corners for known in found.values()]):
            sighting = _sighting(text, corners, look.name)
            found.setdefault(sighting.code or sighting.said, sighting)
        if expected and expected <= found.keys():
            break
    return tuple(found.values())


def _sighting(text: str, corners: Corners, look: str) -> Sighting:
    if looks_like_code(text):
        try:
            return Sighting(read(text), text, corners, look)
        except Refusal:
            pass
    return Sighting("", text, corners, look)


def _plain(picture: Image.Image, _: Sequence[Corners]) -> Iterator[tuple[str, Corners]]:
    yield from _decoded(picture)


def _thresholds(picture: Image.Image, _: Sequence[Corners]) -> Iterator[tuple[str, Corners]]:
    for level in _THRESHOLDS:
        yield from _decoded(picture.point([0 if grey < level else 255 for grey in range(256)]))


def _enlarged(times: int) -> Callable[[Image.Image, Sequence[Corners]], Iterator[tuple[str, Corners]]]:
    def find(picture: Image.Image, _: Sequence[Corners]) -> Iterator[tuple[str, Corners]]:
        for left, top in product(_steps(picture.width), _steps(picture.height)):
            box = (left, top, min(left + _TILE, picture.width), min(top + _TILE, picture.height))
            tile = picture.crop(box)
            large = tile.resize((tile.width * times, tile.height * times), Image.Resampling.LANCZOS)
            for text, corners in _decoded(large):
                yield text, _moved(corners, times, left, top)

    return find


def _steps(length: int) -> range:
    return range(0, max(1, length - _OVERLAP), _TILE - _OVERLAP)


def _moved(corners: Corners, times: int, left: int, top: int) -> Corners:
    one, two, three, four = ((x // times + left, y // times + top) for x, y in corners)
    return one, two, three, four


def _repairs(picture: Image.Image, _: Sequence[Corners]) -> Iterator[tuple[str, Corners]]:
    for result in zxingcpp.read_barcodes(picture, formats=QR, return_errors=True):
        if not result.valid:
            text, where = repaired(picture, _corners(result))
            if text:
                yield text, _whole(where)


def _by_finders(picture: Image.Image, read_at: Sequence[Corners]) -> Iterator[tuple[str, Corners]]:
    done: list[Quad] = list(read_at)
    in_vain = 0
    for finder in finders(picture):
        if in_vain > _MOST_IN_VAIN:
            break
        # the patterns of a symbol that was read tell nothing new
        if any(inside(quad, finder.x, finder.y) for quad in done):
            continue
        ring = posed(picture, finder)
        in_vain += ring is not None
        for quad in around(picture, ring) if ring else ():
            text, where = repaired(picture, quad)
            if text:
                in_vain -= 1
                done.append(where)
                yield text, _whole(where)
                break


def _whole(quad: Quad) -> Corners:
    one, two, three, four = ((round(x), round(y)) for x, y in quad)
    return one, two, three, four


LADDER: tuple[Look, ...] = (
    Look("plain", _plain),
    Look("thresholds", _thresholds),
    Look("repaired", _repairs, repairs=True),
    Look("twice as large", _enlarged(2)),
    Look("three times as large", _enlarged(3)),
    Look("a finder pattern put back", _by_finders, repairs=True),
)


def _decoded(picture: Image.Image) -> Iterator[tuple[str, Corners]]:
    for result in zxingcpp.read_barcodes(picture, formats=QR):
        yield result.text, _corners(result)


def _corners(result: zxingcpp.Barcode) -> Corners:
    at = result.position
    return tuple((p.x, p.y) for p in (at.top_left, at.top_right, at.bottom_right, at.bottom_left))  # type: ignore[return-value]

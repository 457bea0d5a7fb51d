"""A symbol whose corners are known and whose modules are hurt: what every tag has in common is painted back.

Our symbols are all of version 1, level H and one mask, so finder patterns, timing and format bits are the same on each
of them. They are repainted over what the photo shows, and the clean grid is read once more.
"""

from __future__ import annotations

from typing import Any

import zxingcpp
from PIL import Image

# the type of this argument changed between versions of the library; the value did not
QR: Any = zxingcpp.BarcodeFormat.QRCode
MODULES = 21
# pixels for each module when a symbol is straightened, and of the grid that is read
_FINE, _CLEAN, _QUIET = 6, 4, 4
# level H with mask 2: BCH(15,5) of ISO/IEC 18004, masked, the most significant bit first
FORMAT = 0b001110011100111
_FINDER = ("1111111", "1000001", "1011101", "1011101", "1011101", "1000001", "1111111")

# below, the corners are those of something else; half would be chance
_LEAST_FIT = 0.62
# how far corners are moved, in modules: first far, then fine
_STEPS = (1.0, 0.5, 0.25, 0.12)

Corner = tuple[int, int]
Corners = tuple[Corner, Corner, Corner, Corner]


def repaired(picture: Image.Image, corners: Corners) -> str:
    """Return the text of the symbol with these corners, or an empty text where too much of it is gone.

    Corners that are guessed from what is left of a symbol are a little off: they are moved, one at a time, to where
    most of what must stand there does stand there.
    """
    grid = _sampled(picture, corners)
    if grid is None or _fits(grid) < _LEAST_FIT:
        return ""
    text = _read(grid)
    if text:
        return text
    better = _sampled(picture, _moved_to_fit(picture, corners))
    return _read(better) if better is not None else ""


def _moved_to_fit(picture: Image.Image, corners: Corners) -> Corners:
    best, fit = corners, _fits(_sampled(picture, corners) or [])
    module = max(abs(corners[2][0] - corners[0][0]), abs(corners[2][1] - corners[0][1])) / MODULES
    for share in _STEPS:
        step = max(1, round(share * module))
        for corner in range(4):
            for dx, dy in ((step, 0), (-step, 0), (0, step), (0, -step)):
                moved = list(best)
                moved[corner] = (best[corner][0] + dx, best[corner][1] + dy)
                tried: Corners = (moved[0], moved[1], moved[2], moved[3])
                now = _fits(_sampled(picture, tried) or [])
                if now > fit:
                    best, fit = tried, now
    return best


def _fits(grid: list[list[bool]]) -> float:
    """Return how much of what must stand in every symbol stands in this one, from 0 to 1."""
    return sum(grid[y][x] == black for x, y, black in _FIXED) / len(_FIXED) if grid else 0.0


def _read(grid: list[list[bool]]) -> str:
    grid = [row[:] for row in grid]
    for x, y, black in _FIXED:
        grid[y][x] = black
    side = (MODULES + 2 * _QUIET) * _CLEAN
    clean = Image.new("L", (MODULES + 2 * _QUIET, MODULES + 2 * _QUIET), 255)
    for y, row in enumerate(grid):
        for x, black in enumerate(row):
            if black:
                clean.putpixel((x + _QUIET, y + _QUIET), 0)
    large = clean.resize((side, side), Image.Resampling.NEAREST)
    results = zxingcpp.read_barcodes(large, formats=QR, is_pure=True)
    return results[0].text if results else ""


def _sampled(picture: Image.Image, corners: Corners) -> list[list[bool]] | None:
    """Return the modules as the photo shows them, straightened by the corners; None where they span nothing."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = corners
    if abs((x2 - x0) * (y3 - y1) - (x3 - x1) * (y2 - y0)) < MODULES * MODULES:
        return None
    side = MODULES * _FINE
    quad = (x0, y0, x3, y3, x2, y2, x1, y1)
    flat = picture.transform((side, side), Image.Transform.QUAD, quad, Image.Resampling.BILINEAR)
    small = flat.resize((MODULES, MODULES), Image.Resampling.BOX)
    greys = small.tobytes()
    # between what is dark and what is light in this very symbol
    ordered = sorted(greys)
    cut = (ordered[len(ordered) // 10] + ordered[-len(ordered) // 10]) / 2
    return [[greys[y * MODULES + x] < cut for x in range(MODULES)] for y in range(MODULES)]


def fixed_modules() -> list[tuple[int, int, bool]]:
    """Return column, row and blackness of every module that is the same on all our symbols."""
    found: dict[tuple[int, int], bool] = {}
    far = MODULES - 7
    for left, top in ((0, 0), (far, 0), (0, far)):
        # the white separator first, then the pattern over it
        for x in range(left - 1, left + 8):
            for y in range(top - 1, top + 8):
                if 0 <= x < MODULES and 0 <= y < MODULES:
                    found[x, y] = False
        for y, row in enumerate(_FINDER):
            for x, bit in enumerate(row):
                found[left + x, top + y] = bit == "1"
    for step in range(8, MODULES - 8):
        found[step, 6] = found[6, step] = step % 2 == 0
    bits = [bool(FORMAT >> (14 - n) & 1) for n in range(15)]
    # ISO/IEC 18004: one copy round the upper left finder, one along the other two
    around = [(n, 8) for n in range(6)] + [(7, 8), (8, 8), (8, 7)] + [(8, 5 - n) for n in range(6)]
    along = [(8, MODULES - 1 - n) for n in range(7)] + [(MODULES - 8 + n, 8) for n in range(8)]
    for places in (around, along):
        found.update(zip(places, bits, strict=True))
    found[8, MODULES - 8] = True
    return [(x, y, black) for (x, y), black in found.items()]


_FIXED = tuple(fixed_modules())

"""A symbol of which a part is hurt or gone: what every tag has in common is painted back, and the rest is read.

Our symbols are all of version 1, level H and one mask, so finder patterns, timing and format bits are the same on each
of them, and one finder pattern that is left tells where the whole symbol lies. Nothing is guessed of the code itself:
the clean grid goes to the decoder, whose error correction takes it or leaves it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import zxingcpp
from PIL import Image

from tagtrack.camera.finders import RING
from tagtrack.camera.straight import Pattern, Quad, ends, point_in, sampled, settled, turned

# the type of this argument changed between versions of the library; the value did not
QR: Any = zxingcpp.BarcodeFormat.QRCode
MODULES = 21
# pixels for each module of the grid that is read, and its quiet zone in modules
_CLEAN, _QUIET = 4, 4
# level H with mask 2: BCH(15,5) of ISO/IEC 18004, masked, the most significant bit first
FORMAT = 0b001110011100111
_FINDER = ("1111111", "1000001", "1011101", "1011101", "1011101", "1000001", "1111111")

# below, the square is something else; before it is settled, and after
_LEAST_FIRST, _LEAST = 0.30, 0.40
# how far a square is moved, in modules: first far, then fine
_FAR, _FINE = (1.0, 0.5), (0.25, 0.12)
# of the squares that one pattern can belong to, so many are tried in earnest
_TRIED = 3


def repaired(picture: Image.Image, quad: Quad) -> tuple[str, Quad]:
    """Return the text of the symbol with these corners, and the corners as they were found to be.

    The text is empty where too much of the symbol is gone. Corners that are guessed from what is left of it are a
    little off: the square is moved to where most of what must stand there does stand there.
    """
    if SYMBOL.agrees(sampled(picture, quad, MODULES)) < _LEAST_FIRST:
        return "", quad
    quad, agrees = settled(picture, quad, SYMBOL, _FAR)
    if agrees < _LEAST:
        return "", quad
    text = _read(sampled(picture, quad, MODULES))
    if not text:
        quad, _ = settled(picture, quad, SYMBOL, _FINE)
        text = _read(sampled(picture, quad, MODULES))
    return text, quad


def around(picture: Image.Image, ring: Quad) -> Iterator[Quad]:
    """Yield the symbols that a finder pattern with its light ring can belong to, the likeliest first.

    It may stand at each of the symbol's corners but one, and the symbol on each of four sides of it.
    """
    found: list[tuple[float, Quad]] = []
    for quarters in range(4):
        here = turned(ring, quarters)
        # as the pattern at the upper left: one module of the ring lies outside the symbol
        low, high = 1 / RING, (1 + MODULES) / RING
        top = point_in(here, low, low), point_in(here, high, low)
        whole = (*top, point_in(here, high, high), point_in(here, low, high))
        for corner in (0, 1, 3):
            quad = turned(whole, -corner % 4)
            found.append((SYMBOL.agrees(sampled(picture, quad, MODULES)), quad))
    found.sort(key=lambda pair: -pair[0])
    yield from (quad for _, quad in found[:_TRIED])


def _read(greys: bytes) -> str:
    # between what is dark and what is light in this very symbol
    dark, light = ends(greys)
    cut = (dark + light) / 2
    size = MODULES + 2 * _QUIET
    clean = Image.new("L", (size, size), 255)
    for place, grey in enumerate(greys):
        y, x = divmod(place, MODULES)
        if _FIXED.get((x, y), grey < cut):
            clean.putpixel((x + _QUIET, y + _QUIET), 0)
    large = clean.resize((size * _CLEAN, size * _CLEAN), Image.Resampling.NEAREST)
    results = zxingcpp.read_barcodes(large, formats=QR, is_pure=True)
    return results[0].text if results else ""


def fixed_modules() -> dict[tuple[int, int], bool]:
    """Return column and row of every module that is the same on all our symbols, and whether it is black."""
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
    beside = [(n, 8) for n in range(6)] + [(7, 8), (8, 8), (8, 7)] + [(8, 5 - n) for n in range(6)]
    along = [(8, MODULES - 1 - n) for n in range(7)] + [(MODULES - 8 + n, 8) for n in range(8)]
    for places in (beside, along):
        found.update(zip(places, bits, strict=True))
    found[8, MODULES - 8] = True
    return found


_FIXED = fixed_modules()
SYMBOL = Pattern.of(MODULES, _FIXED)

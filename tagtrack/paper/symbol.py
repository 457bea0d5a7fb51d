"""The QR symbol of a tag code: always the smallest version at the strongest level, one drawing operator per symbol.

Version 1 (21 x 21 modules) at level H holds exactly 10 upper-case alphanumeric characters (ISO/IEC 18004, table of
data capacities; the same figure stands in qrcode's own tables, and a test compares). Everything is pinned, so that a
reader may know the layout beforehand: version, level, mode and mask. A fixed mask reads as well as the best of eight
and is made six times as fast (measured on 400 codes).

A shop may have its address before the code, so that a phone's own camera app opens the page. That takes a larger
version, at level M or better, in the same mode and mask; what its modules lose in size the second symbol of a label
makes good, which always holds the code alone.

Separate squares leave white hairlines between them in some viewers, so the whole symbol is one path of merged
rectangles in whole module units.
"""

from __future__ import annotations

import re
from functools import lru_cache

import qrcode
from qrcode.constants import ERROR_CORRECT_H, ERROR_CORRECT_M, ERROR_CORRECT_Q
from qrcode.util import MODE_ALPHA_NUM, QRData

from tagtrack.core.errors import Refusal

VERSION = 1
MASK = 2
MODULES = 21
MOST_CHARACTERS = 10

# blank modules round the symbol, ISO/IEC 18004
QUIET = 4

_CODE = re.compile(r"[0-9A-Z]{1,10}")
_ADDRESSED = re.compile(r"HTTPS?://[0-9A-Z.:-]+/T/[0-9A-Z]{1,10}")
# upper-case alphanumeric characters by version and level, ISO/IEC 18004:2015, table 7
_HOLDS = (
    (2, ((ERROR_CORRECT_H, 20), (ERROR_CORRECT_Q, 29), (ERROR_CORRECT_M, 38))),
    (3, ((ERROR_CORRECT_H, 35), (ERROR_CORRECT_Q, 47), (ERROR_CORRECT_M, 61))),
)

Matrix = tuple[tuple[bool, ...], ...]


# a tag's two symbols, and its stub, follow each other; what a sheet printed again needs is kept by `operators`
@lru_cache(maxsize=64)
def matrix(code: str) -> Matrix:
    """Return the symbol's modules, top row first, true for black, without the quiet zone; refuse any other text."""
    version, level = _version(code)
    symbol = qrcode.QRCode(version=version, error_correction=level, border=0, mask_pattern=MASK)
    # the mode is set by hand: left alone, a code of digits only would be packed as a number
    symbol.add_data(QRData(code.encode("ascii"), mode=MODE_ALPHA_NUM, check_data=False))
    # fit=False: a code too long is an error here, where the default silently takes a larger version
    symbol.make(fit=False)
    return tuple(tuple(bool(module) for module in row) for row in symbol.modules)


def across(code: str) -> int:
    """Return how many modules the symbol has a side; refuse what `matrix` refuses."""
    # ISO/IEC 18004: four more with each version
    return MODULES + 4 * (_version(code)[0] - VERSION)


def _version(code: str) -> tuple[int, int]:
    """Return the smallest version that holds a code, or a code behind an address, and the best level that it has."""
    if _CODE.fullmatch(code):
        return VERSION, ERROR_CORRECT_H
    if _ADDRESSED.fullmatch(code):
        for version, levels in _HOLDS:
            for level, most in levels:
                if len(code) <= most:
                    return version, level
    raise Refusal(
        f"'{code}' cannot be a tag code",
        expected=f"1 to {MOST_CHARACTERS} characters, digits 0-9 and capitals A-Z",
        came=code or "nothing",
        todo="use the code as it was issued, without spaces or hyphens",
    )


@lru_cache(maxsize=64)
def rectangles(code: str) -> tuple[tuple[int, int, int, int], ...]:
    """Return column, row, width and height, in modules from the top left, of rectangles that cover each black once."""
    rows = matrix(code)
    # each rectangle still growing downwards, by the run it covers: the row it began in
    growing: dict[tuple[int, int], int] = {}
    done: list[tuple[int, int, int, int]] = []
    for number, row in enumerate((*rows, (False,) * len(rows))):
        blacks = runs(row)
        for run in [run for run in growing if run not in blacks]:
            top = growing.pop(run)
            done.append((run[0], top, run[1] - run[0], number - top))
        for run in blacks:
            growing.setdefault(run, number)
    return tuple(sorted(done, key=lambda box: (box[1], box[0])))


@lru_cache(maxsize=4096)
def operators(code: str) -> str:
    """Return the symbol as one filled PDF path in module units, from its lower left corner, `across` units a side."""
    side = across(code)
    boxes = " ".join(f"{x} {side - y - height} {width} {height} re" for x, y, width, height in rectangles(code))
    return f"{boxes} f"


def runs(row: tuple[bool, ...]) -> tuple[tuple[int, int], ...]:
    """Return the start and end column of each stretch of black, from left to right."""
    padded = (False, *row, False)
    edges = [column for column in range(len(row) + 1) if padded[column] != padded[column + 1]]
    return tuple(zip(edges[::2], edges[1::2], strict=True))

"""The QR symbol of an address, for the terminal: it is scanned from a screen, so it may be of any version."""

from __future__ import annotations

import qrcode
from qrcode.constants import ERROR_CORRECT_L

from tagtrack.paper.symbol import QUIET, Matrix

# two rows to a line of text; light is drawn and dark is left, for a terminal with light letters on dark ground
_HALVES = {(True, True): " ", (True, False): "\u2584", (False, True): "\u2580", (False, False): "\u2588"}


def modules_of(address: str) -> Matrix:
    """Return the modules of the smallest symbol that holds the address, with its quiet zone; true for black."""
    symbol = qrcode.QRCode(error_correction=ERROR_CORRECT_L, border=QUIET)
    symbol.add_data(address)
    symbol.make(fit=True)
    return tuple(tuple(bool(module) for module in row) for row in symbol.get_matrix())


def in_blocks(address: str) -> str:
    """Return the symbol as lines of block characters, two rows of modules to each."""
    rows = modules_of(address)
    light = (False,) * len(rows[0])
    below = (*rows[1:], light)
    pairs = zip(rows[::2], below[::2], strict=True)
    return "\n".join("".join(_HALVES[pair] for pair in zip(upper, lower, strict=True)) for upper, lower in pairs)

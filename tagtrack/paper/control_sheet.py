"""A sheet of words as symbols, for hands that cannot type: each one types its word, and the scanner presses Enter.

The words are those of the scan loop, in capitals, so that they fit the alphanumeric mode of ISO/IEC 18004.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import qrcode
from qrcode.constants import ERROR_CORRECT_Q
from qrcode.util import MODE_ALPHA_NUM, QRData

from tagtrack.core.cautions import SHEET
from tagtrack.paper.fonts import CAPITAL, POINT, Font
from tagtrack.paper.ink import Box, Ink, Page, Text, block_ink, frame
from tagtrack.paper.symbol import QUIET, runs
from tagtrack.paper.text import fit, fit_block

# what is said most, in the order of the work
WORDS: tuple[str, ...] = (
    "ON", "ALL IN TIGHT", "ALL IN NEW TIGHT SAFE", "FINGER NO", "FINGER YES", "TIGHT", "SAFE", "SAME", "HOLE",
    "UP FWD", "UP AFT", "UP INBD", "UP OUTBD", "DOWN FWD", "FWD UP", "OUTBD UP", "NO", "UNDO", "STATUS", "NEXT",
    "CHECK", "QUIT",
)  # fmt: skip
_COLUMNS, _ROWS = 4, 7
_MARGIN, _HEAD = 12.0, 14.0


def control_pages(words: Sequence[str], *, wide: float, high: float, title: str) -> tuple[Page, ...]:
    """Return pages of that size in millimetres with one cell for each word: its symbol, and the word in clear."""
    per_page = _COLUMNS * _ROWS
    pages = [words[at : at + per_page] for at in range(0, len(words), per_page)]
    cell_wide, cell_high = (wide - 2 * _MARGIN) / _COLUMNS, (high - 2 * _MARGIN - _HEAD) / _ROWS
    result: list[Page] = []
    for number, group in enumerate(pages, start=1):
        heading = fit(f"{title}   sheet {number} of {len(pages)}", Font.BOLD, room=wide - 2 * _MARGIN, size=12, least=6)
        caution = fit_block(SHEET[0], Font.REGULAR, room=wide - 2 * _MARGIN, height=6, size=6, least=4)
        ink: list[Ink] = [
            Text(x=_MARGIN, y=_MARGIN + CAPITAL * heading.size * POINT, text=heading.text, size=heading.size,
                 font=Font.BOLD),
            *block_ink(caution, Font.REGULAR, x=_MARGIN, y=_MARGIN + 5.5),
        ]  # fmt: skip
        for place, word in enumerate(group):
            row, column = divmod(place, _COLUMNS)
            x, y = _MARGIN + column * cell_wide, _MARGIN + _HEAD + row * cell_high
            ink += _cell(word, x, y, cell_wide, cell_high)
        result.append(Page(width=wide, height=high, ink=tuple(ink)))
    return tuple(result)


def _cell(word: str, x: float, y: float, wide: float, high: float) -> tuple[Ink, ...]:
    rows = word_matrix(word)
    words = fit(word, Font.BOLD, room=wide - 4, size=11, least=5)
    room = high - words.size * POINT - 3.0
    module = min(room, wide - 4) / (len(rows) + 2 * QUIET)
    left = x + (wide - module * len(rows)) / 2
    top = y + 1.0 + QUIET * module
    boxes = tuple(
        Box(x=left + start * module, y=top + row * module, width=(end - start) * module, height=module)
        for row, line in enumerate(rows)
        for start, end in runs(line)
    )
    text = Text(x=x + (wide - words.width) / 2, y=y + high - 1.6, text=words.text, size=words.size, font=Font.BOLD)
    return (frame(x + 0.4, y + 0.4, wide - 0.8, high - 0.8, pen=0.15, dashed=True), *boxes, text)


@lru_cache(256)
def word_matrix(word: str) -> tuple[tuple[bool, ...], ...]:
    """Return the symbol of a word in capitals, top row first, true for black, without the quiet zone."""
    symbol = qrcode.QRCode(error_correction=ERROR_CORRECT_Q, border=0)
    symbol.add_data(QRData(word.encode("ascii"), mode=MODE_ALPHA_NUM))
    symbol.make(fit=True)
    return tuple(tuple(bool(module) for module in row) for row in symbol.modules)

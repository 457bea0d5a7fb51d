"""A sheet as a PDF on the paper that the shop's printer holds."""

from __future__ import annotations

from enum import Enum, unique
from typing import BinaryIO

from tagtrack.core.sheets import Sheet
from tagtrack.paper.pdf import write_pdf
from tagtrack.paper.report_layout import report_pages


@unique
class Paper(Enum):
    """Paper for reports; the value is the word by which a shop asks for it."""

    # 8.5 x 11 inches
    LETTER = "letter"
    # ISO 216
    A4 = "a4"

    @property
    def size(self) -> tuple[float, float]:
        """Width and height in millimetres, upright."""
        return (215.9, 279.4) if self is Paper.LETTER else (210.0, 297.0)


def report_pdf(sheet: Sheet, *, out: BinaryIO, paper: Paper = Paper.LETTER) -> int:
    """Write the sheet as PDF into the stream and return how many pages it took; the same sheet gives the same bytes."""
    wide, high = paper.size
    return write_pdf(report_pages(sheet, wide=wide, high=high), out=out, title=sheet.title)

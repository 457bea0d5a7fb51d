"""The two fonts that everything is printed in, and how wide they run.

DejaVu Sans and DejaVu Sans Bold, copied with their licence from the Debian package fonts-dejavu-core 2.37: Latin,
Greek, Cyrillic, Hebrew, Arabic letters, arrows and signs, no Chinese, Japanese or Korean. The fonts every PDF viewer
brings along have no more than Western European letters, and draw a black block for the rest without a word.

Sizes are in points, lengths on paper in millimetres.
"""

from __future__ import annotations

from enum import StrEnum, unique
from functools import cache, lru_cache
from pathlib import Path
from unicodedata import normalize

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

from tagtrack.core.errors import Fault
from tagtrack.paper.characters import UNSHOWN, has_ink, printable

# one point in millimetres: 72 to the inch
POINT = 25.4 / 72

# of the size, read from the font files (1493, 483 and 2048 units): capitals' height, and how far "g" hangs down
CAPITAL = 0.729
DESCENT = 0.236


@unique
class Font(StrEnum):
    """A font of ours; the value is its file and its name in a PDF."""

    REGULAR = "DejaVuSans"
    BOLD = "DejaVuSans-Bold"


@cache
def _loaded(font: Font) -> TTFont:
    file = Path(__file__).with_name("fonts") / f"{font.value}.ttf"
    try:
        loaded = TTFont(font.value, str(file))
    except (OSError, TTFError) as trouble:
        raise Fault(
            f"the font file {file} cannot be read",
            expected="the font that is installed with the program",
            came=str(trouble),
            todo="install the program again",
        ) from trouble
    pdfmetrics.registerFont(loaded)
    return loaded


def name_for_pdf(font: Font) -> str:
    """Return the name under which ReportLab draws the font; loads it on first use, or raises `Fault`."""
    name: str = _loaded(font).fontName
    return name


@cache
def _coverage() -> frozenset[int]:
    return frozenset.intersection(*(frozenset(_loaded(font).face.charToGlyph) for font in Font))


def missing_characters(*texts: str) -> tuple[str, ...]:
    """Return, once each and in order, the characters that will print as a box; tell people before printing."""
    covered = _coverage()
    gone: dict[str, None] = {}
    for character in normalize("NFC", " ".join(texts)):
        if not character.isspace() and not (has_ink(character) and ord(character) in covered):
            gone[character] = None
    return tuple(gone)


@lru_cache(maxsize=2048)
def drawable(text: str) -> str:
    """Return the text as one line in which every character has a glyph; what the fonts lack becomes a box."""
    covered = _coverage()
    return "".join(c if ord(c) in covered else UNSHOWN for c in printable(text))


def width(text: str, font: Font, size: float) -> float:
    """Return how wide the drawable text runs, in millimetres, at a size in points."""
    return _unit_width(text, font) * size * POINT


@lru_cache(maxsize=16384)
def _unit_width(text: str, font: Font) -> float:
    """Return the width at one point, in points; the same words are measured over and over while a size is sought."""
    return float(_loaded(font).stringWidth(text, 1.0))

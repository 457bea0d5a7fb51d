"""One label as a 1-bit picture in the printer's own dots: for thermal heads, which a PDF does not reach dot by dot.

Every module of a symbol is a whole number of dots, at least four, and begins on a whole dot. Letters and lines are
drawn without grey. One inch is 203.2 or 300 dots: heads that are called 203 dpi have 8 dots to the millimetre.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from io import BytesIO
from itertools import pairwise
from math import ceil, hypot
from pathlib import Path
from typing import assert_never

from PIL import Image, ImageDraw, ImageFont

from tagtrack.core.errors import Refusal
from tagtrack.paper.characters import visual
from tagtrack.paper.fonts import POINT, Font
from tagtrack.paper.ink import DASH, Box, Ink, Stroke, Symbol, Text
from tagtrack.paper.symbol import matrix

# what a head is called -> dots to the inch
HEADS = {"203": 203.2, "300": 300.0}
LEAST_DOTS = 4
_BLACK, _WHITE = 0, 1


def label_png(ink: tuple[Ink, ...], *, wide: float, high: float, head: str) -> bytes:
    """Return one label's ink, on a label of that size in millimetres, as the bytes of a 1-bit PNG for that head."""
    if head not in HEADS:
        raise Refusal(f"no head of {head} dpi is known", expected=" or ".join(HEADS), came=head,
                      todo="look at the printer's plate")  # fmt: skip
    dots = HEADS[head] / 25.4
    picture = Image.new("1", (round(wide * dots), round(high * dots)), _WHITE)
    draw = ImageDraw.Draw(picture)
    for mark in ink:
        _draw(picture, draw, mark, dots)
    out = BytesIO()
    picture.save(out, "PNG", dpi=(HEADS[head], HEADS[head]))
    return out.getvalue()


def _draw(picture: Image.Image, draw: ImageDraw.ImageDraw, mark: Ink, dots: float) -> None:
    if isinstance(mark, Text):
        if mark.text:
            font = _font(mark.font, mark.size * POINT * dots)
            at = (mark.x * dots, mark.y * dots)
            draw.text(at, visual(mark.text), font=font, fill=_tone(mark.tone), anchor="ls")
    elif isinstance(mark, Box):
        # the last dot of a rectangle is drawn too
        left, top = round(mark.x * dots), round(mark.y * dots)
        right, bottom = round((mark.x + mark.width) * dots) - 1, round((mark.y + mark.height) * dots) - 1
        if right >= left and bottom >= top:
            draw.rectangle((left, top, right, bottom), fill=_tone(mark.tone))
    elif isinstance(mark, Stroke):
        points = [(x * dots, y * dots) for x, y in mark.points]
        if mark.filled:
            draw.polygon(points, fill=_tone(mark.tone))
        else:
            pen = max(1, round(mark.pen * dots))
            whole = [*points, points[0]] if mark.closed else points
            for piece in _dashes(whole, DASH * POINT * dots) if mark.dashed else (whole,):
                draw.line(piece, fill=_tone(mark.tone), width=pen)
    elif isinstance(mark, Symbol):
        _symbol(picture, mark, dots)
    else:
        assert_never(mark)


def _dashes(points: list[tuple[float, float]], length: float) -> Iterator[list[tuple[float, float]]]:
    """Yield the dashes of a line through points: so many dots long, and as far apart; each line begins with one."""
    for (x0, y0), (x1, y1) in pairwise(points):
        far = hypot(x1 - x0, y1 - y0)
        for number in range(0, ceil(far / length), 2):
            start, end = number * length / far, min((number + 1) * length / far, 1.0)
            yield [(x0 + (x1 - x0) * share, y0 + (y1 - y0) * share) for share in (start, end)]


def _symbol(picture: Image.Image, mark: Symbol, dots: float) -> None:
    """Put the symbol on whole dots, in the middle of the place that it was given."""
    module = max(LEAST_DOTS, round(mark.module * dots))
    rows = matrix(mark.code)
    small = Image.new("1", (len(rows), len(rows)), _WHITE)
    small.putdata([_BLACK if black else _WHITE for row in rows for black in row])
    side = module * len(rows)
    left = round((mark.x + mark.side / 2) * dots - side / 2)
    top = round((mark.y + mark.side / 2) * dots - side / 2)
    picture.paste(small.resize((side, side), Image.Resampling.NEAREST), (left, top))


def _tone(tone: float) -> int:
    return _WHITE if tone > 0.5 else _BLACK


@lru_cache(256)
def _font(font: Font, size: float) -> ImageFont.FreeTypeFont:
    file = Path(__file__).with_name("fonts") / f"{font.value}.ttf"
    return ImageFont.truetype(str(file), max(1.0, size))

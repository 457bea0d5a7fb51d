"""Puts pages of ink into a PDF whose bytes depend on nothing but the ink: no clock, no machine, no random name.

The one place that draws with ReportLab.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, BinaryIO, assert_never

from reportlab import rl_config
from reportlab.pdfgen.canvas import Canvas

from tagtrack.paper.characters import visual
from tagtrack.paper.fonts import POINT, Font, name_for_pdf
from tagtrack.paper.ink import DASH, Box, Ink, Page, Stroke, Symbol, Text
from tagtrack.paper.page_stream import PageStream
from tagtrack.paper.symbol import operators


def write_pdf(pages: Iterable[Page], *, out: BinaryIO, title: str) -> int:
    """Write the pages into the stream and return how many there were. The same pages always give the same bytes."""
    # a coding for mail of the last century: a quarter more bytes, a quarter more time
    rl_config.useA85 = 0
    canvas = Canvas(out, invariant=1, pageCompression=1, initialFontName=name_for_pdf(Font.REGULAR))
    canvas._doc = PageStream(out)  # noqa: SLF001 - the canvas makes its document itself, and has no other way in
    canvas.setTitle(title)
    canvas.setAuthor("")
    canvas.setCreator("tagtrack")
    canvas.setViewerPreference("PrintScaling", "None")
    count = 0
    for page in pages:
        canvas.setPageSize((page.width / POINT, page.height / POINT))
        writer = _PageWriter(canvas, page.height)
        for mark in page.ink:
            writer.draw(mark)
        canvas.showPage()
        count += 1
    canvas.save()
    return count


class _PageWriter:
    """Turns millimetres from the top into points from the bottom, and repeats no setting."""

    def __init__(self, canvas: Any, height: float) -> None:
        self._canvas = canvas
        self._height = height
        self._tone = -1.0
        self._font: tuple[Font, float] | None = None

    def draw(self, mark: Ink) -> None:
        if isinstance(mark, Text):
            self._text(mark)
        elif isinstance(mark, Box):
            self._box(mark)
        elif isinstance(mark, Stroke):
            self._stroke(mark)
        elif isinstance(mark, Symbol):
            self._symbol(mark)
        else:
            assert_never(mark)

    def _up(self, y: float) -> float:
        return (self._height - y) / POINT

    def _fill(self, tone: float) -> None:
        if tone != self._tone:
            self._canvas.setFillGray(tone)
            self._tone = tone

    def _text(self, mark: Text) -> None:
        if not mark.text:
            return
        self._fill(mark.tone)
        if self._font != (mark.font, mark.size):
            self._canvas.setFont(name_for_pdf(mark.font), mark.size)
            self._font = (mark.font, mark.size)
        self._canvas.drawString(mark.x / POINT, self._up(mark.y), visual(mark.text))

    def _box(self, mark: Box) -> None:
        self._fill(mark.tone)
        left, bottom = mark.x / POINT, self._up(mark.y + mark.height)
        self._canvas.rect(left, bottom, mark.width / POINT, mark.height / POINT, stroke=0, fill=1)

    def _stroke(self, mark: Stroke) -> None:
        path = self._canvas.beginPath()
        for number, (x, y) in enumerate(mark.points):
            (path.lineTo if number else path.moveTo)(x / POINT, self._up(y))
        if mark.closed or mark.filled:
            path.close()
        if mark.filled:
            self._fill(mark.tone)
        else:
            self._canvas.setStrokeGray(mark.tone)
            self._canvas.setLineWidth(mark.pen / POINT)
            self._canvas.setDash([DASH, DASH] if mark.dashed else [])
        self._canvas.drawPath(path, stroke=0 if mark.filled else 1, fill=1 if mark.filled else 0)

    def _symbol(self, mark: Symbol) -> None:
        self._fill(0.0)
        unit = mark.module / POINT
        self._canvas.saveState()
        self._canvas.transform(unit, 0, 0, unit, mark.x / POINT, self._up(mark.y + mark.side))
        # one path in whole module units: no hairlines between modules, and the string is kept per code
        self._canvas.addLiteral(operators(mark.code))
        self._canvas.restoreState()

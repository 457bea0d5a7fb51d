"""Puts one page of ink into an SVG file. Its text stays text, in whatever sans-serif the viewer has."""

from __future__ import annotations

from html import escape
from typing import assert_never

from tagtrack.paper.fonts import POINT, Font
from tagtrack.paper.ink import Box, Ink, Page, Stroke, Symbol, Text
from tagtrack.paper.symbol import rectangles


def svg(page: Page) -> bytes:
    """Return the page as an SVG document as large as the page, one unit a millimetre."""
    size = f'width="{page.width:.2f}mm" height="{page.height:.2f}mm" viewBox="0 0 {page.width:.2f} {page.height:.2f}"'
    ground = '<rect width="100%" height="100%" fill="white"/>'
    marks = "\n".join(map(_element, page.ink))
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>\n{ground}\n{marks}\n</svg>\n'.encode()


def _element(mark: Ink) -> str:
    if isinstance(mark, Text):
        weight = ' font-weight="bold"' if mark.font is Font.BOLD else ""
        # the viewer's letters may run wider than ours
        length = f' textLength="{mark.width:.2f}" lengthAdjust="spacingAndGlyphs"' if mark.text else ""
        return (
            f'<text x="{mark.x:.2f}" y="{mark.y:.2f}" font-family="DejaVu Sans, Arial, sans-serif"{weight} '
            f'font-size="{mark.size * POINT:.2f}"{length} fill="{_tone(mark.tone)}">{escape(mark.text)}</text>'
        )
    if isinstance(mark, Box):
        return _rect(mark.x, mark.y, mark.width, mark.height, _tone(mark.tone))
    if isinstance(mark, Stroke):
        points = " ".join(f"{x:.3f},{y:.3f}" for x, y in mark.points)
        shape = "polygon" if mark.closed or mark.filled else "polyline"
        if mark.filled:
            return f'<{shape} points="{points}" fill="{_tone(mark.tone)}"/>'
        dashes = ' stroke-dasharray="0.42 0.42"' if mark.dashed else ""
        pen = f'stroke="{_tone(mark.tone)}" stroke-width="{mark.pen:.2f}"{dashes}'
        return f'<{shape} points="{points}" fill="none" {pen}/>'
    if isinstance(mark, Symbol):
        side = mark.module
        dark = "".join(
            _rect(mark.x + x * side, mark.y + y * side, wide * side, high * side, "black")
            for x, y, wide, high in rectangles(mark.code)
        )
        return f'<g shape-rendering="crispEdges">{dark}</g>'
    assert_never(mark)


def _rect(x: float, y: float, wide: float, high: float, fill: str) -> str:
    return f'<rect x="{x:.3f}" y="{y:.3f}" width="{wide:.3f}" height="{high:.3f}" fill="{fill}"/>'


def _tone(tone: float) -> str:
    level = round(tone * 255)
    return "black" if level == 0 else f"rgb({level},{level},{level})"

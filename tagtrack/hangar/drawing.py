"""The drawings of the paper tags on the screen: how a part sits, and its stack from head to nut."""

from __future__ import annotations

from tagtrack.core.axes import Side
from tagtrack.core.marks import Marks
from tagtrack.core.stack_shape import StackShape
from tagtrack.paper.diagram import diagram, height_for, marks_in
from tagtrack.paper.ink import Page, Symbol, moved
from tagtrack.paper.stack_drawing import lettered
from tagtrack.paper.svg import svg
from tagtrack.paper.symbol import MODULES, QUIET

_WIDE = 60.0
_EDGE = 2.0


def orientation(marks: Marks, side: Side) -> str:
    """Return how a part sits as an SVG, or an empty text where no mark or arrow tells."""
    named = marks_in(str(marks), side)
    if not named:
        return ""
    high = height_for(_WIDE)
    ink = diagram(named, side, x=_EDGE, y=_EDGE, wide=_WIDE)
    return svg(Page(width=_WIDE + 2 * _EDGE, height=high + 2 * _EDGE, ink=ink)).decode()


def stack(shape: StackShape | None) -> str:
    """Return a stack with every piece named, as an SVG; empty where its order is not known."""
    if shape is None:
        return ""
    figure = lettered(shape, wide=110.0)
    page = Page(width=figure.width + 2 * _EDGE, height=figure.height + 2 * _EDGE,
                ink=moved(figure.ink, _EDGE, _EDGE))  # fmt: skip
    return svg(page).decode()


def symbol(code: str) -> str:
    """Return the QR symbol of a code with its quiet zone, as an SVG."""
    side = float(MODULES + 2 * QUIET)
    return svg(Page(width=side, height=side, ink=(Symbol(x=QUIET, y=QUIET, code=code, module=1.0),))).decode()

"""Where each label sits on its sheet: pure arithmetic in millimetres, from the sheet's top left corner.

Labels are used row by row, left to right, as a hand peels them.

>>> from tagtrack.paper.template import named
>>> stock = named("letter-4x2in-10up")
>>> sheets(stock, 10), sheets(stock, 10, start=2)
(1, 2)
>>> [(p.sheet, p.position) for p in places(stock, 2, start=10)]
[(1, 10), (2, 1)]
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tagtrack.core.errors import Refusal
from tagtrack.paper.template import Template

# a printer that is further off than this is misfed, not out of line
_MOST_OFFSET = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """One label's place: sheet and position from 1, and its top left corner in millimetres."""

    sheet: int
    position: int
    x: float
    y: float


def corner(template: Template, position: int) -> tuple[float, float]:
    """Return the top left corner, in millimetres, of a position from 1; refuse one the sheet does not have."""
    if not 1 <= position <= template.per_sheet:
        raise Refusal(
            f"the sheet has no label {position}",
            expected=f"1 to {template.per_sheet}, counted row by row from the top left",
            came=str(position),
            todo="count the labels already used and give the number of the next",
        )
    row, column = divmod(position - 1, template.columns)
    return (
        template.left + column * (template.width + template.gap_x),
        template.top + row * (template.height + template.gap_y),
    )


def sheets(template: Template, count: int, *, start: int = 1) -> int:
    """Return how many sheets so many labels need when the first one goes to position `start`."""
    corner(template, start)
    return -(-(start - 1 + count) // template.per_sheet) if count else 0


def places(
    template: Template, count: int, *, start: int = 1, offset_mm: tuple[float, float] = (0.0, 0.0)
) -> Iterator[Place]:
    """Yield a place per label, beginning at `start` of the first sheet, moved right and down by the offset in mm."""
    check_offset(offset_mm)
    corner(template, start)
    for number in range(start - 1, start - 1 + count):
        sheet, position = divmod(number, template.per_sheet)
        x, y = corner(template, position + 1)
        yield Place(sheet=sheet + 1, position=position + 1, x=x + offset_mm[0], y=y + offset_mm[1])


def check_offset(offset_mm: tuple[float, float]) -> None:
    """Refuse an offset that no printer needs; NaN is one."""
    if not all(-_MOST_OFFSET <= value <= _MOST_OFFSET for value in offset_mm):
        raise Refusal(
            "the offset cannot be right",
            expected=f"millimetres right and down, each from -{_MOST_OFFSET:g} to {_MOST_OFFSET:g}",
            came=f"{offset_mm[0]:g}, {offset_mm[1]:g}",
            todo="print the outlines, hold the sheet over the labels against the light, and measure",
        )

"""A small drawing of how a part sits: a box seen from outboard, its marked face, and the way its arrow points.

The words stand beside it and are what counts; the drawing saves a second look. It is drawn only where the words name
a mark or an arrow along a direction that exists on that side.

The box is seen from outboard of its side (on the centre line from the left), so forward is to the left on the LEFT
and to the right on the RIGHT, as it is when one stands at that wing. The front, the top and the forward end show; a
mark on a face that does not show is dashed, as seen through the box.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from tagtrack.core.axes import Direction, Side, direction_or_none, vector
from tagtrack.paper.fonts import DESCENT, POINT, Font, width
from tagtrack.paper.ink import Ink, Stroke, Text

Point = tuple[float, float]
# forward, towards the viewer, up
Solid = tuple[float, float, float]

# half the box's length, depth and height in the drawing's own units
_HALF: Solid = (11.0, 9.0, 6.0)
# one unit towards the viewer is drawn so far aft and so far down, so that the forward end and the top show
_ASIDE, _LOWERED = 0.55, 0.42
# an arrow begins on its face and goes on so far
_ARROW = 10.0
# the whole drawing with its arrows, to each side of the middle
_REACH_X, _REACH_Y = 23.0, 17.0

_NAMED = re.compile(r"\b(mark|arrow)\s+([A-Za-z]+)", re.IGNORECASE)


def marks_in(text: str, side: Side | None) -> Mapping[str, Direction]:
    """Return where `mark` and `arrow` point as the words have it; what is unclear or does not exist is left out."""
    found: dict[str, Direction] = {}
    for name, word in _NAMED.findall(text):
        way = direction_or_none(word)
        no_inboard = side in {None, Side.CENTRE} and way in {Direction.INBD, Direction.OUTBD}
        if way is not None and not no_inboard:
            found.setdefault(name.lower(), way)
    return found


def height_for(wide: float) -> float:
    """Return how high a drawing of that width is, in millimetres."""
    return wide * _REACH_Y / _REACH_X


def diagram(marks: Mapping[str, Direction], side: Side | None, *, x: float, y: float, wide: float) -> tuple[Ink, ...]:
    """Return the drawing, `wide` mm wide and `height_for(wide)` high, from its top left corner."""
    view = _View(on=side or Side.CENTRE, middle=(x + wide / 2, y + height_for(wide) / 2), scale=wide / (2 * _REACH_X))
    ink: list[Ink] = [
        Stroke(points=view.face(axis, 1.0), closed=True, pen=0.3) for axis in range(3)
    ]
    mark = marks.get("mark")
    if mark is not None:
        way = view.solid(mark)
        axis = _axis(way)
        shows = way[axis] > 0
        spot = view.face(axis, way[axis], share=0.55)
        ink.append(Stroke(points=spot, closed=True, filled=shows, dashed=not shows, pen=0.3))
    arrow = marks.get("arrow")
    if arrow is not None:
        ink += view.arrow(view.solid(arrow))
    ink.append(view.forward_word(y + height_for(wide)))
    return tuple(ink)


def _axis(way: Solid) -> int:
    return next(axis for axis in range(3) if way[axis])


@dataclass(frozen=True, slots=True, kw_only=True)
class _View:
    """Where the viewer stands, and how the box's own units lie on the paper."""

    on: Side
    middle: Point
    scale: float

    @property
    def ahead(self) -> int:
        """Forward on the paper: -1 to the left, 1 to the right."""
        return 1 if self.on is Side.RIGHT else -1

    def solid(self, way: Direction) -> Solid:
        """Return a direction of the aircraft as forward, towards the viewer, up."""
        forward, left, up = vector(way, self.on)
        return (float(forward), float(-left if self.on is Side.RIGHT else left), float(up))

    def flat(self, point: Solid) -> Point:
        """Return a point of the box on the paper."""
        forward, near, up = point
        return (
            self.middle[0] + self.ahead * (forward - near * _ASIDE) * self.scale,
            self.middle[1] + (near * _LOWERED - up) * self.scale,
        )

    def face(self, axis: int, sign: float, share: float = 1.0) -> tuple[Point, ...]:
        """Return the corners of one face of the box, or of a spot in its middle."""
        one, two = (other for other in range(3) if other != axis)
        corners: list[Point] = []
        for a, b in ((-1, -1), (-1, 1), (1, 1), (1, -1)):
            corner = [0.0, 0.0, 0.0]
            corner[axis] = sign * _HALF[axis]
            corner[one] = a * share * _HALF[one]
            corner[two] = b * share * _HALF[two]
            corners.append(self.flat((corner[0], corner[1], corner[2])))
        return tuple(corners)

    def arrow(self, way: Solid) -> tuple[Ink, Ink]:
        """Return an arrow out of the middle of a face."""
        axis = _axis(way)
        reach = _HALF[axis] * way[axis]
        start = [0.0, 0.0, 0.0]
        start[axis] = reach
        x0, y0 = self.flat((start[0], start[1], start[2]))
        start[axis] = reach + _ARROW * way[axis] * (1.4 if axis == 1 else 1.0)
        x1, y1 = self.flat((start[0], start[1], start[2]))
        length = math.hypot(x1 - x0, y1 - y0)
        along = ((x1 - x0) / length, (y1 - y0) / length)
        head, half = 5.2 * self.scale, 3.0 * self.scale
        neck = (x1 - along[0] * head, y1 - along[1] * head)
        across = (-along[1] * half, along[0] * half)
        wings = (neck[0] + across[0], neck[1] + across[1]), (neck[0] - across[0], neck[1] - across[1])
        return (
            Stroke(points=((x0, y0), neck), pen=2.2 * self.scale),
            Stroke(points=((x1, y1), *wings), filled=True),
        )

    def forward_word(self, base: float) -> Text:
        """Return the word that says which way of the drawing is forward, in the corner that the box leaves free."""
        size = 0.66 * _REACH_X * self.scale
        word = "FWD►" if self.on is Side.RIGHT else "◄FWD"
        far = self.middle[0] + self.ahead * _REACH_X * self.scale
        x = far - width(word, Font.BOLD, size) if self.ahead > 0 else far
        return Text(x=x, y=base - DESCENT * size * POINT, text=word, size=size, font=Font.BOLD)

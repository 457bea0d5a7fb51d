"""How a part sits: marks on it, the ways they point, and what to do when they point elsewhere.

A mark is a named feature of a part and the way it points while the part sits where it belongs:
`mark UP, arrow FWD`. The mark is a face, the arrow is drawn on that face. More can be named
(`wicks UP`). One mark leaves four of the 24 ways a box can sit open; two at right angles fix it.

>>> recorded = parse("mark UP, arrow FWD", Side.LEFT)
>>> compare(recorded, parse_seen("down fwd", recorded, Side.LEFT), Side.LEFT).mend
'turn it half round the fore-and-aft axis'
"""

from __future__ import annotations

from enum import Enum, unique

from tagtrack.core import axes
from tagtrack.core.axes import Direction, Side, Vector
from tagtrack.core.errors import Refusal
from tagtrack.core.frozen import value
from tagtrack.core.spelling import clean, how_many

MARK = "mark"
ARROW = "arrow"


@value
class Mark:
    """One feature of a part and the way it points while the part sits."""

    feature: str
    way: Direction

    def __str__(self) -> str:
        return f"{self.feature} {self.way.value}"


@value
class Marks:
    """All marks of one part, in the order in which they were named. May be empty."""

    each: tuple[Mark, ...] = ()

    def __str__(self) -> str:
        return ", ".join(map(str, self.each))

    def vectors(self, side: Side) -> dict[str, Vector]:
        """Return the unit vector of each feature, on that side of the aircraft."""
        return {mark.feature: axes.vector(mark.way, side) for mark in self.each}

    def is_empty(self) -> bool:
        """Return whether nothing was marked."""
        return not self.each

    @property
    def across(self) -> Marks:
        """The same marks on a part of the other side, mirrored."""
        return Marks(tuple(Mark(mark.feature, mark.way.across) for mark in self.each))

    def beside(self, more: Marks) -> Marks:
        """Return these marks, and of the others those of features that are not among them."""
        mine = {mark.feature for mark in self.each}
        return Marks((*self.each, *(mark for mark in more.each if mark.feature not in mine)))


def parse(text: str, side: Side) -> Marks:
    """Return the marks that the text names; refuse sets that no part can carry.

    Marks are separated by commas, or simply follow each other: `mark UP arrow FWD`.
    """
    words = clean(text).replace(",", " ").split()
    each: list[Mark] = []
    feature: list[str] = []
    for word in words:
        way = axes.direction_or_none(word)
        if way is None:
            feature.append(word.casefold())
            continue
        if not feature:
            raise Refusal(
                f"'{word}' points, but what points there is not said",
                expected="a feature and a direction, such as: mark UP, arrow FWD",
                came=text,
                todo="name what points: mark, arrow, wicks, drain hole ...",
            )
        each.append(Mark(" ".join(feature), way))
        feature = []
    if feature or not each:
        raise Refusal(
            f"'{' '.join(feature) or text}' has no direction",
            expected="a feature and a direction, such as: mark UP, arrow FWD",
            came=text or "nothing",
            todo="end each mark with UP, DOWN, FWD, AFT, INBD or OUTBD",
        )
    return checked(Marks(tuple(each)), side)


def checked(marks: Marks, side: Side) -> Marks:
    """Return the marks with repeats dropped; refuse what cannot be on one part on that side."""
    kept: dict[str, Direction] = {}
    for mark in marks.each:
        axes.vector(mark.way, side)
        if kept.setdefault(mark.feature, mark.way) is not mark.way:
            raise Refusal(
                f"'{mark.feature}' is given twice, differently",
                expected="each mark once",
                came=str(marks),
                todo="keep the one that is on the part, or give the second one a name of its own",
            )
    if MARK in kept and ARROW in kept:
        along = axes.dot(axes.vector(kept[MARK], side), axes.vector(kept[ARROW], side))
        if along != 0:
            raise Refusal(
                f"an arrow cannot point {kept[ARROW].value} on a face that looks {kept[MARK].value}",
                expected="an arrow that lies in the marked face, at right angles to the way the face looks",
                came=str(marks),
                todo="look again: which face carries the mark, and along which edge does the arrow point?",
            )
    return Marks(tuple(Mark(feature, way) for feature, way in kept.items()))


def parse_seen(text: str, recorded: Marks, side: Side) -> Marks:
    """Return what was seen at refit. Bare directions are taken in the order of the recorded marks."""
    words = clean(text).replace(",", " ").split()
    ways = [axes.direction_or_none(word) for word in words]
    if not words or None in ways:
        seen = parse(text, side)
        strange = [m.feature for m in seen.each if m.feature not in {r.feature for r in recorded.each}]
        if strange:
            raise Refusal(
                f"no mark '{strange[0]}' is recorded on it",
                expected=_asks(recorded) or "nothing: it came off without marks", came=text,
                todo="say what its recorded marks show; a position is named with: at POSITION SIDE",
            )  # fmt: skip
        unseen = [m.feature for m in recorded.each if m.feature not in {s.feature for s in seen.each}]
        if unseen:
            raise Refusal(
                f"not said: which way does the {unseen[0]} point?",
                expected=_asks(recorded),
                came=text,
                todo="give every recorded mark",
            )
        return seen
    if len(ways) != len(recorded.each):
        raise Refusal(
            f"{how_many(len(ways), 'direction')} for {how_many(len(recorded.each), 'mark')}",
            expected=_asks(recorded),
            came=text,
            todo="give one direction for each, in that order",
        )
    named = [Mark(m.feature, way) for m, way in zip(recorded.each, ways, strict=True) if way is not None]
    return checked(Marks(tuple(named)), side)


def _asks(recorded: Marks) -> str:
    return " and ".join(f"the way the {m.feature} points" for m in recorded.each)


@unique
class Sits(Enum):
    """How what was seen compares with what was recorded."""

    # the same way round
    SAME = "same"
    # a turn brings it right
    TURNED = "turned"
    # no turn can: the opposite-hand part, or a misread mark
    OTHER_HAND = "other hand"


@value
class Comparison:
    """The outcome, and the turn that mends it in words."""

    sits: Sits
    mend: str = ""


def compare(recorded: Marks, seen: Marks, side: Side) -> Comparison:
    """Return whether the part sits as recorded, and if not, what mends it."""
    shown, wanted = seen.vectors(side), recorded.vectors(side)
    if all(shown[feature] == wanted[feature] for feature in shown.keys() & wanted.keys()):
        return Comparison(Sits.SAME)
    candidates = axes.turns(shown, wanted)
    if not candidates:
        return Comparison(
            Sits.OTHER_HAND,
            "no turn brings these marks right: it is the opposite-hand part, or a mark was misread",
        )
    return Comparison(Sits.TURNED, axes.in_words(axes.least_turn(candidates)))

"""The plain values that acts are made of: people, positions, parts, joints as found.

A position is a named spot with a side. Its text is `elevator balance weight, LEFT`.
"""

from __future__ import annotations

import re
from enum import Enum, unique

from tagtrack.core.axes import Side, side, side_or_none
from tagtrack.core.errors import Refusal, SideUnsaid
from tagtrack.core.frozen import value
from tagtrack.core.hardware import Line, Stack
from tagtrack.core.spelling import clean, name, same


@value
class Position:
    """A named spot on the aircraft with a side. Two of one name on opposite sides are a left/right pair."""

    name: str
    side: Side

    # these are looked up at every line: the name tells most apart, and a text keeps its hash

    def __hash__(self) -> int:
        return hash(self.name)

    def __eq__(self, other: object) -> bool:
        return type(other) is Position and self.name == other.name and self.side is other.side

    def __str__(self) -> str:
        return f"{self.name}, {self.side._value_}"

    def __lt__(self, other: Position) -> bool:
        return (same(self.name), self.side.value) < (same(other.name), other.side.value)

    @property
    def mirrored(self) -> Position:
        """The position of the same name on the other side."""
        return Position(self.name, self.side.opposite)

    @classmethod
    def read(cls, text: str) -> Position:
        """Return the position of a stored text; refuse one without a side."""
        spot, _, where = text.rpartition(", ")
        return cls(spot, side(where))


# what stands between two positions that are named in one breath
_BETWEEN = frozenset({"+", "&", ",", "and"})


def position(text: str) -> Position:
    """Return the position that a person typed: the name, and the side as its last word.

    >>> str(position("elevator balance weight LH"))
    'elevator balance weight, LEFT'
    """
    said = clean(text).rstrip(".,")
    _refuse_several(said)
    words = said.replace(", ", " ").split(" ")
    where = side_or_none(words[-1])
    if where is None and words[0].casefold() in {"left", "right", "lh", "rh", "l", "r"}:
        # "left elevator fairing" is said as often as "elevator fairing left"
        words = [*words[1:], words[0]]
        where = side_or_none(words[-1])
    spot = name(" ".join(words[:-1] if where else words), what="position")
    if where is None or side_or_none(spot):
        raise SideUnsaid(
            f"which side is '{spot}' on?",
            expected="the position with its side: LEFT, RIGHT or CENTRE (also for the only one of its kind)",
            came=clean(text),
            todo=f"type: {spot} LEFT   (as seen from the pilot's seat)",
        )
    return Position(spot, where)


def _refuse_several(text: str) -> None:
    """Refuse two positions in one breath: they would become one with a long name, and neither could be put back.

    A letter is a side only before a plus: a rib may be called C. "crossover left and right" is one name.
    """
    if not any(between in text.casefold() for between in _BETWEEN):
        # nearly all that is typed
        return
    words = re.sub("([+&,])", r" \1 ", text).split()
    for at in range(2, len(words) - 1):
        between, told, behind = words[at], words[at - 1], words[at + 1 :]
        behind = behind[1:] if behind[0].casefold() == "and" else behind
        if between == "+" and len(behind) == 1 and side_or_none(behind[0]) is not None:
            # "elevator LEFT + RIGHT": both sides of one name
            behind = [*words[: at - 1], *behind]
        if between.casefold() not in _BETWEEN or side_or_none(told) is None or not behind or side_or_none(behind[0]):
            continue
        if len(told) > 1 or between == "+" or told == words[-1]:
            first, second = " ".join(words[:at]), " ".join(behind)
            raise Refusal(
                f"two positions at once: {first}, and {second}", expected="one position, with its side", came=text,
                todo="a line for each; when they come off, each with its own hardware. One bolt through both? say it "
                f"of one, with: clamps {second}",
            )  # fmt: skip


@unique
class Role(Enum):
    """What is at a position."""

    # a part that comes off, a cover among them
    PART = "part"
    # a wire, connector, strap, line or cable that is parted
    CONNECTION = "connection"
    # a place to look at while it can be reached
    POINT = "inspection point"


@unique
class TagRole(Enum):
    """What a tag is on."""

    PART = "part"
    BAG = "bag"
    CONNECTION = "connection"
    ZONE = "zone"
    PLACE = "place"
    PERSON = "person"


@unique
class TagEnd(Enum):
    """How a tag's life ends."""

    RETURNED = "returned"
    VOID = "void"


@unique
class Condition(Enum):
    """What a person says of a part's condition."""

    SERVICEABLE = "serviceable"
    UNSERVICEABLE = "unserviceable"
    SCRAP = "scrap"
    HOLD = "hold"


@unique
class JointStep(Enum):
    """How far a joint's hardware is. Safetied says nothing of tight: each is said on its own."""

    LOOSENED = "loosened"
    IN_BY_HAND = "in by hand"
    TIGHT = "tight"
    SAFETIED = "safetied"


@unique
class When(Enum):
    """Before or after the work."""

    AS_FOUND = "as found"
    AS_LEFT = "as left"


@unique
class Access(Enum):
    """How a cover stands."""

    OPEN = "open"
    # held by some of its fasteners so that it is not lost; not finished
    TEMPORARILY_ON = "temporarily on"
    CLOSED = "closed"


@unique
class LossOutcome(Enum):
    """What became of a loss."""

    SEARCHED = "searched"
    FOUND = "found"
    # proved not to be in the aircraft
    NOT_ABOARD = "not aboard"
    # a written account of the search, accepted by a second person
    ACCEPTED = "accepted"


# what one person cannot say of a loss alone
GIVEN_UP = (LossOutcome.NOT_ABOARD, LossOutcome.ACCEPTED)


@unique
class CheckRole(Enum):
    """In what role somebody looked."""

    # the person at work
    PERFORMER = "performer"
    # somebody else, who did none of it
    INDEPENDENT = "independent"
    # the same person once more, because nobody else was to be had
    REINSPECTED = "reinspected by the same person"
    # nobody: the reason is in the observation
    NOT_AVAILABLE = "no second person available"


@unique
class Ruling(Enum):
    """What a person answered to a finding."""

    # it is so by the design of the type; remembered with the type
    BY_DESIGN = "by design"
    # it is accepted for this job, for the reason given
    ACCEPTED = "accepted"


@unique
class Via(Enum):
    """How an act reached the program."""

    TYPED = "typed"
    SCANNED = "scanned"
    PAGE = "page"
    FILE = "file"


@value
class Person:
    """Somebody who works here. Initials are unique in the shop."""

    initials: str
    name: str
    certificate: str = ""
    certificate_kind: str = ""

    def __str__(self) -> str:
        return f"{self.name} ({self.initials})"


@value
class PartOff:
    """One part: its identity in this job and what is written on it."""

    identity: str
    number: str = ""
    serial: str = ""
    # remaining life as typed; empty: not life-limited
    life: str = ""


@value
class FoundJoint:
    """A joint as found: its stack, every position it clamps, and how it is locked, if said."""

    identity: str
    positions: tuple[Position, ...]
    stack: Stack
    # "cotter", "lockwire", "self-locking", "none"; empty: not said
    lock: str = ""
    # rivets, sealant: removal destroyed it; chips and stems are to be recovered
    destroyed: bool = False
    # how thick the gripped parts and shims are, measured, in inches as typed: "5/8", ".640"; empty: not measured
    span: str = ""
    # of a plain list of several specs, those that are made tight; empty: the first, or not known
    heads: tuple[str, ...] = ()
    # specs that lock it from outside, after it is tight: cotter pins, lockwire
    locks: tuple[str, ...] = ()


@value
class Requirement:
    """What the maker's data calls for at a position. No lines: not looked up."""

    lines: tuple[Line, ...] = ()
    reference: str = ""

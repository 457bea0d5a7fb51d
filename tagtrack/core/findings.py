"""What a check can find: values, never exceptions. Each says what was expected, what is seen, and what to do next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum, unique
from hashlib import sha256

from tagtrack.core.axes import area_words, areas_meet
from tagtrack.core.records import Position
from tagtrack.core.things import RulingState


@unique
class Severity(Enum):
    """How bad it is. The order is the order of the report."""

    # flying with it could hurt somebody
    DANGER = "danger"
    # work is not finished
    UNFINISHED = "unfinished"
    # a person has to say something
    QUESTION = "question"


@unique
class Kind(Enum):
    """The kinds of finding, the most dangerous first. The value is what `--json` prints."""

    SWAPPED = "swapped"
    TURNED = "turned"
    UNSERVICEABLE = "unserviceable"
    NOT_THIS_JOB = "not-this-job"
    WRONG_HARDWARE = "wrong-hardware"
    LOST = "lost"
    MISSING = "missing"
    STILL_DISCONNECTED = "still-disconnected"
    SHORT = "short"
    OVER = "over"
    REUSED = "reused"
    NOT_TIGHT = "not-tight"
    NOT_SAFETIED = "not-safetied"
    SETTING = "setting"
    STILL_ABOARD = "still-aboard"
    CLOSED_BEFORE_COMPLETE = "closed-before-complete"
    NOT_INSPECTED = "not-inspected"
    NOT_LOOKED_AT = "not-looked-at"
    LEFT_OVER = "left-over"
    TAGS_OUT = "tags-out"
    PAIR_DIFFERS = "pair-differs"
    PAIR_LOOKS_ALIKE = "pair-looks-alike"
    DIFFERS_FROM_DATA = "differs-from-data"


_UNFINISHED = frozenset(
    {Kind.CLOSED_BEFORE_COMPLETE, Kind.NOT_INSPECTED, Kind.NOT_LOOKED_AT, Kind.LEFT_OVER, Kind.TAGS_OUT}
)
# what a person answers at the desk; it holds nothing up
QUESTIONS = (Kind.PAIR_DIFFERS, Kind.PAIR_LOOKS_ALIKE, Kind.DIFFERS_FROM_DATA)

# what can be so by the design of the type, and is then asked of none of its kind again
BY_DESIGN = frozenset({Kind.PAIR_DIFFERS, Kind.PAIR_LOOKS_ALIKE})

# wrong at the moment of the act: told at once, whether or not the zone was declared complete
AT_ONCE = frozenset(
    {
        Kind.SWAPPED,
        Kind.TURNED,
        Kind.UNSERVICEABLE,
        Kind.NOT_THIS_JOB,
        Kind.WRONG_HARDWARE,
        Kind.OVER,
        Kind.REUSED,
        Kind.LOST,
        Kind.CLOSED_BEFORE_COMPLETE,
    }
)

# findings grouped by what to do about them, the most dangerous group first
GROUPS: tuple[tuple[str, tuple[Kind, ...]], ...] = (
    ("Take it off again", (Kind.SWAPPED, Kind.TURNED, Kind.UNSERVICEABLE, Kind.NOT_THIS_JOB)),
    ("Stop and search", (Kind.LOST,)),
    ("Put it back", (Kind.MISSING, Kind.STILL_DISCONNECTED)),
    ("Put the hardware right", (Kind.WRONG_HARDWARE, Kind.SHORT, Kind.OVER, Kind.REUSED)),
    ("Finish the joint", (Kind.NOT_TIGHT, Kind.NOT_SAFETIED, Kind.SETTING)),
    ("Take it out of the aircraft", (Kind.STILL_ABOARD,)),
    ("Open it again", (Kind.CLOSED_BEFORE_COMPLETE,)),
    ("Look, or have somebody look", (Kind.NOT_INSPECTED, Kind.NOT_LOOKED_AT)),
    ("Account for what lies in the shop", (Kind.LEFT_OVER,)),
    ("Count the tags back", (Kind.TAGS_OUT,)),
    ("Say why", QUESTIONS),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that is not as it should be."""

    kind: Kind
    # what it is about, in shop words
    thing: str
    expected: str
    seen: str
    advice: str
    # what answers hold on to, where it is told in other words than in old records; empty: as it is told
    held: str = ""
    position: Position | None = None
    area: str = ""
    # of what nobody can place, the areas in which it may be as well; none of them: in any
    may_be: tuple[str, ...] | None = None
    # other positions that it holds up: those that a shared joint clamps too
    also: tuple[Position, ...] = ()
    # which of several joints or parts of one position it is about; empty: the first, or none
    about: str = ""
    # the step of the job at which what it says last came about: an answer from before that is none
    since: int = 0
    # of what is short, how many pieces are still to go in
    lacks: int = 0
    # ids of the acts it rests on
    acts: tuple[str, ...] = ()
    answer: RulingState | None = None

    @property
    def severity(self) -> Severity:
        """How bad it is."""
        if self.kind in QUESTIONS:
            return Severity.QUESTION
        return Severity.UNFINISHED if self.kind in _UNFINISHED else Severity.DANGER

    def lies_in(self, area: str) -> bool:
        """Return whether it is about an area, by the area of its own, however that is spelled."""
        if self.may_be is not None:
            return not self.may_be or any(areas_meet(area, each) for each in self.may_be)
        if self.position is None and self.area:
            # what was put aboard "in the tail" may lie on either side of it
            return areas_meet(area, self.area)
        return area_words(area) == area_words(self.area)

    @property
    def key(self) -> str:
        """What an answer holds on to: kind, place, thing, expected, seen. It changes when the facts change."""
        where = str(self.position) if self.position else self.area
        told = f"{self.kind.value} | {where} | {self.thing} | {self.expected} | {self.held or self.seen}"
        return f"{told} | {self.about}" if self.about else told

    @property
    def short(self) -> str:
        """Six characters of the key's SHA-256, to be typed."""
        return sha256(self.key.encode()).hexdigest()[:6].upper()


_RANK: Mapping[Kind, int] = {kind: rank for rank, kind in enumerate(kind for _, kinds in GROUPS for kind in kinds)}


def in_order(findings: list[Finding]) -> tuple[Finding, ...]:
    """Return the findings grouped by what to do, the most dangerous first, then by place."""
    return tuple(sorted(findings, key=lambda f: (_RANK[f.kind], str(f.position or f.area).casefold(), f.thing, f.seen)))

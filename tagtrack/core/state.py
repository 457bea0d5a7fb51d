"""What the record says now: the one picture that every check, tag and report is made from.

`fold` (see the module of that name) builds a State from acts and is the only writer; everybody else reads.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, TypeVar

from tagtrack.core.axes import Direction, areas_meet, side_or_none
from tagtrack.core.events import JobOpened, Planned, SignedOff
from tagtrack.core.hardware import Line, Stack, total_lines
from tagtrack.core.marks import Marks
from tagtrack.core.observations import said_not_right
from tagtrack.core.places import UNCOUNTED, Item, ItemKind, Place, PlaceKind
from tagtrack.core.records import (
    Access,
    CheckRole,
    Condition,
    LossOutcome,
    Person,
    Position,
    Requirement,
    Role,
    Ruling,
    TagEnd,
    TagRole,
)
from tagtrack.core.spelling import same


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionState:
    """A position as it stands."""

    position: Position
    role: Role = Role.PART
    area: str = ""
    # the area is that of what it is held with, until it comes off itself
    likely: bool = False
    parent: Position | None = None
    closes_up: tuple[Position, ...] = ()
    critical: bool = False
    mount: Direction | None = None
    either_way: bool = False
    asks: tuple[str, ...] = ()
    # the step of the job at which they were last asked once more
    asked: int = 0
    requirement: Requirement = Requirement()
    access: Access = Access.CLOSED
    held_by: str = ""
    # its hardware is in a bag and not counted yet
    uncounted: bool = False
    # it came off, and nothing of its own holds it, as was said
    bare: bool = False
    # how often something here was taken apart; checks hold for one cycle only
    cycle: int = 0
    # the steps of the job at which it was last worked on, and last closed (0: it is not)
    worked: int = 0
    closed: int = 0
    # at which something that is shared with a cover over it was last worked on, from outside; and a part last went on
    driven: int = 0
    fitted: int = 0
    acts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PartState:
    """A part as it stands."""

    identity: str
    # where it came from, or for a replacement where it was meant to go
    home: Position
    place: Place = UNCOUNTED
    number: str = ""
    serial: str = ""
    life: str = ""
    marks: Marks = Marks()
    seen: Marks = Marks()
    # the step of the job at which they were last seen to show something else
    seen_step: int = 0
    trial: bool = False
    condition: Condition = Condition.SERVICEABLE
    condition_reason: str = ""
    # the step of the job at which its condition was last told to be another
    condition_step: int = 0
    tag: str = ""
    replaces: str = ""
    replaced_by: str = ""
    # the part of its assembly with which it went on; empty: the one that was there first, or it is part of none
    within: str = ""
    # initials of everybody who had it off or on since it last came off
    performers: frozenset[str] = frozenset()
    acts: tuple[str, ...] = ()

    @property
    def at(self) -> Position | None:
        """The position where it is installed, or None while it is off."""
        return Position.read(self.place.name) if self.place.kind is PlaceKind.POSITION else None


@dataclass(frozen=True, slots=True, kw_only=True)
class JointState:
    """A joint as it stands. `back` is what is to go back: as found, unless a person said otherwise."""

    identity: str
    positions: tuple[Position, ...]
    stack: Stack
    lock: str = ""
    destroyed: bool = False
    # the step of the job at which it was last destroyed
    destroyed_at: int = 0
    # how thick the gripped parts are, measured, in inches as typed
    span: str = ""
    # specs that are made tight; empty: of a record from before they were told, the first of an ordered stack
    heads: tuple[str, ...] = ()
    # specs that lock it from outside and go in last: a cotter pin, a lockwire
    locks: tuple[str, ...] = ()
    back: tuple[Line, ...] = ()
    back_reason: str = ""
    # where its hardware was put when it came off
    kept: Place = UNCOUNTED
    # fasteners made tight, of `fasteners`
    tight: int = 0
    torque: str = ""
    safe: bool = False
    # how many pieces in it that went in new were made tight, or bent, before it was opened again, by spec
    worn: tuple[tuple[str, int], ...] = ()
    cycle: int = 0
    # initials of everybody who worked on it since it was last empty
    performers: frozenset[str] = frozenset()
    acts: tuple[str, ...] = ()

    @property
    def fasteners(self) -> int:
        """How many fasteners are to be made tight: as found, unless another count of them is to go back."""
        if self.is_set:
            return 1
        if not self.back and self.back_reason:
            return 0
        tightened = self.tightened
        back = sum(line.count for line in self.back if line.spec in tightened)
        return back or sum(line.count for line in self.found if line.spec in tightened)

    @property
    def tightened(self) -> frozenset[str]:
        """The specs that are made tight: heads, and what stands in for them."""
        return frozenset((*(() if self.stack.is_set else (self.stack.lines[0].spec,)), *self.heads))

    @property
    def is_set(self) -> bool:
        """Whether it is a list of which it is not known what is made tight; it counts as one fastener."""
        return self.stack.is_set and not self.heads

    @property
    def used_once(self) -> frozenset[str]:
        """The specs of which no piece is used a second time, among what was found and what goes back."""
        return frozenset(line.spec for line in (*self.back, *self.stack.lines) if line.once)

    def no_longer_new(self, spec: str, inside: int) -> int:
        """Return how many of the pieces in it that went in new count as used: what is, or was, tight or bent."""
        return inside if self.tight or self.safe else min(inside, dict(self.worn).get(spec, 0))

    @property
    def found(self) -> tuple[Line, ...]:
        """What was found, as a flat list."""
        return total_lines(self.stack)


@dataclass(frozen=True, slots=True, kw_only=True)
class TagState:
    """A tag of this job."""

    code: str
    role: TagRole
    thing: str
    end: TagEnd | None = None
    by_tag: str = ""
    act: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class EndState:
    """One end of a connection."""

    position: Position
    end: str
    as_found: str
    terminal: str
    made: bool
    # the step of the job at which it was parted or made
    step: int = 0
    # initials of everybody who parted or made it since it was last parted
    performers: frozenset[str] = frozenset()
    acts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingState:
    """A setting as found and as left. Empty text: not read yet."""

    position: Position
    as_found: str = ""
    as_left: str = ""
    reason: str = ""
    # the cycle of its position in which it was read as left, and the step of the job; and at which that was a new value
    cycle: int = 0
    step: int = 0
    set_at: int = 0
    # initials of who left it so
    performers: frozenset[str] = frozenset()
    acts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LossState:
    """A loss and its search."""

    case: str
    what: str
    item: Item
    # how many were lost, and how many of them were found
    count: int
    areas: tuple[str, ...]
    by: str
    found: int = 0
    # where it was last, by the record
    source: Place = UNCOUNTED
    # (who, what was done) in order
    search: tuple[tuple[str, str], ...] = ()
    outcome: LossOutcome | None = None
    second: str = ""
    acts: tuple[str, ...] = ()

    @property
    def stands(self) -> bool:
        """Whether it is still in the way of the sign-off."""
        return self.outcome in (None, LossOutcome.SEARCHED)

    @property
    def still(self) -> int:
        """How many of them nobody has found."""
        return self.count - self.found

    def may_be_in(self, area: str) -> bool:
        """Return whether it may lie in the area: where it was lost, within that or around it, or nobody knows."""
        return not self.areas or any(areas_meet(area, each) for each in self.areas)


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckState:
    """What somebody said of one row of a check."""

    observation: str
    role: CheckRole
    by: str
    at: str
    cycle: int
    act: str
    step: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RulingState:
    """What somebody answered to a finding."""

    ruling: Ruling
    reason: str
    by: str
    at: str
    second: str = ""
    act: str = ""
    # the cycle of the position, and the step of the job, when it was answered
    cycle: int = 0
    step: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class SightingState:
    """A tag that was scanned where it has no business."""

    code: str
    where: str
    verdict: str
    act: str
    # the step of the job
    step: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class DespiteState:
    """Why something was recorded although the program objected to it."""

    reason: str
    by: str
    at: str
    # the position that it is about; empty where it is about none
    about: str = ""
    # what the program had said against it, each with its kind before it; empty in records from before it was kept
    objected: tuple[str, ...] = ()


@dataclass(slots=True)
class State:
    """The whole work order. The mappings are written by the fold alone."""

    job: JobOpened | None = None
    people: dict[str, Person] = field(default_factory=dict)
    positions: dict[Position, PositionState] = field(default_factory=dict)
    parts: dict[str, PartState] = field(default_factory=dict)
    joints: dict[str, JointState] = field(default_factory=dict)
    holdings: dict[Place, Mapping[Item, int]] = field(default_factory=dict)
    tags: dict[str, TagState] = field(default_factory=dict)
    ends: dict[tuple[Position, str], EndState] = field(default_factory=dict)
    settings: dict[Position, SettingState] = field(default_factory=dict)
    losses: dict[str, LossState] = field(default_factory=dict)
    checks: dict[tuple[str, str], CheckState] = field(default_factory=dict)
    rulings: dict[str, RulingState] = field(default_factory=dict)
    sightings: dict[str, SightingState] = field(default_factory=dict)
    # the step at which something was last put aboard, by the name of the place
    aboard_since: dict[str, int] = field(default_factory=dict)
    # the step at which pieces of a lot last came to lie at a place in the shop
    lain_since: dict[tuple[Place, Item], int] = field(default_factory=dict)
    # where a bag was put: code -> place in the shop
    whereabouts: dict[str, str] = field(default_factory=dict)
    pictures: dict[str, tuple[str, ...]] = field(default_factory=dict)
    # tags printed ahead, of parts and of bags: code -> what the list says
    planned: dict[str, Planned] = field(default_factory=dict)
    # acts recorded although they were told to be wrong: act id -> who gave which reason
    despite: dict[str, DespiteState] = field(default_factory=dict)
    signed: SignedOff | None = None
    signed_by: str = ""
    signed_at: str = ""
    opened_by: str = ""
    opened_at: str = ""
    # what belongs to a position, so that a question about one never walks through all: identities, and letters of ends
    parts_at: dict[Position, tuple[str, ...]] = field(default_factory=dict)
    joints_at: dict[Position, tuple[str, ...]] = field(default_factory=dict)
    ends_at: dict[Position, tuple[str, ...]] = field(default_factory=dict)
    # how the record spells a name, by the form in which two spellings of it are the same
    spelled: dict[str, str] = field(default_factory=dict)
    # what was said to be part of an assembly, by the assembly's position
    members_at: dict[Position, tuple[Position, ...]] = field(default_factory=dict)
    # how many acts stand, and the last of them
    step: int = 0
    latest: str = ""

    def copy(self) -> State:
        """Return a picture of its own: writing to one does not change the other."""
        return State(
            self.job, dict(self.people), dict(self.positions), dict(self.parts), dict(self.joints),
            dict(self.holdings), dict(self.tags), dict(self.ends), dict(self.settings), dict(self.losses),
            dict(self.checks), dict(self.rulings), dict(self.sightings), dict(self.aboard_since),
            dict(self.lain_since), dict(self.whereabouts),
            dict(self.pictures), dict(self.planned), dict(self.despite),
            self.signed, self.signed_by, self.signed_at, self.opened_by, self.opened_at,
            dict(self.parts_at), dict(self.joints_at), dict(self.ends_at), dict(self.spelled), dict(self.members_at),
            self.step, self.latest,
        )  # fmt: skip

    def put(self, known: PositionState) -> None:
        """Write how a position stands, also of one that is new."""
        self.positions[known.position] = known
        self.spelled.setdefault(same(known.position.name), known.position.name)

    def joints_of(self, position: Position) -> tuple[JointState, ...]:
        """Return the joints that clamp something at the position, oldest first."""
        return tuple(self.joints[identity] for identity in self.joints_at.get(position, ()))

    def parts_of(self, position: Position) -> tuple[PartState, ...]:
        """Return the parts that came from the position, or were fitted there new, oldest first."""
        return tuple(self.parts[identity] for identity in self.parts_at.get(position, ()))

    def ends_of(self, position: Position) -> tuple[EndState, ...]:
        """Return the ends of the connection at the position."""
        return tuple(self.ends[position, end] for end in self.ends_at.get(position, ()))

    def part_at(self, position: Position) -> PartState | None:
        """Return the part that is installed at the position, or None."""
        here = self.holdings.get(Place(PlaceKind.POSITION, str(position)), {})
        for item in here:
            if item.kind is ItemKind.PART:
                return self.parts[item.name]
        return None

    def part_from(self, position: Position) -> PartState | None:
        """Return the part that belongs at the position and has not been replaced, or None."""
        return next((part for part in self.parts_of(position) if not part.replaced_by), None)

    def performers(self, position: Position) -> frozenset[str]:
        """Return the initials of everybody whose work at the position, or at what is part of it, still stands.

        Nobody of them inspects it.
        """
        found: set[str] = set()
        for each in (position, *members(self, position)):
            here, setting = self.part_at(each), self.settings.get(each)
            work = (
                *self.parts_of(each), *((here,) if here else ()), *self.joints_of(each), *self.ends_of(each),
                *((setting,) if setting else ()),
            )  # fmt: skip
            found.update(initials for thing in work for initials in thing.performers)
        return frozenset(found)

    def areas(self) -> tuple[str, ...]:
        """Return the areas that the record knows, in the order in which they came up."""
        return tuple(dict.fromkeys(p.area for p in self.positions.values() if p.area))


def members(state: State, position: Position) -> tuple[Position, ...]:
    """Return the positions that were said to be part of this one, and of those in turn."""
    found = dict.fromkeys(state.members_at.get(position, ()))
    for member in list(found):
        found |= dict.fromkeys(members(state, member))
    return tuple(found)


def ancestors(state: State, position: Position) -> tuple[Position, ...]:
    """Return the assemblies that a position is part of, the nearest first."""
    found: list[Position] = []
    known = state.positions.get(position)
    while known is not None and known.parent is not None:
        found.append(known.parent)
        known = state.positions.get(known.parent)
    return tuple(found)


def worked_at(state: State, position: Position) -> int:
    """Return the step at which a position, or what is part of it, was last worked on, from outside as well."""
    here = (state.positions[p] for p in (position, *members(state, position)))
    return max(max(known.worked, known.driven) for known in here)


Value = TypeVar("Value")


def changed(value: Value, **changes: object) -> Value:
    """Return a frozen value with some fields changed, as `dataclasses.replace` does, at a fraction of its cost.

    For values with slots whose making checks nothing. The fold makes several of them for each act.
    """
    kind: type = type(value)
    made: Value = _thawing(kind)(value)
    for name, other in changes.items():
        setattr(made, name, other)
    # frozen from here on
    made.__class__ = kind
    return made


@cache
def _thawing(kind: type) -> Callable[[Any], Any]:
    """Return a function that copies a frozen value into one of the same slots that can still be written to."""
    slots: tuple[str, ...] = kind.__slots__  # type: ignore[attr-defined]  # every value here has slots
    scope = {"Thawed": type(f"Thawed{kind.__name__}", (), {"__slots__": slots})}
    # spelled out field by field, as dataclasses does for its own methods: a loop over them takes three times as long
    copies = "".join(f"    made.{name} = value.{name}\n" for name in slots)
    exec(f"def thawed(value):\n    made = Thawed()\n{copies}    return made", scope)  # noqa: S102 - our own field names
    return scope["thawed"]


def zone(area: str) -> str:
    """Return the subject under which questions about an area are answered."""
    return f"zone {area}"


def answered(state: State, subject: str, row: str) -> CheckState | None:
    """Return the answer to one row, or None where there is none for the present cycle: taken apart voids it."""
    check = state.checks.get((subject, row))
    if check is None or check.cycle == cycle_of(state, subject) or said_not_right(check.observation):
        # work ends a good look, never a bad one
        return check
    return None


def told_not_right(check: CheckState | None) -> str:
    """Return what is not right, and who says so; empty where nobody says it."""
    wrong = said_not_right(check.observation) if check is not None else ""
    return f"not right, by {check.by}: {wrong}" if check is not None and wrong else ""


def seen_since(state: State, position: Position, row: str) -> CheckState | None:
    """Return the answer to one row of a position, or None where there is none since it was last worked on."""
    check = answered(state, str(position), row)
    if check is None or check.step >= worked_at(state, position) or said_not_right(check.observation):
        return check
    return None


def cycle_of(state: State, subject: str) -> int:
    """Return how often the subject of a check was taken apart: a check holds only for the cycle it was made in."""
    if subject in state.joints:
        return state.joints[subject].cycle
    known = known_by_text(state, subject)
    # a position may be called "zone valve": what is no position is an area
    if known is None and subject.startswith("zone "):
        return sum(p.cycle for p in state.positions.values() if zone(p.area) == subject)
    return known.cycle if known else 0


def known_by_text(state: State, text: str) -> PositionState | None:
    """Return what is known of the position of a stored text, or None where it is the text of none."""
    spot, _, where = text.rpartition(", ")
    side = side_or_none(where)
    return state.positions.get(Position(spot, side)) if side else None


def ruled_at(state: State, key: str) -> str:
    """Return the position, as a text, that the key of a finding is about; an empty text where it is about none."""
    _, *parts = key.split(" | ")
    # a name may hold what the key is divided by
    tries = (" | ".join(parts[:count]) for count in range(len(parts), 0, -1))
    return next((text for text in tries if known_by_text(state, text) is not None), "")

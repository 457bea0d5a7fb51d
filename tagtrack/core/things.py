"""Each thing that the record knows, as it stands: positions, parts, joints, tags, wire ends, answers; frozen values."""

from __future__ import annotations

from dataclasses import dataclass

from tagtrack.core.axes import Direction, areas_meet
from tagtrack.core.hardware import Line, Stack, total_lines
from tagtrack.core.marks import Marks
from tagtrack.core.places import UNCOUNTED, Item, Place, PlaceKind
from tagtrack.core.records import (
    GIVEN_UP,
    Access,
    CheckRole,
    Condition,
    LossOutcome,
    Position,
    Requirement,
    Role,
    Ruling,
    TagEnd,
    TagRole,
)


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
    # its hardware is in a bag and not counted yet, and how it is locked, where that was said already
    uncounted: bool = False
    lock: str = ""
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
    # and at which something last came off here: a part, hardware, the end of a wire
    came_off: int = 0
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
    def numbers(self) -> str:
        """What is written on it, as paper says it: `P/N 5, S/N 77`; empty where nothing was noted."""
        told = (f"P/N {self.number}" if self.number else "", f"S/N {self.serial}" if self.serial else "")
        return ", ".join(filter(None, told))

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
    # the second person works in this shop
    of_shop: bool = False
    # who said what it came to, by initials: who named the second person first
    said_by: tuple[str, ...] = ()
    acts: tuple[str, ...] = ()

    @property
    def stands(self) -> bool:
        """Whether it is still in the way of the sign-off."""
        return self.outcome in (None, LossOutcome.SEARCHED)

    @property
    def alone(self) -> bool:
        """Whether it was given up, and the second person, who works in this shop, has not said it too."""
        return self.outcome in GIVEN_UP and self.of_shop and len(self.said_by) == 1

    @property
    def still(self) -> int:
        """How many of them nobody has found."""
        return self.count - self.found

    def may_be_in(self, area: str) -> bool:
        """Return whether it may lie in the area: where it was lost, within that or around it, or nobody knows."""
        return not self.areas or any(areas_meet(area, each) for each in self.areas)


@dataclass(frozen=True, slots=True, kw_only=True)
class AboardState:
    """What was put aboard at one place for a while, of one kind: how many in all, how many came off again, and by whom.

    What was lost aboard is in neither count a second time: it has a case of its own.
    """

    put: int = 0
    put_by: tuple[str, ...] = ()
    taken: int = 0
    taken_by: tuple[str, ...] = ()


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

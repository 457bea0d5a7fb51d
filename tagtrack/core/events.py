"""What can be recorded, in the past tense. Every kind of event is here, and once written is read for ever.

An `Act` is one thing that one person did: one commit, one line of the journal. It holds one or more
events. Events with `moves` move things; the others state a fact. Nothing is ever erased: a
correction is a new act with `Reversed`.
"""

from __future__ import annotations

from dataclasses import KW_ONLY

from tagtrack.core.axes import Direction
from tagtrack.core.frozen import value
from tagtrack.core.hardware import Line, Stack
from tagtrack.core.marks import Marks
from tagtrack.core.places import Item, Move, Place
from tagtrack.core.records import (
    Access,
    CheckRole,
    Condition,
    FoundJoint,
    JointStep,
    LossOutcome,
    PartOff,
    Person,
    Position,
    Requirement,
    Role,
    Ruling,
    TagEnd,
    TagRole,
    Via,
    When,
)


@value
class JobOpened:
    """A work order was opened for one aircraft."""

    job: str
    registration: str
    make: str = ""
    model: str = ""
    serial: str = ""
    task: str = ""
    # repair, inspection, alteration
    work: str = ""
    data: tuple[str, ...] = ()


@value
class PersonNoted:
    """Somebody works here, or a fact about him or her changed."""

    person: Person


@value
class TagsIssued:
    """Codes were given out: to one job, or as blanks (no job)."""

    codes: tuple[str, ...]
    job: str = ""


@value
class TagClaimed:
    """A blank tag was taken for a job."""

    tag: str
    job: str


@value
class PositionNamed:
    """A position is known. Named again, what is new is added: nothing said before is taken back."""

    position: Position
    role: Role = Role.PART
    area: str = ""
    parent: Position | None = None
    closes_up: tuple[Position, ...] = ()
    critical: bool = False
    # the way the face points by which the part is bolted on; None: not said
    mount: Direction | None = None
    either_way: bool = False
    # questions that must be answered before the work is complete: "function", "look"
    asks: tuple[str, ...] = ()
    # they were answered, and are asked once more
    again: bool = False
    # the area is only where it is held from: its own word counts, once it comes off itself
    likely: bool = False


@value
class Planned:
    """A tag was printed ahead, for what will come off by a list: `line`, as it is said. Nothing is off by that."""

    tag: str
    position: Position
    marks: Marks
    hardware: tuple[Stack, ...]
    line: str
    critical: bool = False
    # the tag of the bag that its hardware is to go into, printed with it; empty: none
    bag: str = ""
    # by which face it is bolted on, where the list says so
    mount: Direction | None = None
    either_way: bool = False


@value
class PerData:
    """The maker's data was looked up for a position."""

    position: Position
    requirement: Requirement


@value
class TagBound:
    """A tag got its meaning: what it is on."""

    tag: str
    role: TagRole
    thing: str


@value
class TagEnded:
    """A tag came back, or is void. `by_tag` replaces it."""

    tag: str
    end: TagEnd
    by_tag: str = ""
    reason: str = ""


@value
class TakenOff:
    """A part, its hardware, or both came off a position. Without a part: only what holds it was counted."""

    position: Position
    part: PartOff | None = None
    marks: Marks = Marks()
    found: tuple[FoundJoint, ...] = ()
    # the hardware is in a bag and will be counted at the bench
    uncounted: bool = False
    # moved out of the way, not taken off the aircraft
    aside: bool = False
    moves: tuple[Move, ...] = ()
    # how hardware is locked that will be counted at the bench
    lock: str = ""


@value
class Installed:
    """A part went on at a position. `seen` is what its marks showed; `replaces` is the part it stands in for."""

    position: Position
    part: str
    seen: Marks = Marks()
    replaces: str = ""
    # set for a part that was not in this job before
    new: PartOff | None = None
    # a trial fit is not finished
    trial: bool = False
    moves: tuple[Move, ...] = ()


@value
class HardwareInstalled:
    """Hardware went into a joint."""

    joint: str
    moves: tuple[Move, ...]


@value
class Moved:
    """Things changed place."""

    reason: str
    moves: tuple[Move, ...]


@value
class Recounted:
    """A place was counted again and held another number than recorded."""

    place: Place
    item: Item
    was: int
    now: int
    moves: tuple[Move, ...] = ()


@value
class Lost:
    """Something is not where it should be and nobody knows where it is."""

    case: str
    what: str
    areas: tuple[str, ...]
    moves: tuple[Move, ...]


@value
class LossStep:
    """A step in a loss: searched, found, proved not aboard, or accepted with a second name."""

    case: str
    outcome: LossOutcome
    how: str
    areas: tuple[str, ...] = ()
    second: str = ""
    moves: tuple[Move, ...] = ()
    # the second person works in this shop, and can say it too
    of_shop: bool = False
    # the initials of the second person, who said it in the same step: by his or her own PIN
    said_too: str = ""


@value
class ConnectionSet:
    """One end of a connection was made at a terminal, or taken off it."""

    position: Position
    # "" for a keyed plug, else A or B
    end: str
    terminal: str
    made: bool
    # where it came from after all, where the first record was wrong, or did not say; empty: as it was said before
    as_found: str = ""


@value
class JointSet:
    """How far a joint's hardware is. `value` is the torque as entered, or 'per data'."""

    joint: str
    step: JointStep
    # how many of its fasteners; 0: all of them
    count: int = 0
    value: str = ""


@value
class BackSet:
    """A person said that something else is to go back into a joint than was found, and why.

    Kept apart from what was found and from what the data says, so that the three are never confused.
    """

    joint: str
    lines: tuple[Line, ...]
    reason: str
    # specs among them that stand in for a piece that is made tight
    heads: tuple[str, ...] = ()


@value
class SettingNoted:
    """A setting was read: stop bolt, rod-end threads, turnbuckle, shims, match mark."""

    position: Position
    when: When
    value: str
    # why as left differs from as found
    reason: str = ""


@value
class AccessSet:
    """A cover's state was told."""

    position: Position
    state: Access
    held_by: str = ""


@value
class Checked:
    """Somebody looked at one thing and said what was seen. The subject is a position, an area or a joint."""

    subject: str
    row: str
    observation: str
    role: CheckRole = CheckRole.PERFORMER


@value
class ConditionSet:
    """A part's condition was told."""

    part: str
    condition: Condition
    reason: str


@value
class Seen:
    """A tag was scanned at a place. `verdict` tells what is wrong with that; empty: a bag was put there."""

    code: str
    where: str
    verdict: str = ""


@value
class Ruled:
    """A named person answered a finding. It holds on to the finding's key and lapses when the facts change."""

    key: str
    ruling: Ruling
    reason: str
    second: str = ""


@value
class MarksNoted:
    """More marks were put on a part after it came off, so that it can be told from its twin. All of them together."""

    part: str
    marks: Marks


@value
class SitsSeen:
    """What the marks of a part that is on were seen to show, said after it went on."""

    part: str
    seen: Marks


@value
class TypeRuled:
    """An answer that holds for every aircraft of a type: by design. Kept in the shop's own record."""

    make: str
    model: str
    key: str
    reason: str
    # it was undone in the job where it was said
    withdrawn: bool = False


@value
class Attached:
    """A picture belongs to a subject, by the SHA-256 of its bytes."""

    subject: str
    sha256: str


@value
class Reversed:
    """An earlier act is undone. Both stay in the record."""

    act: str
    reason: str = ""


@value
class Head:
    """How far one chain of the record goes: the site, its last line, and that line's SHA-256."""

    site: str
    seq: int
    hash: str

    def __str__(self) -> str:
        return f"{self.seq}-{self.hash[:8]}"


@value
class SignedOff:
    """The work order was closed as reconciled, on these heads, by the hardware tables of that digest."""

    heads: tuple[Head, ...]
    catalogue: str = ""
    second: str = ""


Event = (
    JobOpened | PersonNoted | TagsIssued | TagClaimed | PositionNamed | PerData | TagBound | TagEnded | TakenOff
    | Installed | HardwareInstalled | Moved | Recounted | Lost | LossStep | ConnectionSet | JointSet | BackSet
    | SettingNoted | AccessSet | Checked | ConditionSet | Seen | Ruled | MarksNoted | TypeRuled | Planned | Attached
    | Reversed | SignedOff | SitsSeen
)  # fmt: skip

KINDS: tuple[type[Event], ...] = Event.__args__


@value
class Act:
    """One thing one person did: one commit, one line."""

    _: KW_ONLY
    id: str
    site: str
    # initials
    by: str
    # UTC, ISO 8601 to the second: 2026-03-02T14:05:09Z
    at: str
    via: Via
    # the program's version
    version: str
    events: tuple[Event, ...]
    # the clock of the device that was pressed, where it is another
    device_at: str = ""
    # why it was recorded although it was told to be wrong
    despite: str = ""
    # what the program had said against it, each with its kind before it: "turned: STOP: WRONG WAY ROUND"
    objected: tuple[str, ...] = ()

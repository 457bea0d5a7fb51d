"""What the record says now: the one picture that every check, tag and report is made from.

`fold` (see the module of that name) builds a State from acts and is the only writer; everybody else reads.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tagtrack.core.axes import side_or_none
from tagtrack.core.events import JobOpened, Planned, SignedOff
from tagtrack.core.observations import said_not_right
from tagtrack.core.places import Item, ItemKind, Place, PlaceKind
from tagtrack.core.records import Person, Position
from tagtrack.core.spelling import same
from tagtrack.core.things import (
    AboardState,
    CheckState,
    DespiteState,
    EndState,
    JointState,
    LossState,
    PartState,
    PositionState,
    RulingState,
    SettingState,
    SightingState,
    TagState,
)


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
    # what was put aboard and came off again, by the name of the place and what it is
    aboard: dict[tuple[str, str], AboardState] = field(default_factory=dict)
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
    # spelled so too: what was only named with something else so far, as what a cover closes up, or as an assembly
    mentioned: dict[str, str] = field(default_factory=dict)
    # how many acts stand, and the last of them
    step: int = 0
    latest: str = ""

    def copy(self) -> State:
        """Return a picture of its own: writing to one does not change the other."""
        return State(
            self.job, dict(self.people), dict(self.positions), dict(self.parts), dict(self.joints),
            dict(self.holdings), dict(self.tags), dict(self.ends), dict(self.settings), dict(self.losses),
            dict(self.checks), dict(self.rulings), dict(self.sightings), dict(self.aboard_since),
            dict(self.aboard), dict(self.lain_since), dict(self.whereabouts),
            dict(self.pictures), dict(self.planned), dict(self.despite),
            self.signed, self.signed_by, self.signed_at, self.opened_by, self.opened_at,
            dict(self.parts_at), dict(self.joints_at), dict(self.ends_at), dict(self.spelled), dict(self.members_at),
            dict(self.mentioned), self.step, self.latest,
        )  # fmt: skip

    def put(self, known: PositionState) -> None:
        """Write how a position stands, also of one that is new."""
        if known.position not in self.positions:
            self.spelled.setdefault(same(known.position.name), known.position.name)
        self.positions[known.position] = known

    def spelling(self, name: str) -> str | None:
        """Return how the record spells a name, wherever it came up; None where it did not."""
        form = same(name)
        return self.spelled.get(form) or self.mentioned.get(form)

    def joints_of(self, position: Position) -> tuple[JointState, ...]:
        """Return the joints that clamp something at the position, oldest first."""
        return tuple(map(self.joints.__getitem__, self.joints_at.get(position, ())))

    def parts_of(self, position: Position) -> tuple[PartState, ...]:
        """Return the parts that came from the position, or were fitted there new, oldest first."""
        return tuple(map(self.parts.__getitem__, self.parts_at.get(position, ())))

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


# what is seen of a part as it sits in its assembly, wherever that is
IN_ITSELF = frozenset({"assembly", "locking"})


def worked_at(state: State, position: Position) -> int:
    """Return the step at which a position, or what is part of it, was last worked on, from outside as well."""
    here = (state.positions[p] for p in (position, *members(state, position)))
    return max(max(known.worked, known.driven) for known in here)


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
    """Return the answer to one row of a position, or None where there is none since it was last worked on.

    How it moves and what it is linked with is seen anew when the assembly that it is part of went on since.
    """
    check = answered(state, str(position), row)
    if check is None or said_not_right(check.observation):
        return check
    since = worked_at(state, position)
    if row not in IN_ITSELF:
        around = (state.positions.get(each) for each in ancestors(state, position))
        since = max((since, *(known.fitted for known in around if known is not None)))
    return check if check.step >= since else None


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

"""What the board of a work order shows: what is off by area, what can go on, what is wrong, who works."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from tagtrack.core.check_rest import AREA_ROWS
from tagtrack.core.findings import QUESTIONS, Finding, Kind
from tagtrack.core.places import PlaceKind
from tagtrack.core.records import Position
from tagtrack.core.state import State, answered, zone
from tagtrack.hangar.floor import Floor
from tagtrack.shop.closing import next_steps
from tagtrack.shop.desk import Job

# who did something within so many hours counts as working
_LATELY = timedelta(hours=12)
NO_ZONE = "no zone said"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One position that is off or not finished."""

    position: Position
    # what is still to be said of it, in shop words
    owes: tuple[str, ...]
    lies: str
    tag: str
    critical: bool
    # it can go on now; else what it waits for
    waits: tuple[Position, ...] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """The whole board."""

    areas: tuple[tuple[str, tuple[Row, ...]], ...]
    # open, but at no position: tags, losses
    elsewhere: tuple[Finding, ...]
    wrong: tuple[Finding, ...]
    # what can go on now
    now: tuple[Position, ...]
    # what waits for a second person's look
    looks: tuple[Position, ...]
    # initials and the UTC time of the last step
    working: tuple[tuple[str, str], ...]
    off: int
    back: int


def board(floor: Floor, job: Job, at: str) -> Board:
    """Return the board of a work order as of its last refresh; `at` is the time now, as acts have it."""
    outcome = floor.checked(job, asked=False)
    steps = next_steps(job)
    waiting = dict(steps.waiting)
    owed: dict[Position, list[Finding]] = {}
    elsewhere: list[Finding] = []
    for finding in (each for each in outcome.open if each.answer is None):
        if finding.position is None:
            elsewhere.append(finding)
        else:
            owed.setdefault(finding.position, []).append(finding)
    rows = [
        _row(job, position, found, waiting.get(position, ()) if position in waiting else
             (() if position in steps.now else None))
        for position, found in owed.items()
    ]  # fmt: skip
    areas: dict[str, list[Row]] = {}
    for row in sorted(rows, key=lambda r: r.position):
        known = job.state.positions.get(row.position)
        areas.setdefault((known.area if known else "") or NO_ZONE, []).append(row)
    parts = [p for p in job.state.parts.values() if not p.replaced_by]
    back = sum(1 for p in parts if p.at == p.home and not p.trial)
    return Board(
        areas=tuple((area, tuple(mine)) for area, mine in sorted(areas.items())), elsewhere=tuple(elsewhere),
        wrong=outcome.unanswered, now=steps.now, looks=looks(floor, job), working=_working(job, at),
        off=len(parts) - back, back=back,
    )  # fmt: skip


def looks(floor: Floor, job: Job) -> tuple[Position, ...]:
    """Return the positions whose work is done but for a second person's look."""
    outcome = floor.checked(job, asked=False)
    waiting: dict[Position, set[Kind]] = {}
    for finding in (*outcome.open, *outcome.unanswered):
        if finding.position is not None and finding.answer is None:
            waiting.setdefault(finding.position, set()).add(finding.kind)
    return tuple(p for p, kinds in waiting.items() if kinds - set(QUESTIONS) == {Kind.NOT_INSPECTED})


def closed_out(state: State, area: str) -> tuple[str, ...]:
    """Return who closed an area out, and what was seen there; nothing while it is worked, or is worked again."""
    complete = answered(state, zone(area), "complete")
    if complete is None:
        return ()
    rows = [(row, answered(state, zone(area), row)) for row, _ in AREA_ROWS]
    return (f"by {complete.by}, {complete.at[:16].replace('T', ' ')} UTC",
            *(f"{row}: {check.observation}" for row, check in rows if check is not None))  # fmt: skip


def _row(job: Job, position: Position, found: list[Finding], waits: tuple[Position, ...] | None) -> Row:
    state = job.state
    part = state.part_from(position)
    known = state.positions.get(position)
    looks = [f for f in found if f.kind is Kind.NOT_INSPECTED]
    owes = [f.kind.value.replace("-", " ") + ("" if f.thing == position.name else f": {f.thing}")
            for f in found if f not in looks and f.kind not in (Kind.MISSING, Kind.LEFT_OVER)]  # fmt: skip
    if looks:
        owes.append("a second person's look")
    lies = ""
    if part is not None and part.place.kind is PlaceKind.SPOT:
        lies = job.index().lies(part.place)
    return Row(position=position, owes=tuple(dict.fromkeys(owes)), lies=lies, tag=tag_of(state, position),
               critical=bool(known and known.critical), waits=waits)  # fmt: skip


def tag_of(state: State, position: Position) -> str:
    """Return the tag whose page shows a position: its part's, else one of a wire's ends; nothing where it has none."""
    part = state.part_from(position)
    if part is not None:
        return part.tag
    return next((t.code for t in state.tags.values() if t.thing.partition("|")[0] == str(position) and not t.end), "")


def _working(job: Job, at: str) -> tuple[tuple[str, str], ...]:
    last = {act.by: act.at for act in job.acts}
    now = datetime.fromisoformat(at)
    lately = [(who, when) for who, when in last.items() if now - datetime.fromisoformat(when) <= _LATELY]
    return tuple(sorted(lately, key=lambda each: each[1], reverse=True))

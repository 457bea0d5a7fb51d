"""Checks of parts: is each at its own position, the right way round, serviceable, or replaced and disposed of?"""

from __future__ import annotations

from tagtrack.core import marks
from tagtrack.core.assemblies import left_behind
from tagtrack.core.axes import Side
from tagtrack.core.counting import agree, going_back
from tagtrack.core.findings import Finding, Kind
from tagtrack.core.hardware import text_of
from tagtrack.core.index import Index
from tagtrack.core.places import ASIDE, GONE, PlaceKind, told, whereabouts
from tagtrack.core.records import Access, Condition, Position
from tagtrack.core.things import PartState, PositionState


def _finding(
    index: Index, kind: Kind, part: PartState, at: Position, *, thing: str, expected: str, seen: str, advice: str,
    since: int = 0,
) -> Finding:
    return Finding(
        kind=kind, position=at, area=index.area(at), acts=part.acts, thing=thing, expected=expected, seen=seen,
        advice=advice, since=since, about="" if index.state.parts_of(part.home)[:1] == (part,) else part.identity,
    )  # fmt: skip


def parts(index: Index, known: PositionState) -> list[Finding]:
    """Return what is wrong with the parts that came from this position."""
    found: list[Finding] = []
    for part in index.state.parts_of(known.position):
        if part.replaced_by:
            found += _replaced(index, part)
        elif part.at is None:
            found += _off(index, part)
        elif part.at != part.home:
            found += [_elsewhere(index, part, part.at), *_empty(index, part, part.at)]
        else:
            found += _on(index, part, known)
        found += _unserviceable(index, part)
    return found


def standing(index: Index, known: PositionState) -> list[Finding]:
    """Return what is wrong with a part that stands here and is told at the position that it came from."""
    here = index.state.part_at(known.position)
    if here is None or here.home == known.position:
        return []
    return [_elsewhere(index, here, known.position), *_unserviceable(index, here)]


def _unserviceable(index: Index, part: PartState) -> list[Finding]:
    if part.at is None or part.condition is Condition.SERVICEABLE:
        return []
    return [
        _finding(
            index, Kind.UNSERVICEABLE, part, part.at, thing=part.home.name, expected="a serviceable part",
            seen=f"{part.condition.value}: {part.condition_reason}",
            advice="take it off; fit a serviceable one, or have its condition judged anew",
            since=part.condition_step,
        )
    ]  # fmt: skip


def _replaced(index: Index, part: PartState) -> list[Finding]:
    if part.place.kind in GONE or part.place.kind is PlaceKind.LOST:
        return []
    if part.at is not None:
        return [_elsewhere(index, part, part.at)]
    return [
        _finding(
            index, Kind.LEFT_OVER, part, part.home, thing=f"the old {part.home.name}",
            expected="scrapped, sent out or returned to stock", seen=f"still at {told(part.place)}",
            advice="scan its tag, and say what becomes of it: scrap because ..., or send to NAME because ...",
        )
    ]  # fmt: skip


def _off(index: Index, part: PartState) -> list[Finding]:
    if part.place.kind in GONE:
        seen, advice = f"{told(part.place)}, nothing in its place", "scan its tag and fit a new one: replace; pn 1234"
    elif part.place.kind is PlaceKind.LOST:
        seen, advice = "lost", "search for it; a replacement does not end the search"
    else:
        kept = {joint.kept for joint in index.state.joints_of(part.home)}
        bags = sorted(index.lies(place) for place in kept if place in index.state.holdings)
        with_it = f"; its hardware: {', '.join(bags)}" if bags else ""
        back = "fetch it and put it back"
        if part.place == ASIDE and not part.tag:
            back = f"put it back, and say so: on {part.home.name} {part.home.side.value}"
        seen, advice = whereabouts(part.place), f"{back}{with_it}"
    return [
        _finding(index, Kind.MISSING, part, part.home, thing=part.home.name, expected="back on", seen=seen,
                 advice=advice)
    ]  # fmt: skip


def _elsewhere(index: Index, part: PartState, at: Position) -> Finding:
    circle = cycle(index, part)
    return _finding(
        index, Kind.SWAPPED, part, at, thing=f"the {part.home}", expected=f"at {part.home}", seen=f"at {at}",
        advice="take it off and put it where it belongs" + (f"; exchanged: {' -> '.join(circle)}" if circle else ""),
    )  # fmt: skip


def _empty(index: Index, part: PartState, at: Position) -> list[Finding]:
    """Return that nothing is on where a part came from that sits elsewhere; what sits there is told for itself."""
    if index.state.part_at(part.home) is not None:
        return []
    return [
        _finding(index, Kind.MISSING, part, part.home, thing=part.home.name, expected="back on",
                 seen=f"nothing is on; its part is at {at}", advice="take it off there and put it on here")
    ]  # fmt: skip


def cycle(index: Index, part: PartState) -> tuple[str, ...]:
    """Return the exchange that the part stands in, position by position; nothing where the chain is open."""
    path = [part.home]
    at = part.at
    while at is not None and at not in path:
        path.append(at)
        there = index.belonging(at)
        at = there.at if there else None
    if at is None:
        return ()
    return tuple(str(p) for p in [*path[path.index(at) :], at])


def _on(index: Index, part: PartState, known: PositionState) -> list[Finding]:
    here = known.position
    gone = left_behind(index.state, part)
    if gone is not None:
        old = "old " if gone.replaced_by else ""
        return [
            _finding(index, Kind.MISSING, part, here, thing=here.name, expected="back on",
                     seen=f"in the {old}{gone.home}, with which it went on: {told(gone.place)}",
                     advice="it is in the one that goes on? scan its tag, and say: on;   else: scrap because ..., and "
                     "fit a new one")
        ]  # fmt: skip
    if part.trial or known.access is Access.TEMPORARILY_ON:
        held = f", held by {known.held_by}" if known.held_by else ""
        seen = f"trial fit or temporarily on{held}"
        return [
            _finding(index, Kind.MISSING, part, here, thing=here.name, expected="on for good", seen=seen,
                     advice="finish it: scan its tag and its bag")
        ]  # fmt: skip
    if part.marks.is_empty():
        return []
    if part.seen.is_empty():
        if known.critical or paired(index, here):
            return [
                _finding(index, Kind.NOT_LOOKED_AT, part, here, thing=f"how the {here.name} sits",
                         expected=str(part.marks), seen="not said at refit",
                         advice=f"look at its marks and say what they show: sits {here.name} {here.side.value}; UP FWD")
            ]  # fmt: skip
        return []
    comparison = marks.compare(part.marks, part.seen, here.side)
    if comparison.sits is marks.Sits.SAME:
        return []
    return [
        _finding(index, Kind.TURNED, part, here, thing=here.name, expected=str(part.marks), seen=str(part.seen),
                 advice=comparison.mend, since=part.seen_step)
    ]  # fmt: skip


def paired(index: Index, position: Position) -> bool:
    """Return whether the position has a twin on the other side that is known to this job."""
    return position.side is not Side.CENTRE and position.mirrored in index.state.positions


def asks_marks(index: Index, part: PartState, here: Position) -> bool:
    """Return whether a part goes on at a position only with a word on which way its marks point.

    Asked where it matters: at critical positions, and of what has a twin on the other side.
    """
    known = index.state.positions.get(here)
    critical = known is not None and known.critical
    return not part.marks.is_empty() and (critical or paired(index, part.home))


def per_data(index: Index, known: PositionState) -> list[Finding]:
    """Return where what is to go back is not what a filled-in 'per data' says. Not looked up is no finding."""
    if not known.requirement.lines:
        return []
    wanted = {line.spec: line.count for line in known.requirement.lines}
    own, every = going_back(index.state, known.position)
    settled = known.bare or bool(index.state.joints_of(known.position))
    if not settled or agree(index.knowledge, wanted, own) or agree(index.knowledge, wanted, every):
        return []
    back = own or every
    return [
        Finding(
            kind=Kind.DIFFERS_FROM_DATA, position=known.position, area=known.area, thing="hardware to go back",
            expected=f"{text_of(wanted)} ({known.requirement.reference or 'per data'})", seen=text_of(back),
            advice="follow the data, or say why not: answer", acts=known.acts,
        )
    ]  # fmt: skip

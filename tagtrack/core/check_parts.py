"""Checks of parts: is each at its own position, the right way round, serviceable, or replaced and disposed of?"""

from __future__ import annotations

from tagtrack.core import marks
from tagtrack.core.assemblies import left_behind
from tagtrack.core.axes import Side, by_the_wing
from tagtrack.core.counting import agree, found_at, going_back
from tagtrack.core.findings import Finding, Kind
from tagtrack.core.handed import Mounting, lacking, passes_unseen, to_add, told_lacking
from tagtrack.core.hardware import text_of
from tagtrack.core.index import Index
from tagtrack.core.marks import Marks
from tagtrack.core.places import GONE, PlaceKind, told, whereabouts
from tagtrack.core.records import Access, Condition, Position
from tagtrack.core.state import PartState, PositionState

_HARDWARE = "hardware as found"


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
        seen, advice = whereabouts(part.place), f"fetch it and put it back{with_it}"
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


def pairs(index: Index) -> list[Finding]:
    """Return left/right pairs whose sides came off with different hardware, marks or part numbers."""
    return [
        found
        for position in index.state.positions
        for check in (pair, pair_marks)
        for found in check(index, position)
    ]


def pair(index: Index, left: Position) -> list[Finding]:
    """Return how the left one of a pair differs from its twin; nothing for another side, or until both came off."""
    known, twin = index.state.positions[left], index.state.positions.get(left.mirrored)
    if left.side is not Side.LEFT or twin is None or not (known.cycle and twin.cycle):
        return []
    mine, its = _description(index, left), _description(index, twin.position)
    return [
        Finding(
            kind=Kind.PAIR_DIFFERS, position=left, area=known.area, thing=f"{what}, left and right",
            expected=f"the same on both sides; LEFT has {told}", seen=f"RIGHT has {its[what]}",
            advice="say why: by design, one was missing as found, a former repair", acts=known.acts,
        )
        for what, told in mine.items()
        if told and its[what] and told != its[what]
        and not (what == _HARDWARE and _held_alike(index, left, twin.position))
    ]  # fmt: skip


def _held_alike(index: Index, left: Position, right: Position) -> bool:
    """Return whether the sides of a pair came off with the same hardware, or the same goes back.

    A neighbour's bolt that goes through may be told there on one side, and here on the other.
    """
    for counted in (found_at, going_back):
        # where one was missing, and goes back, the sides are alike again, and somebody has said why
        sides = zip(counted(index.state, left), counted(index.state, right), strict=True)
        if any(agree(index.knowledge, mine, its) for mine, its in sides):
            return True
    return False


def pair_marks(index: Index, left: Position) -> list[Finding]:
    """Return a pair whose marks cannot tell left from right while one of them is off: asked for as long as it helps.

    Only where somebody marked one of them, or the position is critical: most panels are nobody's question.
    """
    twin = left.mirrored
    if left.side is not Side.LEFT or twin not in index.state.positions:
        return []
    mine, its = index.belonging(left), index.belonging(twin)
    known = index.state.positions[left]
    other = index.state.positions[twin]
    if mine is None or its is None or not (known.cycle and other.cycle) or (mine.at and its.at):
        return []
    if mine.marks.is_empty() and its.marks.is_empty() and not (known.critical or other.critical):
        return []
    missing = lacks(index, mine, its)
    if not missing:
        return []
    return [
        Finding(
            kind=Kind.PAIR_LOOKS_ALIKE, position=left, area=known.area, thing="marks, left and right",
            expected=f"marks that tell left from right: {missing}", seen=_told_marks(mine, its),
            advice=f"mark and say so: {';  '.join(marking(index, left))}.  Cannot go on that way? "
            "design, because ...", acts=known.acts,
        )
    ]  # fmt: skip


def mounting(index: Index, position: Position) -> Mounting:
    """Return how a position's part bolts on, as it was said for it or for its twin."""
    known = index.state.positions.get(position)
    twin = index.state.positions.get(position.mirrored)
    if known is not None and (known.mount is not None or known.either_way):
        return Mounting(known.mount, known.either_way)
    if twin is not None and (twin.mount is not None or twin.either_way):
        return Mounting(twin.mount.across if twin.mount else None, twin.either_way)
    return Mounting()


def lacks(index: Index, part: PartState, twin: PartState) -> str:
    """Return which mark is missing to tell a part from its twin, in shop words; empty where the marks are enough."""
    held = mounting(index, part.home)
    # only marks that both bear can be compared; with those, each part's own record counts, not the mirror
    shared = {mark.feature for mark in part.marks.each} & {mark.feature for mark in twin.marks.each}
    both = Marks(tuple(mark for mark in part.marks.each if mark.feature in shared))
    missing = lacking(both, held, part.home.side)
    if missing:
        return told_lacking(missing)
    if passes_unseen(both, twin.marks, held, part.home.side):
        return "one that points another way on the one than on the other"
    return ""


def marking(index: Index, left: Position) -> tuple[str, ...]:
    """Return the lines that say the fewest marks by which the parts of a pair are told apart: one line for each."""
    mine, its = index.belonging(left), index.belonging(left.mirrored)
    if mine is None or its is None:
        return ()
    more = to_add(mine.marks, its.marks, mounting(index, left), left.side)
    homes = zip((left, left.mirrored), more, strict=True)
    return tuple(f"marked {here.name} {here.side.value}; {add}" for here, add in homes if not add.is_empty())


def _told_marks(mine: PartState, its: PartState) -> str:
    return f"LEFT {str(mine.marks) or 'not marked'}; RIGHT {str(its.marks) or 'not marked'}"


def _description(index: Index, position: Position) -> dict[str, str]:
    own, _ = found_at(index.state, position)
    bare = index.state.positions[position].bare
    part = index.belonging(position)
    return {
        "part number": part.number if part else "",
        _HARDWARE: text_of(dict(sorted(own.items()))) if own or bare else "",
        # seen from the wing: what points LEFT on the left side and RIGHT on the right is the same
        "marks": ", ".join(sorted(
            f"{mark.feature} {by_the_wing(mark.way, position.side).value}" for mark in part.marks.each
        )) if part else "",
    }

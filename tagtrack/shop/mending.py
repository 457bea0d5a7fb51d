"""What most likely happened, and mending it: the pieces of an explanation go where they belong, in one act."""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core import places
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, Event, HardwareInstalled, Installed, Moved
from tagtrack.core.exchanges import Exchange, Explanation, explain
from tagtrack.core.findings import Kind
from tagtrack.core.index import Index
from tagtrack.core.places import ItemKind, Move, Place, PlaceKind
from tagtrack.core.reconcile import Reconciliation
from tagtrack.core.spelling import clean
from tagtrack.core.state import State
from tagtrack.shop.desk import Job
from tagtrack.shop.ports import Who
from tagtrack.shop.unfastening import coming_out

# what an explanation can be found for
EXPLAINED = frozenset({Kind.SHORT, Kind.OVER, Kind.WRONG_HARDWARE, Kind.SWAPPED})


def worth_explaining(outcome: Reconciliation) -> bool:
    """Return whether there is something among the findings that an exchange could explain."""
    return any(f.kind in EXPLAINED for f in (*outcome.unanswered, *outcome.open, *outcome.elsewhere))


def explanations(job: Job) -> tuple[Explanation, ...]:
    """Return what most likely happened, the best founded first. An inference from the record, and no more."""
    job.refresh()
    return explain(job.index(), job.shop.solve)


def mend(job: Job, who: Who, short: str) -> Act:
    """Record that the pieces of an explanation were moved to where they belong; return the act."""
    wanted = clean(short).upper()

    def make(state: State) -> Sequence[Event]:
        index = Index.of(state, job.knowledge)
        every = explain(index, job.shop.solve)
        found = next((each for each in every if each.short == wanted), None)
        if found is None:
            raise Refusal(
                f"no explanation '{short}' stands", expected=", ".join(each.short for each in every) or "none stands",
                came=short or "nothing", todo="list them: why",
            )  # fmt: skip
        if not found.can_be_mended:
            raise Refusal(
                "that is not mended by moving pieces",
                expected="pieces that lie somewhere, of the callout that is lacking",
                came=str(found.exchanges[0]), todo="search for what is lost; fit what belongs there",
            )  # fmt: skip
        parts = [e for e in found.exchanges if e.item.kind is ItemKind.PART]
        return _parts(state, parts) if parts else _hardware(state, found.exchanges)

    return job.commit(who, make)


def _hardware(state: State, exchanges: Sequence[Exchange]) -> list[Event]:
    by_joint: dict[str, list[Move]] = {}
    for each in exchanges:
        # a pin that was bent in one joint is no new one in the next
        joint = state.joints[each.source.name] if each.source.kind is PlaceKind.JOINT else None
        moves = [Move(each.item, each.count, each.source, each.target)]
        if joint is not None:
            moves = coming_out(joint, each.item, each.count, each.target)
        by_joint.setdefault(each.target.name, []).extend(moves)
    return [HardwareInstalled(joint, tuple(moves)) for joint, moves in by_joint.items()]


def _parts(state: State, exchanges: Sequence[Exchange]) -> list[Event]:
    parts = [state.parts[each.item.name] for each in exchanges]
    for part in parts:
        at = part.at
        if at is not None and any(Place(PlaceKind.JOINT, j.identity) in state.holdings for j in state.joints_of(at)):
            raise Refusal(
                f"the {part.home} is held by its hardware at {at}",
                expected="the hardware out first: each part comes off, and goes on where it belongs",
                came="an exchange by one line",
                todo=f"off {at.name} {at.side.value}; then scan each part where it belongs",
            )
    # all come off before the first goes on: each stands in another's place
    off = [Move(places.part(part.identity), 1, part.place, places.BENCH) for part in parts]
    on: list[Event] = [
        Installed(part.home, part.identity, moves=(Move(places.part(part.identity), 1, places.BENCH,
                                                        Place(PlaceKind.POSITION, str(part.home))),))
        for part in parts
    ]  # fmt: skip
    return [Moved("each off from where it does not belong", tuple(off)), *on]

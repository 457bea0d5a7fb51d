"""Losses: dropped or missing in one act, without blame; searched; found, proved not aboard, or accepted."""

from __future__ import annotations

import re
from collections.abc import Sequence

from tagtrack.core import places
from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.events import Act, Event, LossStep, Lost
from tagtrack.core.hardware import Line
from tagtrack.core.places import Item, Move, Place, PlaceKind
from tagtrack.core.records import GIVEN_UP, LossOutcome, Person
from tagtrack.core.spelling import clean, reason, same
from tagtrack.core.state import State
from tagtrack.core.things import LossState
from tagtrack.shop.another import another
from tagtrack.shop.desk import Job
from tagtrack.shop.holding import let_loose
from tagtrack.shop.ports import Who

# a search, told in the same breath
_SEARCH = re.compile(r"(?i)\b(?:search|look|swept|sweep|mirror|lamp|borescope|magnet|vacuum|went (?:over|through))")


def lose(job: Job, who: Who, line: Line, source: Place, areas: Sequence[str]) -> Act:
    """Record that pieces are not where they should be; from the place where they last were. Return the act."""

    def make(state: State) -> Sequence[Event]:
        item = _lot(state, line, source)
        case = f"L{job.number('L', state)}"
        move = Move(item, line.count, source, Place(PlaceKind.LOST, case))
        return (Lost(case, line.text, tuple(clean(a) for a in areas), (move,)),)

    return job.commit(who, make)


def lose_part(job: Job, who: Who, identity: str, areas: Sequence[str]) -> Act:
    """Record that a part is not where it should be; return the act."""

    def make(state: State) -> Sequence[Event]:
        part = state.parts[identity]
        if part.place.kind is PlaceKind.LOST:
            raise Refusal(
                f"the {part.home} is lost already: case {part.place.name}", expected="a part that is not lost",
                came="lost", todo=f"case {part.place.name} searched WHERE: how",
            )  # fmt: skip
        case = f"L{job.number('L', state)}"
        move = Move(places.part(identity), 1, part.place, Place(PlaceKind.LOST, case))
        loose = let_loose(who, state, part.at) if part.at is not None else ()
        return (*loose, Lost(case, str(part.home), tuple(clean(a) for a in areas), (move,)))

    return job.commit(who, make)


def _lot(state: State, line: Line, source: Place) -> Item:
    lots = state.holdings.get(source, {})
    for item in (places.used(line.spec), places.new(line.spec)):
        if lots.get(item, 0) >= line.count:
            return item
    if source == places.STOCK:
        return places.new(line.spec)
    raise Refusal(
        f"{line} was not in {places.told(source)}",
        expected=", ".join(f"{n} {i.name}" for i, n in lots.items()) or "nothing is there, by the record",
        came=str(line),
        todo="say where it was last: lost 1 AN960-10 from BAG; a new one: lost 1 AN960-10 from stock",
    )


def step(
    job: Job, who: Who, case: str, outcome: LossOutcome, how: str, *, areas: Sequence[str] = (), second: str = "",
    back_to: Place = places.BENCH, count: int | None = None,
) -> Act:  # fmt: skip
    """Record a step of the search. Any outcome but 'found' needs the name of a second person. Return the act.

    `count`: how many of several turned up; without it all that were still lost.
    """
    told = reason(how)

    def make(state: State) -> Sequence[Event]:
        loss = _case(state, case)
        if _says_it_too(state, who, loss, outcome):
            return (LossStep(loss.case, outcome, told),)
        turned_up = outcome is LossOutcome.FOUND and loss.outcome is not LossOutcome.FOUND
        if not loss.stands and not turned_up:
            raise Refusal(f"case {loss.case} is closed: {loss.outcome.value if loss.outcome else ''}",
                          expected="a case that stands", came=case, todo="nothing to do")  # fmt: skip
        moves: tuple[Move, ...] = ()
        if outcome is LossOutcome.FOUND:
            moves = _turned_up(state, loss, count, back_to)
        by, of_shop, too = clean(second), False, ""
        if outcome in GIVEN_UP:
            by = another(state, who, second)
            if (person := colleague(job, by)) is not None:
                # whose own PIN came with it has said it, and is not asked again
                by, of_shop, too = person.name, True, person.initials if person.initials in who.vouched else ""
            _object_to_no_search(who, loss, told, outcome)
        # "found 1 AN525-10R8" names what was found, and no area
        named = tuple(area for each in areas if same(area := clean(each)) != same(loss.what))
        return (LossStep(loss.case, outcome, told, named, by, moves, of_shop, too),)

    return job.commit(who, make)


def colleague(job: Job, named: str) -> Person | None:
    """Return who of this shop is named so, by initials, by name or by both; None for a stranger."""
    people = job.shop.state.people.values()
    return next((p for p in people if same(named) in (same(p.initials), same(p.name), same(str(p)))), None)


def _says_it_too(state: State, who: Who, loss: LossState, outcome: LossOutcome) -> bool:
    """Return whether it is the second person, who was named by the first, that says the same now, for once."""
    me = state.people.get(who.initials)
    is_second = me is not None and same(loss.second) in (same(me.initials), same(me.name))
    return is_second and outcome in GIVEN_UP and outcome is loss.outcome and who.initials not in loss.said_by


def _object_to_no_search(who: Who, loss: LossState, told: str, outcome: LossOutcome) -> None:
    """Ask where a loss is given up, no search of it is recorded, and none is told with it."""
    if loss.search or _SEARCH.search(told):
        return
    who.object(Objection(
        f"STOP: no search for {loss.what} is recorded", kind="lost",
        expected=f"case {loss.case} searched AREA: how, before it is {outcome.value}", came=told,
        todo="search first, and say where and how",
    ))  # fmt: skip


def _turned_up(state: State, loss: LossState, count: int | None, back_to: Place) -> tuple[Move, ...]:
    """Return the movement of what was found; none for a part that was put on, or got rid of, while it was lost."""
    here = Place(PlaceKind.LOST, loss.case)
    if not places.held(state.holdings, here, loss.item):
        return ()
    found = loss.still if count is None else count
    if not 1 <= found <= loss.still:
        raise Refusal(
            f"{found} of them cannot have been found", expected=f"at most {loss.still}, still lost in case {loss.case}",
            came=str(found),
            todo=f"how many? case {loss.case} found {loss.still}: where;   one too many is none of these",
        )  # fmt: skip
    return (Move(loss.item, found, here, back_to),)


def _case(state: State, case: str) -> LossState:
    found = state.losses.get(clean(case).upper())
    if found is None:
        raise Refusal(
            f"there is no case '{case}'", expected=", ".join(state.losses) or "no loss was recorded",
            came=case or "nothing", todo="look at the list: check",
        )  # fmt: skip
    return found

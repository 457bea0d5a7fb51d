"""Putting parts back at their positions, replacing them, moving them about, and what becomes of the old ones."""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core import marks as marking
from tagtrack.core import places
from tagtrack.core.assemblies import left_behind
from tagtrack.core.callout import Decoder
from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.events import Act, ConditionSet, Event, Installed, Moved, SitsSeen
from tagtrack.core.findings import Kind
from tagtrack.core.index import Index
from tagtrack.core.marks import Marks, Sits
from tagtrack.core.order import closed_in
from tagtrack.core.places import Move, Place, PlaceKind
from tagtrack.core.reconcile import holding_up, of_position
from tagtrack.core.records import Access, Condition, PartOff, Position
from tagtrack.core.spelling import name, reason
from tagtrack.core.state import State
from tagtrack.core.things import PartState
from tagtrack.shop.desk import Job
from tagtrack.shop.holding import let_loose
from tagtrack.shop.naming import existing
from tagtrack.shop.numbers import object_to_twice, refuse_old_serial
from tagtrack.shop.ports import Who


def install(
    job: Job, who: Who, identity: str, at: Position, seen: Marks = Marks(), *, trial: bool = False
) -> Act:
    """Record that a part went on. What is wrong is asked first, and recorded only with a reason; return the act."""

    def make(state: State) -> Sequence[Event]:
        part = state.parts[identity]
        here = existing(state, at).position
        _refuse_lost(part)
        object_if_wrong(job.knowledge, who, state, part, here, seen, trial=trial)
        if part.at == here and is_on(state, part):
            raise Refusal(
                f"the {here} is on already", expected="a part that is off", came="the same part again",
                todo="go on with its bag; or take it off first",
            )  # fmt: skip
        source = part.place
        target = Place(PlaceKind.POSITION, str(here))
        loose = let_loose(who, state, part.at) if part.at is not None and part.at != here else ()
        moves = () if source == target else (Move(places.part(identity), 1, source, target),)
        return (*loose, Installed(here, identity, seen, trial=trial, moves=moves))

    return job.commit(who, make)


def _refuse_lost(part: PartState) -> None:
    """Refuse to do anything with a part that is lost by the record: it turned up, and that is said first."""
    if part.place.kind is PlaceKind.LOST:
        case = part.place.name
        raise Refusal(
            f"the {part.home} is lost by the record: case {case}", expected="a part that was found",
            came=f"the {part.home}, in hand",
            todo=f"you hold it? say where it was: case {case} found: where;   then go on",
        )  # fmt: skip


def sits(job: Job, who: Who, at: Position, seen: Marks) -> Act:
    """Record what the marks of a part that is on show, said after it went on; return the act."""

    def make(state: State) -> Sequence[Event]:
        here = existing(state, at).position
        part = state.part_at(here)
        if part is None or part.home != here:
            raise Refusal(f"the {here} is not on", expected="a part that is on, at its own position", came=str(at),
                          todo="put it on first: scan its tag")  # fmt: skip
        _raise(who, _turned(part, seen, here))
        return (SitsSeen(part.identity, seen),)

    return job.commit(who, make)


def is_on(state: State, part: PartState) -> bool:
    """Return whether the part is on for good: neither a trial fit, nor held by a few of its fasteners, nor left behind.

    What went on with an assembly that was replaced since is on only once that is said again.
    """
    known = state.positions.get(part.at) if part.at else None
    held = known is not None and not part.trial and known.access is not Access.TEMPORARILY_ON
    return held and left_behind(state, part) is None


def object_if_wrong(
    knowledge: Decoder, who: Who, state: State, part: PartState, here: Position, seen: Marks, *, trial: bool = False
) -> None:
    """Raise what a mechanic must hear now: wrong place, wrong way round, unserviceable, too early; all of it at once.

    One reason passes what was told, so nothing may stay untold.
    """
    told = [*_wrong_part(part, here), *([] if part.home != here else _turned(part, seen, here))]
    _raise(who, [*told, *([] if trial else _too_early(knowledge, state, here))])


def _raise(who: Who, told: list[Objection]) -> None:
    if told:
        first, *more = told
        also = "".join(f"; also: {each.what.removeprefix('STOP: ')} ({each.todo})" for each in more)
        who.object(
            Objection(first.what + also, kind=first.kind, expected=first.expected, came=first.came, todo=first.todo)
        )


def _turned(part: PartState, seen: Marks, here: Position) -> list[Objection]:
    comparison = marking.compare(part.marks, seen, here.side)
    if seen.is_empty() or comparison.sits is Sits.SAME:
        return []
    word = "WRONG WAY ROUND" if comparison.sits is Sits.TURNED else "WRONG HAND, or a misread mark"
    return [
        Objection(f"STOP: {word}", kind="turned", expected=str(part.marks), came=str(seen), todo=comparison.mend)
    ]


def _wrong_part(part: PartState, here: Position) -> list[Objection]:
    told: list[Objection] = []
    if part.home != here:
        other = "the OTHER SIDE'S part" if part.home == here.mirrored else "the wrong part"
        told.append(Objection(
            f"STOP: {other}. This is the {part.home}",
            kind="swapped",
            expected=f"the part that belongs at {here}",
            came=f"the part of {part.home}",
            todo="put it down and fetch the one that belongs here",
        ))  # fmt: skip
    if part.condition is not Condition.SERVICEABLE:
        told.append(Objection(
            f"STOP: this part is marked {part.condition.value}",
            kind="unserviceable",
            expected="a serviceable part",
            came=f"{part.condition.value}: {part.condition_reason}",
            todo="keep it apart; with its tag in hand, fit a new one: replace; pn 1234",
        ))  # fmt: skip
    if part.replaced_by:
        told.append(Objection(
            f"STOP: the {part.home} was replaced", kind="swapped", expected="the part that was fitted instead of it",
            came="the old one", todo="fetch the new one; if the old one does go back after all, say why",
        ))  # fmt: skip
    return told


def object_to_shutting(knowledge: Decoder, who: Who, state: State, here: Position) -> None:
    """Raise what stands under a skin or panel that is no part of its own, before the first piece that shuts it."""
    begun = any(Place(PlaceKind.JOINT, joint.identity) in state.holdings for joint in state.joints_of(here))
    if not state.parts_of(here) and not begun:
        _raise(who, _too_early(knowledge, state, here))


def _too_early(knowledge: Decoder, state: State, here: Position) -> list[Objection]:
    """Return what stands under a cover, or may lie there, when it goes on."""
    below = closed_in(state, here)
    if not below:
        return []
    told: list[Objection] = []
    areas = {state.positions[p].area for p in (here, *below) if p in state.positions}
    lost = next((loss for loss in state.losses.values() if loss.stands and any(map(loss.may_be_in, areas))), None)
    if lost is not None:
        told.append(Objection(
            f"STOP: {lost.still} {lost.what} is lost there: case {lost.case}",
            kind="closed-before-complete", expected="found, or proved not aboard, before it is closed up",
            came=f"{here} going on", todo=f"search first: case {lost.case} searched WHERE: how",
        ))  # fmt: skip
    index = Index.of(state, knowledge)
    found = [f for p in below for f in of_position(index, p)]
    owing = sorted(holding_up(state, found, here) & set(below))
    if owing:
        told.append(Objection(
            f"STOP: it closes up what is not finished: {'; '.join(map(str, owing))}",
            kind="closed-before-complete",
            expected="all that it closes up finished first",
            came=f"{len(owing)} not finished",
            todo="finish those first; to try the fit say: trial; to hold it on a few screws: "
            f"temporarily {here.name} {here.side.value} held by 2 screws",
        ))  # fmt: skip
    return told


def replace_part(
    job: Job, who: Who, old: str, number: str = "", serial: str = "", seen: Marks = Marks(), *, life: str = ""
) -> Act:
    """Record that a new part from stock went on in place of an old one; the old one keeps its own fate."""

    def make(state: State) -> Sequence[Event]:
        part = state.parts[old]
        if part.at is not None:
            raise Refusal(f"the {part.home} is still on", expected="the old part off first", came="a replacement",
                          todo="take it off, or check which part is meant")  # fmt: skip
        if part.life and not (serial and life):
            raise Refusal(
                f"the {part.home} is life-limited: {part.life}",
                expected="serial number and life status of the new one",
                came="a replacement without them", todo="replace; pn 1234; sn 5; life 1000 h left",
            )  # fmt: skip
        refuse_old_serial(part, number or part.number, serial)
        object_to_twice(who, state, number or part.number, serial, part.home)
        _raise(who, [*_turned(part, seen, part.home), *_too_early(job.knowledge, state, part.home)])
        fresh = PartOff(f"p{job.number('p', state)}", number or part.number, serial, life)
        target = Place(PlaceKind.POSITION, str(part.home))
        move = Move(places.part(fresh.identity), 1, places.STOCK, target)
        return (Installed(part.home, fresh.identity, seen, replaces=old, new=fresh, moves=(move,)),)

    return job.commit(who, make)


def set_condition(job: Job, who: Who, identity: str, condition: Condition, why: str) -> Act:
    """Record what a person says of a part's condition, and why; return the act."""
    told = reason(why)
    return job.commit(who, lambda _: (ConditionSet(identity, condition, told),))


def dispose_part(job: Job, who: Who, identity: str, target: Place, why: str) -> Act:
    """Record what becomes of a part that does not go back: scrap, sent out, returned to stock."""
    told = reason(why)

    def make(state: State) -> Sequence[Event]:
        part = state.parts[identity]
        _refuse_lost(part)
        if target == places.STOCK and part.condition is not Condition.SERVICEABLE:
            who.object(Objection(
                f"STOP: this part is marked {part.condition.value}", kind=Kind.UNSERVICEABLE.value,
                expected="a serviceable part", came=f"{part.condition.value}: {part.condition_reason}",
                todo="it does not go into stock: scrap because ..., or send to NAME because ...; judged anew? "
                "condition serviceable because ...",
            ))  # fmt: skip
        events: list[Event] = [*(let_loose(who, state, part.at) if part.at is not None else ())]
        events += [Moved(told, (Move(places.part(identity), 1, part.place, target),))]
        if target == places.SCRAP:
            events.append(ConditionSet(identity, Condition.SCRAP, told))
        return events

    return job.commit(who, make)


def move_part(job: Job, who: Who, identity: str, spot: str) -> Act:
    """Record that a part was put somewhere else in the shop; return the act."""
    target = Place(PlaceKind.SPOT, name(spot, what="place"))

    def make(state: State) -> Sequence[Event]:
        part = state.parts[identity]
        _refuse_lost(part)
        if part.place == target:
            raise Refusal(f"the {part.home} is at {spot} already", expected="another place", came=spot,
                          todo="nothing to do")  # fmt: skip
        if part.at is not None:
            raise Refusal(f"the {part.home} is on the aircraft", expected="a part that is off", came=spot,
                          todo="take it off first")  # fmt: skip
        return (Moved(f"put at {target.name}", (Move(places.part(identity), 1, part.place, target),)),)

    return job.commit(who, make)

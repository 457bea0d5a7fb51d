"""Loose hardware: into a bag, into its hole, counted again, thrown away, given back to stock."""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core import places
from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.events import Act, Event, Moved, Recounted, Seen, TagBound
from tagtrack.core.hardware import MOST, Line, spec_key
from tagtrack.core.places import Move, Place, PlaceKind
from tagtrack.core.records import Position, TagRole
from tagtrack.core.spelling import name, reason
from tagtrack.core.state import State
from tagtrack.shop.desk import Job
from tagtrack.shop.ports import Who


def lying(state: State, line: Line, likely: Sequence[Place], here: Position | None = None) -> Place:
    """Return where so many of a spec lie in the shop: a likely place first, else the only one; refuse otherwise.

    With a bag or a position in hand, another joint's bag is never guessed, nor offered: its pieces are that joint's.
    `here`: the position in hand.
    """
    loose = (PlaceKind.BAG, PlaceKind.SPOT, PlaceKind.HOLE)
    items = (places.used(line.spec), places.new(line.spec))
    holding = [
        place
        for place in dict.fromkeys((*likely, *state.holdings))
        if place.kind in loose and sum(places.held(state.holdings, place, item) for item in items) >= line.count
    ]
    first = [place for place in holding if place in likely]
    others = {joint.kept for joint in state.joints.values()} if likely else set()
    free = first or [place for place in holding if place not in others]
    if first or len(free) == 1:
        return free[0]
    if not free and likely:
        gone = sum(places.held(state.holdings, places.SCRAP, item) for item in items)
        raise Refusal(
            f"no {line} of {here or places.told(likely[0])} lies in the shop",
            expected="a piece that lies in its bag, in its hole or on the bench",
            came=f"{line}; {gone} of them {'is' if gone == 1 else 'are'} scrapped already" if gone else str(line),
            todo=f"nothing, if it went when it came out; it is in its joint still? out {line}; "
            "another position's? scan its bag first",
        )  # fmt: skip
    raise Refusal(
        f"which {line}?" if holding else f"no {line} lies in the shop",
        expected=" or ".join(places.told(p) for p in holding) or "a piece in a bag, in its hole or on the bench",
        came=str(line), todo="scan its bag first" if holding else "look at what is open: status",
    )  # fmt: skip


def into_bag(job: Job, who: Who, source: Place, bag: str, position: Position) -> Act:
    """Record that loose hardware went into a bag, giving a fresh tag its meaning; return the act."""

    def make(state: State) -> Sequence[Event]:
        lots = state.holdings.get(source, {})
        if not lots:
            raise Refusal(f"nothing lies in {places.told(source)}", expected="loose hardware", came="nothing",
                          todo="take something off first")  # fmt: skip
        target = Place(PlaceKind.BAG, bag)
        moves = tuple(Move(item, n, source, target) for item, n in lots.items())
        bound = () if bag in state.tags else (TagBound(bag, TagRole.BAG, str(position)),)
        return (*bound, Moved("into its bag", moves))

    return job.commit(who, make)


def into_hole(job: Job, who: Who, source: Place, position: Position) -> Act:
    """Record that loose hardware went back into its own holes for keeping; return the act."""

    def make(state: State) -> Sequence[Event]:
        moves = [
            Move(places.used(line.spec), line.count, source, Place(PlaceKind.HOLE, joint.identity))
            for joint in state.joints_of(position)
            if joint.kept == source
            for line in joint.found
            if not line.once
        ]
        if not moves:
            raise Refusal(f"nothing lies in {places.told(source)}", expected="loose hardware", came="nothing",
                          todo="take something off first")  # fmt: skip
        return (Moved("kept in its hole", tuple(moves)),)

    return job.commit(who, make)


def recount(job: Job, who: Who, place: Place, spec: str, now: int) -> Act:
    """Record that a place was counted again and holds so many of a spec (0 is allowed); return the act."""
    if not 0 <= now <= MOST:
        raise Refusal(f"{now} cannot be", expected=f"a count from 0 to {MOST}", came=str(now), todo="count again")

    def make(state: State) -> Sequence[Event]:
        used, new = places.used(spec_key(spec)), places.new(spec_key(spec))
        lies = {item: places.held(state.holdings, place, item) for item in (used, new)}
        was = sum(lies.values())
        moves: list[Move] = []
        if now < was:
            who.object(Objection(
                f"STOP: {was - now} {spec} fewer than came off, by the record", kind="lost",
                expected=f"{was} {spec}", came=str(now),
                todo=f"gone? lost {was - now} {spec}, and search; miscounted when it came off? say so",
            ))  # fmt: skip
        if now > was:
            moves.append(Move(used, now - was, places.UNCOUNTED, place))
        for item, held in lies.items() if now < was else ():
            less = min(held, was - now - sum(move.count for move in moves))
            moves += [Move(item, less, place, places.UNCOUNTED)] if less else []
        return (Recounted(place, used, was, now, tuple(moves)),)

    return job.commit(who, make)


def dispose_hardware(job: Job, who: Who, lines: Sequence[Line], source: Place, target: Place, why: str) -> Act:
    """Record what becomes of hardware that does not go back; return the act."""
    told = reason(why)

    def make(state: State) -> Sequence[Event]:
        moves: list[Move] = []
        for line in lines:
            lies = {item: places.held(state.holdings, source, item)
                    for item in (places.used(line.spec), places.new(line.spec))}  # fmt: skip
            first, other = sorted(lies, key=lambda item: -lies[item])
            # what came out and what was drawn new may lie together: the ones alone do, or the others go with them
            more = min(max(line.count - lies[first], 0), lies[other])
            moves.append(Move(first, line.count - more, source, target))
            moves += [Move(other, more, source, target)] if more else []
        return (Moved(told, tuple(moves)),)

    return job.commit(who, make)


def put_bag(job: Job, who: Who, code: str, spot: str) -> Act:
    """Record where in the shop a bag was put; return the act."""
    where = name(spot, what="place")
    return job.commit(who, lambda _: (Seen(code, where),))

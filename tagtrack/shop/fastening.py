"""Hardware into its joints: all in, so many in, new from stock, another washer on purpose; tight and safetied."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tagtrack.core import places
from tagtrack.core.check_joints import inside, to_go_back
from tagtrack.core.errors import Refusal
from tagtrack.core.events import (
    Act,
    BackSet,
    Event,
    HardwareInstalled,
    JointSet,
    Moved,
    Recounted,
    TagBound,
)
from tagtrack.core.hardware import MOST, Line, spec_key, text_of
from tagtrack.core.index import Index
from tagtrack.core.places import Item, ItemKind, Move, Place, PlaceKind
from tagtrack.core.records import JointStep, Position, TagRole
from tagtrack.core.spelling import reason
from tagtrack.core.state import JointState, State
from tagtrack.shop.desk import Job
from tagtrack.shop.ports import Who


@dataclass(frozen=True, slots=True)
class Put:
    """What putting hardware in came to: the act, what is still short by spec, and what must be new."""

    act: Act
    short: dict[str, int]
    new_needed: dict[str, int]
    over: dict[str, int]


def all_in(job: Job, who: Who, source: Place | None, position: Position | None = None, *, new: bool = False) -> Put:
    """Record that everything in a bag, tray or hole went into the joints it came from, and nothing is left there.

    `new`: the pieces that are used once were put in new, from stock. Returns what is still short.
    """

    def make(state: State) -> Sequence[Event]:
        joints = _joints(state, source, position)
        by_joint: dict[str, list[Move]] = {}
        for place in dict.fromkeys([source] if source else [joint.kept for joint in joints]):
            for item, count in dict(state.holdings.get(place, {})).items():
                if item.kind is ItemKind.PART:
                    continue
                for joint, share in _shares(state, joints, item, count, by_joint):
                    move = Move(item, share, place, Place(PlaceKind.JOINT, joint.identity))
                    by_joint.setdefault(joint.identity, []).append(move)
        if new:
            for joint in joints:
                for spec, count in _lacking(state, joint, by_joint.get(joint.identity, [])).items():
                    if any(line.spec == spec and line.once for line in joint.back):
                        move = Move(places.new(spec), count, places.STOCK, Place(PlaceKind.JOINT, joint.identity))
                        by_joint.setdefault(joint.identity, []).append(move)
        if not by_joint:
            raise Refusal(
                f"nothing is left in {places.told(source) if source else 'its bag or hole'}",
                expected="hardware to put in", came="nothing",
                todo="new pieces from stock: new 2 MS24665-132; otherwise go on with: tight",
            )  # fmt: skip
        return tuple(HardwareInstalled(identity, tuple(moves)) for identity, moves in by_joint.items())

    act = job.commit(who, make)
    touched = {event.joint for event in act.events if isinstance(event, HardwareInstalled)}
    return _result(job, act, touched)


def put_in(job: Job, who: Who, lines: Sequence[Line], position: Position, *, new: bool = False) -> Put:
    """Record that so many of each spec went into the joints of a position, from where they were kept, or from stock."""

    def make(state: State) -> Sequence[Event]:
        joints = _joints(state, None, position)
        by_joint: dict[str, list[Move]] = {}
        for line in lines:
            item = places.new(line.spec) if new else places.used(line.spec)
            for joint, share in _shares(state, joints, item, line.count, by_joint):
                source = places.STOCK if new else _kept_with(state, joint, item, line)
                move = Move(item, share, source, Place(PlaceKind.JOINT, joint.identity))
                by_joint.setdefault(joint.identity, []).append(move)
        return tuple(HardwareInstalled(identity, tuple(moves)) for identity, moves in by_joint.items())

    act = job.commit(who, make)
    return _result(job, act, {event.joint for event in act.events if isinstance(event, HardwareInstalled)})


def _kept_with(state: State, joint: JointState, item: Item, line: Line) -> Place:
    if places.held(state.holdings, joint.kept, item) >= line.count:
        return joint.kept
    if places.held(state.holdings, places.BENCH, item) >= line.count:
        # found again after a loss: it lies on the bench
        return places.BENCH
    if places.held(state.holdings, places.SCRAP, item) >= 1:
        # thrown away when it came off, and now put back all the same: the record says so, and the check finds it
        return places.SCRAP
    raise Refusal(
        f"no {line.text} is recorded in {places.told(joint.kept)}",
        expected=text_of({i.name: n for i, n in state.holdings.get(joint.kept, {}).items()}),
        came=str(line),
        todo=f"from stock: new {line};   found more than recorded: recount {joint.kept.name} {line}",
    )


def _joints(state: State, source: Place | None, position: Position | None) -> list[JointState]:
    """Return the joints that the hardware of a place, or of a position, belongs to."""
    found = [j for j in state.joints.values() if source is not None and j.kept == source]
    if position is not None:
        here = state.joints_of(position)
        found = [j for j in found if j in here] or list(here)
    if not found:
        raise Refusal(
            "no joint is known for that",
            expected="a bag or a position of this job",
            came=places.told(source) if source else str(position),
            todo="scan the bag again; or name the position: at POSITION",
        )
    return found


def _lacking(state: State, joint: JointState, coming: Sequence[Move]) -> dict[str, int]:
    have, _ = inside(Index(state, {}, {}, {}), joint)
    for move in coming:
        have[move.item.name] = have.get(move.item.name, 0) + move.count
    return {spec: n - have.get(spec, 0) for spec, n in to_go_back(joint).items() if n > have.get(spec, 0)}


def _shares(
    state: State, joints: Sequence[JointState], item: Item, count: int, coming: dict[str, list[Move]]
) -> list[tuple[JointState, int]]:
    """Share a lot out among joints by what each lacks; the rest goes where the spec is known, to be told as over."""
    shares: list[tuple[JointState, int]] = []
    left = count
    for joint in joints:
        share = min(left, _lacking(state, joint, coming.get(joint.identity, [])).get(item.name, 0))
        if share:
            shares.append((joint, share))
            left -= share
    if left:
        knows = [j for j in joints if item.name in to_go_back(j)] or list(joints)
        shares.append((knows[-1], left))
    return shares


def _result(job: Job, act: Act, touched: set[str]) -> Put:
    short: dict[str, int] = {}
    fresh: dict[str, int] = {}
    over: dict[str, int] = {}
    for identity in touched:
        joint = job.state.joints[identity]
        once = {line.spec for line in joint.back if line.once}
        for spec, count in _lacking(job.state, joint, []).items():
            which = fresh if spec in once else short
            which[spec] = which.get(spec, 0) + count
        have, _ = inside(Index(job.state, {}, {}, {}), joint)
        for spec, count in have.items():
            more = count - to_go_back(joint).get(spec, 0)
            if more > 0:
                over[spec] = over.get(spec, 0) + more
    return Put(act, short, fresh, over)


def take_out(job: Job, who: Who, lines: Sequence[Line], position: Position) -> Act:
    """Record that hardware came out of a position's joints again: what came off to its bag, what was new to stock."""

    def make(state: State) -> Sequence[Event]:
        moves: list[Move] = []
        for line in lines:
            left = line.count
            for joint in _joints(state, None, position):
                here = Place(PlaceKind.JOINT, joint.identity)
                for item in (places.new(line.spec), places.used(line.spec)):
                    share = min(left, places.held(state.holdings, here, item))
                    if share:
                        moves.append(Move(item, share, here, _returns_to(joint, item)))
                        left -= share
            if left:
                raise Refusal(
                    f"there are not {line} in the joints of {position}",
                    expected=f"at most {line.count - left} {line.text}", came=str(line), todo="count again",
                )  # fmt: skip
        return (Moved("taken out again", tuple(moves)),)

    return job.commit(who, make)


def _returns_to(joint: JointState, item: Item) -> Place:
    if item.kind is ItemKind.NEW:
        return places.STOCK
    once = any(line.spec == item.name and line.once for line in joint.back)
    return places.SCRAP if once else joint.kept


def used_instead(job: Job, who: Who, actual: Line, instead: Line, position: Position, why: str) -> Act:
    """Record that another piece than recorded went in, from stock, on purpose: a thinner washer, a longer bolt."""
    told = reason(why)

    def make(state: State) -> Sequence[Event]:
        joints = [j for j in _joints(state, None, position) if instead.spec in to_go_back(j)]
        if not joints:
            raise Refusal(
                f"no {instead.text} is to go back at {position}",
                expected=text_of({s: n for j in state.joints_of(position) for s, n in to_go_back(j).items()}),
                came=str(instead), todo="name what it stands in for",
            )  # fmt: skip
        joint = joints[0]
        lines = _exchanged(joint.back, actual, instead)
        target = Place(PlaceKind.JOINT, joint.identity)
        return (
            BackSet(joint.identity, lines, f"{actual} instead of {instead}: {told}"),
            HardwareInstalled(joint.identity, (Move(places.new(actual.spec), actual.count, places.STOCK, target),)),
        )

    return job.commit(who, make)


def added(job: Job, who: Who, extra: Line, position: Position, why: str) -> Act:
    """Record that one piece more than found went in, from stock, on purpose: a washer to line up a cotter hole."""
    told = reason(why)

    def make(state: State) -> Sequence[Event]:
        joints = _joints(state, None, position)
        joint = next((j for j in joints if extra.spec in to_go_back(j)), joints[0])
        lines = _merged((*joint.back, extra))
        target = Place(PlaceKind.JOINT, joint.identity)
        return (
            BackSet(joint.identity, lines, f"{extra} more: {told}"),
            HardwareInstalled(joint.identity, (Move(places.new(extra.spec), extra.count, places.STOCK, target),)),
        )

    return job.commit(who, make)


def set_to_go_back(job: Job, who: Who, lines: Sequence[Line], position: Position, why: str) -> Act:
    """Record that other counts are to go back into a position's joint than were found, and why."""
    told = reason(why)

    def make(state: State) -> Sequence[Event]:
        joints = _joints(state, None, position)
        specs = {line.spec for line in lines}
        joint = max(joints, key=lambda j: len(specs & to_go_back(j).keys()))
        kept = tuple(line for line in joint.back if line.spec not in specs)
        return (BackSet(joint.identity, (*kept, *lines), told),)

    return job.commit(who, make)


def _merged(lines: Sequence[Line]) -> tuple[Line, ...]:
    found: dict[str, Line] = {}
    for line in lines:
        before = found.get(line.spec)
        found[line.spec] = Line(line.count + (before.count if before else 0), line.text, line.once)
    return tuple(found.values())


def _exchanged(back: Sequence[Line], actual: Line, instead: Line) -> tuple[Line, ...]:
    kept = [
        Line(line.count - instead.count, line.text, line.once) if line.spec == instead.spec else line for line in back
    ]
    if any(line.count < 0 for line in kept):
        raise Refusal(f"there are not {instead} to stand in for", expected=", ".join(map(str, back)),
                      came=str(instead), todo="count again")  # fmt: skip
    return _merged([*(line for line in kept if line.count), actual])


def lying(state: State, line: Line, likely: Sequence[Place]) -> Place:
    """Return where so many of a spec lie in the shop: a likely place first, else the only one; refuse otherwise."""
    loose = (PlaceKind.BAG, PlaceKind.SPOT, PlaceKind.HOLE)
    items = (places.used(line.spec), places.new(line.spec))
    holding = [
        place
        for place in dict.fromkeys((*likely, *state.holdings))
        if place.kind in loose and any(places.held(state.holdings, place, item) >= line.count for item in items)
    ]
    first = [place for place in holding if place in likely]
    if first or len(holding) == 1:
        return (first or holding)[0]
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


def dispose_hardware(job: Job, who: Who, lines: Sequence[Line], source: Place, target: Place, why: str) -> Act:
    """Record what becomes of hardware that does not go back; return the act."""
    told = reason(why)

    def make(state: State) -> Sequence[Event]:
        moves: list[Move] = []
        for line in lines:
            items = (places.used(line.spec), places.new(line.spec))
            item = max(items, key=lambda i: places.held(state.holdings, source, i))
            moves.append(Move(item, line.count, source, target))
        return (Moved(told, tuple(moves)),)

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
        item = places.used(spec_key(spec))
        was = places.held(state.holdings, place, item)
        source, target = (places.UNCOUNTED, place) if now > was else (place, places.UNCOUNTED)
        moves = (Move(item, abs(now - was), source, target),) if now != was else ()
        return (Recounted(place, item, was, now, moves),)

    return job.commit(who, make)


def set_step(
    job: Job, who: Who, position: Position, step: JointStep, *, count: int = 0, value: str = "", spec: str = ""
) -> Act:
    """Record how far the hardware of a position is: loosened, in by hand, tight, safetied.

    `spec` picks the joints that hold it; without it every joint of the position is meant. What is still short of
    hardware cannot be tight.
    """

    def make(state: State) -> Sequence[Event]:
        joints = _joints(state, None, position)
        if spec:
            joints = [j for j in joints if spec_key(spec) in to_go_back(j)]
        if step in (JointStep.TIGHT, JointStep.SAFETIED):
            joints = [j for j in joints if state.holdings.get(Place(PlaceKind.JOINT, j.identity))]
        if not joints:
            raise Refusal(
                f"nothing is in the joints of {position}", expected="hardware put in first", came=step.value,
                todo="scan its bag and say: all in",
            )  # fmt: skip
        return tuple(JointSet(j.identity, step, count, value) for j in joints)

    return job.commit(who, make)

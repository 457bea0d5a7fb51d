"""Hardware into its joints: all in, so many in, new from stock.

`entering`, `putting` and `renewing` decide, as `tightening.stepping` does; `fasten` records what one or several of them
decide as one act, so that `all in tight safe` is taken whole or not at all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tagtrack.core import places
from tagtrack.core.callout import Decoder
from tagtrack.core.check_joints import inside, to_go_back
from tagtrack.core.counting import counted_as, goes_as, short_of, too_many
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, Event, HardwareInstalled
from tagtrack.core.hardware import Line, text_of
from tagtrack.core.index import Index
from tagtrack.core.places import Item, ItemKind, Move, Place, PlaceKind
from tagtrack.core.records import Position, TagRole
from tagtrack.core.state import State
from tagtrack.core.things import JointState, TagState
from tagtrack.shop.deciding import Decide
from tagtrack.shop.desk import Job
from tagtrack.shop.meant import joints_for, meant, of_neighbours_bag, own
from tagtrack.shop.ports import Who

_Moves = dict[str, list[Move]]


@dataclass(frozen=True, slots=True)
class Put:
    """What putting hardware in came to: the act; by spec what is short, what must be new, what is over."""

    act: Act
    short: dict[str, int]
    new_needed: dict[str, int]
    over: dict[str, int]
    # what was counted as something else: the same number, or its successor
    counted: dict[str, str]


def fasten(job: Job, who: Who, *decides: Decide) -> Put:
    """Record what is decided, as one act, and return what it came to for the joints that it touched."""
    act = job.commit(who, *decides)
    touched = dict.fromkeys(event.joint for event in act.events if isinstance(event, HardwareInstalled))
    return _result(job.index(), act, [job.state.joints[identity] for identity in touched])


def _result(index: Index, act: Act, joints: Sequence[JointState]) -> Put:
    result = Put(act, {}, {}, {}, {})
    for joint in joints:
        once = {line.spec for line in joint.back if line.once}
        back = to_go_back(joint)
        every, _ = inside(index.state.holdings, joint)
        have = counted_as(index.knowledge, back, every)
        for spec, count in back.items():
            _add(result.new_needed if spec in once else result.short, spec, count - have.get(spec, 0))
        for spec, count in too_many(index.knowledge, back, every).items():
            _add(result.over, spec, count)
        for spec in every.keys() - have.keys():
            result.counted[spec] = next(iter(counted_as(index.knowledge, back, {spec: 1})))
    return result


def _add(counts: dict[str, int], spec: str, more: int) -> None:
    if more > 0:
        counts[spec] = counts.get(spec, 0) + more


def entering(
    knowledge: Decoder, source: Place | None, position: Position, *, anothers: bool = False
) -> Decide:
    """Decide that all that lies in a bag, tray or hole goes into the joints it came from, and nothing stays there.

    Without a source: from wherever the position's hardware is kept. What lies there for another position too is left
    to that one: no more goes in than this one lacks. `anothers`: the bag is known to be another position's.
    """

    def decide(state: State) -> Sequence[Event]:
        joints = [j for j in joints_for(state, source, position) if j.kept == source] or meant(state, position)
        coming: _Moves = {}
        kept = [source] if source else [joint.kept for joint in joints if joint.kept.kind in places.KEPT]
        for place in dict.fromkeys(kept):
            for item, count in state.holdings.get(place, {}).items():
                if item.kind is ItemKind.PART:
                    continue
                shares, left = _shares(knowledge, state, joints, item, count, coming)
                if left and (anothers or not _owed_elsewhere(knowledge, state, place, joints, item.name)):
                    shares.append((_knowing(joints, item), left))
                for joint, share in shares:
                    _book(coming, Move(item, share, place, _in(joint)))
        if not coming:
            raise Refusal(
                f"nothing is left in {places.told(source) if source else 'its bag or hole'}",
                expected="hardware to put in", came="nothing",
                todo="new pieces from stock: new 2 MS24665-132; otherwise go on with: tight",
            )  # fmt: skip
        return _installed(coming)

    return decide


def _owed_elsewhere(
    knowledge: Decoder, state: State, place: Place, mine: Sequence[JointState], spec: str
) -> bool:
    """Return whether a joint of another position, whose hardware lies in the same place, lacks some of a spec."""
    identities = {joint.identity for joint in mine}
    others = (j for j in state.joints.values() if j.kept == place and j.identity not in identities)
    return any(spec in lacking(knowledge, state, joint) for joint in others)


def renewing(knowledge: Decoder, position: Position, bag: Place | None = None) -> Decide:
    """Decide that the pieces of a position's joints that are used once go in new from stock, as many as lack.

    `bag`: the one in hand, which may be that of a neighbour whose bolt goes through here as well.
    """

    def decide(state: State) -> Sequence[Event]:
        coming: _Moves = {}
        for joint in meant(state, position, bag):
            once = {line.spec for line in joint.back if line.once}
            for spec, count in lacking(knowledge, state, joint).items():
                if spec in once:
                    _book(coming, Move(places.new(spec), count, places.STOCK, _in(joint)))
        if not coming:
            raise Refusal(
                f"nothing at {position} has to be new, or it is in already",
                expected="pieces that are used once, such as a cotter pin", came="new",
                todo="name it: new 2 MS24665-132; otherwise go on with: tight",
            )  # fmt: skip
        return _installed(coming)

    return decide


def putting(
    knowledge: Decoder, lines: Sequence[Line], position: Position, *, new: bool = False, bag: Place | None = None,
    source: Place | None = None,
) -> Decide:  # fmt: skip
    """Decide that so many of each spec go into a position's joints, from where they were kept, or new from stock.

    `bag`: the one in hand, which may be that of a neighbour whose bolt goes through here as well. `source`: another
    position's bag, out of which they are known to have come.
    """

    def decide(state: State) -> Sequence[Event]:
        coming: _Moves = {}
        for line in lines:
            item = places.new(line.spec) if new else places.used(line.spec)
            joints = _taking(knowledge, state, position, bag, line.spec)
            shares, left = _shares(knowledge, state, joints, item, line.count, coming)
            for joint, share in [*shares, *([(_knowing(joints, item), left)] if left else [])]:
                sources = [(places.STOCK, share)] if new else _sources(state, joint, item, share, coming, source)
                if not sources:
                    raise _not_there(state, joint, line)
                for place, count in sources:
                    _book(coming, Move(item, count, place, _in(joint)))
        return _installed(coming)

    return decide


def _taking(
    knowledge: Decoder, state: State, position: Position, bag: Place | None, spec: str
) -> list[JointState]:
    """Return the joints that pieces of a spec may go into: of a neighbour only where none of one's own knows them."""
    first = [*of_neighbours_bag(state, position, bag), *own(state, position)]
    others = joints_for(state, None, position)
    for group in (first, others):
        if any(goes_as(knowledge, to_go_back(joint), spec) for joint in group):
            return group
    return first or others


def _sources(
    state: State, joint: JointState, item: Item, count: int, coming: _Moves, source: Place | None = None
) -> list[tuple[Place, int]]:
    """Return from which places so many can come, nearest first; nothing where there are not that many."""
    # found again after a loss, it lies on the bench and goes in first; a piece that is used once was thrown away when
    # it came off, and where it is put back all the same, the record says so, and the check finds it
    thrown_away = (places.SCRAP,) if item.name in joint.used_once else ()
    found: list[tuple[Place, int]] = []
    left = count
    bags = (Place(PlaceKind.BAG, tag.code) for tag in state.tags.values() if _is_bag_of(tag, joint))
    for place in (source,) if source else dict.fromkeys((places.BENCH, joint.kept, *bags, *thrown_away)):
        booked = sum(m.count for moves in coming.values() for m in moves if (m.source, m.item) == (place, item))
        share = min(left, places.held(state.holdings, place, item) - booked)
        if share > 0:
            found.append((place, share))
            left -= share
    return [] if left else found


def _is_bag_of(tag: TagState, joint: JointState) -> bool:
    return tag.role is TagRole.BAG and tag.thing in map(str, joint.positions)


def _not_there(state: State, joint: JointState, line: Line) -> Refusal:
    bag = joint.kept.name if joint.kept.kind is PlaceKind.BAG else "BAG"
    return Refusal(
        f"there are not {line} in {places.told(joint.kept)}, by the record",
        expected=text_of({i.name: n for i, n in state.holdings.get(joint.kept, {}).items()}),
        came=str(line),
        todo=f"from stock: new {line};   found more than recorded: recount {bag} {line}",
    )


def _in(joint: JointState) -> Place:
    return Place(PlaceKind.JOINT, joint.identity)


def _book(coming: _Moves, move: Move) -> None:
    coming.setdefault(move.target.name, []).append(move)


def _installed(coming: _Moves) -> tuple[Event, ...]:
    return tuple(HardwareInstalled(identity, tuple(moves)) for identity, moves in coming.items())


def lacking(
    knowledge: Decoder, state: State, joint: JointState, coming: Sequence[Move] = ()
) -> dict[str, int]:
    """Return how many of each spec a joint lacks, once what is coming is in; a successor counts as what it replaced."""
    every, _ = inside(state.holdings, joint)
    for move in coming:
        every[move.item.name] = every.get(move.item.name, 0) + move.count
    return short_of(knowledge, to_go_back(joint), every)


def _shares(
    knowledge: Decoder, state: State, joints: Sequence[JointState], item: Item, count: int, coming: _Moves
) -> tuple[list[tuple[JointState, int]], int]:
    """Return a lot shared out among joints by what each lacks, and how much of it none of them does."""
    shares: list[tuple[JointState, int]] = []
    left = count
    for joint in joints:
        lacks = lacking(knowledge, state, joint, coming.get(joint.identity, ()))
        as_what = item.name if item.name in lacks else next(
            iter(counted_as(knowledge, to_go_back(joint), {item.name: 1}))
        )
        share = min(left, lacks.get(as_what, 0))
        if share:
            shares.append((joint, share))
            left -= share
    return shares, left


def _knowing(joints: Sequence[JointState], item: Item) -> JointState:
    """Return the joint into which what nobody lacks goes, to be told as over: one that knows the spec."""
    return ([joint for joint in joints if item.name in to_go_back(joint)] or list(joints))[-1]

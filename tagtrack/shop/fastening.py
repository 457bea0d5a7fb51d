"""Hardware into its joints: all in, so many in, new from stock, out again; loosened, tight, safetied.

`entering`, `putting` and `stepping` decide; `fasten` records what one or several of them decide as one act, so that
`all in tight safe` is taken whole or not at all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tagtrack.core import places
from tagtrack.core.callout import Decoder
from tagtrack.core.check_joints import FINGER, counted_as, inside, must_be_renewed, to_go_back
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, Checked, Event, HardwareInstalled, JointSet, Moved
from tagtrack.core.hardware import Line, spec_key, text_of
from tagtrack.core.index import Index
from tagtrack.core.places import Item, ItemKind, Move, Place, PlaceKind
from tagtrack.core.records import JointStep, Position, TagRole
from tagtrack.core.state import JointState, State, TagState
from tagtrack.shop.desk import Decide, Job
from tagtrack.shop.ports import Who
from tagtrack.shop.removing import coming_out

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
        for spec, count in have.items():
            _add(result.over, spec, count - back.get(spec, 0))
        for spec in every.keys() - have.keys():
            result.counted[spec] = next(iter(counted_as(index.knowledge, back, {spec: 1})))
    return result


def _add(counts: dict[str, int], spec: str, more: int) -> None:
    if more > 0:
        counts[spec] = counts.get(spec, 0) + more


def entering(knowledge: Decoder, source: Place | None, position: Position) -> Decide:
    """Decide that all that lies in a bag, tray or hole goes into the joints it came from, and nothing stays there.

    Without a source: from wherever the position's hardware is kept. What lies there for another position too is left
    to that one: no more goes in than this one lacks.
    """

    def decide(state: State) -> Sequence[Event]:
        joints = joints_for(state, source, position)
        coming: _Moves = {}
        kept = [source] if source else [joint.kept for joint in joints if joint.kept.kind in places.KEPT]
        for place in dict.fromkeys(kept):
            for item, count in state.holdings.get(place, {}).items():
                if item.kind is ItemKind.PART:
                    continue
                shares, left = _shares(knowledge, state, joints, item, count, coming)
                if left and not _owed_elsewhere(knowledge, state, place, joints, item.name):
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
    return any(spec in _lacking(knowledge, state, joint) for joint in others)


def renewing(knowledge: Decoder, position: Position) -> Decide:
    """Decide that the pieces of a position's joints that are used once go in new from stock, as many as lack."""

    def decide(state: State) -> Sequence[Event]:
        coming: _Moves = {}
        for joint in joints_for(state, None, position):
            once = {line.spec for line in joint.back if line.once}
            for spec, count in _lacking(knowledge, state, joint).items():
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


def putting(knowledge: Decoder, lines: Sequence[Line], position: Position, *, new: bool = False) -> Decide:
    """Decide that so many of each spec go into a position's joints, from where they were kept, or new from stock."""

    def decide(state: State) -> Sequence[Event]:
        joints = joints_for(state, None, position)
        coming: _Moves = {}
        for line in lines:
            item = places.new(line.spec) if new else places.used(line.spec)
            shares, left = _shares(knowledge, state, joints, item, line.count, coming)
            for joint, share in [*shares, *([(_knowing(joints, item), left)] if left else [])]:
                sources = [(places.STOCK, share)] if new else _sources(state, joint, item, share, coming)
                if not sources:
                    raise _not_there(state, joint, line)
                for source, count in sources:
                    _book(coming, Move(item, count, source, _in(joint)))
        return _installed(coming)

    return decide


def _sources(state: State, joint: JointState, item: Item, count: int, coming: _Moves) -> list[tuple[Place, int]]:
    """Return from which places so many can come, nearest first; nothing where there are not that many."""
    # found again after a loss, it lies on the bench and goes in first; a piece that is used once was thrown away when
    # it came off, and where it is put back all the same, the record says so, and the check finds it
    thrown_away = (places.SCRAP,) if item.name in joint.used_once else ()
    found: list[tuple[Place, int]] = []
    left = count
    bags = (Place(PlaceKind.BAG, tag.code) for tag in state.tags.values() if _is_bag_of(tag, joint))
    for place in dict.fromkeys((places.BENCH, joint.kept, *bags, *thrown_away)):
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


def joints_for(state: State, source: Place | None, position: Position | None) -> list[JointState]:
    """Return the joints that the hardware of a place, or of a position, belongs to; refuse where there is none."""
    if position is not None:
        here = state.joints_of(position)
        found = [j for j in here if j.kept == source] or list(here)
    else:
        found = [j for j in state.joints.values() if j.kept == source]
    if not found:
        raise Refusal(
            "no joint is known for that",
            expected="a bag or a position of this job",
            came=places.told(source) if source else str(position),
            todo="scan the bag again; or name the position: at POSITION",
        )
    return found


def _in(joint: JointState) -> Place:
    return Place(PlaceKind.JOINT, joint.identity)


def _book(coming: _Moves, move: Move) -> None:
    coming.setdefault(move.target.name, []).append(move)


def _installed(coming: _Moves) -> tuple[Event, ...]:
    return tuple(HardwareInstalled(identity, tuple(moves)) for identity, moves in coming.items())


def _lacking(
    knowledge: Decoder, state: State, joint: JointState, coming: Sequence[Move] = ()
) -> dict[str, int]:
    """Return how many of each spec a joint lacks, once what is coming is in; a successor counts as what it replaced."""
    every, _ = inside(state.holdings, joint)
    for move in coming:
        every[move.item.name] = every.get(move.item.name, 0) + move.count
    back = to_go_back(joint)
    have = counted_as(knowledge, back, every)
    return {spec: n - have.get(spec, 0) for spec, n in back.items() if n > have.get(spec, 0)}


def _shares(
    knowledge: Decoder, state: State, joints: Sequence[JointState], item: Item, count: int, coming: _Moves
) -> tuple[list[tuple[JointState, int]], int]:
    """Return a lot shared out among joints by what each lacks, and how much of it none of them does."""
    shares: list[tuple[JointState, int]] = []
    left = count
    for joint in joints:
        lacking = _lacking(knowledge, state, joint, coming.get(joint.identity, ()))
        as_what = item.name if item.name in lacking else next(
            iter(counted_as(knowledge, to_go_back(joint), {item.name: 1}))
        )
        share = min(left, lacking.get(as_what, 0))
        if share:
            shares.append((joint, share))
            left -= share
    return shares, left


def _knowing(joints: Sequence[JointState], item: Item) -> JointState:
    """Return the joint into which what nobody lacks goes, to be told as over: one that knows the spec."""
    return ([joint for joint in joints if item.name in to_go_back(joint)] or list(joints))[-1]


def stepping(position: Position, step: JointStep, *, count: int = 0, value: str = "", spec: str = "") -> Decide:
    """Decide how far the hardware of a position is: loosened, in by hand, tight, safetied.

    `count` fasteners more, 0 for all that are in; `value` the torque as entered, or 'per data'; `spec` picks the joints
    that hold it, without it every joint of the position is meant.
    """

    def decide(state: State) -> Sequence[Event]:
        joints = joints_for(state, None, position)
        if spec:
            joints = [j for j in joints if spec_key(spec) in j.tightened]
        if step is not JointStep.LOOSENED:
            joints = [j for j in joints if _in(j) in state.holdings]
        if not joints:
            raise Refusal(
                f"nothing is in the joints of {position}", expected="hardware put in first", came=step.value,
                todo="scan its bag and say: all in",
            )  # fmt: skip
        if count and len(joints) > 1:
            _refuse_which(position, joints, count)
        if count and len(joints) == 1:
            return (_so_many_more(joints[0], step, count, value),)
        return tuple(JointSet(j.identity, step, 0, value or _torque_of(j, step)) for j in joints)

    return decide


def _torque_of(joint: JointState, step: JointStep) -> str:
    """Return the torque that stands where tight is said once more, without one, of what is tight."""
    return joint.torque if step is JointStep.TIGHT and joint.tight == joint.fasteners else ""


def _so_many_more(joint: JointState, step: JointStep, count: int, value: str) -> JointSet:
    """Return how many are tight with so many more; a count of all of them says it of all, whatever was said before."""
    if count == joint.fasteners or not joint.tight:
        return JointSet(joint.identity, step, count, value)
    left = joint.fasteners - joint.tight
    if count > left:
        raise Refusal(
            f"{joint.tight} of {joint.fasteners} tight already: there are not {count} more", came=f"tight {count}",
            expected=f"at most {left} more" if left else "nothing more",
            todo=f"all of them together: tight {joint.fasteners}; backed off since? loosened POSITION SIDE",
        )  # fmt: skip
    # a torque that was said of some is not that of the others
    torques = dict.fromkeys((joint.torque or "not said", value or "not said"))
    return JointSet(joint.identity, step, joint.tight + count, ", ".join(torques) if joint.torque or value else "")


def _refuse_which(position: Position, joints: Sequence[JointState], count: int) -> None:
    """Refuse a count of fasteners that is not all of several joints together: which of them is not said."""
    whole = sum(joint.fasteners for joint in joints)
    if count != whole:
        listed = "; ".join(f"{joint.fasteners} {joint.stack.lines[0].text}" for joint in joints)
        raise Refusal(
            f"{count} of which? {position} has {len(joints)} joints", expected=f"all {whole}, or one of: {listed}",
            came=f"tight {count}", todo=f"for example: tight {count} {joints[0].stack.lines[0].text}",
        )  # fmt: skip


def finger_said(position: Position, *, runs_on: bool) -> Decide:
    """Decide what the finger test of the self-locking nuts at a position showed: whether they run on by finger."""

    def decide(state: State) -> Sequence[Event]:
        seen = "yes, it runs on by finger" if runs_on else "no, it does not run on by finger"
        return tuple(Checked(joint.identity, FINGER, seen) for joint in joints_for(state, None, position))

    return decide


def take_out(job: Job, who: Who, lines: Sequence[Line], position: Position) -> Act:
    """Record that hardware came out of a position's joints again: to its bag, or to stock what is still as new."""

    def decide(state: State) -> Sequence[Event]:
        index = Index.of(state, job.knowledge)
        moves: list[Move] = []
        for line in lines:
            left = line.count
            for joint in joints_for(state, None, position):
                for item in _outward(index, joint, line.spec):
                    share = min(left, places.held(state.holdings, _in(joint), item))
                    if share:
                        moves += coming_out(joint, item, share, _returns_to(index, joint, item))
                        left -= share
            if left:
                raise Refusal(
                    f"there are not {line} in the joints of {position}",
                    expected=f"at most {line.count - left} {line.text}", came=str(line), todo="count again",
                )  # fmt: skip
        return (Moved("taken out again", tuple(moves)),)

    return job.commit(who, decide)


def _outward(index: Index, joint: JointState, spec: str) -> tuple[Item, Item]:
    """Return which comes out first: a piece drawn too many, or the old one that must not go back."""
    new, used = places.new(spec), places.used(spec)
    return (used, new) if _never_again(index, joint, used) else (new, used)


def _never_again(index: Index, joint: JointState, item: Item) -> bool:
    """Return whether a piece is thrown away when it comes out: bent or crushed once, or a nut that ran on by finger."""
    condemned = item.kind is ItemKind.USED and must_be_renewed(index, joint, item.name)
    return item.name in joint.used_once or condemned


def _returns_to(index: Index, joint: JointState, item: Item) -> Place:
    tightened = joint.tight or joint.safe
    if item.kind is ItemKind.NEW and not tightened:
        return places.STOCK
    if _never_again(index, joint, item):
        return places.SCRAP
    return joint.kept if joint.kept.kind in places.KEPT else places.BENCH

"""Hardware as it comes off: counted as found, marked where it is used once, and where each piece goes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tagtrack.core import places
from tagtrack.core.callout import Decoder
from tagtrack.core.check_joints import is_used_once
from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.events import Act, Event, PositionNamed, TakenOff
from tagtrack.core.hardware import total_lines, totals
from tagtrack.core.kinship import heads, locks_last, used_once
from tagtrack.core.marks import Marks
from tagtrack.core.places import Item, ItemKind, Move, Place, PlaceKind
from tagtrack.core.records import FoundJoint, Position, TagRole
from tagtrack.core.state import State
from tagtrack.core.things import JointState
from tagtrack.shop.desk import Job
from tagtrack.shop.holding import inside
from tagtrack.shop.naming import naming
from tagtrack.shop.ports import Who
from tagtrack.shop.removal import Keep, Removal, tray


def found_joints(
    job: Job, state: State, position: Position, clamps: tuple[Position, ...], removal: Removal
) -> tuple[FoundJoint, ...]:
    """Return the joints that come apart: those typed, with fresh numbers, or those that are on record there."""
    if not removal.hardware:
        return tuple(
            FoundJoint(j.identity, j.positions, j.stack, (removal.lock if _own(j, position) else "") or j.lock,
                       removal.keep is Keep.SCRAP, (removal.span if _own(j, position) else "") or j.span, j.heads,
                       j.locks)
            for j in state.joints_of(position)
            if inside(state, j)
        )
    typed = set(totals(removal.hardware))
    # what is destroyed was no part of what was counted before
    lies = removal.keep is not Keep.SCRAP
    mine = (j for j in state.joints_of(position) if j.positions[0] == position)
    known = [j for j in mine if inside(state, j) or (lies and _lies(state, j, typed))]
    if known:
        raise Refusal(
            f"the hardware of {position} is known already",
            expected=f"no hardware, to take off what is recorded: {'; '.join(str(j.stack) for j in known)}",
            came=", ".join(map(str, removal.hardware)),
            todo="leave the hardware out; another count: recount BAG 3 AN960-10, or back 12 AN525-10R8 because ...",
        )
    number = job.number("j", state)
    destroyed = removal.keep is Keep.SCRAP
    return tuple(
        FoundJoint(f"j{number + i}", (position, *clamps), stack, removal.lock, destroyed, removal.span,
                   heads(job.knowledge, stack), locks_last(job.knowledge, stack))
        for i, stack in enumerate(removal.hardware)
    )


def _own(joint: JointState | FoundJoint, position: Position) -> bool:
    return joint.positions[0] == position


def object_to_holding(
    who: Who, state: State, position: Position, removal: Removal, joints: tuple[FoundJoint, ...]
) -> None:
    """Ask where another lock is told than when the hardware first came off; refuse what belongs to no hardware here.

    `removal` is what is said now, `joints` those that come apart.
    """
    mine = [joint for joint in joints if _own(joint, position)]
    # out already, since an earlier time: said once more just so, it is known
    lies = [] if mine else [joint for joint in state.joints_of(position) if _own(joint, position)]
    both: list[FoundJoint | JointState] = [*mine, *lies]
    here_now = [joint.positions for joint in both]
    more = [p for p in removal.clamps if not here_now or any(p not in clamped for clamped in here_now)]
    later = removal.keep is Keep.LATER and not mine
    lock = removal.lock not in ("", "none") and not mine and not later and {j.lock for j in lies} != {removal.lock}
    span = bool(removal.span) and not mine and {j.span for j in lies} != {removal.span}
    said = [word for word, odd in (("lock", lock), ("measured", span), ("clamps", bool(more))) if odd]
    here = f"{position.name} {position.side.value}"
    if said:
        known = "; ".join(str(joint.stack) for joint in both)
        raise Refusal(
            f"{' and '.join(said)} of which hardware of {position}?",
            expected="said with the hardware, when it is counted" + (f"; on record: {known}" if known else ""),
            came=", ".join([*said, *map(str, more)]),
            todo=f"say it with the count: found {here}; 4 AN3-5A; clamps X" if later
            else "leave it out; the first record was wrong? undo that removal, and say it whole",
        )  # fmt: skip
    before = {state.joints[joint.identity].lock for joint in mine if joint.identity in state.joints} - {""}
    if removal.lock and before - {removal.lock}:
        who.object(Objection(
            f"STOP: when the {position} first came off, it was locked another way", kind="not-safetied",
            expected=f"lock {', '.join(sorted(before))}", came=f"lock {removal.lock}",
            todo="it was put back wrong: leave the lock out; the first record was wrong: say so",
        ))  # fmt: skip


def _lies(state: State, joint: JointState, specs: set[str]) -> bool:
    """Return whether the joint's own hardware, of one of these specs, still lies where it was kept."""
    mine = specs & {line.spec for line in (*joint.back, *joint.found)}
    return joint.kept.kind in places.KEPT and any(item.name in mine for item in state.holdings.get(joint.kept, {}))


def hardware_moves(
    knowledge: Decoder, state: State, position: Position, joints: tuple[FoundJoint, ...], removal: Removal, bag: str
) -> list[Move]:
    """Return the movements of the hardware of joints that come apart, each piece to where it is kept or thrown away."""
    moves: list[Move] = []
    for joint in joints:
        here = Place(PlaceKind.JOINT, joint.identity)
        target = _target(removal.keep, position, joint.identity, bag)
        lots = state.holdings.get(here)
        if lots:
            # put back before, and taken apart again: what is in it now comes out, and what is used once is thrown away
            known = state.joints[joint.identity]
            for item, count in lots.items() if target is not None else ():
                assert target is not None  # noqa: S101 - for the type checker; asked in the line above
                goes = places.SCRAP if is_used_once(knowledge, known, item.name) else target
                moves += coming_out(known, item, count, goes)
            continue
        for line in total_lines(joint.stack):
            item = places.used(line.spec)
            moves.append(Move(item, line.count, places.UNCOUNTED, here))
            if target is not None:
                # a piece that is used once is thrown away at once; a new one is asked for at refit
                moves.append(Move(item, line.count, here, places.SCRAP if line.once else target))
    return moves


def coming_out(joint: JointState, item: Item, count: int, target: Place) -> list[Move]:
    """Return the movements of pieces out of a joint. What went in new, and is or was tight, comes out as used."""
    here = Place(PlaceKind.JOINT, joint.identity)
    used = joint.no_longer_new(item.name, count) if item.kind is ItemKind.NEW else 0
    if not used or target == places.SCRAP:
        return [Move(item, count, here, target)]
    fresh = [Move(item, count - used, here, target)] if count > used else []
    return [*places.worn(item.name, used, here), Move(places.used(item.name), used, here, target), *fresh]


def _target(keep: Keep, position: Position, joint: str, bag: str) -> Place | None:
    match keep:
        case Keep.BAG | Keep.LATER:
            return Place(PlaceKind.BAG, bag)
        case Keep.HOLE:
            return Place(PlaceKind.HOLE, joint)
        case Keep.TRAY:
            return tray(position)
        case Keep.SCRAP:
            return places.SCRAP
        case Keep.STAYS:
            return None


def hardware_of(
    job: Job, state: State, position: Position, removal: Removal
) -> tuple[tuple[FoundJoint, ...], tuple[Move, ...]]:
    """Return the joints of something without a part of its own (a connection), and the movements of their hardware."""
    joints = found_joints(job, state, position, removal.clamps, removal)
    return joints, tuple(hardware_moves(job.knowledge, state, position, joints, removal, removal.bag))


def counted_at_bench(job: Job, who: Who, said: Removal) -> Act:
    """Record the count of hardware that went into a bag uncounted, with how it locks and clamps; return the act."""
    position = said.position

    def make(state: State) -> Sequence[Event]:
        known = state.positions.get(position)
        if known is None or not known.uncounted:
            raise Refusal(
                f"{position} has nothing left to count",
                expected="a position whose hardware was to be counted at the bench", came=str(position),
                todo="a bag that was counted before is counted again with: recount BAG 3 AN960-10",
            )  # fmt: skip
        bag = next((t.code for t in state.tags.values() if t.role is TagRole.BAG and t.thing == str(position)
                    and t.end is None), "")
        counted = used_once(job.knowledge, said.hardware)
        removal = replace(said, hardware=counted, keep=Keep.BAG if bag else Keep.TRAY, lock=said.lock or known.lock)
        clamps = tuple(map(naming(state, who), said.clamps))
        joints = found_joints(job, state, position, clamps, removal)
        moves = hardware_moves(job.knowledge, state, position, joints, removal, bag)
        named = [PositionNamed(p, area=known.area, likely=True) for p in clamps if p not in state.positions]
        return (*named, TakenOff(position, None, Marks(), joints, moves=tuple(moves)))

    return job.commit(who, make)

"""Hardware that comes out of its joint again: out of which of several, and where it goes."""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core import places
from tagtrack.core.check_joints import inside, is_used_once, must_be_renewed, to_go_back
from tagtrack.core.counting import too_many
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, Event, Moved
from tagtrack.core.hardware import Line, text_of
from tagtrack.core.index import Index
from tagtrack.core.places import Item, ItemKind, Move, Place, PlaceKind
from tagtrack.core.records import Position
from tagtrack.core.state import State
from tagtrack.core.things import JointState
from tagtrack.shop.desk import Job
from tagtrack.shop.meant import joints_for, own_first
from tagtrack.shop.ports import Who
from tagtrack.shop.unfastening import coming_out


def take_out(job: Job, who: Who, lines: Sequence[Line], position: Position) -> Act:
    """Record that hardware came out of a position's joints again: to its bag, or to stock what is still as new."""

    def decide(state: State) -> Sequence[Event]:
        index = Index.of(state, job.knowledge)
        moves: list[Move] = []
        for line in lines:
            shares = _out_of(index, position, line)
            left = line.count - sum(shares.values())
            if left:
                raise _not_in(index, position, line, line.count - left)
            for identity, share in shares.items():
                moves += _leaving(index, state.joints[identity], line.spec, share)
        return (Moved("taken out again", tuple(moves)),)

    return job.commit(who, decide)


def _not_in(index: Index, position: Position, line: Line, most: int) -> Refusal:
    holds: dict[str, int] = {}
    for joint in joints_for(index.state, None, position):
        for spec, count in inside(index.state.holdings, joint)[0].items():
            holds[spec] = holds.get(spec, 0) + count
    return Refusal(
        f"there are not {line} in the joints of {position}",
        expected=f"at most {most} {line.text}; in there, by the record: {text_of(holds)}", came=str(line),
        todo="count again",
    )  # fmt: skip


def _out_of(index: Index, position: Position, line: Line) -> dict[str, int]:
    """Return out of which joints pieces come, and how many: first what is too many, then by whose bolt it is."""
    state, shares, left = index.state, dict[str, int](), line.count
    joints = own_first(state, position)
    for most in (surplus, _holds):
        for joint in joints:
            share = min(left, most(index, joint, line.spec) - shares.get(joint.identity, 0))
            if share > 0:
                shares[joint.identity] = shares.get(joint.identity, 0) + share
                left -= share
    return shares


def _holds(index: Index, joint: JointState, spec: str) -> int:
    return inside(index.state.holdings, joint)[0].get(spec, 0)


def surplus(index: Index, joint: JointState, spec: str) -> int:
    """Return how many pieces of a spec a joint holds beyond what is to go back."""
    every, _ = inside(index.state.holdings, joint)
    return too_many(index.knowledge, to_go_back(joint), every).get(spec, 0)


def _leaving(index: Index, joint: JointState, spec: str, count: int) -> list[Move]:
    moves: list[Move] = []
    for item in _outward(index, joint, spec):
        there = places.held(index.state.holdings, _in(joint), item)
        share = min(count, there)
        count -= share
        fresh = _fresh(index, joint, item, share, there)
        if share > fresh:
            moves += coming_out(joint, item, share - fresh, _returns_to(index, joint, item))
        if fresh:
            moves.append(Move(item, fresh, _in(joint), places.STOCK))
    return moves


def _fresh(index: Index, joint: JointState, item: Item, share: int, there: int) -> int:
    """Return how many of the pieces that come out are as new as they went in."""
    if item.kind is not ItemKind.NEW:
        return 0
    used = joint.no_longer_new(item.name, there)
    # what must not go back comes out first; of all else what was drawn too many
    return max(0, share - used) if _never_again(index, joint, item) else min(share, there - used)


def _outward(index: Index, joint: JointState, spec: str) -> tuple[Item, Item]:
    """Return which comes out first: a piece drawn too many, or the old one that must not go back."""
    new, used = places.new(spec), places.used(spec)
    return (used, new) if _never_again(index, joint, used) else (new, used)


def _never_again(index: Index, joint: JointState, item: Item) -> bool:
    """Return whether a piece is thrown away when it comes out: bent or crushed once, or a nut that ran on by finger."""
    condemned = item.kind is ItemKind.USED and must_be_renewed(index, joint, item.name)
    return is_used_once(index.knowledge, joint, item.name) or condemned


def _returns_to(index: Index, joint: JointState, item: Item) -> Place:
    if _never_again(index, joint, item):
        return places.SCRAP
    return joint.kept if joint.kept.kind in places.KEPT else places.BENCH


def _in(joint: JointState) -> Place:
    return Place(PlaceKind.JOINT, joint.identity)

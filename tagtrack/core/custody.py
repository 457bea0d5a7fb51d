"""Custody: movements booked at both ends, and what they leave of the joints and positions that they touch.

Used by the fold alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from tagtrack.core import places
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act
from tagtrack.core.frozen import changed
from tagtrack.core.places import Item, ItemKind, Move, Place, PlaceKind
from tagtrack.core.records import Access, Position
from tagtrack.core.state import State
from tagtrack.core.things import AboardState, JointState, PositionState


def move_all(state: State, act: Act, moves: Iterable[Move]) -> None:
    """Book movements, and open, empty or fill the joints that they touch; refuse what leaves less than nothing."""
    touched: dict[str, Place | None] = {}
    opened: set[str] = set()
    entering: dict[str, set[str]] = {}
    before: dict[str, Mapping[Item, int]] = {}
    moves = tuple(moves)
    for move in moves:
        item, source, target = move.item, move.source, move.target
        kept = target.kind in places.KEPT
        for place in (source, target):
            if place.kind is PlaceKind.JOINT and place.name not in before:
                before[place.name] = state.holdings.get(place, {})
        places.moved(state.holdings, move)
        if item.kind is ItemKind.PART:
            _move_part(state, act, move)
        elif kept:
            state.lain_since[target, item] = state.step
        for place in (source, target):
            if place.kind is PlaceKind.ABOARD:
                state.aboard_since[place.name] = state.step
                _aboard(state, act, move, place)
        if target.kind is PlaceKind.JOINT:
            touched.setdefault(target.name, None)
            entering.setdefault(target.name, set()).add(item.name)
        if source.kind is PlaceKind.JOINT:
            opened.add(source.name)
            touched[source.name] = target if kept else touched.get(source.name)
    for name, lies in touched.items():
        joint, here = state.joints[name], Place(PlaceKind.JOINT, name)
        # whatever goes in or comes out, tight and safetied must be said again; of a finished joint, checks lapse too
        apart = name in opened or bool(joint.tight or joint.safe)
        if name not in opened and entering[name] <= set(joint.locks):
            # a cotter pin or a lockwire goes in after the torque, and changes nothing of it
            touch_joint(state, act, joint, apart=joint.safe, safe=False, worn=worn(joint, before[name], tight=False))
            continue
        holds = state.holdings.get(here, {})
        left = worn(joint, before[name])
        if left:
            gone = [m for m in moves if m.source == here and m.item.kind is ItemKind.NEW]
            left = _still_worn(left, gone, holds)
        touch_joint(
            state, act, joint, apart=apart, emptied=name in opened and not holds,
            tight=0, torque="", safe=False, kept=lies or joint.kept, worn=left,
        )  # fmt: skip


def _aboard(state: State, act: Act, move: Move, place: Place) -> None:
    """Count what was put aboard at a place, and what came off it again."""
    key = (place.name, move.item.name)
    known = state.aboard.get(key, AboardState())
    if move.target == place:
        state.aboard[key] = changed(known, put=known.put + move.count, put_by=_once(known.put_by, act.by))
    elif move.target.kind is not PlaceKind.LOST:
        state.aboard[key] = changed(known, taken=known.taken + move.count, taken_by=_once(known.taken_by, act.by))


def _once(known: tuple[str, ...], initials: str) -> tuple[str, ...]:
    """Return the initials with those of one more, each once."""
    return tuple(dict.fromkeys((*known, initials)))


def worn(joint: JointState, lots: Mapping[Item, int], *, tight: bool = True) -> tuple[tuple[str, int], ...]:
    """Return which pieces that went in new count as used where they are, once a joint that holds `lots` is opened.

    A pin or a wire is bent when it is said to be safe, all else is worn when it is tight. Without `tight` only its lock
    is opened.
    """
    marked = dict(joint.worn)
    for item, count in lots.items():
        used = joint.safe if item.name in joint.locks else tight and joint.tight
        if item.kind is ItemKind.NEW and used:
            marked[item.name] = count
    return tuple(marked.items())


def _still_worn(
    marked: tuple[tuple[str, int], ...], gone: Iterable[Move], lots: Mapping[Item, int]
) -> tuple[tuple[str, int], ...]:
    left = dict(marked)
    for move in gone:
        # what leaves as new, into stock, was none of them
        if move.item.name in left and move.target.kind in (PlaceKind.UNCOUNTED, PlaceKind.SCRAP):
            left[move.item.name] -= move.count
    found = {spec: min(count, lots.get(places.new(spec), 0)) for spec, count in left.items()}
    return tuple((spec, count) for spec, count in found.items() if count > 0)


def _move_part(state: State, act: Act, move: Move) -> None:
    part = state.parts[move.item.name]
    if move.target.kind is PlaceKind.POSITION:
        others = [i for i in state.holdings[move.target] if i.kind is ItemKind.PART and i != move.item]
        if others:
            raise Refusal(
                f"something is already on at {move.target.name}",
                expected="an empty position",
                came=f"a second part, beside the {state.parts[others[0].name].home}",
                todo="take the other one off first",
            )
    left = state.positions.get(part.at) if part.at is not None else None
    if left is not None and left.closed:
        # however it left, nothing closes up there any more
        state.positions[left.position] = changed(left, access=Access.OPEN, closed=0, held_by="")
    state.parts[part.identity] = changed(part, place=move.target, acts=seen_in(part.acts, act))


def seen_in(acts: tuple[str, ...], act: Act) -> tuple[str, ...]:
    """Return the acts that a thing rests on, with this one."""
    return acts if acts and acts[-1] == act.id else (*acts, act.id)


def touch_position(
    state: State, act: Act, position: Position, *, apart: bool = False, work: bool = True
) -> PositionState:
    """Note that something was done at a position; return it as it stands then.

    `apart`: it was taken apart. Without `work` it was done from outside, at what is shared with a cover over it.
    """
    known = state.positions.get(position) or PositionState(position=position)
    known = changed(
        known, cycle=known.cycle + apart, acts=seen_in(known.acts, act),
        **{"worked" if work else "driven": state.step},
    )  # fmt: skip
    state.put(known)
    return known


def touch_joint(
    state: State, act: Act, joint: JointState, *, apart: bool = False, emptied: bool = False, **changes: Any
) -> None:
    """Note that something was done to a joint, at every position that it clamps."""
    state.joints[joint.identity] = changed(
        joint,
        **changes,
        cycle=joint.cycle + apart,
        performers=frozenset({act.by}) if emptied else joint.performers | {act.by},
        acts=seen_in(joint.acts, act),
    )
    covered = {p for each in joint.positions if each in state.positions for p in state.positions[each].closes_up}
    for position in joint.positions:
        # the screws of a cover may hold what lies under it as well: driving them is work at the cover, from outside
        touch_position(state, act, position, apart=apart, work=position not in covered)

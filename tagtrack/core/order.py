"""What waits for what: covers, and what they close up."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush

from tagtrack.core.errors import Refusal
from tagtrack.core.index import Index
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.records import Access, Position
from tagtrack.core.state import State, ancestors, members


def refuse_circle(state: State, cover: Position, closes_up: tuple[Position, ...]) -> None:
    """Refuse a closing-up that would make a circle: A waits for B, B for A."""
    graph = {position: known.closes_up for position, known in state.positions.items()}
    graph[cover] = (*graph.get(cover, ()), *closes_up)
    path = _path(graph, cover, cover, ())
    if path:
        raise Refusal(
            f"'{cover}' would close up itself",
            expected="covers that can be closed one after the other",
            came=" closes up ".join(map(str, path)),
            todo="look which one really lies under the other, and leave the other one out",
        )


def _path(
    graph: Mapping[Position, tuple[Position, ...]], start: Position, goal: Position, walked: tuple[Position, ...]
) -> tuple[Position, ...]:
    seen: set[Position] = set()
    stack = [(start, (*walked, start))]
    while stack:
        at, path = stack.pop()
        for below in graph.get(at, ()):
            if below == goal:
                return (*path, below)
            if below not in seen:
                seen.add(below)
                stack.append((below, (*path, below)))
    return ()


def under(state: State, cover: Position) -> tuple[Position, ...]:
    """Return all that the cover closes up, directly or through other covers."""
    found: dict[Position, None] = {}
    stack = [cover]
    while stack:
        known = state.positions.get(stack.pop())
        for below in known.closes_up if known else ():
            if below not in found:
                found[below] = None
                stack.append(below)
    return tuple(found)


def closed_in(state: State, cover: Position) -> tuple[Position, ...]:
    """Return all that the cover closes up, with what is part of it: an assembly is not finished without its parts.

    A part that closes up the cover in turn goes on after it, and is none of them.
    """
    found = dict.fromkeys(under(state, cover))
    for below in tuple(found):
        for member in members(state, below):
            if member != cover and member not in found and cover not in under(state, member):
                found[member] = None
    return tuple(found)


def held_with(state: State, cover: Position) -> frozenset[Position]:
    """Return what lies under a cover and is held by the cover's own hardware: it is finished only once that is in."""
    below = under(state, cover)
    return frozenset(p for joint in state.joints_of(cover) for p in joint.positions if p in below)


def out_of_reach(state: State, hidden: Mapping[Position, int]) -> dict[Position, int]:
    """Return the step since when nobody can look at the work on a position any more, of those that are hidden.

    What a cover's own hardware holds as well is looked at from outside, as long as that cover can be reached.
    """
    reach = dict(hidden)
    for cover, known in state.positions.items():
        for position in held_with(state, cover) if known.closes_up else ():
            if position in reach:
                reach[position] = max(reach[position], hidden.get(cover, state.step + 1))
    return reach


def hidden_since(state: State) -> dict[Position, int]:
    """Return the step of the job since when a position is out of reach, for all of which every way in is closed.

    Only covers that were opened on this job count, and one that is itself behind a closed one needs not be closed.
    """
    over: dict[Position, list[Position]] = {}
    for cover, known in state.positions.items():
        for below in known.closes_up if known.cycle else ():
            over.setdefault(below, []).append(cover)
    never = state.step + 1

    def shut(cover: Position) -> int:
        known = state.positions[cover]
        if not state.parts_of(cover):
            return known.worked if riveted_shut(state, cover) else never
        return known.closed if known.access is Access.CLOSED and known.closed else never

    since: dict[Position, int] = {}
    # covers before what they close up
    for position in reversed(bottom_up(state)):
        if position in over:
            since[position] = max(min(shut(cover), since.get(cover, never)) for cover in over[position])
    return {position: step for position, step in since.items() if step < never}


def riveted_shut(state: State, cover: Position) -> bool:
    """Return whether a cover that is no part of its own, a skin or a panel that stays, has its hardware back in."""
    joints = [joint for joint in state.joints_of(cover) if joint.positions[0] == cover]
    return bool(joints) and all(Place(PlaceKind.JOINT, joint.identity) in state.holdings for joint in joints)


def bottom_up(state: State) -> tuple[Position, ...]:
    """Return every position, each after all that it closes up, else in the order in which they came up."""
    found: dict[Position, None] = {}
    for position in state.positions:
        # what lies deepest first; `under` names the nearer ones first
        for below in reversed(under(state, position)):
            found.setdefault(below)
        found.setdefault(position)
    return tuple(p for p in found if p in state.positions)


def last_off_first(state: State) -> tuple[Position, ...]:
    """Return every position, each after all that it closes up, else what came off last first.

    It goes back the way it came off: what was in the way of another came off before it. The record knows no more of it.
    """
    order = {position: number for number, position in enumerate(
        sorted(state.positions, key=lambda each: state.positions[each].came_off, reverse=True))}  # fmt: skip
    waits = {position: {below for below in known.closes_up if below in order and below != position}
             for position, known in state.positions.items()}  # fmt: skip
    over: dict[Position, list[Position]] = {}
    for cover, below in waits.items():
        for each in below:
            over.setdefault(each, []).append(cover)
    ready = [(order[position], position) for position, below in waits.items() if not below]
    heapify(ready)
    found: dict[Position, None] = {}
    while ready:
        _, position = heappop(ready)
        found[position] = None
        for cover in over.get(position, ()):
            waits[cover].discard(position)
            if not waits[cover]:
                heappush(ready, (order[cover], cover))
    # covers that close up each other are refused; a forged record may hold them all the same
    return (*found, *(position for position in order if position not in found))


@dataclass(frozen=True, slots=True)
class Next:
    """What can go on now, last off first, and what waits for what.

    `off_too`: of what can go on now, what it is part of, or whose bolt holds it as well, and is off itself.
    """

    now: tuple[Position, ...]
    waiting: tuple[tuple[Position, tuple[Position, ...]], ...]
    off_too: Mapping[Position, tuple[Position, ...]] = field(default_factory=dict)


def next_on(index: Index, holding_up: Callable[[Position], frozenset[Position]]) -> Next:
    """Return which of the positions that are still open can go on now, and which wait, and for what.

    `holding_up` returns the positions that are to be finished before a cover goes on over them.
    """
    off = [p for p in last_off_first(index.state) if not index.is_back(p)]
    now: list[Position] = []
    waiting: list[tuple[Position, tuple[Position, ...]]] = []
    for position in off:
        below = closed_in(index.state, position)
        owing = holding_up(position) if below else frozenset[Position]()
        blocking = tuple(p for p in below if p in owing and p != position)
        if blocking:
            waiting.append((position, blocking))
        else:
            now.append(position)
    away = frozenset(off)
    off_too = {position: hung for position in now if (hung := _hangs_on(index.state, position, away))}
    return Next(tuple(now), tuple(waiting), off_too)


def _hangs_on(state: State, position: Position, off: frozenset[Position]) -> tuple[Position, ...]:
    """Return what a position is part of, or whose bolt holds it as well, and is off itself."""
    shared = (joint.positions[0] for joint in state.joints_of(position))
    return tuple(dict.fromkeys(p for p in (*ancestors(state, position), *shared) if p in off and p != position))

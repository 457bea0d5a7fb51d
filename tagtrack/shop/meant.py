"""Which joints a person means who has a bag in hand, or stands at a position; a bolt may clamp several positions."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from tagtrack.core import places
from tagtrack.core.errors import Refusal
from tagtrack.core.hardware import Line
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.records import Position
from tagtrack.core.state import State
from tagtrack.core.things import JointState


def joints_for(state: State, source: Place | None, position: Position | None) -> list[JointState]:
    """Return the joints that the hardware of a place, or of a position, belongs to; refuse where there is none."""
    if position is not None:
        found = [j for j in state.joints_of(position) if j.kept == source] or own_first(state, position)
    else:
        found = [j for j in state.joints.values() if j.kept == source]
    if not found:
        if position is not None and state.ends_of(position):
            raise Refusal(
                f"no nut or screw of {position} is known", expected="its fittings told, when they were backed off",
                came=str(position),
                todo=f"if it has any: loosened {position.name} {position.side.value}; 2 coupling nuts, then: tight",
            )  # fmt: skip
        raise Refusal(
            "no joint is known for that",
            expected="a bag or a position of this job",
            came=places.told(source) if source else str(position),
            todo="scan the bag again; or name the position: at POSITION",
        )
    return found


# one of several is said with another ending: "1 screw" of "8 screws"
_PLAIN = re.compile(r"(?:.* )?[A-Z]{3,}")


def as_known(
    state: State, lines: Sequence[Line], position: Position | None, bag: Place | None = None
) -> tuple[Line, ...]:
    """Return lines with plain words as they are known at a position, or anywhere: `1 screw` of `8 screws` is one.

    Refuses `1 screw` where a neighbour's are called so, and one's own, or those of the bag in hand, `screws, short`.
    """
    joints = list(state.joints.values()) if position is None else state.joints_of(position)
    texts = _texts(state, joints)
    mine = [joint for joint in joints if joint.kept == bag] or ([] if position is None else own(state, position))
    its = _texts(state, mine)
    known = tuple(_as_known(line, texts) for line in lines)
    for line in known if its else ():
        longer = [text for spec, text in its.items() if _PLAIN.fullmatch(line.spec) and _begins(spec, line.spec)]
        if line.spec in texts and line.spec not in its and longer:
            other = next(j.positions[0] for j in joints if line.spec in _texts(state, [j]))
            raise Refusal(
                f"which {line.text}? {longer[0]} of {mine[0].positions[0]}, or {line.text} of {other}",
                expected="the words with which they came off", came=str(line),
                todo=f"say it whole: {line.count} {longer[0]};   the others: scan the bag of {other} first",
            )  # fmt: skip
    return known


def _texts(state: State, joints: Sequence[JointState]) -> dict[str, str]:
    """Return how each spec of some joints, and of what lies with them, is written."""
    texts = {line.spec: line.text for joint in joints for line in (*joint.found, *joint.back)}
    for joint in joints:
        for place in (joint.kept, Place(PlaceKind.JOINT, joint.identity)):
            texts |= {item.name: item.name for item in state.holdings.get(place, {}) if item.name not in texts}
    return texts


def _begins(spec: str, words: str) -> bool:
    """Return whether a spec says the same words, and more behind them; one or several makes no difference."""
    return spec.startswith(tuple(f"{words.removesuffix('S')}{end}" for end in (" ", ", ", "S ", "S, ")))


def _as_known(line: Line, texts: Mapping[str, str]) -> Line:
    if line.spec in texts or not _PLAIN.fullmatch(line.spec):
        return line
    other = line.spec.removesuffix("S") if line.spec.endswith("S") else f"{line.spec}S"
    return replace(line, text=texts[other]) if other in texts else line


def own(state: State, position: Position) -> list[JointState]:
    """Return the joints of which the hardware came off with this position."""
    return [joint for joint in state.joints_of(position) if joint.positions[0] == position]


def own_first(state: State, position: Position) -> list[JointState]:
    """Return every joint that clamps something at the position: its own, then those of its neighbours."""
    return sorted(state.joints_of(position), key=lambda joint: joint.positions[0] != position)


def of_neighbours_bag(state: State, position: Position, bag: Place | None) -> list[JointState]:
    """Return the joints here whose hardware the bag in hand holds, where that is a neighbour's and not its own."""
    if bag is None:
        return []
    of_bag = [joint for joint in state.joints_of(position) if joint.kept == bag]
    return [] if any(joint.positions[0] == position for joint in of_bag) else of_bag


def meant(state: State, position: Position, bag: Place | None = None) -> list[JointState]:
    """Return the joints that are meant: those of a neighbour's bag in hand, else its own, else all that clamp it.

    Refuses where there is none.
    """
    return of_neighbours_bag(state, position, bag) or own(state, position) or joints_for(state, None, position)


def stepped(
    state: State, position: Position, bag: Place | None, done: Callable[[JointState], bool], said: str
) -> list[JointState]:
    """Return the joints of which a step is said, such as 'tight': those that are meant, and hold something.

    With a neighbour's bag in hand, and both its bolt and the position's own in, what is not done yet is meant; refuses
    where that is both.
    """
    filled = [j for j in joints_for(state, None, position) if Place(PlaceKind.JOINT, j.identity) in state.holdings]
    neighbours = [j for j in of_neighbours_bag(state, position, bag) if j in filled]
    mine = [j for j in own(state, position) if j in filled]
    if not neighbours:
        return mine if own(state, position) else filled
    undone = [group for group in (neighbours, mine) if not all(map(done, group))]
    if len(undone) == 2:
        raise _which(position, said, neighbours[0], mine[0])
    return (undone or [neighbours])[0]


def _which(position: Position, said: str, neighbours: JointState, mine: JointState) -> Refusal:
    owner = neighbours.positions[0]
    return Refusal(
        f"{said} of which? {mine.stack.lines[0].text} of {position}, or {neighbours.stack.lines[0].text} of {owner}",
        expected="one of them", came=said,
        todo=f"say where: at {position.name} {position.side.value},  or  at {owner.name} {owner.side.value},"
        f"  then  {said}",
    )  # fmt: skip

"""What a removal was understood as, said back at once: a slip of the tongue is heard before the part is carried off."""

from __future__ import annotations

from tagtrack.core import places
from tagtrack.core.axes import Side
from tagtrack.core.check_joints import to_renew as to_renew_in
from tagtrack.core.events import Act, Moved, PerData, TakenOff
from tagtrack.core.hardware import text_of
from tagtrack.core.index import Index
from tagtrack.core.places import PlaceKind
from tagtrack.core.records import Position
from tagtrack.core.sense import of_a_control
from tagtrack.core.state import State
from tagtrack.core.things import PositionState


def headline(state: State, off: TakenOff) -> str:
    """Return what came off, and whether it is critical."""
    known = state.positions[off.position]
    return f"OFF  {off.position}" + (" (CRITICAL)" if known.critical else "")


def understood(state: State, act: Act) -> list[str]:
    """Return how a part that an act took off sits, what hangs on it, and where it lies, as it now stands: one line."""
    off = next(event for event in act.events if isinstance(event, TakenOff))
    known = state.positions[off.position]
    part = state.parts.get(off.part.identity) if off.part else None
    data = next((event.requirement for event in act.events if isinstance(event, PerData)), None)
    said = (
        str(part.marks) if part else "",
        *_mounting(known),
        f"pn {part.number}" if part and part.number else "",
        f"sn {part.serial}" if part and part.serial else "",
        f"life {part.life}" if part and part.life else "",
        *_beside(state, known),
        *_of_joints(off),
        f"per data {text_of({line.spec: line.count for line in data.lines})} ({data.reference or 'no reference'})"
        if data else "",
        places.whereabouts(part.place) if part else "",
    )
    return [f"     {'; '.join(each for each in said if each)}"] if any(said) else []


def facts(state: State, known: PositionState) -> list[str]:
    """Return how what is at a position is mounted, what hangs on it, and what the data call for: one line."""
    data = text_of({line.spec: line.count for line in known.requirement.lines})
    said = (*_mounting(known), *_beside(state, known), f"per data {data}" if known.requirement.lines else "")
    return [f"     {'; '.join(each for each in said if each)}"] if any(said) else []


def _mounting(known: PositionState) -> tuple[str, ...]:
    return f"mount {known.mount.value}" if known.mount else "", "mount either way" if known.either_way else ""


def _beside(state: State, known: PositionState) -> tuple[str, ...]:
    covers = [cover for cover, each in state.positions.items() if known.position in each.closes_up]
    part_of = f"part of {known.parent}" if known.parent else ""
    return part_of, _listed("closes", known.closes_up), _listed("under", covers)


def parted(state: State, here: Position) -> list[str]:
    """Return where the ends of a connection go, and what is asked of it: one line, none where nothing was said."""
    known = state.positions[here]
    said = [f"{end.end or 'goes to'}: {end.as_found}" for end in state.ends_of(here) if end.as_found]
    said += [f"under {cover}" for cover, each in state.positions.items() if here in each.closes_up]
    said += [*known.asks, *(["CRITICAL"] if known.critical else [])]
    return [f"     {'; '.join(said)}"] if said else []


def _of_joints(off: TakenOff) -> tuple[str, ...]:
    found = off.found
    locks = dict.fromkeys(f"lock {joint.lock}" for joint in found if joint.lock)
    spans = dict.fromkeys(f"measured {joint.span}" for joint in found if joint.span)
    held = dict.fromkeys(_listed("also holds", [p for p in joint.positions if p != off.position]) for joint in found)
    return (*locks, *spans, *held)


def _listed(word: str, positions: tuple[Position, ...] | list[Position]) -> str:
    return f"{word} {' + '.join(map(str, positions))}" if positions else ""


def to_renew(index: Index, position: Position) -> list[str]:
    """Return what has to be had new in joints that were opened, as what is in them was bent or tightened before."""
    worn: dict[str, int] = {}
    for joint in index.state.joints_of(position):
        for spec, count in to_renew_in(index.knowledge, joint).items():
            worn[spec] = worn.get(spec, 0) + count
    pieces = text_of(worn)
    return [f"     used once, and was in already: out {pieces}, then new {pieces}"] if worn else []


def hardware(state: State, off: TakenOff) -> list[str]:
    """Return the hardware that came off, as it was counted, and what of it is thrown away."""
    told: list[str] = []
    for joint in off.found:
        hole = state.joints[joint.identity].kept.kind is PlaceKind.HOLE
        told.append(f"     {joint.stack}" + (": in its hole" if hole else ""))
    once = [line for joint in off.found for line in joint.stack.lines if line.once]
    told += [f"     throw away, new at refit: {line.text}" for line in once]
    if off.uncounted:
        told.append("     not counted yet: at the bench, found POSITION; its count")
    return told


def critical(state: State, here: Position, *, first: bool) -> list[str]:
    """Return a question where what was disturbed was not said to be critical, and its twin was, or its name says so.

    `first`: it was never disturbed before; the name is asked about once.
    """
    twin = state.positions.get(here.mirrored) if here.side is not Side.CENTRE else None
    named = f"{here.name} {here.side.value}"
    if state.positions[here].critical:
        return []
    if twin is not None and twin.critical:
        return [f"     ? the {twin.position} is critical, this one was not said to be. It is?  also {named}; critical"]
    if twin is None and first and of_a_control(here):
        return [f"     ? part of a flight control, by its name, and not said to be critical: no second person is asked "
                f"to look. It is?  also {named}; critical"]  # fmt: skip
    return []


def went_to(act: Act) -> list[str]:
    """Return where the pieces went that an act took out of their joints: to a bag, to stock, or thrown away."""
    counts: dict[tuple[str, str], int] = {}
    for move in (move for event in act.events if isinstance(event, Moved) for move in event.moves):
        # what is booked as uncounted comes back as used in the same step
        if move.source.kind is PlaceKind.JOINT and move.target.kind not in (PlaceKind.JOINT, PlaceKind.UNCOUNTED):
            scrapped = move.target == places.SCRAP
            where = "scrapped: not to be used again" if scrapped else f"to {places.told(move.target)}"
            counts[move.item.name, where] = counts.get((move.item.name, where), 0) + move.count
    return [f"     {count} {spec} {where}" for (spec, where), count in counts.items()]

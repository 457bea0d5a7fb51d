"""Which position a person means, and what is already known of it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from tagtrack.core.axes import area_among, area_name, area_words, areas_meet
from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.records import Position, TagRole
from tagtrack.core.spelling import clean, much_alike, nearest, same, told_apart
from tagtrack.core.state import State
from tagtrack.core.things import PositionState
from tagtrack.shop.ports import Who


def known_as(state: State, position: Position) -> Position:
    """Return the position with its name spelled as the job already spells it, on either side."""
    return Position(state.spelling(position.name) or position.name, position.side)


def area_as(state: State, typed: str) -> str:
    """Return an area as the job already spells it, on a zone card or with what came off there; else as it was typed."""
    return area_among(clean(typed), _areas(state)) or area_name(clean(typed))


def _areas(state: State) -> tuple[str, ...]:
    cards = (tag.thing for tag in state.tags.values() if tag.role is TagRole.ZONE)
    return tuple(dict.fromkeys((*state.areas(), *cards)))


def area_meant(state: State, typed: str, who: Who) -> str:
    """Return an area as the job spells it; ask where it is only nearly one that is known."""
    wanted = area_as(state, typed)
    known = _areas(state)
    near = nearest(wanted, known) if wanted and not any(areas_meet(wanted, area) for area in known) else ()
    if near:
        shared = area_words(wanted) & area_words(near[0])
        # a number, a letter, or a word such as upper, that only the new name has, is no slip
        if not told_apart(" ".join(area_words(wanted)), " ".join(shared)):
            who.object(Objection(
                f"'{wanted}' is new, but much like '{near[0]}'", kind="near-miss",
                expected=f"{near[0]}, if that is meant", came=wanted,
                todo="type it again as it should be; if it really is another area, say why",
            ))  # fmt: skip
    return wanted


def fresh(state: State, position: Position, who: Who) -> Position:
    """Return the position of a thing that comes off; ask where a name is only nearly one that is known."""
    if state.spelling(position.name) is not None:
        return known_as(state, position)
    _refuse_list(position)
    names = {*(known.name for known in state.positions), *state.mentioned.values()}
    alike = [n for n in names if much_alike(n, position.name) and not told_apart(n, position.name)]
    near = (*nearest(position.name, alike), *sorted(alike))
    if near:
        who.object(Objection(
            f"'{position.name}' is new, but much like '{near[0]}'",
            kind="near-miss",
            expected=f"{near[0]} {position.side.value}, if that is meant",
            came=str(position),
            todo="type it again as it should be; if it really is another position, say why",
        ))  # fmt: skip
    return position


def _refuse_list(position: Position) -> None:
    """Refuse a new name with a plus in it: lists are told by it, and no list could ever name that thing."""
    first, plus, second = re.sub(r"\s*\+\s*", " + ", position.name, count=1).partition(" + ")
    if plus:
        raise Refusal(
            f"is '{position.name}' one thing, or several?", expected="one position, with its side", came=str(position),
            todo=f"several: a line for each, with its own hardware; one thing: {first} and {second} "
            f"{position.side.value}",
        )  # fmt: skip


def naming(state: State, who: Who) -> Callable[[Position], Position]:
    """Return what spells the positions of one line: as `fresh` does, and one name alike wherever it stands in it."""
    said: dict[str, str] = {}

    def spelled(position: Position) -> Position:
        known = said.get(same(position.name))
        found = Position(known, position.side) if known is not None else fresh(state, position, who)
        said.setdefault(same(found.name), found.name)
        return found

    return spelled


def existing(state: State, position: Position) -> PositionState:
    """Return what is known of a position; refuse an unknown one, offering the nearest."""
    spelled = known_as(state, position)
    found = state.positions.get(spelled)
    if found is not None:
        return found
    offers = [str(p) for p in state.positions if same(p.name) == same(position.name)]
    offers = offers or list(nearest(str(position), map(str, state.positions)))
    raise Refusal(
        f"no '{position}' came off in this job",
        expected=_listed(map(Position.read, offers) if offers else state.positions),
        came=str(position),
        todo=f"did you mean {offers[0]}?" if offers else "look at the list: status",
    )


def _listed(positions: Iterable[Position]) -> str:
    names = [str(p) for p in positions]
    return "; ".join(names[:6]) + (f"; and {len(names) - 6} more" if len(names) > 6 else "") or "nothing is off yet"

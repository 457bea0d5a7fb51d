"""What went on with which assembly: a bearing that sits in an elevator goes where that elevator goes."""

from __future__ import annotations

from tagtrack.core.places import GONE
from tagtrack.core.records import Position
from tagtrack.core.state import State, ancestors
from tagtrack.core.things import PartState


def assembly(state: State, position: Position) -> Position | None:
    """Return the nearest assembly that a position is part of and that is a part of its own, or None."""
    return next((each for each in ancestors(state, position) if state.parts_of(each)), None)


def left_behind(state: State, part: PartState) -> PartState | None:
    """Return the assembly with which a part that is on by the record went away: replaced since, or gone for good."""
    around = assembly(state, part.home) if part.at == part.home else None
    if around is None:
        return None
    then = state.parts.get(part.within)
    then = then if then is not None and then.home == around else state.parts_of(around)[0]
    now = state.part_from(around)
    return then if now is None or then.identity != now.identity or then.place.kind in GONE else None

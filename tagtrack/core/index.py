"""A State as the checks ask it: what belongs where, what is back, where a thing lies."""

from __future__ import annotations

from tagtrack.core.assemblies import left_behind
from tagtrack.core.callout import NOTHING_KNOWN, Decoder
from tagtrack.core.frozen import value
from tagtrack.core.places import Place, PlaceKind, told
from tagtrack.core.records import Position
from tagtrack.core.state import State
from tagtrack.core.things import PartState


@value
class Index:
    """The questions of the checks to a State. Making one costs nothing."""

    state: State
    # what is known of standard hardware; nothing where nobody hands it in
    knowledge: Decoder = NOTHING_KNOWN

    @classmethod
    def of(cls, state: State, knowledge: Decoder = NOTHING_KNOWN) -> Index:
        """Return the index of a State, read with what is known of standard hardware."""
        return cls(state, knowledge)

    def belonging(self, position: Position) -> PartState | None:
        """Return the part that is to be at the position at the end, or None where no part was recorded."""
        return self.state.part_from(position)

    def is_back(self, position: Position) -> bool:
        """Return whether what belongs here is on for good, or made again; true where nothing was recorded."""
        if not all(end.made for end in self.state.ends_of(position)):
            return False
        part = self.belonging(position)
        if part is None:
            return True
        on = part.place == Place(PlaceKind.POSITION, str(position)) and not part.trial
        return on and left_behind(self.state, part) is None

    def stands(self, position: Position) -> bool:
        """Return whether there is something here for hardware to go through: what belongs here, or another's part."""
        here = self.state.part_at(position)
        return self.is_back(position) or (here is not None and here.home != position and not here.trial)

    def lies(self, place: Place) -> str:
        """Return a place in shop words, and for a bag where it was put, if that was said."""
        spot = self.state.whereabouts.get(place.name, "") if place.kind is PlaceKind.BAG else ""
        return told(place) + (f" ({spot})" if spot else "")

    def area(self, position: Position) -> str:
        """Return the area of a position, or an empty text."""
        known = self.state.positions.get(position)
        return known.area if known else ""

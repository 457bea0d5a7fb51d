"""A State arranged for checking: who lives where, without a search for every question."""

from __future__ import annotations

from dataclasses import dataclass

from tagtrack.core.places import Place, PlaceKind, told
from tagtrack.core.records import Position
from tagtrack.core.state import EndState, JointState, PartState, State


@dataclass(frozen=True, slots=True)
class Index:
    """The same facts as the State, by position."""

    state: State
    parts: dict[Position, list[PartState]]
    joints: dict[Position, list[JointState]]
    ends: dict[Position, list[EndState]]

    @classmethod
    def of(cls, state: State) -> Index:
        """Return the index of a State."""
        parts: dict[Position, list[PartState]] = {}
        joints: dict[Position, list[JointState]] = {}
        ends: dict[Position, list[EndState]] = {}
        for part in state.parts.values():
            parts.setdefault(part.home, []).append(part)
        for joint in state.joints.values():
            for position in joint.positions:
                joints.setdefault(position, []).append(joint)
        for end in state.ends.values():
            ends.setdefault(end.position, []).append(end)
        return cls(state, parts, joints, ends)

    def belonging(self, position: Position) -> PartState | None:
        """Return the part that is to be at the position at the end, or None where no part was recorded."""
        return next((p for p in self.parts.get(position, []) if not p.replaced_by), None)

    def is_back(self, position: Position) -> bool:
        """Return whether the part that belongs here is on for good; true where no part was recorded."""
        part = self.belonging(position)
        return part is None or (part.place == Place(PlaceKind.POSITION, str(position)) and not part.trial)

    def lies(self, place: Place) -> str:
        """Return a place in shop words, and for a bag where it was put, if that was said."""
        spot = self.state.whereabouts.get(place.name, "") if place.kind is PlaceKind.BAG else ""
        return told(place) + (f" ({spot})" if spot else "")

    def area(self, position: Position) -> str:
        """Return the area of a position, or an empty text."""
        known = self.state.positions.get(position)
        return known.area if known else ""

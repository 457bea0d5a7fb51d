"""One look over the bench: which tags should lie there, which were seen, and what does not fit.

A photo shows tags, not parts. A tag that lies here says that its thing should; a tag of a part that is on the aircraft
may be only the tag, come off and waiting to be counted back. So nothing is recorded from a look: it is told.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum, unique

from tagtrack.core.index import Index
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.records import Position, TagEnd, TagRole
from tagtrack.core.spelling import same
from tagtrack.core.state import State
from tagtrack.core.tagwords import owner_of
from tagtrack.core.things import TagState


@unique
class Lies(Enum):
    """What a look over the bench makes of one tag."""

    # it should be here, and was seen
    THERE = "there"
    # it should be here, and was not seen
    MISSING = "not seen"
    # it should be elsewhere by the record: on the aircraft, on another shelf
    ASTRAY = "has no business here"
    # of another work order, void, or of another shop
    FOREIGN = "not of this work order"
    # nothing hangs on it: a blank, an empty bag, a card, a tag that only has to be counted back
    SPARE = "nothing hangs on it"


@dataclass(frozen=True, slots=True)
class Sighted:
    """One tag: what it is, what the look makes of it, and why, where that needs saying."""

    code: str
    what: str
    lies: Lies
    why: str = ""


@dataclass(frozen=True, slots=True)
class Sweep:
    """One look over the bench, as the tags in it: first what is missing, then what does not fit, then the rest."""

    tags: tuple[Sighted, ...]

    def of(self, lies: Lies) -> tuple[Sighted, ...]:
        """Return the tags that the look makes this of."""
        return tuple(tag for tag in self.tags if tag.lies is lies)

    @property
    def all_there(self) -> bool:
        """Whether nothing is missing and nothing is there that should not be."""
        return all(tag.lies in (Lies.THERE, Lies.SPARE) for tag in self.tags)


_ORDER = (Lies.MISSING, Lies.ASTRAY, Lies.FOREIGN, Lies.THERE, Lies.SPARE)


def lying(state: State, place: str = "") -> dict[str, str]:
    """Return the tags that should lie in the shop, with what each is; with a place, only those that were put there.

    These are parts that are off, and bags that are not empty.
    """
    return {code: _named(state, tag) for code, tag in state.tags.items() if _is_due(state, tag, place)}


def sweep(state: State, seen: Iterable[str], elsewhere: Mapping[str, tuple[Lies, str]], place: str = "") -> Sweep:
    """Hold the codes that were seen against what should lie in the shop, or at one place of it.

    `elsewhere` says what is known of codes that have no meaning in this job: blanks, cards, other work orders.
    """
    due = lying(state, place)
    codes = tuple(dict.fromkeys(seen))
    told = [Sighted(code, what, Lies.MISSING, _last(state, code)) for code, what in due.items() if code not in codes]
    for code in codes:
        if code in due:
            told.append(Sighted(code, due[code], Lies.THERE))
        elif code in elsewhere:
            lies, what = elsewhere[code]
            told.append(Sighted(code, what, lies))
        else:
            told.append(_not_due(state, state.tags[code], place))
    return Sweep(tuple(sorted(told, key=lambda tag: _ORDER.index(tag.lies))))


def _named(state: State, tag: TagState) -> str:
    return f"{tag.role.value}: {owner_of(state, tag.thing)}"


def _is_due(state: State, tag: TagState, place: str) -> bool:
    spot = _spot(state, tag)
    return tag.end is None and spot is not None and (not place or same(place) == same(spot))


def _spot(state: State, tag: TagState) -> str | None:
    """Return where in the shop the thing of a tag lies; None where it does not lie in the shop, or there is none."""
    if tag.role is TagRole.PART:
        part = state.parts[tag.thing]
        return part.place.name if part.place.kind is PlaceKind.SPOT else None
    if tag.role is TagRole.BAG and Place(PlaceKind.BAG, tag.code) in state.holdings:
        return state.whereabouts.get(tag.code, "bench")
    return None


def _last(state: State, code: str) -> str:
    spot = _spot(state, state.tags[code])
    return f"put at {spot}" if spot else ""


def _not_due(state: State, tag: TagState, place: str) -> Sighted:
    """Tell of a tag of this job that was seen and is not looked for here."""
    what = _named(state, tag)
    spot = _spot(state, tag)
    if tag.end is TagEnd.RETURNED:
        return Sighted(tag.code, what, Lies.SPARE, "counted back already")
    if spot is not None and place:
        return Sighted(tag.code, what, Lies.ASTRAY, f"put at {spot}")
    if tag.role is TagRole.PART:
        part = state.parts[tag.thing]
        if part.at is not None:
            return Sighted(tag.code, what, Lies.ASTRAY,
                           f"on the aircraft at {part.at} by the record; only its tag? then count it back")  # fmt: skip
        return Sighted(tag.code, what, Lies.ASTRAY, f"by the record: {Index.of(state).lies(part.place)}")
    if tag.role is TagRole.CONNECTION:
        here, _, end = tag.thing.rpartition("|")
        made = state.ends[Position.read(here), end].made
        return Sighted(tag.code, what, *_loose_end(made=made))
    if tag.role is TagRole.ZONE:
        return Sighted(tag.code, what, Lies.SPARE, "a zone card: it hangs at the aircraft while the zone is worked")
    return Sighted(tag.code, what, Lies.SPARE, "the bag is empty by the record; look into it, then count it back")


def _loose_end(*, made: bool) -> tuple[Lies, str]:
    if made:
        return Lies.SPARE, "connected again; the tag is to be counted back"
    return Lies.ASTRAY, "it belongs on its wire or line: which end is without a tag now?"

"""Where a thing can be, and the movement of a thing: so many, from one place to another.

Every movement has two ends. Two places are boundary accounts: `uncounted`, where everything comes
from when it is first recorded and where a recount books its difference, and `lost:<case>`, one for
each loss, so that a surplus somewhere never hides a loss. The shop's stock is endless for us and may go below
zero; so may `uncounted`. Everywhere else a count below zero cannot be.

>>> str(Place(PlaceKind.BAG, "7K4M9QXQ")), Place.read("spot:bench")
('bag:7K4M9QXQ', Place(kind=<PlaceKind.SPOT: 'spot'>, name='bench'))
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum, unique

from tagtrack.core.errors import Refusal
from tagtrack.core.frozen import value
from tagtrack.core.hardware import MOST


@unique
class PlaceKind(Enum):
    """The kinds of place that the ledger knows."""

    # a part at a position on the aircraft; the name is the position
    POSITION = "position"
    # hardware doing its work; the name is the joint
    JOINT = "joint"
    # hardware put back into its own hole or fitting for keeping; the name is the joint
    HOLE = "hole"
    # a tagged bag; the name is the tag's code
    BAG = "bag"
    # a named place in the shop: bench, shelf 2, trolley; also hanging moved aside on the aircraft
    SPOT = "spot"
    # a temporary item on the aircraft; the name is the position or area
    ABOARD = "aboard"
    # new from, or given back to, the shop's stock
    STOCK = "stock"
    # thrown away
    SCRAP = "scrap"
    # left the shop: overhaul, the owner, a supplier
    SENT = "sent"
    # boundary: before it was counted
    UNCOUNTED = "uncounted"
    # boundary: nobody knows; the name is the case
    LOST = "lost"


# where hardware that came out of a joint can be kept until it goes back
KEPT = (PlaceKind.BAG, PlaceKind.SPOT, PlaceKind.HOLE)

# where a part goes that does not come back by itself
GONE = frozenset({PlaceKind.SCRAP, PlaceKind.SENT, PlaceKind.STOCK})

_ENDLESS = (PlaceKind.STOCK, PlaceKind.UNCOUNTED)


@value
class Place:
    """One place. Its text form is stored and read for ever."""

    kind: PlaceKind
    name: str = ""

    # these are looked up at every line: the name tells nearly all apart, and a text keeps its hash

    def __hash__(self) -> int:
        return hash(self.name)

    def __eq__(self, other: object) -> bool:
        return type(other) is Place and self.name == other.name and self.kind is other.kind

    def __str__(self) -> str:
        # the plain attribute: `value` is a property, and every line writes a dozen of these
        return f"{self.kind._value_}:{self.name}" if self.name else self.kind._value_

    @classmethod
    def read(cls, text: str) -> Place:
        """Return the place of a stored text; a ValueError tells an unknown kind."""
        kind, _, name = text.partition(":")
        return cls(PlaceKind(kind), name)


STOCK = Place(PlaceKind.STOCK)
SCRAP = Place(PlaceKind.SCRAP)
UNCOUNTED = Place(PlaceKind.UNCOUNTED)
BENCH = Place(PlaceKind.SPOT, "bench")
ASIDE = Place(PlaceKind.SPOT, "moved aside on the aircraft")


@unique
class ItemKind(Enum):
    """What can be moved and counted."""

    # one part, by its identity in this job
    PART = "part"
    # hardware that came off
    USED = "used"
    # hardware new from stock
    NEW = "new"
    # caps, plugs, rig pins, tools, rags: put ON the aircraft, and to come off again
    TEMPORARY = "temporary"


@value
class Item:
    """A part, or a lot: a spec and whether it is new or came off. Conservation holds per item."""

    kind: ItemKind
    name: str

    def __hash__(self) -> int:
        return hash(self.name)

    def __eq__(self, other: object) -> bool:
        return type(other) is Item and self.name == other.name and self.kind is other.kind

    def __str__(self) -> str:
        return f"{self.kind._value_}:{self.name}"

    @classmethod
    def read(cls, text: str) -> Item:
        """Return the item of a stored text; a ValueError tells an unknown kind."""
        kind, _, name = text.partition(":")
        return cls(ItemKind(kind), name)


def part(identity: str) -> Item:
    """Return the part of that identity as a thing that moves."""
    return Item(ItemKind.PART, identity)


def used(spec: str) -> Item:
    """Return the lot of that spec that came off."""
    return Item(ItemKind.USED, spec)


def new(spec: str) -> Item:
    """Return the lot of that spec that is new from stock."""
    return Item(ItemKind.NEW, spec)


@value
class Move:
    """So many of one item from one place to another."""

    item: Item
    count: int
    source: Place
    target: Place

    def __post_init__(self) -> None:
        if not 1 <= self.count <= MOST:
            raise Refusal(
                f"{self.count} of {self.item.name} cannot be moved",
                expected=f"a count from 1 to {MOST}",
                came=str(self.count),
                todo="count again",
            )


def worn(spec: str, count: int, place: Place) -> tuple[Move, Move]:
    """Return the movements by which pieces that went in new count as used, where they are: they were tightened."""
    return Move(new(spec), count, place, UNCOUNTED), Move(used(spec), count, UNCOUNTED, place)


Holdings = Mapping[Place, Mapping[Item, int]]


def held(holdings: Holdings, place: Place, item: Item) -> int:
    """Return how many of the item are at the place."""
    return holdings.get(place, {}).get(item, 0)


def moved(holdings: dict[Place, Mapping[Item, int]], move: Move) -> None:
    """Book one movement into the holdings, at both ends; refuse what would leave a place with less than nothing."""
    item = move.item
    lots = holdings.get(move.source, {})
    have = lots.get(item, 0)
    if have < move.count and move.source.kind not in _ENDLESS:
        raise Refusal(
            f"{move.count} {item.name} cannot come from {told(move.source)}",
            expected=f"at most {have}, by the record",
            came=str(move.count),
            todo="count again; if there really are more, recount the bag first: recount BAG 5 AN960-10",
        )
    _hold(holdings, move.source, lots, item, have - move.count)
    lots = holdings.get(move.target, {})
    _hold(holdings, move.target, lots, item, lots.get(item, 0) + move.count)


def _hold(
    holdings: dict[Place, Mapping[Item, int]], place: Place, lots: Mapping[Item, int], item: Item, count: int
) -> None:
    """Write how many of the item are at a place that holds these lots; what nothing is left of leaves no trace."""
    if count:
        holdings[place] = {**lots, item: count}
        return
    rest = {other: n for other, n in lots.items() if other != item}
    if rest:
        holdings[place] = rest
    else:
        holdings.pop(place, None)


_TOLD = {
    PlaceKind.STOCK: "stock",
    PlaceKind.SCRAP: "scrap",
    PlaceKind.UNCOUNTED: "the aircraft, not counted before",
}


def whereabouts(place: Place) -> str:
    """Return where a part is, as the end of "it is ...": at bench, moved aside on the aircraft."""
    return told(place) if place == ASIDE else f"at {told(place)}"


def told(place: Place) -> str:
    """Return the place in shop words."""
    if place.kind in _TOLD:
        return _TOLD[place.kind]
    words = {
        PlaceKind.POSITION: "on the aircraft at {}",
        PlaceKind.JOINT: "the joint",
        PlaceKind.HOLE: "its hole",
        PlaceKind.BAG: "bag {}",
        PlaceKind.SPOT: "{}",
        PlaceKind.ABOARD: "aboard at {}",
        PlaceKind.SENT: "sent to {}",
        PlaceKind.LOST: "lost, case {}",
    }
    from_code = f"{place.name[:4]} {place.name[4:8]} {place.name[8:]}".strip()
    return words[place.kind].format(from_code if place.kind is PlaceKind.BAG else place.name)

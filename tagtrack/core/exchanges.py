"""What most likely happened: shorts, overs, strangers and leftovers of the whole job, explained together.

What a joint has too much, or a bag still holds, is a supply; what a joint lacks is a demand. The cheapest way to bring
the one to the other is what most likely went wrong the other way round: the same callout first, then look-alikes of the
same thread, near before far. It is an inference from the record and says so; nobody saw it happen.

The optimisation itself is handed in (`Solve`), so that this module knows no library.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256

from tagtrack.core.check_joints import inside, to_go_back
from tagtrack.core.check_parts import cycle
from tagtrack.core.counting import counted_as
from tagtrack.core.index import Index
from tagtrack.core.kinship import counts_as, look_alike
from tagtrack.core.places import Item, ItemKind, Place, PlaceKind
from tagtrack.core.records import Position
from tagtrack.core.things import JointState, PartState

# what it costs to explain one piece: by callout, by distance, and to leave it unexplained
_SAME, _SUCCESSOR, _ALIKE, _ALIKE_BY_FIGURE = 0, 2, 40, 70
_OWN, _LOST_HERE, _TWIN, _AREA, _FAR, _LOST = 0, 1, 3, 4, 6, 20
# a new piece too many was drawn for nothing; one that came off belongs somewhere
_NEW = 7
_UNEXPLAINED = 500


@dataclass(frozen=True, slots=True)
class Matched:
    """What a solver found: so many from supply i to demand j, and the pairs that serve just as well instead."""

    flows: Mapping[tuple[int, int], int]
    instead: frozenset[tuple[int, int]]


# supplies, demands, what each pair costs, what it costs to leave one piece of a demand unexplained
Solve = Callable[[Sequence[int], Sequence[int], Mapping[tuple[int, int], int], int], Matched]


def nothing_matched(
    supplies: Sequence[int], demands: Sequence[int], costs: Mapping[tuple[int, int], int], unmatched: int
) -> Matched:
    """Explain nothing: for where no solver is at hand."""
    del supplies, demands, costs, unmatched
    return Matched({}, frozenset())


@dataclass(frozen=True, slots=True)
class Supply:
    """So many of a lot that are where they should not be."""

    place: Place
    item: Item
    count: int
    # where that is, as people say it; the position it belongs to, if it belongs to one
    told: str
    position: Position | None
    acts: tuple[str, ...]
    # of what is lost: where it was last
    last: Place | None = None


@dataclass(frozen=True, slots=True)
class Demand:
    """So many of a callout that a joint lacks."""

    joint: JointState
    spec: str
    count: int

    @property
    def position(self) -> Position:
        """The first position that the joint clamps."""
        return self.joint.positions[0]


@dataclass(frozen=True, slots=True)
class Exchange:
    """So many of a lot lie at one place and are most likely what another place lacks."""

    item: Item
    count: int
    source: Place
    source_told: str
    target: Place
    target_told: str
    # what is wanted there; another callout where only a look-alike is at hand
    wanted: str
    # other places from where it might as well have come, equally good
    instead: tuple[str, ...] = ()

    def __str__(self) -> str:
        new = "new " if self.item.kind is ItemKind.NEW else ""
        what = f"{self.count} {new}{self.item.name}"
        what = what if self.item.kind is not ItemKind.PART else "the part"
        alike = "" if self.wanted in ("", self.item.name) else f" (a look-alike: {self.wanted} is lacking)"
        return f"{what}: from {self.source_told} to {self.target_told}{alike}"


@dataclass(frozen=True, slots=True)
class Explanation:
    """Exchanges that hang together, what they cost, and the steps to look at."""

    exchanges: tuple[Exchange, ...]
    cost: int
    acts: tuple[str, ...]

    @property
    def short(self) -> str:
        """Six characters to type; they change when the facts change."""
        return sha256("; ".join(map(str, self.exchanges)).encode()).hexdigest()[:6].upper()

    @property
    def equally_good(self) -> bool:
        """Whether the record bears another explanation just as well."""
        return any(exchange.instead for exchange in self.exchanges)

    @property
    def can_be_mended(self) -> bool:
        """Whether moving the pieces mends it: none is lost, and none only looks like what is lacking."""
        return all(
            e.source.kind is not PlaceKind.LOST and e.wanted in ("", e.item.name) for e in self.exchanges
        )


def explain(index: Index, solve: Solve) -> tuple[Explanation, ...]:
    """Return the explanations of all that does not add up, the best founded first."""
    supplies, demands = _supplies(index), _demands(index)
    costs = _costs(index, supplies, demands)
    found: list[tuple[Exchange, int, tuple[str, ...]]] = []
    if costs:
        matched = solve([s.count for s in supplies], [d.count for d in demands], costs, _UNEXPLAINED)
        for (i, j), count in matched.flows.items():
            others = sorted(k for k, to in matched.instead if to == j and k != i)
            exchange = _exchange(index, supplies[i], demands[j], count, [supplies[k] for k in others])
            found.append((exchange, costs[i, j] * count, (*supplies[i].acts, *demands[j].joint.acts)))
    explanations = [*_together(found), *_circles(index)]
    return tuple(sorted(explanations, key=lambda e: (e.equally_good, e.cost, str(e.exchanges[0]))))


def _demands(index: Index) -> list[Demand]:
    found: list[Demand] = []
    for joint in index.state.joints.values():
        if not _worked(index, joint):
            continue
        wanted = to_go_back(joint)
        every, _ = inside(index.state.holdings, joint)
        have = counted_as(index.knowledge, wanted, every)
        found += [Demand(joint, spec, n - have.get(spec, 0)) for spec, n in wanted.items() if n > have.get(spec, 0)]
    return found


def _worked(index: Index, joint: JointState) -> bool:
    """Return whether the joint is being put together: something is in it, or a part of it is back on."""
    filled = Place(PlaceKind.JOINT, joint.identity) in index.state.holdings
    return bool(joint.cycle) and (filled or any(index.is_back(p) and index.belonging(p) for p in joint.positions))


def _supplies(index: Index) -> list[Supply]:
    """Return what lies in bags, trays and holes of joints that are put together, and what is too much in joints."""
    found: list[Supply] = []
    owners: dict[Place, list[JointState]] = {}
    for joint in index.state.joints.values():
        owners.setdefault(joint.kept, []).append(joint)
        found += _too_much(index, joint)
    for place, lots in index.state.holdings.items():
        if place.kind in (PlaceKind.BAG, PlaceKind.SPOT, PlaceKind.HOLE):
            of = owners.get(place, [])
            # what waits for a joint that is still apart lies where it should
            waiting: dict[str, int] = {}
            for joint in (j for j in of if not _worked(index, j)):
                for spec, count in to_go_back(joint).items():
                    waiting[spec] = waiting.get(spec, 0) + count
            home = of[0].positions[0] if of else None
            acts = of[0].acts if of else ()
            for item, count in lots.items():
                spare = count - waiting.get(item.name, 0)
                if item.kind in (ItemKind.USED, ItemKind.NEW) and spare > 0:
                    found.append(Supply(place, item, spare, index.lies(place), home, acts))
        elif place.kind is PlaceKind.LOST:
            loss = index.state.losses[place.name]
            told = f"what is lost, case {place.name}"
            found += [Supply(place, item, count, told, None, loss.acts, loss.source)
                      for item, count in lots.items() if item.kind is not ItemKind.PART]  # fmt: skip
    return found


def _too_much(index: Index, joint: JointState) -> list[Supply]:
    wanted = to_go_back(joint)
    here = Place(PlaceKind.JOINT, joint.identity)
    found: list[Supply] = []
    every, _ = inside(index.state.holdings, joint)
    counted = counted_as(index.knowledge, wanted, every)
    over = {spec: count - wanted.get(spec, 0) for spec, count in counted.items()}
    # new ones first: what came off belongs here sooner than what was drawn
    lots = sorted(index.state.holdings.get(here, {}).items(), key=lambda lot: lot[0].kind is not ItemKind.NEW)
    for item, count in lots:
        stands_for = next(iter(counted_as(index.knowledge, wanted, {item.name: 1})))
        spare = min(count, max(0, over.get(stands_for, 0)))
        if spare:
            over[stands_for] -= spare
            found.append(Supply(here, item, spare, _told_joint(index, joint), joint.positions[0], joint.acts))
    return found


def _costs(index: Index, supplies: Sequence[Supply], demands: Sequence[Demand]) -> dict[tuple[int, int], int]:
    costs: dict[tuple[int, int], int] = {}
    for j, demand in enumerate(demands):
        for i, supply in enumerate(supplies):
            kin = _kin(index, supply.item.name, demand.spec)
            if kin is not None and supply.place.name != demand.joint.identity:
                drawn = _NEW if supply.item.kind is ItemKind.NEW else 0
                costs[i, j] = kin + drawn + _distance(index, supply, demand)
    return costs


def _kin(index: Index, spec: str, wanted: str) -> int | None:
    if spec == wanted:
        return _SAME
    if counts_as(index.knowledge, spec, wanted):
        return _SUCCESSOR
    alike = look_alike(index.knowledge, wanted, spec)
    if alike is None:
        return None
    return _ALIKE if alike.by_eye else _ALIKE_BY_FIGURE


def _distance(index: Index, supply: Supply, demand: Demand) -> int:
    if supply.last is not None:
        mine = (demand.joint.kept, Place(PlaceKind.JOINT, demand.joint.identity))
        return _LOST_HERE if supply.last in mine else _LOST
    if supply.place == demand.joint.kept:
        return _OWN
    if supply.position is None:
        return _FAR
    if supply.position == demand.position.mirrored:
        return _TWIN
    return _AREA if index.area(supply.position) == index.area(demand.position) else _FAR


def _exchange(index: Index, supply: Supply, demand: Demand, count: int, others: Iterable[Supply]) -> Exchange:
    # what counts as the same is no look-alike
    wanted = supply.item.name if counts_as(index.knowledge, supply.item.name, demand.spec) else demand.spec
    return Exchange(
        supply.item, count, supply.place, supply.told, Place(PlaceKind.JOINT, demand.joint.identity),
        _told_joint(index, demand.joint), wanted, tuple(dict.fromkeys(o.told for o in others)),
    )  # fmt: skip


def _told_joint(index: Index, joint: JointState) -> str:
    """Return where a joint is, as people say it; of several at one position also which."""
    here = index.state.joints_of(joint.positions[0])
    mine = [each for each in here if each.positions[0] == joint.positions[0]]
    where = "; ".join(map(str, joint.positions))
    if len(mine) < 2:
        return where
    alike = [each.identity for each in mine if each.stack == joint.stack]
    which = f", number {alike.index(joint.identity) + 1} of {len(alike)}" if len(alike) > 1 else ""
    return f"{where} ({joint.stack}{which})"


def _together(found: list[tuple[Exchange, int, tuple[str, ...]]]) -> list[Explanation]:
    """Return the exchanges in groups that hang together by a place: what went from A to B, and from B to A."""
    groups: list[tuple[set[Place], list[Exchange], int, dict[str, None]]] = []
    for exchange, cost, acts in found:
        ends = {exchange.source, exchange.target}
        mine = (ends, [exchange], cost, dict.fromkeys(acts))
        for other in [group for group in groups if group[0] & ends]:
            groups.remove(other)
            mine = (mine[0] | other[0], other[1] + mine[1], mine[2] + other[2], other[3] | mine[3])
        groups.append(mine)
    return [Explanation(tuple(exchanges), cost, tuple(acts)) for _, exchanges, cost, acts in groups]


def _circles(index: Index) -> list[Explanation]:
    """Return the parts that stand at each other's positions, each circle once; and parts in an empty place."""
    told: set[str] = set()
    found: list[Explanation] = []
    for part in index.state.parts.values():
        if part.identity in told or part.at in (None, part.home) or part.replaced_by:
            continue
        circle = _circle(index, part)
        told.update(each.identity for each in circle)
        exchanges = tuple(
            Exchange(Item(ItemKind.PART, each.identity), 1, each.place, f"{each.at}",
                     Place(PlaceKind.POSITION, str(each.home)), f"{each.home}", "")
            for each in circle
        )  # fmt: skip
        found.append(Explanation(exchanges, 0, tuple(act for each in circle for act in each.acts)))
    return found


def _circle(index: Index, part: PartState) -> tuple[PartState, ...]:
    if not cycle(index, part):
        return (part,)
    found = [part]
    at = part.at
    while at is not None and at != part.home:
        there = index.belonging(at)
        if there is None or there in found:
            break
        found.append(there)
        at = there.at
    return tuple(found)

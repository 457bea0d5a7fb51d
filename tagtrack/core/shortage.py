"""What must be had new before the job can close: by callout and count, where it goes, what was drawn already."""

from __future__ import annotations

from dataclasses import dataclass

from tagtrack.core.check_joints import inside, must_be_renewed
from tagtrack.core.hardware import Line
from tagtrack.core.index import Index
from tagtrack.core.places import Item, ItemKind, Place, PlaceKind
from tagtrack.core.records import Position
from tagtrack.core.things import JointState


@dataclass(frozen=True, slots=True)
class Need:
    """So many of one callout still to be had, so many drawn from stock already, and where they go."""

    text: str
    lacking: int
    drawn: int
    where: tuple[Position, ...]


def needs(index: Index) -> tuple[Need, ...]:
    """Return what is still to be had new, in the order of the joints.

    Pieces that are used once always count; others only where neither the joint nor the place that keeps its hardware,
    nor the bench or a shelf, holds enough: they were lost, thrown away, or are to be more than was found.
    """
    lacking: dict[str, int] = {}
    drawn: dict[str, int] = {}
    where: dict[str, dict[Position, None]] = {}
    text: dict[str, str] = {}
    taken: dict[tuple[Place, Item], int] = {}
    for joint in index.state.joints.values():
        for line in joint.back:
            text.setdefault(line.spec, line.text)
            every, old = inside(index.state.holdings, joint)
            drawn[line.spec] = drawn.get(line.spec, 0) + every.get(line.spec, 0) - old.get(line.spec, 0)
            short = _short(index, joint, line, taken)
            if short > 0:
                lacking[line.spec] = lacking.get(line.spec, 0) + short
                where.setdefault(line.spec, {})[joint.positions[0]] = None
    return tuple(Need(text[spec], count, drawn[spec], tuple(where[spec])) for spec, count in lacking.items())


def _short(index: Index, joint: JointState, line: Line, taken: dict[tuple[Place, Item], int]) -> int:
    every, old = inside(index.state.holdings, joint)
    if line.once or must_be_renewed(index, joint, line.spec):
        # what was bent or tightened before the joint was opened is as good as old
        return line.count - (every.get(line.spec, 0) - old.get(line.spec, 0) - dict(joint.worn).get(line.spec, 0))
    short = line.count - every.get(line.spec, 0)
    # what was found again lies on the bench, or wherever it was put down, and in no bag
    bags = {each.kept for each in index.state.joints.values()}
    loose = [place for place in index.state.holdings if place.kind is PlaceKind.SPOT and place not in bags]
    lots = [(place, Item(kind, line.spec)) for place in (joint.kept, *loose) for kind in (ItemKind.USED, ItemKind.NEW)]
    for lot in lots if short > 0 else ():
        # one bag may keep the hardware of several joints: no piece counts twice
        there = index.state.holdings.get(lot[0], {}).get(lot[1], 0) - taken.get(lot, 0)
        share = max(0, min(short, there))
        taken[lot] = taken.get(lot, 0) + share
        short -= share
    return short

"""Whose hardware lies in a bag, a tray or a hole: one bag may hold that of several positions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tagtrack.core.check_joints import inside, to_go_back
from tagtrack.core.counting import goes_as, short_of
from tagtrack.core.index import Index
from tagtrack.core.places import Item, Place
from tagtrack.core.things import JointState

Lots = Mapping[Item, int]


def by_owner(index: Index, places: Sequence[Place]) -> list[tuple[Place, JointState | None, Lots]]:
    """Return what lies in each place, shared out among the positions whose hardware was put there.

    Each share with the joint that stands for its position; None where it is nobody's. What one position lacks is its
    own first; of the rest what it knows.
    """
    kept: dict[Place, list[JointState]] = {}
    for joint in index.state.joints.values():
        kept.setdefault(joint.kept, []).append(joint)
    found: list[tuple[Place, JointState | None, Lots]] = []
    for place in places:
        lots = index.state.holdings.get(place, {})
        joints = kept.get(place, [])
        if len({joint.positions[0] for joint in joints}) < 2:
            found.append((place, joints[-1] if joints else None, lots))
        else:
            found += [(place, joint, share) for joint, share in _shared(index, joints, lots)]
    return found


def _shared(index: Index, joints: Sequence[JointState], lots: Lots) -> list[tuple[JointState, Lots]]:
    stands = {joint.positions[0]: joint for joint in joints}
    shares: dict[str, dict[Item, int]] = {joint.identity: {} for joint in stands.values()}
    lacks = {joint.identity: _lacking(index, joint) for joint in joints}
    for item, count in lots.items():
        left = count
        knowing = [j for j in joints if goes_as(index.knowledge, to_go_back(j), item.name)]
        for joint in knowing:
            mine = lacks[joint.identity]
            spec = goes_as(index.knowledge, to_go_back(joint), item.name)
            share = min(left, mine.get(spec, 0))
            if share > 0:
                mine[spec] -= share
                _add(shares[stands[joint.positions[0]].identity], item, share)
                left -= share
        if left:
            _add(shares[stands[(knowing or joints)[0].positions[0]].identity], item, left)
    return [(joint, shares[joint.identity]) for joint in stands.values() if shares[joint.identity]]


def _lacking(index: Index, joint: JointState) -> dict[str, int]:
    return short_of(index.knowledge, to_go_back(joint), inside(index.state.holdings, joint)[0])


def _add(shares: dict[Item, int], item: Item, count: int) -> None:
    shares[item] = shares.get(item, 0) + count

"""What still holds a part by the record, when the part leaves its position: asked, for one of the two is not so."""

from __future__ import annotations

from collections.abc import Iterable

from tagtrack.core.errors import Objection
from tagtrack.core.events import JointSet
from tagtrack.core.hardware import text_of
from tagtrack.core.places import UNCOUNTED, ItemKind, Place, PlaceKind
from tagtrack.core.records import JointStep, Position
from tagtrack.core.state import State
from tagtrack.core.things import JointState
from tagtrack.shop.ports import Who


def inside(state: State, joint: JointState) -> bool:
    """Return whether anything is in the joint."""
    return bool(state.holdings.get(Place(PlaceKind.JOINT, joint.identity)))


def let_loose(
    who: Who, state: State, position: Position, coming_out: Iterable[str] = ()
) -> tuple[JointSet, ...]:
    """Return that what stays in the joints around a part that leaves is loose from then on; ask about it first.

    `coming_out` are the joints whose hardware comes out in the same step.
    """
    out = frozenset(coming_out)
    left = [joint for joint in state.joints_of(position) if joint.identity not in out and inside(state, joint)]
    staying = [joint for joint in left if not _backed_off(joint)]
    if not staying:
        return ()
    told = "; ".join(_told(state, joint, position) for joint in staying)
    own = any(joint.positions[0] == position for joint in staying)
    here = f"{position.name} {position.side.value}"
    first = staying[0].positions[0]
    how = f"off {here}, and nothing behind it"
    if not own:
        how = f"first  at {first.name} {first.side.value},  then  out {_lots(state, staying[0])}"
    who.object(Objection(
        f"STOP: what holds the {position} is in, by the record", kind="short", expected=f"{told}: did it come out?",
        came=f"the {position} coming off, and nothing said of that",
        todo=f"it came out as well: {how}; it stayed in, backed off: say so, and it is to be made tight again",
    ))  # fmt: skip
    return tuple(JointSet(joint.identity, JointStep.LOOSENED) for joint in staying)


def _backed_off(joint: JointState) -> bool:
    """Return whether the joint was only slackened, and is slack still: a clamp out of which a part slides."""
    return joint.kept == UNCOUNTED and not (joint.tight or joint.safe)


def _told(state: State, joint: JointState, position: Position) -> str:
    first = joint.positions[0]
    return _lots(state, joint) + (f" of {first}" if first != position else "")


def _lots(state: State, joint: JointState) -> str:
    lots = state.holdings[Place(PlaceKind.JOINT, joint.identity)]
    counts: dict[str, int] = {}
    for item, count in lots.items():
        if item.kind is not ItemKind.PART:
            counts[item.name] = counts.get(item.name, 0) + count
    return text_of(counts)

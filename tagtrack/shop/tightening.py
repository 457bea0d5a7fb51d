"""How far the hardware of a position is: loosened, in by hand, tight, safetied; what the finger test showed."""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core.callout import Decoder
from tagtrack.core.check_joints import FINGER
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Checked, Event, JointSet
from tagtrack.core.hardware import spec_key
from tagtrack.core.kinship import finger_test, kind_of
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.records import JointStep, Position
from tagtrack.core.state import State
from tagtrack.core.things import JointState
from tagtrack.shop.deciding import Decide
from tagtrack.shop.meant import joints_for, meant, own_first, stepped

# of a joint that is locked so, nobody says that it is safe
_NO_LOCK = ("", "none", "self-locking")


def _no_bag(state: State, position: Position) -> bool:
    """Return whether the hardware of a position lies in its holes, or loose: no bag of it can be scanned."""
    return not any(joint.kept.kind is PlaceKind.BAG for joint in state.joints_of(position))


def stepping(
    position: Position, step: JointStep, *, count: int = 0, value: str = "", spec: str = "", bag: Place | None = None,
    all_in: bool = False,
) -> Decide:  # fmt: skip
    """Decide how far the hardware of a position is: loosened, in by hand, tight, safetied.

    `count` fasteners more, 0 for all that are in; `value` the torque as entered, or 'per data'; `spec` picks the joints
    that hold it, without it those are meant that `bag`, the one in hand, or the position tells; `all_in`: the bag was
    emptied in the same breath.
    """

    def decide(state: State) -> Sequence[Event]:
        joints = _stepped(state, position, step, bag, spec, all_in=all_in)
        if not joints:
            raise Refusal(
                f"nothing is in the joints of {position}", expected="hardware put in first", came=step.value,
                todo=f"say: at {position.name} {position.side.value}, then: all in" if _no_bag(state, position)
                else "scan its bag and say: all in",
            )  # fmt: skip
        if count and len(joints) > 1:
            _refuse_which(position, joints, count)
        if count and len(joints) == 1:
            return (_so_many_more(joints[0], step, count, value),)
        return tuple(JointSet(j.identity, step, 0, value or _torque_of(j, step)) for j in joints)

    return decide


def _torque_of(joint: JointState, step: JointStep) -> str:
    """Return the torque that stands where tight is said once more, without one, of what is tight."""
    return joint.torque if step is JointStep.TIGHT and joint.tight == joint.fasteners else ""


def _stepped(
    state: State, position: Position, step: JointStep, bag: Place | None, spec: str, *, all_in: bool
) -> list[JointState]:
    if step is JointStep.LOOSENED:
        # what was backed off here may have let go of what the bolt holds beside it
        return joints_for(state, None, position)
    if spec:
        fit = [j for j in own_first(state, position) if spec_key(spec) in j.tightened and _filled(state, j)]
        return [j for j in fit if j.positions[0] == position] or fit
    if all_in:
        return [j for j in meant(state, position, bag) if _filled(state, j)]
    if step is JointStep.SAFETIED:
        return stepped(state, position, bag, lambda j: j.safe or not (j.locks or j.lock not in _NO_LOCK), "safe")
    return stepped(state, position, bag, lambda j: j.tight >= j.fasteners, "tight")


def _so_many_more(joint: JointState, step: JointStep, count: int, value: str) -> JointSet:
    """Return how many are tight with so many more; a count of all of them says it of all, whatever was said before."""
    if count == joint.fasteners or not joint.tight:
        return JointSet(joint.identity, step, count, value)
    left = joint.fasteners - joint.tight
    if count > left:
        raise Refusal(
            f"{joint.tight} of {joint.fasteners} tight already: there are not {count} more", came=f"tight {count}",
            expected=f"at most {left} more" if left else "nothing more",
            todo=f"all of them together: tight {joint.fasteners}; backed off since? loosened POSITION SIDE",
        )  # fmt: skip
    # a torque that was said of some is not that of the others
    torques = dict.fromkeys((joint.torque or "not said", value or "not said"))
    return JointSet(joint.identity, step, joint.tight + count, ", ".join(torques) if joint.torque or value else "")


def _refuse_which(position: Position, joints: Sequence[JointState], count: int) -> None:
    """Refuse a count of fasteners that is not all of several joints together: which of them is not said."""
    whole = sum(joint.fasteners for joint in joints)
    if count != whole:
        listed = "; ".join(f"{joint.fasteners} {joint.stack.lines[0].text}" for joint in joints)
        raise Refusal(
            f"{count} of which? {position} has {len(joints)} joints", expected=f"all {whole}, or one of: {listed}",
            came=f"tight {count}", todo=f"for example: tight {count} {joints[0].stack.lines[0].text}",
        )  # fmt: skip


def may_run_on(knowledge: Decoder, joints: Sequence[JointState]) -> bool:
    """Return whether any of the joints has a self-locking nut, or a piece of which nobody knows what it is."""
    return not knowledge.catalogue.families or any(_may_run_on(knowledge, joint) for joint in joints)


def finger_said(knowledge: Decoder, position: Position, *, runs_on: bool, bag: Place | None = None) -> Decide:
    """Decide what the finger test of the self-locking nuts at a position showed: whether they run on by finger.

    `bag`: the one in hand, which may be that of a neighbour whose bolt goes through here as well.
    """

    def decide(state: State) -> Sequence[Event]:
        seen = "yes, it runs on by finger" if runs_on else "no, it does not run on by finger"
        joints = meant(state, position, bag)
        if not may_run_on(knowledge, joints):
            raise Refusal(
                f"there is no self-locking nut at the {position}", came="the finger test of one",
                expected=f"a joint with one; here: {'; '.join(str(joint.stack) for joint in joints)}",
                todo="of another position? say where, then what it showed: at POSITION SIDE, then: finger no",
            )  # fmt: skip
        # of a joint without such a nut nothing was tested
        return tuple(Checked(j.identity, FINGER, seen) for j in joints if may_run_on(knowledge, (j,)))

    return decide


def _may_run_on(knowledge: Decoder, joint: JointState) -> bool:
    """Return whether the joint has a self-locking nut, or a piece of which nobody knows what it is."""
    specs = {line.spec for line in (*joint.back, *joint.stack.lines)}
    return any(finger_test(knowledge, spec) or not kind_of(knowledge, spec) for spec in specs)


def _filled(state: State, joint: JointState) -> bool:
    return Place(PlaceKind.JOINT, joint.identity) in state.holdings

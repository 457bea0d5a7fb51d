"""Same as the other side: what is recorded of one side, mirrored, as what comes off on this one."""

from __future__ import annotations

from dataclasses import replace

from tagtrack.core import places
from tagtrack.core.axes import Side
from tagtrack.core.errors import Refusal
from tagtrack.core.hardware import Line, with_counts
from tagtrack.core.marks import Marks
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.records import Position
from tagtrack.core.state import State
from tagtrack.core.things import JointState, PartState
from tagtrack.shop.removal import Keep, Removal


def like_other_side(state: State, position: Position, other: tuple[Line, ...] = ()) -> Removal:
    """Return the removal that the other side's record describes, mirrored, with changed counts taken over.

    Never the numbers of its part: a handed part has another, and which one came off here only the eye can tell.
    """
    twin = position.mirrored
    known, part = state.positions.get(twin), state.part_from(twin)
    joints = [j for j in state.joints_of(twin) if j.positions[0] == twin]
    # that a bolt shared with something else was taken out does not say that this came off
    came_off = part is not None or joints or state.ends_of(twin)
    if known is None or position.side is Side.CENTRE or not known.cycle or not came_off:
        raise Refusal(
            f"there is no other side of {position} to be the same as",
            expected=f"{twin}, recorded before" if position.side is not Side.CENTRE else "a left or right position",
            came=str(position),
            todo="type this one in full",
        )
    _refuse_life(position, part)
    _refuse_several_ways(state, twin, joints)
    stacks, strange = with_counts([joint.stack for joint in joints], other)
    if strange:
        raise _not_there(position, joints, strange[0])
    keep = _kept_like(state, joints[0]) if joints else Keep.STAYS if known.bare else Keep.TRAY
    return Removal(
        position=position,
        marks=part.marks.across if part else Marks(),
        mount=known.mount.across if known.mount else None,
        either_way=known.either_way,
        critical=known.critical,
        closes_up=tuple(p.mirrored for p in known.closes_up),
        parent=known.parent.mirrored if known.parent else None,
        requirement=known.requirement,
        hardware=tuple(replace(each, head=each.head.across if each.head else None) for each in stacks),
        lock=joints[0].lock if joints else "",
        clamps=tuple(p.mirrored for p in joints[0].positions[1:]) if joints else (),
        keep=Keep.LATER if known.uncounted else keep,
        put=part.place.name if part and part.place.kind is PlaceKind.SPOT else "",
        aside=part is not None and part.place == places.ASIDE,
        hardware_only=part is None,
    )


def _refuse_life(position: Position, part: PartState | None) -> None:
    """Refuse to take over a life-limited part: which one came off here is not told by the other."""
    if part is not None and part.life:
        raise Refusal(
            f"{position.mirrored} is life-limited: which one came off here?",
            expected="its own serial number and life", came=f"same {position.name} {position.side.value}",
            todo=f"off {position.name} {position.side.value}; sn 1234; life 1200 h left; its hardware",
        )  # fmt: skip


def _refuse_several_ways(state: State, twin: Position, joints: list[JointState]) -> None:
    """Refuse hardware of which some was kept, locked or shared otherwise than the rest: one line says one of each."""
    if len({(_kept_like(state, j), j.lock, j.positions) for j in joints}) > 1:
        raise Refusal(
            f"the hardware of {twin} did not all go the same way", expected="one lock, and one place, bag or hole",
            came="; ".join(str(j.stack) for j in joints), todo="type each for this side: off, drilled, loosened",
        )  # fmt: skip


def _not_there(position: Position, joints: list[JointState], extra: Line) -> Refusal:
    """Return the refusal of a changed count of something of which the other side has none, or only inside a stack."""
    stacked = next((j.stack for j in joints if j.stack.grip is not None
                    and extra.spec in {line.spec for line in j.stack.lines}), None)  # fmt: skip
    if stacked is not None:
        whole = f"{extra.count}x {str(stacked)[str(stacked).index('['):]}"
        return Refusal(
            f"{stacked} is counted by stacks, and {extra} may be so many stacks, or stacks that lack some",
            expected=f"the count of stacks, by its head: {stacked.times} {stacked.lines[0].text}", came=str(extra),
            todo=f"so many stacks: same {position.name} {position.side.value}; {whole};   else say each whole, "
            "in brackets",
        )  # fmt: skip
    return Refusal(
        f"the other side has no {extra.text}",
        expected=", ".join(str(line) for joint in joints for line in joint.found),
        came=str(extra),
        todo="type the whole hardware for this side",
    )


def _kept_like(state: State, joint: JointState) -> Keep:
    """Return how the other side's hardware was kept: in a bag, in its hole, destroyed, or never out of its joint."""
    if joint.destroyed:
        return Keep.SCRAP
    if joint.kept == places.UNCOUNTED and Place(PlaceKind.JOINT, joint.identity) in state.holdings:
        return Keep.STAYS
    return {PlaceKind.BAG: Keep.BAG, PlaceKind.HOLE: Keep.HOLE}.get(joint.kept.kind, Keep.TRAY)

"""What is done to parts, joints, wires and losses, one event at a time: off, on, in, tight, lost, found.

Used by the fold alone.
"""

from __future__ import annotations

from collections.abc import Mapping

from tagtrack.core import events as e
from tagtrack.core import places
from tagtrack.core.assemblies import assembly
from tagtrack.core.custody import move_all, seen_in, touch_joint, touch_position, worn
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act
from tagtrack.core.frozen import changed
from tagtrack.core.marks import Marks
from tagtrack.core.places import Item, ItemKind, Place, PlaceKind
from tagtrack.core.records import Access, JointStep, LossOutcome, PartOff, Position
from tagtrack.core.state import State, members
from tagtrack.core.things import EndState, JointState, LossState, PartState


def _new_part(state: State, act: Act, home: Position, facts: PartOff) -> PartState:
    part = PartState(
        identity=facts.identity, home=home, number=facts.number, serial=facts.serial, life=facts.life, acts=(act.id,)
    )
    state.parts[part.identity] = part
    state.parts_at[home] = (*state.parts_at.get(home, ()), part.identity)
    return part


def _refuse_known(state: State, event: e.TakenOff) -> None:
    """Refuse to take into the record a second time what is in it: one part or joint would count twice."""
    twice = [m.item for m in event.moves if m.source == places.UNCOUNTED and m.item.kind is ItemKind.PART
             and m.item.name in state.parts]  # fmt: skip
    others = [f for f in event.found if f.identity in state.joints
              and (state.joints[f.identity].stack, state.joints[f.identity].positions) != (f.stack, f.positions)]
    if twice or others:
        raise Refusal(
            f"what came off {event.position} is in the record already", expected="something that was not recorded yet",
            came="the same part, or the same hardware, once more",
            todo="look at the history: tagtrack log",
        )  # fmt: skip


def taken_off(state: State, act: Act, event: e.TakenOff) -> None:
    """A part, its hardware, or both came off."""
    _refuse_known(state, event)
    known = touch_position(state, act, event.position, apart=True)
    uncounted = event.uncounted or (known.uncounted and not event.found)
    # of a cover that stays where it is, hardware may be backed off, or counted; it covers all the same
    open_now = event.part is not None or not state.parts_of(event.position)
    opened = {"access": Access.OPEN, "closed": 0, "held_by": ""} if open_now else {}
    own = any(each[0] == event.position for each in (
        *(found.positions for found in event.found), *(joint.positions for joint in state.joints_of(event.position))
    ))  # fmt: skip
    nothing = event.part is not None and not (event.aside or uncounted)
    state.positions[event.position] = changed(known, uncounted=uncounted, bare=not own and (nothing or known.bare),
                                              came_off=state.step, lock=event.lock or known.lock, **opened)
    if event.part is not None:
        part = state.parts.get(event.part.identity) or _new_part(state, act, event.position, event.part)
        state.parts[part.identity] = changed(
            part,
            # what was not read when it first came off, or read wrong
            number=event.part.number, serial=event.part.serial, life=event.part.life,
            marks=part.marks if event.marks.is_empty() else event.marks,
            seen=Marks(),
            trial=False,
            performers=frozenset({act.by}),
        )
    for found in event.found:
        if found.identity not in state.joints:
            state.joints[found.identity] = joint = JointState(
                identity=found.identity, positions=found.positions, stack=found.stack, lock=found.lock,
                destroyed=found.destroyed, span=found.span, heads=found.heads,
                locks=found.locks,
            )  # fmt: skip
            state.joints[found.identity] = changed(joint, back=joint.found)
            for position in found.positions:
                state.joints_at[position] = (*state.joints_at.get(position, ()), found.identity)
        else:
            # how it is locked, said when it came off once more
            state.joints[found.identity] = changed(
                state.joints[found.identity], lock=found.lock, span=found.span
            )
    for found in event.found:
        if found.destroyed:
            state.joints[found.identity] = changed(
                state.joints[found.identity], destroyed=True, destroyed_at=state.step
            )
    move_all(state, act, event.moves)
    for found in event.found:
        joint = state.joints[found.identity]
        if act.id not in joint.acts:
            # nothing left the joint, or it was counted where it stands: it is open all the same
            touch_joint(state, act, joint, tight=0, torque="", safe=False, worn=worn(joint, _lots(state, joint)))


def _lots(state: State, joint: JointState) -> Mapping[Item, int]:
    return state.holdings.get(Place(PlaceKind.JOINT, joint.identity), {})


def installed(state: State, act: Act, event: e.Installed) -> None:
    """A part went on."""
    known = touch_position(state, act, event.position)
    part = state.parts.get(event.part)
    if part is None:
        if event.new is None:
            raise Refusal(f"no part {event.part} is known", todo="scan its tag again")
        part = _new_part(state, act, event.position, event.new)
    around = assembly(state, event.position)
    with_it = state.part_from(around) if around is not None else None
    state.parts[part.identity] = part = changed(
        part, seen=event.seen, seen_step=part.seen_step if event.seen == part.seen else state.step,
        trial=event.trial, replaces=event.replaces or part.replaces, performers=part.performers | {act.by},
        within=with_it.identity if with_it is not None else "",
    )  # fmt: skip
    if part.replaced_by and event.position == part.home:
        _back_after_all(state, part)
    if event.replaces:
        old = state.parts[event.replaces]
        if old.replaced_by not in ("", part.identity):
            raise Refusal(f"the {old.home} was already replaced", todo="look at its history first")
        state.parts[old.identity] = changed(old, replaced_by=part.identity)
        # the new one is to sit as the old one sat
        state.parts[part.identity] = changed(state.parts[part.identity], marks=old.marks)
        for member in members(state, event.position):
            # what was tight in the old one is not so in the new one; what goes over as a whole stays as it is inside
            _undone(state, act, state.joints_of(member) if assembly(state, member) == event.position else ())
    # it cannot have been tight around a part that was not there
    _undone(state, act, state.joints_of(event.position) if event.moves else ())
    known = state.positions[event.position]
    access = Access.TEMPORARILY_ON if event.trial else Access.CLOSED
    # a cover that was there all the time, held by a few of its screws, was closed when it went on
    closed = (known.closed if known.closed and not event.moves else state.step) if access is Access.CLOSED else 0
    state.positions[event.position] = changed(
        known, access=access, closed=closed, held_by="", fitted=state.step if event.moves else known.fitted
    )
    move_all(state, act, event.moves)


def _undone(state: State, act: Act, joints: tuple[JointState, ...]) -> None:
    """Note of joints that tight and safetied must be said again."""
    for joint in joints:
        if joint.tight or joint.safe:
            touch_joint(state, act, joint, apart=True, tight=0, torque="", safe=False)


def _back_after_all(state: State, part: PartState) -> None:
    """Let a part that was replaced belong to its position again; what was fitted instead becomes the one left over."""
    last = part
    while last.replaced_by:
        last = state.parts[last.replaced_by]
    state.parts[last.identity] = changed(last, replaced_by=part.identity)
    state.parts[part.identity] = changed(part, replaced_by="")


def hardware_installed(state: State, act: Act, event: e.HardwareInstalled) -> None:
    """Hardware went into a joint."""
    move_all(state, act, event.moves)


def moved(state: State, act: Act, event: e.Moved) -> None:
    """Things changed place; hardware that changes its bag is still the hardware of its joint."""
    move_all(state, act, event.moves)
    for source, target in {(m.source, m.target) for m in event.moves if m.item.kind is not ItemKind.PART}:
        # hardware that changes its bag is still the hardware of its joint; a hole belongs to one joint
        if source in state.holdings or target.kind not in places.KEPT:
            continue
        for joint in [j for j in state.joints.values() if j.kept == source]:
            if target.kind is not PlaceKind.HOLE or target.name == joint.identity:
                state.joints[joint.identity] = changed(joint, kept=target, acts=seen_in(joint.acts, act))


def recounted(state: State, act: Act, event: e.Recounted) -> None:
    """A place was counted again."""
    move_all(state, act, event.moves)


def lost(state: State, act: Act, event: e.Lost) -> None:
    """Something is not where it should be."""
    move = event.moves[0]
    if event.case in state.losses:
        raise Refusal(f"case {event.case} is in the record already", expected="a number that no loss has",
                      came=event.case, todo="look at the history: tagtrack log")  # fmt: skip
    state.losses[event.case] = LossState(
        case=event.case, what=event.what, item=move.item, count=move.count, areas=event.areas, by=act.by,
        source=move.source, acts=(act.id,),
    )  # fmt: skip
    move_all(state, act, event.moves)


def loss_step(state: State, act: Act, event: e.LossStep) -> None:
    """A loss was searched, found, or given up by two."""
    loss = state.losses[event.case]
    back = sum(move.count for move in event.moves)
    # some of several: the case stays open for the rest
    some = event.outcome is LossOutcome.FOUND and 0 < back < loss.still
    ends = event.outcome is not LossOutcome.SEARCHED and not some
    how = f"{event.outcome.value}{f' {back} of {loss.still}' if some else ''}: {event.how}"
    state.losses[event.case] = changed(
        loss,
        search=(*loss.search, (act.by, how)),
        found=loss.found + back,
        # where it was searched for is not where it lies
        areas=loss.areas if event.outcome is LossOutcome.SEARCHED else (*dict.fromkeys((*loss.areas, *event.areas)),),
        outcome=event.outcome if ends else (loss.outcome or LossOutcome.SEARCHED),
        second=event.second or loss.second,
        of_shop=event.of_shop or (loss.of_shop and not event.second),
        said_by=_said_by(loss, act, event) if ends else loss.said_by,
        acts=seen_in(loss.acts, act),
    )
    move_all(state, act, event.moves)


def _said_by(loss: LossState, act: Act, event: e.LossStep) -> tuple[str, ...]:
    before = loss.said_by if loss.outcome is event.outcome else ()
    return (*before, act.by, *((event.said_too,) if event.said_too else ()))


def connection_set(state: State, act: Act, event: e.ConnectionSet) -> None:
    """An end was made or parted."""
    apart = not event.made
    known = touch_position(state, act, event.position, apart=apart)
    key = (event.position, event.end)
    before = state.ends.get(key)
    if before is None:
        state.ends_at[event.position] = (*state.ends_at.get(event.position, ()), event.end)
    state.positions[event.position] = changed(known, came_off=state.step) if apart else known
    state.ends[key] = EndState(
        position=event.position,
        end=event.end,
        as_found=event.as_found or (before.as_found if before else event.terminal),
        terminal=event.terminal,
        made=event.made,
        step=state.step,
        performers=frozenset({act.by}) | (before.performers if before and event.made else frozenset()),
        acts=seen_in(before.acts if before else (), act),
    )
    if event.made and before is not None and not before.made:
        # its screw cannot have been tight on a wire that was not there
        _undone(state, act, state.joints_of(event.position))


def joint_set(state: State, act: Act, event: e.JointSet) -> None:
    """A joint is loosened, in by hand, tight or safetied; never more fasteners than are in."""
    joint = state.joints[event.joint]
    if event.step in (JointStep.LOOSENED, JointStep.IN_BY_HAND):
        touch_joint(state, act, joint, apart=event.step is JointStep.LOOSENED, tight=0, torque="", safe=False,
                    worn=worn(joint, _lots(state, joint)))  # fmt: skip
        return
    there = _fasteners_in(state, joint)
    if event.count > there:
        raise Refusal(
            f"{event.count} of {joint.stack.lines[0].text} cannot be {event.step.value}: {there} are in",
            expected=f"at most {there}", came=str(event.count),
            todo="count again; put in what is missing; a torque is said with its unit: tight 25 in-lb",
        )  # fmt: skip
    if event.step is JointStep.TIGHT:
        touch_joint(state, act, joint, tight=event.count or there, torque=event.value)
    else:
        touch_joint(state, act, joint, safe=True)


def _fasteners_in(state: State, joint: JointState) -> int:
    """Return how many of the joint's fasteners are in: what is made tight, and whatever may stand in for it."""
    lots = _lots(state, joint)
    whole = joint.fasteners
    if joint.is_set:
        return whole if lots else 0
    tightened = joint.tightened
    back, found = {line.spec for line in joint.back}, {line.spec for line in joint.stack.lines}
    others = (back | found) - tightened
    if not back & tightened:
        # of a record from before stand-ins were told: what goes back and was not found stands in for the heads
        others -= back - found
    return min(whole, sum(n for item, n in lots.items() if item.name not in others))


def back_set(state: State, act: Act, event: e.BackSet) -> None:
    """Something else is to go back than was found."""
    joint = state.joints[event.joint]
    state.joints[event.joint] = changed(
        joint, back=event.lines, back_reason=event.reason, heads=tuple(dict.fromkeys((*joint.heads, *event.heads))),
        acts=seen_in(joint.acts, act),
    )  # fmt: skip

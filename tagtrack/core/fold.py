"""From acts to what is true now. One handler per kind of event; an unknown kind raises.

Folding is also the last guard: an act that cannot be (a count below zero, a position occupied twice) is refused
here, before anything is written, because every verb folds its act first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeVar

from tagtrack.core import events as e
from tagtrack.core import places
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act
from tagtrack.core.marks import Marks
from tagtrack.core.places import ItemKind, Move, Place, PlaceKind
from tagtrack.core.records import Access, JointStep, LossOutcome, PartOff, Position, TagRole, When
from tagtrack.core.spelling import same
from tagtrack.core.state import (
    CheckState,
    DespiteState,
    EndState,
    JointState,
    LossState,
    PartState,
    PositionState,
    RulingState,
    SettingState,
    SightingState,
    State,
    TagState,
    ancestors,
    changed,
    cycle_of,
)

_T = TypeVar("_T")


def standing(acts: Sequence[Act]) -> tuple[Act, ...]:
    """Return the acts that have not been undone, in order. An undoing that was itself undone does not count."""
    undone: set[str] = set()
    for act in reversed(acts):
        if act.id not in undone:
            undone.update(event.act for event in act.events if isinstance(event, e.Reversed))
    return tuple(act for act in acts if act.id not in undone)


def fold(acts: Sequence[Act]) -> State:
    """Return what all the acts together make true; refuse a sequence that cannot be."""
    state = State()
    for act in standing(acts):
        _apply(state, act)
    return state


def advance(state: State, act: Act, *, keep: bool = True) -> State:
    """Return what is true after one more act. Undoing needs a full `fold`.

    The given state is left as it is; without `keep` it is used up, which saves a copy.
    """
    after = state.copy() if keep else state
    _apply(after, act)
    return after


def _apply(state: State, act: Act) -> None:
    # an act may come in pieces; and undoing is no step: what is left stands as if nothing had been
    if act.id != state.latest and not all(isinstance(event, e.Reversed) for event in act.events):
        state.step, state.latest = state.step + 1, act.id
    if act.despite:
        about = next((p for event in act.events if (p := getattr(event, "position", None))), None)
        state.despite[act.id] = DespiteState(reason=act.despite, by=act.by, at=act.at, about=str(about or ""))
    for event in act.events:
        try:
            _HANDLERS[type(event)](state, act, event)
        except KeyError as missing:
            # in a record with all its checks this is a strange hand's doing, or a step that should not be recorded
            raise Refusal(
                f"this names what the record does not know: {missing}", expected="something that was recorded before",
                came=type(event).__name__, todo="look at the history: tagtrack log; of a record read from disk: verify",
            ) from missing  # fmt: skip


# -- movements ----------------------------------------------------------------------------------------------------

def _move_all(state: State, act: Act, moves: Iterable[Move]) -> None:
    touched: dict[str, Place | None] = {}
    opened: set[str] = set()
    entering: dict[str, set[str]] = {}
    for move in moves:
        places.moved(state.holdings, move)
        if move.item.kind is ItemKind.PART:
            _move_part(state, act, move)
        for place in (move.source, move.target):
            if place.kind is PlaceKind.ABOARD:
                state.aboard_since[place.name] = state.step
        if move.target.kind is PlaceKind.JOINT:
            touched.setdefault(move.target.name, None)
            entering.setdefault(move.target.name, set()).add(move.item.name)
        if move.source.kind is PlaceKind.JOINT:
            opened.add(move.source.name)
            kept = move.target if move.target.kind in places.KEPT else touched.get(move.source.name)
            touched[move.source.name] = kept
    for name, kept in touched.items():
        joint = state.joints[name]
        # whatever goes in or comes out, tight and safetied must be said again; of a finished joint, checks lapse too
        apart = name in opened or bool(joint.tight or joint.safe)
        if name not in opened and entering.get(name, set()) <= _locks(joint):
            # a cotter pin or a lockwire goes in after the torque, and changes nothing of it
            _touch_joint(state, act, joint, apart=joint.safe, safe=False)
            continue
        empty = Place(PlaceKind.JOINT, name) not in state.holdings
        _touch_joint(
            state, act, joint, apart=apart, emptied=name in opened and empty,
            tight=0, torque="", safe=False, kept=kept or joint.kept,
        )  # fmt: skip


def _locks(joint: JointState) -> set[str]:
    """Return the specs of a joint that only lock it: used once, and not made tight."""
    return {line.spec for line in (*joint.back, *joint.found) if line.once} - joint.tightened


def _move_part(state: State, act: Act, move: Move) -> None:
    part = state.parts[move.item.name]
    if move.target.kind is PlaceKind.POSITION:
        others = [i for i in state.holdings[move.target] if i.kind is ItemKind.PART and i != move.item]
        if others:
            raise Refusal(
                f"something is already on at {move.target.name}",
                expected="an empty position",
                came=f"a second part, beside the {state.parts[others[0].name].home}",
                todo="take the other one off first",
            )
    state.parts[part.identity] = changed(part, place=move.target, acts=_seen_in(part.acts, act))


def _seen_in(acts: tuple[str, ...], act: Act) -> tuple[str, ...]:
    return acts if acts and acts[-1] == act.id else (*acts, act.id)


def _touch_position(
    state: State, act: Act, position: Position, *, apart: bool = False, work: bool = True
) -> PositionState:
    known = state.positions.get(position) or PositionState(position=position)
    worked = state.step if work else known.worked
    known = changed(known, cycle=known.cycle + apart, worked=worked, acts=_seen_in(known.acts, act))
    state.positions[position] = known
    return known


def _touch_joint(
    state: State, act: Act, joint: JointState, *, apart: bool = False, emptied: bool = False, **changes: Any
) -> None:
    state.joints[joint.identity] = changed(
        joint,
        **changes,
        cycle=joint.cycle + apart,
        performers=frozenset({act.by}) if emptied else joint.performers | {act.by},
        acts=_seen_in(joint.acts, act),
    )
    covered = {p for each in joint.positions if each in state.positions for p in state.positions[each].closes_up}
    for position in joint.positions:
        # the screws of a cover may hold what lies under it as well: driving them is work at the cover
        _touch_position(state, act, position, apart=apart, work=position not in covered)


# -- one handler per kind -----------------------------------------------------------------------------------------


def _job_opened(state: State, act: Act, event: e.JobOpened) -> None:
    state.job, state.opened_by, state.opened_at = event, act.by, act.at


def _person_noted(state: State, _: Act, event: e.PersonNoted) -> None:
    state.people[event.person.initials] = event.person


def _nothing(_state: State, _act: Act, _event: object) -> None:
    """Facts of the shop's own record, and undoings (see `standing`), change nothing here."""


def _position_named(state: State, act: Act, event: e.PositionNamed) -> None:
    known = state.positions.get(event.position) or PositionState(position=event.position, role=event.role)
    if event.parent is not None and known.parent is None:
        if event.position in (event.parent, *ancestors(state, event.parent)):
            raise Refusal(f"{event.position} cannot be part of itself", expected="the assembly that it belongs to",
                          came=f"part of {event.parent}", todo="leave that out, or name the right one")  # fmt: skip
        state.members_at[event.parent] = (*state.members_at.get(event.parent, ()), event.position)
    state.positions[event.position] = changed(
        known,
        area=known.area or event.area,
        parent=known.parent or event.parent,
        closes_up=_both(known.closes_up, event.closes_up),
        critical=event.critical or known.critical,
        mount=event.mount or known.mount,
        either_way=event.either_way or known.either_way,
        asks=_both(known.asks, event.asks),
        acts=_seen_in(known.acts, act),
    )


def _both(known: tuple[_T, ...], more: tuple[_T, ...]) -> tuple[_T, ...]:
    return tuple(dict.fromkeys((*known, *more))) if more else known


def _per_data(state: State, _: Act, event: e.PerData) -> None:
    known = state.positions.get(event.position) or PositionState(position=event.position)
    state.positions[event.position] = changed(known, requirement=event.requirement)


def _tag_bound(state: State, act: Act, event: e.TagBound) -> None:
    before = state.tags.get(event.tag)
    if before and before.end is not None:
        raise Refusal(f"tag {event.tag} is {before.end.value}", todo="take a new tag")
    if before and (before.role, before.thing) != (event.role, event.thing):
        raise Refusal(
            f"tag {event.tag} already has a meaning",
            expected="a tag that is not in use",
            came=f"the tag of {before.thing}",
            todo="take a new tag",
        )
    state.tags[event.tag] = TagState(code=event.tag, role=event.role, thing=event.thing, act=act.id)
    if event.thing in state.parts and event.role.value == "part":
        state.parts[event.thing] = changed(state.parts[event.thing], tag=event.tag)


def _tag_ended(state: State, act: Act, event: e.TagEnded) -> None:
    plan = state.planned.pop(event.tag, None)
    if event.tag in state.tags:
        state.tags[event.tag] = changed(state.tags[event.tag], end=event.end, by_tag=event.by_tag, act=act.id)
    elif plan is not None:
        # printed ahead, and torn before it had a meaning: it never gets one
        state.tags[event.tag] = TagState(
            code=event.tag, role=TagRole.PART, thing=str(plan.position), end=event.end, act=act.id
        )



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


def _taken_off(state: State, act: Act, event: e.TakenOff) -> None:
    _refuse_known(state, event)
    known = _touch_position(state, act, event.position, apart=True)
    uncounted = event.uncounted or (known.uncounted and not event.found)
    if event.part is not None or not state.parts_of(event.position):
        known = changed(known, closed=0)
        # of a cover that stays where it is, hardware may be backed off, or counted; it covers all the same
        known = changed(known, access=Access.OPEN, held_by="")
    state.positions[event.position] = changed(known, uncounted=uncounted)
    if event.part is not None:
        part = state.parts.get(event.part.identity) or _new_part(state, act, event.position, event.part)
        state.parts[part.identity] = changed(
            part,
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
            )  # fmt: skip
            state.joints[found.identity] = changed(joint, back=joint.found)
            for position in found.positions:
                state.joints_at[position] = (*state.joints_at.get(position, ()), found.identity)
    for found in event.found:
        if found.destroyed:
            state.joints[found.identity] = changed(
                state.joints[found.identity], destroyed=True, destroyed_at=state.step
            )
    _move_all(state, act, event.moves)
    for found in event.found:
        joint = state.joints[found.identity]
        if act.id not in joint.acts:
            # nothing left the joint, or it was counted where it stands: it is open all the same
            _touch_joint(state, act, joint, tight=0, torque="", safe=False)


def _installed(state: State, act: Act, event: e.Installed) -> None:
    known = _touch_position(state, act, event.position)
    part = state.parts.get(event.part)
    if part is None:
        if event.new is None:
            raise Refusal(f"no part {event.part} is known", todo="scan its tag again")
        part = _new_part(state, act, event.position, event.new)
    state.parts[part.identity] = part = changed(
        part, seen=event.seen, trial=event.trial, replaces=event.replaces or part.replaces,
        performers=part.performers | {act.by},
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
    for joint in state.joints_of(event.position) if event.moves else ():
        if joint.tight or joint.safe:
            # it cannot have been tight around a part that was not there
            _touch_joint(state, act, joint, apart=True, tight=0, torque="", safe=False)
    known = state.positions[event.position]
    access = Access.TEMPORARILY_ON if event.trial else Access.CLOSED
    # a cover that was there all the time, held by a few of its screws, was closed when it went on
    closed = (known.closed if known.closed and not event.moves else state.step) if access is Access.CLOSED else 0
    state.positions[event.position] = changed(known, access=access, closed=closed, held_by="")
    _move_all(state, act, event.moves)


def _back_after_all(state: State, part: PartState) -> None:
    """Let a part that was replaced belong to its position again; what was fitted instead becomes the one left over."""
    last = part
    while last.replaced_by:
        last = state.parts[last.replaced_by]
    state.parts[last.identity] = changed(last, replaced_by=part.identity)
    state.parts[part.identity] = changed(part, replaced_by="")


def _hardware_installed(state: State, act: Act, event: e.HardwareInstalled) -> None:
    _move_all(state, act, event.moves)


def _moved(state: State, act: Act, event: e.Moved) -> None:
    _move_all(state, act, event.moves)
    for source, target in {(m.source, m.target) for m in event.moves if m.item.kind is not ItemKind.PART}:
        # hardware that changes its bag is still the hardware of its joint; a hole belongs to one joint
        if source in state.holdings or target.kind not in places.KEPT:
            continue
        for joint in [j for j in state.joints.values() if j.kept == source]:
            if target.kind is not PlaceKind.HOLE or target.name == joint.identity:
                state.joints[joint.identity] = changed(joint, kept=target, acts=_seen_in(joint.acts, act))


def _recounted(state: State, act: Act, event: e.Recounted) -> None:
    _move_all(state, act, event.moves)


def _lost(state: State, act: Act, event: e.Lost) -> None:
    move = event.moves[0]
    if event.case in state.losses:
        raise Refusal(f"case {event.case} is in the record already", expected="a number that no loss has",
                      came=event.case, todo="look at the history: tagtrack log")  # fmt: skip
    state.losses[event.case] = LossState(
        case=event.case, what=event.what, item=move.item, count=move.count, areas=event.areas, by=act.by,
        source=move.source, acts=(act.id,),
    )  # fmt: skip
    _move_all(state, act, event.moves)


def _loss_step(state: State, act: Act, event: e.LossStep) -> None:
    loss = state.losses[event.case]
    ends = event.outcome is not LossOutcome.SEARCHED
    state.losses[event.case] = changed(
        loss,
        search=(*loss.search, (act.by, f"{event.outcome.value}: {event.how}")),
        areas=tuple(dict.fromkeys((*loss.areas, *event.areas))),
        outcome=event.outcome if ends else (loss.outcome or LossOutcome.SEARCHED),
        second=event.second or loss.second,
        acts=_seen_in(loss.acts, act),
    )
    _move_all(state, act, event.moves)


def _connection_set(state: State, act: Act, event: e.ConnectionSet) -> None:
    apart = not event.made
    known = _touch_position(state, act, event.position, apart=apart)
    key = (event.position, event.end)
    before = state.ends.get(key)
    if before is None:
        state.ends_at[event.position] = (*state.ends_at.get(event.position, ()), event.end)
    state.positions[event.position] = known
    state.ends[key] = EndState(
        position=event.position,
        end=event.end,
        as_found=before.as_found if before else event.terminal,
        terminal=event.terminal,
        made=event.made,
        step=state.step,
        performers=frozenset({act.by}) | (before.performers if before and event.made else frozenset()),
        acts=_seen_in(before.acts if before else (), act),
    )


def _joint_set(state: State, act: Act, event: e.JointSet) -> None:
    joint = state.joints[event.joint]
    if event.step in (JointStep.LOOSENED, JointStep.IN_BY_HAND):
        _touch_joint(state, act, joint, apart=event.step is JointStep.LOOSENED, tight=0, torque="", safe=False)
        return
    there = _fasteners_in(state, joint)
    if event.count > there:
        raise Refusal(
            f"{event.count} of {joint.stack.lines[0].text} cannot be {event.step.value}: {there} are in",
            expected=f"at most {there}", came=str(event.count), todo="count again; put in what is missing",
        )  # fmt: skip
    if event.step is JointStep.TIGHT:
        _touch_joint(state, act, joint, tight=event.count or there, torque=event.value)
    else:
        _touch_joint(state, act, joint, safe=True)


def _fasteners_in(state: State, joint: JointState) -> int:
    """Return how many of the joint's fasteners are in: what is made tight, and whatever may stand in for it."""
    lots = state.holdings.get(Place(PlaceKind.JOINT, joint.identity), {})
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


def _back_set(state: State, act: Act, event: e.BackSet) -> None:
    joint = state.joints[event.joint]
    state.joints[event.joint] = changed(
        joint, back=event.lines, back_reason=event.reason, heads=_both(joint.heads, event.heads),
        acts=_seen_in(joint.acts, act),
    )  # fmt: skip


def _setting_noted(state: State, act: Act, event: e.SettingNoted) -> None:
    known = state.settings.get(event.position) or SettingState(position=event.position)
    if event.when is When.AS_FOUND:
        known = changed(known, as_found=event.value)
    else:
        cycle = state.positions[event.position].cycle if event.position in state.positions else 0
        was = known.as_left if known.as_left and known.cycle == cycle else known.as_found
        if same(event.value) != same(was):
            # set otherwise than it was read last: that is work, and nobody has looked at it since
            _touch_position(state, act, event.position)
        known = changed(
            known, as_left=event.value, reason=event.reason, cycle=cycle, step=state.step,
            performers=frozenset({act.by}) | (known.performers if known.cycle == cycle else frozenset()),
        )  # fmt: skip
    state.settings[event.position] = changed(known, acts=_seen_in(known.acts, act))


def _access_set(state: State, act: Act, event: e.AccessSet) -> None:
    known = _touch_position(state, act, event.position)
    closed = known.closed or (state.step if event.state is Access.CLOSED else 0)
    state.positions[event.position] = changed(known, access=event.state, closed=closed, held_by=event.held_by)


def _checked(state: State, act: Act, event: e.Checked) -> None:
    state.checks[(event.subject, event.row)] = CheckState(
        observation=event.observation, role=event.role, by=act.by, at=act.at,
        cycle=cycle_of(state, event.subject), act=act.id, step=state.step,
    )  # fmt: skip


def _condition_set(state: State, act: Act, event: e.ConditionSet) -> None:
    part = state.parts[event.part]
    state.parts[event.part] = changed(
        part, condition=event.condition, condition_reason=event.reason, acts=_seen_in(part.acts, act)
    )


def _seen(state: State, act: Act, event: e.Seen) -> None:
    if not event.verdict:
        state.whereabouts[event.code] = event.where
        return
    state.sightings[event.code] = SightingState(
        code=event.code, where=event.where, verdict=event.verdict, act=act.id
    )


def _ruled(state: State, act: Act, event: e.Ruled) -> None:
    state.rulings[event.key] = RulingState(
        ruling=event.ruling, reason=event.reason, by=act.by, at=act.at, second=event.second, act=act.id,
        cycle=cycle_of(state, event.key.split(" | ")[1]) if " | " in event.key else 0, step=state.step,
    )  # fmt: skip


def _marks_noted(state: State, act: Act, event: e.MarksNoted) -> None:
    part = state.parts[event.part]
    state.parts[event.part] = changed(part, marks=event.marks, acts=_seen_in(part.acts, act))


def _sits_seen(state: State, act: Act, event: e.SitsSeen) -> None:
    part = state.parts[event.part]
    state.parts[event.part] = changed(
        part, seen=event.seen, performers=part.performers | {act.by}, acts=_seen_in(part.acts, act)
    )


def _planned(state: State, _: Act, event: e.Planned) -> None:
    state.planned[event.tag] = event


def _attached(state: State, _: Act, event: e.Attached) -> None:
    state.pictures[event.subject] = (*state.pictures.get(event.subject, ()), event.sha256)


def _signed_off(state: State, act: Act, event: e.SignedOff) -> None:
    state.signed, state.signed_by, state.signed_at = event, act.by, act.at


_HANDLERS: dict[type, Callable[[State, Act, Any], None]] = {
    e.JobOpened: _job_opened,
    e.PersonNoted: _person_noted,
    e.TagsIssued: _nothing,
    e.TagClaimed: _nothing,
    e.PositionNamed: _position_named,
    e.PerData: _per_data,
    e.TagBound: _tag_bound,
    e.TagEnded: _tag_ended,
    e.TakenOff: _taken_off,
    e.Installed: _installed,
    e.HardwareInstalled: _hardware_installed,
    e.Moved: _moved,
    e.Recounted: _recounted,
    e.Lost: _lost,
    e.LossStep: _loss_step,
    e.ConnectionSet: _connection_set,
    e.JointSet: _joint_set,
    e.BackSet: _back_set,
    e.SettingNoted: _setting_noted,
    e.AccessSet: _access_set,
    e.Checked: _checked,
    e.ConditionSet: _condition_set,
    e.Seen: _seen,
    e.Ruled: _ruled,
    e.MarksNoted: _marks_noted,
    e.SitsSeen: _sits_seen,
    e.TypeRuled: _nothing,
    e.Planned: _planned,
    e.Attached: _attached,
    e.Reversed: _nothing,
    e.SignedOff: _signed_off,
}

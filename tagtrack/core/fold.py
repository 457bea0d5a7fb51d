"""From acts to what is true now. One handler per kind of event; an unknown kind raises.

Folding is also the last guard: an act that cannot be (a count below zero, a position occupied twice) is refused
here, before anything is written, because every verb folds its act first.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from tagtrack.core import events as e
from tagtrack.core import handling
from tagtrack.core.custody import seen_in, touch_joint, touch_position, worn
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act
from tagtrack.core.frozen import changed
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.records import Access, TagRole, When
from tagtrack.core.spelling import same
from tagtrack.core.state import State, ancestors, cycle_of, ruled_at
from tagtrack.core.things import (
    CheckState,
    DespiteState,
    PositionState,
    RulingState,
    SettingState,
    SightingState,
    TagState,
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
        before = state.despite.get(act.id)
        # of an act that comes in pieces the first position counts
        about = (before.about if before is not None else "") or next(
            (p for event in act.events if (p := getattr(event, "position", None))), None
        )
        state.despite[act.id] = DespiteState(
            reason=act.despite, by=act.by, at=act.at, about=str(about or ""), objected=act.objected
        )
    for event in act.events:
        try:
            _HANDLERS[type(event)](state, act, event)
        except KeyError as missing:
            # in a record with all its checks this is a strange hand's doing, or a step that should not be recorded
            raise Refusal(
                f"this names what the record does not know: {missing}", expected="something that was recorded before",
                came=type(event).__name__, todo="look at the history: tagtrack log; of a record read from disk: verify",
            ) from missing  # fmt: skip


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
    for beside in (*event.closes_up, *((event.parent,) if event.parent else ())):
        state.mentioned.setdefault(same(beside.name), beside.name)
    own = bool(event.area) and (not known.area or (known.likely and not event.likely))
    now = changed(
        known,
        area=event.area if own else known.area,
        likely=event.likely if own else known.likely,
        parent=known.parent or event.parent,
        closes_up=_both(known.closes_up, event.closes_up),
        critical=event.critical or known.critical,
        mount=event.mount or known.mount,
        either_way=event.either_way or known.either_way,
        asks=_both(known.asks, event.asks),
        asked=state.step if event.again else known.asked,
        acts=seen_in(known.acts, act),
    )
    state.put(now)


def _both(known: tuple[_T, ...], more: tuple[_T, ...]) -> tuple[_T, ...]:
    return tuple(dict.fromkeys((*known, *more))) if more else known


def _per_data(state: State, _: Act, event: e.PerData) -> None:
    known = state.positions.get(event.position) or PositionState(position=event.position)
    state.put(changed(known, requirement=event.requirement))


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
            code=event.tag, role=TagRole.BAG if event.tag == plan.bag else TagRole.PART, thing=str(plan.position),
            end=event.end, act=act.id,
        )


def _setting_noted(state: State, act: Act, event: e.SettingNoted) -> None:
    known = state.settings.get(event.position) or SettingState(position=event.position)
    if event.when is When.AS_FOUND:
        known = changed(known, as_found=event.value)
    else:
        cycle = state.positions[event.position].cycle if event.position in state.positions else 0
        was = known.as_left if known.as_left and known.cycle == cycle else known.as_found
        if same(event.value) != same(was):
            # set otherwise than it was read last: that is work, and nobody has looked at it since
            touch_position(state, act, event.position)
        again = known.cycle == cycle and same(event.value) == same(known.as_left)
        known = changed(
            known, as_left=event.value, reason=event.reason, cycle=cycle, step=state.step,
            set_at=known.set_at if again else state.step,
            performers=frozenset({act.by}) | (known.performers if known.cycle == cycle else frozenset()),
        )  # fmt: skip
    state.settings[event.position] = changed(known, acts=seen_in(known.acts, act))


def _access_set(state: State, act: Act, event: e.AccessSet) -> None:
    for joint in state.joints_of(event.position) if event.state is Access.TEMPORARILY_ON else ():
        if joint.positions[0] == event.position and (joint.tight or joint.safe):
            # held by a few: the others are out, or loose
            lots = state.holdings.get(Place(PlaceKind.JOINT, joint.identity), {})
            touch_joint(state, act, joint, apart=True, tight=0, torque="", safe=False, worn=worn(joint, lots))
    known = touch_position(state, act, event.position)
    closed = known.closed or (state.step if event.state is Access.CLOSED else 0)
    state.positions[event.position] = changed(known, access=event.state, closed=closed, held_by=event.held_by)


def _checked(state: State, act: Act, event: e.Checked) -> None:
    state.checks[(event.subject, event.row)] = CheckState(
        observation=event.observation, role=event.role, by=act.by, at=act.at,
        cycle=cycle_of(state, event.subject), act=act.id, step=state.step,
    )  # fmt: skip


def _condition_set(state: State, act: Act, event: e.ConditionSet) -> None:
    part = state.parts[event.part]
    same_again = (event.condition, event.reason) == (part.condition, part.condition_reason)
    state.parts[event.part] = changed(
        part, condition=event.condition, condition_reason=event.reason, acts=seen_in(part.acts, act),
        condition_step=part.condition_step if same_again else state.step,
    )  # fmt: skip


def _seen(state: State, act: Act, event: e.Seen) -> None:
    if not event.verdict:
        state.whereabouts[event.code] = event.where
        return
    state.sightings[event.code] = SightingState(
        code=event.code, where=event.where, verdict=event.verdict, act=act.id, step=state.step
    )


def _ruled(state: State, act: Act, event: e.Ruled) -> None:
    state.rulings[event.key] = RulingState(
        ruling=event.ruling, reason=event.reason, by=act.by, at=act.at, second=event.second, act=act.id,
        cycle=cycle_of(state, ruled_at(state, event.key)), step=state.step,
    )  # fmt: skip


def _marks_noted(state: State, act: Act, event: e.MarksNoted) -> None:
    part = state.parts[event.part]
    state.parts[event.part] = changed(part, marks=event.marks, acts=seen_in(part.acts, act))


def _sits_seen(state: State, act: Act, event: e.SitsSeen) -> None:
    part = state.parts[event.part]
    if part.at is not None:
        touch_position(state, act, part.at)
    state.parts[event.part] = changed(
        part, seen=event.seen, seen_step=part.seen_step if event.seen == part.seen else state.step,
        performers=part.performers | {act.by}, acts=seen_in(part.acts, act),
    )  # fmt: skip


def _planned(state: State, _: Act, event: e.Planned) -> None:
    state.planned |= {code: event for code in (event.tag, event.bag) if code}


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
    e.TakenOff: handling.taken_off,
    e.Installed: handling.installed,
    e.HardwareInstalled: handling.hardware_installed,
    e.Moved: handling.moved,
    e.Recounted: handling.recounted,
    e.Lost: handling.lost,
    e.LossStep: handling.loss_step,
    e.ConnectionSet: handling.connection_set,
    e.JointSet: handling.joint_set,
    e.BackSet: handling.back_set,
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

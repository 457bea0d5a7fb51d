"""What an act touches, so that it can be undone only while nothing later rests on it."""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core import events as e
from tagtrack.core.axes import Side
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, Event
from tagtrack.core.fold import fold, standing
from tagtrack.core.places import PlaceKind
from tagtrack.core.records import CheckRole, Position, When
from tagtrack.core.sense import COMMAND, SENSE
from tagtrack.core.spelling import same
from tagtrack.core.state import State


def touches(act: Act) -> frozenset[str]:
    """Return the subjects that the act changes, as texts: parts, joints, tags, bags and the like."""
    return frozenset(subject for event in act.events for subject in _subjects(event))


def undoes(act: Act) -> bool:
    """Return whether the act takes another one back."""
    return any(isinstance(event, e.Reversed) for event in act.events)


def _subjects(event: Event) -> list[str]:
    found: list[str] = []
    match event:
        case e.TakenOff(position=position, part=part, found=joints):
            found = [f"off {position}", *([f"part {part.identity}"] if part else [])]
            found += [f"joint {joint.identity}" for joint in joints]
        case e.Installed(part=identity, replaces=old):
            found = [f"part {identity}", *([f"part {old}"] if old else [])]
        case e.HardwareInstalled(joint=joint) | e.JointSet(joint=joint) | e.BackSet(joint=joint):
            found = [f"joint {joint}"]
        case e.TagBound(tag=tag) | e.TagEnded(tag=tag) | e.Planned(tag=tag):
            # a planned row has the tag of its bag beside its own
            found = [f"tag {code}" for code in (tag, getattr(event, "bag", "")) if code]
        case e.ConnectionSet(position=position, end=end):
            found = [f"end {position} {end}"]
        case e.SettingNoted(position=position):
            found = [f"setting {position}"]
        case e.AccessSet(position=position):
            found = [f"cover {position}"]
        case e.Lost(case=case) | e.LossStep(case=case):
            found = [f"loss {case}"]
        case e.Checked(subject=subject, row=row):
            # a movement rests on its command, and an answer on the question
            about = "sense" if row in (COMMAND, SENSE) else row
            found = [f"check {subject} {about}", f"asked {subject}"]
        case e.PositionNamed(position=position, asks=asks) if asks:
            found = [f"asked {position}"]
        case e.MarksNoted(part=identity) | e.SitsSeen(part=identity):
            found = [f"part {identity}"]
        case e.ConditionSet(part=identity):
            found = [f"part {identity}"]
        case e.Ruled(key=key):
            found = [f"ruling {key}"]
        case e.SignedOff():
            found = ["sign-off"]
        case _:
            found = []
    for move in getattr(event, "moves", ()):
        found.append(str(move.item) if move.item.kind.value == "part" else "")
        found += [str(p) for p in (move.source, move.target) if p.kind in (PlaceKind.BAG, PlaceKind.HOLE)]
    return [subject.replace("part:", "part ") for subject in found if subject]


def taken_back(acts: Sequence[Act], act: Act) -> Act:
    """Return the act that an undoing is about in the end; an act that undoes nothing is about itself."""
    by_id = {each.id: each for each in acts}
    while undoes(act):
        act = next(by_id[event.act] for event in act.events if isinstance(event, e.Reversed))
    return act


def refuse_if_rested_on(acts: Sequence[Act], target: Act) -> None:
    """Refuse to undo an act while a later standing act touches what it touched.

    Undoing an undoing brings the first act back, so it touches what that one touched; and a later undoing counts
    where it brought something back, not where it took something away.
    """
    stands = standing(acts)
    worked = _worked_at(acts, taken_back(acts, target))
    alive = {act.id for act in stands}
    root = taken_back(acts, target)
    mine = touches(root)
    for act in reversed(stands[stands.index(target) + 1 :]):
        about = taken_back(acts, act)
        seen = sorted(worked & _looked_at(about)) if about.id in alive else ()
        if seen:
            raise Refusal(
                f"the second look at {seen[0]} rests on that one", expected="work that nobody has looked at since",
                came=f"step {act.id} of {act.by} at {act.at} came after it",
                todo="was it done otherwise? say so as new work: that ends the look. Else "
                f"{act.by} takes the look back first: undo {act.id}",
            )  # fmt: skip
        # what was typed again in other letters is the same thing
        theirs = {each.casefold() for each in touches(about)} if about.id in alive and about is not root else ()
        shared = sorted(each for each in mine if each.casefold() in theirs)
        if shared:
            raise Refusal(
                "a later step rests on that one",
                expected="the last thing done to a part, joint or bag",
                came=f"step {act.id} of {act.by} at {act.at} came after it ({', '.join(shared[:3])})",
                todo=f"undo the later one first: undo {act.id}",
            )


_LOOKS = frozenset({CheckRole.INDEPENDENT, CheckRole.REINSPECTED})


def _looked_at(act: Act) -> set[str]:
    """Return the positions at which an act is a second look."""
    return {event.subject for event in act.events if isinstance(event, e.Checked) and event.role in _LOOKS}


def _worked_at(acts: Sequence[Act], work: Act) -> set[str]:
    """Return the positions at which an act is work, with the assemblies that they are part of: looks rest on it."""
    clamped: dict[str, tuple[Position, ...]] = {}
    homes: dict[str, Position] = {}
    around: dict[Position, Position] = {}
    for event in (event for act in acts for event in act.events):
        match event:
            case e.TakenOff(position=position, part=part, found=joints):
                clamped |= {joint.identity: joint.positions for joint in joints}
                homes |= {part.identity: position} if part is not None else {}
            case e.Installed(position=position, part=identity):
                homes[identity] = position
            case e.PositionNamed(position=position, parent=Position() as parent):
                around.setdefault(position, parent)
            case _:
                pass
    found: dict[Position, None] = {}
    for event in work.events:
        for position in _where(event, clamped, homes):
            here: Position | None = position
            while here is not None and here not in found:
                found[here] = None
                here = around.get(here)
    return {str(position) for position in found}


def _where(
    event: Event, clamped: dict[str, tuple[Position, ...]], homes: dict[str, Position]
) -> tuple[Position, ...]:
    """Return where an event is work: at a position, at all that its joints clamp, or where its part is on."""
    joints = [p.name for move in getattr(event, "moves", ()) for p in (move.source, move.target)
              if p.kind is PlaceKind.JOINT]  # fmt: skip
    here: tuple[Position, ...] = ()
    match event:
        case e.TakenOff() | e.Installed() | e.ConnectionSet() | e.AccessSet() | e.SettingNoted(when=When.AS_LEFT):
            here = (event.position,)
        case e.JointSet(joint=joint):
            joints.append(joint)
        case e.SitsSeen(part=part) if part in homes:
            here = (homes[part],)
        case _:
            pass
    return (*here, *(position for joint in joints for position in clamped.get(joint, ())))


def _spelled_twice(state: State) -> tuple[Position, ...]:
    """Return two positions that only their spelling tells apart; none where there are no such."""
    known: dict[tuple[str, Side], Position] = {}
    for position in state.positions:
        before = known.setdefault((same(position.name), position.side), position)
        if before is not position:
            return before, position
    return ()


def _refuse_spelled_twice(acts: Sequence[Act], after: State) -> None:
    twice = _spelled_twice(after)
    if twice and not _spelled_twice(fold(acts)):
        raise Refusal(f"{twice[0]} and {twice[1]} are one position", expected="one spelling")


def refolded(acts: Sequence[Act], undoing: Act) -> State:
    """Return what is true once an undoing is added; refuse one that would leave a later act without its subject."""
    try:
        after = fold([*acts, undoing])
        _refuse_spelled_twice(acts, after)
    except Refusal as problem:
        # a later act names, or moves, what only the undone one brought into the record
        raise Refusal(
            "a later step rests on that one", expected="steps that still fit together without it", came=problem.what,
            todo="undo the later steps first; tagtrack log lists them",
        ) from problem  # fmt: skip
    return after

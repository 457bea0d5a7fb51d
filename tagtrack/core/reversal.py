"""What an act touches, so that it can be undone only while nothing later rests on it."""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core import events as e
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, Event, Reversed
from tagtrack.core.fold import standing
from tagtrack.core.places import PlaceKind


def touches(act: Act) -> frozenset[str]:
    """Return the subjects that the act changes, as texts: parts, joints, tags, bags and the like."""
    return frozenset(subject for event in act.events for subject in _subjects(event))


def _subjects(event: Event) -> list[str]:
    found: list[str] = []
    match event:
        case e.TakenOff(part=part, found=joints):
            found = [f"part {part.identity}"] if part else []
            found += [f"joint {joint.identity}" for joint in joints]
        case e.Installed(part=identity, replaces=old):
            found = [f"part {identity}", *([f"part {old}"] if old else [])]
        case e.HardwareInstalled(joint=joint) | e.JointSet(joint=joint) | e.BackSet(joint=joint):
            found = [f"joint {joint}"]
        case e.TagBound(tag=tag) | e.TagEnded(tag=tag) | e.Planned(tag=tag):
            found = [f"tag {tag}"]
        case e.ConnectionSet(position=position, end=end):
            found = [f"end {position} {end}"]
        case e.SettingNoted(position=position):
            found = [f"setting {position}"]
        case e.AccessSet(position=position):
            found = [f"cover {position}"]
        case e.Lost(case=case) | e.LossStep(case=case):
            found = [f"loss {case}"]
        case e.Checked(subject=subject, row=row):
            found = [f"check {subject} {row}"]
        case e.MarksNoted(part=identity):
            found = [f"part {identity}"]
        case e.ConditionSet(part=identity):
            found = [f"condition {identity}"]
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


def refuse_if_rested_on(acts: Sequence[Act], target: Act) -> None:
    """Refuse to undo an act while a later standing act touches what it touched."""
    mine = touches(target)
    later = [a for a in standing(acts)[standing(acts).index(target) + 1 :] if a.id != target.id]
    for act in reversed(later):
        undoes = any(isinstance(event, Reversed) for event in act.events)
        shared = sorted(mine & touches(act))
        if shared and not undoes:
            raise Refusal(
                "a later step rests on that one",
                expected="the last thing done to a part, joint or bag",
                came=f"step {act.id} of {act.by} at {act.at} came after it ({', '.join(shared[:3])})",
                todo=f"undo the later one first: undo {act.id}",
            )

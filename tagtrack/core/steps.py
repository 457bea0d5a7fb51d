"""Recorded steps in shop words, as the history lists them and as undo names the one that it takes back."""

from __future__ import annotations

from tagtrack.core import events as e
from tagtrack.core.events import Act, Event
from tagtrack.core.places import ItemKind, Move, PlaceKind
from tagtrack.core.records import TagEnd
from tagtrack.core.state import State
from tagtrack.core.tagcode import shown

# so many things are told of one step
_TOLD = 3
# of what somebody saw, so many letters are enough to know which look it was
_SEEN = 40

_WORDS = {
    e.JobOpened: "work order opened", e.PersonNoted: "person noted", e.PositionNamed: "named", e.PerData: "data",
    e.TagBound: "tag in use", e.Reversed: "undone", e.Seen: "strange tag seen", e.AccessSet: "cover",
    e.Attached: "picture", e.Planned: "planned", e.MarksNoted: "marked", e.SitsSeen: "seen to sit",
    e.TakenOff: "taken off", e.Installed: "put on", e.HardwareInstalled: "hardware in",
    e.Moved: "moved", e.ConnectionSet: "connected", e.Ruled: "answered", e.Lost: "lost",
    e.LossStep: "search", e.SignedOff: "signed off", e.SettingNoted: "setting", e.BackSet: "what is to go back",
    e.Recounted: "recount",
}  # fmt: skip
# what goes with nearly every step, and is told only where nothing else is
_BESIDE = frozenset({"named", "tag in use", "data"})


def told(act: Act, state: State | None = None) -> str:
    """Return a step in shop words: what was done, and to what. By the state, joints and parts go by their positions."""
    said: dict[str, list[str]] = {}
    for event in act.events:
        word = _word(event)
        if word and word not in said.setdefault(_about(event, state), []):
            said[_about(event, state)].append(word)
    every = {word for words in said.values() for word in words}
    kept = {
        about: [word for word in words if word not in _BESIDE or every <= _BESIDE] for about, words in said.items()
    }  # fmt: skip
    lines = [f"{', '.join(words)}: {about}" if about else ", ".join(words) for about, words in kept.items() if words]
    return "; ".join(lines[:_TOLD]) + (f"; and {len(lines) - _TOLD} more" if len(lines) > _TOLD else "")


def _word(event: Event) -> str:
    match event:
        case e.JointSet(step=step, count=count):
            return f"{step.value} ({count})" if count else step.value
        case e.ConditionSet(condition=condition):
            return condition.value
        case e.Checked(row=row, observation=seen):
            return f"{row} ({seen if len(seen) <= _SEEN else seen[:_SEEN].rstrip() + ' ...'})"
        case e.TagEnded(end=end):
            return "tag void" if end is TagEnd.VOID else "tag back"
        case e.ConnectionSet(made=False):
            return "disconnected"
        case _:
            return _WORDS.get(type(event), "")


def _about(event: Event, state: State | None) -> str:
    match event:
        case (
            e.JointSet(joint=name) | e.HardwareInstalled(joint=name) | e.BackSet(joint=name)
            | e.ConditionSet(part=name) | e.MarksNoted(part=name) | e.SitsSeen(part=name)
        ):  # fmt: skip
            return _place_of(name, state)
        case e.Checked(subject=name):
            return _place_of(name, state) or name
        case e.Moved(reason=reason, moves=moves):
            what = [_moved(move, state) for move in moves]
            return f"{reason} ({', '.join(what[:_TOLD])}{' ...' if len(what) > _TOLD else ''})" if what else reason
        case e.TagEnded(tag=tag) | e.TagBound(tag=tag):
            return shown(tag)
        case e.Ruled(key=key):
            return key.split(" | ")[1] if " | " in key else ""
        case e.Lost(case=case) | e.LossStep(case=case):
            return f"case {case}"
        case e.Reversed(act=act, reason=reason):
            return f"step {act}" + (f", because {reason}" if reason else "")
        case _:
            return str(getattr(event, "position", None) or getattr(event, "subject", "")
                       or getattr(event, "reason", ""))  # fmt: skip


def _moved(move: Move, state: State | None) -> str:
    """Return what was moved, and where on the aircraft it was put or was, or of which position it is."""
    if move.item.kind is ItemKind.PART:
        return _place_of(move.item.name, state) or "a part"
    aboard = next((place.name for place in (move.source, move.target) if place.kind is PlaceKind.ABOARD), "")
    joints = [place.name for place in (move.source, move.target) if place.kind is PlaceKind.JOINT]
    home = next(filter(None, (_place_of(name, state) for name in joints)), "")
    return f"{move.count} {move.item.name}" + (f" at {aboard}" if aboard else f" of {home}" if home else "")


def _place_of(name: str, state: State | None) -> str:
    """Return the position of a joint or a part, by its number; empty where it is not known any more."""
    if state is not None and name in state.joints:
        return str(state.joints[name].positions[0])
    if state is not None and name in state.parts:
        return str(state.parts[name].home)
    return ""

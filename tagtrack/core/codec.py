"""Acts to plain documents and back: what the journal stores is exactly this.

A document holds only text, whole numbers, true/false, lists and mappings with ASCII keys, so that its sorted,
compact JSON is canonical (RFC 8785). Fields that hold their default are left out; a field that is unknown here
comes from a newer version of the program and is a fault, never dropped in silence.
"""

from __future__ import annotations

import types
from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields, is_dataclass
from enum import Enum
from functools import cache
from typing import Any, Union, cast, get_args, get_origin, get_type_hints

from tagtrack.core import events
from tagtrack.core.errors import Fault
from tagtrack.core.events import Act, Event
from tagtrack.core.places import Item, Place
from tagtrack.core.records import Position

# these have one stored text each
_TEXTUAL: Mapping[type, Callable[[str], object]] = {Position: Position.read, Place: Place.read, Item: Item.read}
_KINDS: Mapping[str, type[Event]] = {kind.__name__: kind for kind in events.KINDS}


def to_document(act: Act) -> dict[str, Any]:
    """Return the act as a plain document."""
    document = _plain(act)
    document["events"] = [{"kind": type(event).__name__, **_plain(event)} for event in act.events]
    return cast("dict[str, Any]", document)


def from_document(document: Mapping[str, Any]) -> Act:
    """Return the act of a stored document; a Fault names what a newer version or a strange hand put into it."""
    try:
        rest = {key: value for key, value in document.items() if key != "events"}
        return cast("Act", _built(Act, rest, events=tuple(_event(e) for e in document["events"])))
    except Fault:
        raise
    except (KeyError, TypeError, ValueError, AttributeError) as problem:
        raise _unreadable(f"{type(problem).__name__}: {problem}") from problem


def _unreadable(came: str) -> Fault:
    return Fault(
        "a recorded act cannot be understood",
        expected="an act as this version of the program writes it, or an older one",
        came=came,
        todo="open the record with the newest version of the program; nothing was changed",
    )


def _event(document: Mapping[str, Any]) -> Event:
    kind = _KINDS.get(document["kind"])
    if kind is None:
        raise _unreadable(f"an event of kind {document['kind']!r}")
    return cast("Event", _built(kind, {key: value for key, value in document.items() if key != "kind"}))


@cache
def _shape(kind: type) -> tuple[tuple[str, Any, object], ...]:
    hints = get_type_hints(kind)
    return tuple((f.name, hints[f.name], f.default) for f in fields(kind))


def _plain(value: Any) -> Any:
    if isinstance(value, tuple(_TEXTUAL)):
        return str(value)
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    if is_dataclass(value) and not isinstance(value, type):
        return {
            name: _plain(getattr(value, name))
            for name, _, default in _shape(type(value))
            if name != "events" and (default is MISSING or getattr(value, name) != default)
        }
    return value


def _built(kind: type, document: Mapping[str, Any], **ready: object) -> object:
    shape = _shape(kind)
    unknown = document.keys() - {name for name, _, _ in shape}
    if unknown:
        raise _unreadable(f"{kind.__name__} with {', '.join(sorted(unknown))}")
    given = {name: _value(hint, document[name]) for name, hint, _ in shape if name in document}
    return kind(**given, **ready)


def _value(hint: Any, stored: Any) -> object:
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        if stored is None:
            return None
        return _value(next(arm for arm in get_args(hint) if arm is not type(None)), stored)
    if origin is tuple:
        if not isinstance(stored, list):
            raise _unreadable(f"{stored!r} where a list stands")
        return tuple(_value(get_args(hint)[0], each) for each in stored)
    if hint in _TEXTUAL:
        return _TEXTUAL[hint](stored)
    if isinstance(hint, type) and issubclass(hint, Enum):
        return hint(stored)
    if is_dataclass(hint):
        return _built(cast("type", hint), stored)
    if type(stored) is not hint:
        raise _unreadable(f"{stored!r} where {hint.__name__} stands")
    return stored

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
from tagtrack.core.errors import Fault, Refusal
from tagtrack.core.events import Act, Event
from tagtrack.core.places import Item, Place
from tagtrack.core.records import Position

# these have one stored text each
_TEXTUAL: Mapping[type, Callable[[str], object]] = {Position: Position.read, Place: Place.read, Item: Item.read}
_KINDS: Mapping[str, type[Event]] = {kind.__name__: kind for kind in events.KINDS}


def to_document(act: Act) -> dict[str, Any]:
    """Return the act as a plain document; a TypeError tells a field that holds another type than it declares.

    What passes here can be read back: nothing else is ever written.
    """
    document = _written(act)
    document["events"] = [{"kind": type(event).__name__, **_written(event)} for event in act.events]
    return document


def from_document(document: Mapping[str, Any]) -> Act:
    """Return the act of a stored document; a Fault names what a newer version or a strange hand put into it."""
    try:
        rest = {key: value for key, value in document.items() if key != "events"}
        return cast("Act", _built(Act, rest, events=tuple(_event(e) for e in document["events"])))
    except Fault:
        raise
    except (Refusal, KeyError, TypeError, ValueError, AttributeError) as problem:
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


# Every act passes here before it is written. The way through each type is worked out once, and spelled out field by
# field, as dataclasses does for its own methods: a loop over the fields takes half as long again.


def _written(value: object) -> dict[str, Any]:
    kind: type = type(value)
    return _writing(kind)(value)


@cache
def _writing(kind: type) -> Callable[[Any], dict[str, Any]]:
    """Return a function that makes a value of this type a document, without the fields that hold their defaults."""
    scope: dict[str, Any] = {"kind": kind, "misfit": _misfit}
    lines = ["def writing(value):", "    if type(value) is not kind:", "        raise misfit(value, kind)",
             "    document = {}"]  # fmt: skip
    for name, hint, default in _shape(kind):
        if hint == tuple[Event, ...]:
            continue
        lines.append(f"    field = value.{name}")
        scope[f"{name}_default"], scope[f"{name}_writer"] = default, _writer(hint)
        if default is MISSING:
            lines.append(f"    document[{name!r}] = {name}_writer(field)")
        else:
            # nearly every field that holds its default holds that very object
            lines.append(f"    if field is not {name}_default and field != {name}_default:")
            lines.append(f"        document[{name!r}] = {name}_writer(field)")
    exec("\n".join([*lines, "    return document"]), scope)  # noqa: S102 - our own field names
    writing: Callable[[Any], dict[str, Any]] = scope["writing"]
    return writing


@cache
def _writer(hint: Any) -> Callable[[Any], Any]:
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        inner = _writer(next(arm for arm in get_args(hint) if arm is not type(None)))
        return lambda value: None if value is None else inner(value)
    if origin is tuple:
        return _list_writer(_writer(get_args(hint)[0]))
    if hint in _TEXTUAL:
        return lambda value: str(_exactly(value, hint))
    if issubclass(hint, Enum):
        # the plain attribute: `value` is a property, and this is asked for at every line
        return lambda value: _exactly(value, hint)._value_
    if is_dataclass(hint):
        return _writing(cast("type", hint))
    return _whole_number if hint is int else _plain(hint)


def _list_writer(each: Callable[[Any], Any]) -> Callable[[Any], Any]:
    def write(value: Any) -> Any:
        if type(value) is not tuple:
            raise _misfit(value, tuple)
        return [each(item) for item in value]

    return write


def _plain(kind: type) -> Callable[[Any], Any]:
    def write(value: Any) -> Any:
        if type(value) is not kind:
            raise _misfit(value, kind)
        return value

    return write


def _whole_number(value: Any) -> Any:
    # RFC 8785 allows no integer beyond this
    if not -(2**53) < _exactly(value, int) < 2**53:
        raise TypeError(f"{value!r} is too large to be stored")
    return value


def _exactly(value: Any, kind: Any) -> Any:
    if type(value) is not kind:
        raise _misfit(value, kind)
    return value


def _misfit(value: object, kind: type) -> TypeError:
    return TypeError(f"{value!r} where {kind.__name__} is declared")


def _built(kind: type, document: Mapping[str, Any], **ready: object) -> object:
    readers = _readers(kind)
    unknown = document.keys() - readers.keys()
    if unknown:
        raise _unreadable(f"{kind.__name__} with {', '.join(sorted(unknown))}")
    return kind(**{name: readers[name](stored) for name, stored in document.items()}, **ready)


@cache
def _readers(kind: type) -> dict[str, Callable[[Any], object]]:
    return {name: _reader(hint) for name, hint, _ in _shape(kind)}


@cache
def _reader(hint: Any) -> Callable[[Any], object]:
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        inner = _reader(next(arm for arm in get_args(hint) if arm is not type(None)))
        return lambda stored: None if stored is None else inner(stored)
    if origin is tuple:
        inside = get_args(hint)[0]
        return _read_texts if inside is str else _list_reader(_reader(inside))
    if hint in _TEXTUAL:
        return cast("Callable[[Any], object]", _TEXTUAL[hint])
    if isinstance(hint, type) and issubclass(hint, Enum):
        return hint
    if is_dataclass(hint):
        return lambda stored: _built(cast("type", hint), stored)
    return _exact_reader(hint)


def _read_texts(stored: Any) -> object:
    """Read a list of texts in one go: of codes given out, a shop's record holds hundreds of thousands."""
    if not isinstance(stored, list) or any(kind is not str for kind in map(type, stored)):
        raise _unreadable(f"{stored!r} where a list of texts stands")
    return tuple(stored)


def _list_reader(inner: Callable[[Any], object]) -> Callable[[Any], object]:
    def read(stored: Any) -> object:
        if not isinstance(stored, list):
            raise _unreadable(f"{stored!r} where a list stands")
        return tuple(inner(each) for each in stored)

    return read


def _exact_reader(kind: type) -> Callable[[Any], object]:
    def read(stored: Any) -> object:
        if type(stored) is not kind:
            raise _unreadable(f"{stored!r} where {kind.__name__} stands")
        return stored

    return read

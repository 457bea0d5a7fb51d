"""Acts to documents and back, for every kind of event; the bytes are those of RFC 8785, by another program."""

from __future__ import annotations

import dataclasses
import json
import types
from enum import Enum
from typing import Union, get_args, get_origin, get_type_hints

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from tagtrack.core import codec, events
from tagtrack.core.axes import Side
from tagtrack.core.errors import Fault
from tagtrack.core.events import Act
from tagtrack.core.places import Item, Move, Place
from tagtrack.core.records import JointStep, Position, Via

# names as they are after cleaning: NFC, no control characters
words = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=12)


def of(hint):
    """Return a strategy for any value of a type, worked out from its declaration."""
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        return st.none() | of(next(arm for arm in get_args(hint) if arm is not type(None)))
    if origin is tuple:
        return st.lists(of(get_args(hint)[0]), max_size=2).map(tuple)
    if hint is Position:
        return st.builds(Position, words, st.sampled_from(Side))
    if hint in (Place, Item):
        return st.builds(hint, st.sampled_from(list(get_type_hints(hint)["kind"])), words)
    if isinstance(hint, type) and issubclass(hint, Enum):
        return st.sampled_from(hint)
    if hint is Move:
        return st.builds(Move, of(Item), st.integers(1, 999), of(Place), of(Place))
    if dataclasses.is_dataclass(hint):
        hints = get_type_hints(hint)
        return st.builds(hint, **{f.name: of(hints[f.name]) for f in dataclasses.fields(hint)})
    return {str: st.just("") | words, int: st.integers(-(2**53) + 1, 2**53 - 1), bool: st.booleans()}[hint]


def act(*told):
    return Act(id="a1", site="here", by="KT", at="2026-03-02T10:00:00Z", via=Via.TYPED, version="1", events=told)


@pytest.mark.parametrize("kind", events.KINDS, ids=lambda kind: kind.__name__)
def test_every_kind_of_event_comes_back_as_it_went(kind):
    @settings(max_examples=25)
    @given(of(kind), words)
    def check(event, despite):
        said = dataclasses.replace(act(event, event), despite=despite)
        document = codec.to_document(said)
        assert codec.from_document(document) == said
        stored = json.dumps(document, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()
        assert stored == rfc8785.dumps(document)
        assert codec.from_document(json.loads(stored)) == said

    check()


def test_what_holds_its_default_is_left_out():
    assert codec.to_document(act(events.Reversed("a0")))["events"] == [{"kind": "Reversed", "act": "a0"}]


@pytest.mark.parametrize(
    "change",
    [
        {"new": 1},
        {"events": [{"kind": "Levitated"}]},
        {"events": [{"kind": "Reversed", "act": "a0", "mood": "good"}]},
        {"events": [{"kind": "Reversed", "act": 5}]},
        {"events": [{"kind": "Reversed"}]},
        {"events": [{"kind": "TagsIssued", "codes": "not a list"}]},
        {
            "events": [
                {
                    "kind": "Moved",
                    "reason": "x",
                    "moves": [{"item": "moon:1", "count": 1, "source": "stock", "target": "scrap"}],
                }
            ]
        },
        {"events": [{"kind": "SettingNoted", "position": "no side", "when": "as found", "value": "1"}]},
        {"events": None},
        {"via": "telepathy"},
        {"at": None},
    ],
)
def test_what_a_newer_version_or_a_strange_hand_wrote_is_a_fault_and_never_dropped(change):
    document = {**codec.to_document(act()), **change}
    with pytest.raises(Fault) as told:
        codec.from_document(document)
    assert "newest version" in told.value.todo


def test_a_position_without_a_side_in_a_record_is_told():
    document = codec.to_document(act())
    document["events"] = [{"kind": "AccessSet", "position": "cover", "state": "open"}]
    with pytest.raises(Fault):
        codec.from_document(document)


def test_a_field_of_another_type_than_declared_is_never_written():
    with pytest.raises(TypeError, match="str is declared"):
        codec.to_document(act(events.Reversed(7)))
    with pytest.raises(TypeError):
        codec.to_document(act(events.TagsIssued(["a list, not a tuple"])))
    with pytest.raises(TypeError, match="too large"):
        codec.to_document(act(events.JointSet("j1", JointStep.TIGHT, 2**53)))

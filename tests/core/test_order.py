"""What closes up what: everything below a cover, and circles refused. Held against the standard library's graphlib."""

from __future__ import annotations

from graphlib import CycleError, TopologicalSorter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagtrack.core.axes import Side
from tagtrack.core.errors import Refusal
from tagtrack.core.order import refuse_circle, under
from tagtrack.core.records import Position
from tagtrack.core.state import State
from tagtrack.core.things import PositionState

SPOTS = [Position(name, Side.LEFT) for name in "abcdef"]
edges = st.lists(st.tuples(st.sampled_from(SPOTS), st.sampled_from(SPOTS)), max_size=12)


def state_of(pairs):
    state = State()
    for cover, below in pairs:
        known = state.positions.get(cover) or PositionState(position=cover)
        state.positions[cover] = PositionState(position=cover, closes_up=(*known.closes_up, below))
    return state


@given(edges)
def test_a_circle_is_refused_exactly_where_another_program_sees_one(pairs):
    kept = []
    for cover, below in pairs:
        graph = {}
        for a, b in [*kept, (cover, below)]:
            graph.setdefault(a, set()).add(b)
        try:
            TopologicalSorter(graph).prepare()
        except CycleError:
            with pytest.raises(Refusal, match="close up itself"):
                refuse_circle(state_of(kept), cover, (below,))
        else:
            refuse_circle(state_of(kept), cover, (below,))
            kept.append((cover, below))


@given(edges)
def test_all_that_lies_under_a_cover_is_found(pairs):
    state = state_of(pairs)
    for cover in SPOTS:
        reached, more = set(), {b for a, b in pairs if a == cover}
        while more - reached:
            reached |= more
            more = {b for a, b in pairs if a in reached}
        assert set(under(state, cover)) == reached | more


def test_the_circle_is_told_step_by_step():
    a, b, c = SPOTS[:3]
    with pytest.raises(Refusal) as told:
        refuse_circle(state_of([(a, b), (b, c)]), c, (a,))
    assert told.value.came == "c, LEFT closes up a, LEFT closes up b, LEFT closes up c, LEFT"

"""A short form of the fuzzing run; the whole of it is `python tests/journal/fuzz.py`."""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from journal.fuzz import ALIKE, check_forged, check_hurt, forgeries, hurts, names


@settings(max_examples=120, **ALIKE)
@given(names, st.lists(hurts, min_size=1, max_size=4))
def test_of_a_hurt_record_only_what_was_written_is_read_and_the_rest_is_told(name, hows):
    check_hurt(name, hows)


# what the run found once: a step of a loss whose first step was taken out
@example("journal", [("gone", 0.5625, 0.0, None)])
@settings(max_examples=120, **ALIKE)
@given(names, st.lists(forgeries, min_size=1, max_size=4))
def test_a_forged_record_is_folded_or_refused_in_words(name, hows):
    check_forged(name, hows)


def test_the_fuzzing_run_would_see_a_line_that_was_left_out(monkeypatch):
    """A reader that skips what it does not understand is caught."""
    import journal.fuzz as run

    lenient = run.chain_of

    def skipping(data):
        chain = lenient(data)
        chain.damage, chain.unfinished = None, b""
        return chain

    monkeypatch.setattr(run, "chain_of", skipping)
    with pytest.raises(AssertionError, match="left out in silence"):
        check_hurt("journal", [("without", 0.5, 0.0)])

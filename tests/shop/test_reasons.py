"""Reasons given to a question: they stand with the step that they let pass, and answer nothing else."""

from __future__ import annotations

import pytest
from builders import Play

from tagtrack.core.leftover import report
from tagtrack.core.reconcile import reconcile
from tagtrack.shop.lines.talk import Tone

HORN = "~ zone tail LEFT\noff horn LEFT; mark UP, arrow FWD; mount INBD; critical; lock none; 2 AN3-5A\n"


@pytest.fixture
def play():
    made = Play()
    made.lines(HORN)
    return made


def rows(play):
    """Return what the report prints as recorded against the program's word."""
    sheet = report(play.job.state, reconcile(play.job.state), play.job.head, printed="2026-03-02")
    sections = [s for s in sheet.sections if s.heading.startswith("Recorded although")]
    return sections[0].table.rows if sections else ()


def test_what_was_done_all_the_same_is_printed_with_what_was_said_against_it(play):
    play.lines("? <tag horn, LEFT>\n? up aft\n! yes, because the crane has to be free")
    ((where, said, _, why, _),) = rows(play)
    assert (where, said, why) == ("horn, LEFT", "WRONG WAY ROUND", "the crane has to be free")
    assert "turned" in play.kinds(), "the reason is no answer"
    assert not [f for f in reconcile(play.job.state).findings if f.answer]


@pytest.mark.parametrize("after", ["no", "status", "up fwd"])
def test_a_question_that_was_left_leaves_nothing_on_the_report(play, after):
    play.lines("? <tag horn, LEFT>\n? up aft")
    play(after, None)
    assert rows(play) == ()


def test_a_reason_for_what_is_refused_afterwards_is_printed_nowhere(play):
    play("off hornn LEFT; none", Tone.ASK)
    play.lines("? off hornn LEFT; life 90 h left; none")
    refused = play("yes, because it is another one", Tone.WRONG)
    assert refused.act is None
    play("off lid LEFT; none")
    assert not play.job.state.despite
    assert rows(play) == ()


def test_a_reason_that_passed_one_question_and_met_the_next_is_kept_only_once_both_are_answered(play):
    play("off hornn RIGHT; none", Tone.ASK)
    play("yes, because I stand there", Tone.ASK)
    play("no", Tone.NOTE)
    assert not play.job.state.despite


def test_how_a_name_is_spelled_is_no_business_of_the_report(play):
    play("off hornn LEFT; none", Tone.ASK)
    play("yes, because it is another one")
    (entry,) = play.job.state.despite.values()
    assert entry.reason == "it is another one", "the record keeps it"
    assert rows(play) == ()

"""Undo says which step it takes back, and asks where somebody may mean another one."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders import Play

from tagtrack.core.steps import told as named
from tagtrack.shop.lines.loop import Loop
from tagtrack.shop.lines.talk import Tone


@pytest.fixture
def play():
    made = Play()
    made.lines("~ zone tail LEFT\noff horn LEFT; mark UP, arrow FWD; 2 AN3-5A")
    return made


def told(reply):
    return "\n".join(reply.lines)


def later(play, minutes):
    """Move the shop's clock on."""
    means, at = play.job.shop.means, play.job.acts[-1].at
    hour, minute = divmod(int(at[14:16]) + minutes, 60)
    moved = f"{at[:11]}{int(at[11:13]) + hour:02}:{minute:02}{at[16:]}"
    play.job.shop.means = replace(means, clock=lambda: moved)


def test_the_step_just_recorded_is_taken_back_and_named(play):
    step = play.job.acts[-1].id
    assert f"UNDONE  step {step} of KT: taken off: horn, LEFT" in told(play("undo"))


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("all in", "hardware in: horn, LEFT"), ("all in tight safe", "hardware in, tight, safetied: horn, LEFT"),
        ("condition unserviceable because cracked", "unserviceable: horn, LEFT"),
        ("reprint horn LEFT because lost", "tag void: "),
        ("clear tail LEFT: 9 of 9 tools", "clear (9 of 9 tools): zone tail LEFT"),
        ("finger no", "finger (no, it does not run on by finger): horn, LEFT"),
        ("setting rod LEFT; as found 4 threads", "setting: rod, LEFT"),
        ("disconnect plug LEFT; keyed", "disconnected: plug, LEFT"),
        ("put 1 cap at horn LEFT", "moved: put on the aircraft (1 cap at horn, LEFT)"),
        ("lost 1 AN3-5A", "lost: case L1"), ("used 1 AN3-6A instead of 1 AN3-5A because of the data", "horn, LEFT"),
    ],
)  # fmt: skip
def test_the_step_that_is_taken_back_is_named_by_what_it_did_and_to_what(play, line, said):
    play.lines("? <tag horn, LEFT>\nup fwd\n? <bag horn, LEFT>")
    assert play(line, None).act is not None
    undone = play("undo").lines[0]
    assert said in undone.partition(" of KT: ")[2]


def test_the_history_names_undoings_by_the_step(play):
    step = play.job.acts[-1].id
    play(f"undo {step} because it never came off")
    assert named(play.job.acts[-1], play.job.state) == f"undone: step {step}, because it never came off"


def test_tags_of_what_was_undone_are_not_to_be_printed(play):
    assert play.loop.bench.to_print == 2
    play("undo")
    assert play.loop.bench.to_print == 0


def test_what_only_looks_leaves_it_the_last_step(play):
    play.lines("~ status\n~ tags\n! check\n? <tag horn, LEFT>")
    play("undo")


@pytest.mark.parametrize("line", ["off lid LEFT", "onn", "in 3 AN960-10", "off hornn LEFT; 2 AN3-5A"])
def test_after_a_line_that_was_not_recorded_it_is_asked_which_is_meant(play, line):
    step, before = play.job.acts[-1].id, len(play.job.acts)
    missed = play(line, None)
    assert missed.act is None
    asked = told(play("undo", Tone.ASK))
    assert f"({line}) was not recorded" in asked
    assert f"step {step}" in asked
    assert "taken off: horn, LEFT" in asked
    assert play("no", Tone.NOTE).act is None
    assert len(play.job.acts) == before
    play("undo", Tone.ASK)
    play("yes, because the wrong horn was typed")
    assert not play.job.state.parts
    assert not play.job.state.despite, "nothing was done that was held to be wrong"


def test_a_step_that_is_named_is_meant(play):
    step = play.job.acts[-1].id
    play("onn", Tone.WRONG)
    play(f"undo {step}")


def test_one_undo_after_another_goes_on_backwards(play):
    play.lines("off lid LEFT; none\noff cover LEFT; none\nundo\nundo\nundo")
    assert not play.job.state.parts


@pytest.mark.parametrize(("minutes", "tone"), [(2, Tone.DONE), (11, Tone.ASK), (300, Tone.ASK)])
def test_a_step_that_is_long_past_is_asked_about(play, minutes, tone):
    later(play, minutes)
    reply = play("undo", tone)
    assert ("more than 10 minutes old" in told(reply)) is (tone is Tone.ASK)


def test_somebody_elses_step_takes_a_reason(play):
    step = play.job.acts[-1].id
    other = Loop(play.job, "MB")
    asked = other.line(f"undo {step}")
    assert asked.tone is Tone.ASK
    assert "that is a step of KT" in told(asked)
    done = other.line("yes, because KT asked me to")
    assert done.act is not None
    assert done.act.events[0].reason == "KT asked me to"


def test_somebody_elses_step_is_taken_back_in_one_line_with_its_reason(play):
    other = Loop(play.job, "MB")
    assert other.line(f"undo {play.job.acts[-1].id} because KT typed it twice").act is not None


def test_where_somebody_else_was_the_last_at_this_bench_it_is_asked(play):
    play.lines("~ by MB\noff lid LEFT; none\n~ by KT")
    assert "the last step here was by MB: taken off: lid, LEFT" in told(play("undo", Tone.ASK))


def test_what_cannot_be_undone_is_refused_and_not_asked(play):
    off = play.job.acts[-1].id
    play("condition unserviceable because cracked", Tone.WRONG)
    play.lines("? <tag horn, LEFT>\nup fwd")
    other = Loop(play.job, "MB")
    assert "a later step rests on that one" in other.line(f"undo {off}").lines[0]

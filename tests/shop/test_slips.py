"""Slips of a tired hand at the bench, each of which once passed without a word."""

from __future__ import annotations

import re

from builders import Play

from tagtrack.core.callout import Decoder
from tagtrack.core.records import CheckRole, position
from tagtrack.tables.loader import load


def told(reply):
    return "\n".join(reply.lines)


HORN = "~ zone tail LEFT\noff horn LEFT; mark UP, arrow FWD; mount FWD; [AN3-5A AN960-10 | AN960-10 MS21044N3]\n"


def test_the_code_of_a_tag_that_was_undone_is_never_given_out_again():
    """The tag may hang on a part already."""
    play = Play()
    play.lines(HORN)
    before = set(play.job.state.tags)
    play("undo")
    play.lines("off horn LEFT; mark UP, arrow FWD; mount FWD; 2 AN3-5A")
    assert not before & set(play.job.state.tags)


def test_a_question_left_without_an_answer_says_that_nothing_was_recorded():
    play = Play()
    play.lines(HORN + "~ zone tail RIGHT\nsame horn RIGHT\n~ zone tail LEFT\n? <tag horn, LEFT>")
    asked = told(play("down fwd", None))
    assert "WRONG WAY ROUND" in asked
    assert told(play("status", None)).startswith("the question before was not answered: that was NOT RECORDED")
    assert not told(play("status", None)).startswith("the question before")


def test_more_torque_than_the_table_ever_allows_is_asked_about():
    """AC 43.13-1B Table 7-1: 10-32 in tension, 20 to 25 in-lb; the most allowed 40."""
    play = Play()
    play.job.shop.knowledge = Decoder(load())
    play.lines(HORN + "? <tag horn, LEFT>\nup fwd\n? <bag horn, LEFT>")
    stopped = told(play("all in, finger no, tight 250 in-lb", None))
    assert "STOP: 250 in-lb is more than" in stopped
    assert "at most 40 in-lb" in stopped
    assert all(not joint.torque for joint in play.job.state.joints.values())
    play("yes, the maker's manual calls for it", None)
    assert [joint.torque for joint in play.job.state.joints.values()] == ["250 in-lb"]


def test_fasteners_are_as_many_as_go_back():
    play = Play()
    play.lines("~ zone tail LEFT\noff horn LEFT; mark UP, arrow FWD; mount FWD; 3 AN3-5A")
    play.lines("back 4 AN3-5A because one was missing as found")
    (joint,) = play.job.state.joints_of(position("horn LEFT"))
    assert joint.fasteners == 4


def test_a_row_that_could_not_be_seen_stays_visible():
    play = Play()
    play.lines(HORN + "? <tag horn, LEFT>\nup fwd\n? <bag horn, LEFT>")
    play.lines("all in, finger no, tight 25 in-lb, safe\n~ by MB")
    reply = told(play("inspect horn LEFT; locking: not available, hidden; assembly: as drawn", None))
    assert re.search(r"INSPECTED .*assembly", reply), reply
    assert any(check.role is CheckRole.NOT_AVAILABLE for (_, row), check in play.job.state.checks.items()
               if row == "locking")  # fmt: skip

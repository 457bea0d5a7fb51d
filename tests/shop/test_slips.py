"""Slips of a tired hand at the bench, each of which once passed without a word."""

from __future__ import annotations

import re

import pytest
from builders import Play

from tagtrack.core.callout import Decoder
from tagtrack.core.findings import Kind
from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import CheckRole, position
from tagtrack.shop import tagging
from tagtrack.shop.lines.talk import Tone
from tagtrack.shop.ports import Who
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
    assert play("status", None).dropped.startswith("NOT RECORDED")
    assert not play("status", None).dropped


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


def test_a_look_alike_used_on_purpose_is_told_to_be_one():
    """MS20364 is the thin nut, for shear: AN365/MS20365 is the full one (AC 43.13-1B, paragraph 7-64)."""
    play = Play()
    play.job.shop.knowledge = Decoder(load())
    play.lines("~ zone tail LEFT\noff horn LEFT; mark UP, arrow FWD; [AN3-5A AN960-10 | AN960-10 MS20365-1032A]")
    play.lines("? <tag horn, LEFT>\nup fwd")
    reply = told(play("used 1 MS20364-1032A instead of 1 MS20365-1032A because none was left", None))
    assert "it only looks like it" in reply


def test_fasteners_are_as_many_as_go_back():
    play = Play()
    play.lines("~ zone tail LEFT\noff horn LEFT; mark UP, arrow FWD; mount FWD; 3 AN3-5A")
    play.lines("back 4 AN3-5A because one was missing as found")
    (joint,) = play.job.state.joints_of(position("horn LEFT"))
    assert joint.fasteners == 4


PANEL = """
~ zone tail LEFT
off fairing LEFT; mark UP, arrow FWD; 2 AN525-10R8; closes up horn LEFT
off horn LEFT; mark UP, arrow FWD; mount FWD; critical; 1 AN3-5A; lock none
? <tag horn, LEFT>
up fwd
? <bag horn, LEFT>
all in, tight 25 in-lb
"""
CLOSE = "? <tag fairing, LEFT>\nup fwd\n? <bag fairing, LEFT>\nall in, tight"
# over what is not finished: asked, and done for a reason
CLOSE_ANYWAY = "? <tag fairing, LEFT>\n? up fwd\n! yes, {}\n? <bag fairing, LEFT>\nall in, tight"
LOOK = """
command horn LEFT: stick back
~ by MB
inspect horn LEFT; assembly: right; locking: none; travel: full; sense: moves UP; tension: none; interaction: clear
~ by KT
"""


def closed_too_early(play):
    return [f for f in reconcile(play.job.refresh()).unanswered if f.kind is Kind.CLOSED_BEFORE_COMPLETE]


def test_a_second_look_behind_a_closed_cover_does_not_make_it_right():
    play = Play()
    play.lines(PANEL)
    play.lines(CLOSE_ANYWAY.format("the inspector is late"))
    play.lines(LOOK)
    (finding,) = closed_too_early(play)
    assert "looked at after it was closed: horn, LEFT" in finding.seen


def test_a_second_look_before_the_cover_goes_on_is_right():
    play = Play()
    play.lines(PANEL + LOOK)
    play.lines(CLOSE)
    assert not closed_too_early(play)


def test_travel_and_sense_are_judged_from_outside():
    play = Play()
    play.lines(PANEL)
    play.lines(LOOK.replace("travel: full; sense: moves UP; ", ""))
    play.lines(CLOSE)
    play.lines("~ by MB\ninspect horn LEFT; travel: full; sense: moves UP")
    assert not closed_too_early(play)


def test_what_is_still_reached_from_the_other_side_is_not_behind_a_closed_cover():
    play = Play()
    play.lines("~ zone tail RIGHT\noff fairing RIGHT; mark UP, arrow FWD; 2 AN525-10R8; closes up horn LEFT")
    play.lines(PANEL)
    play.lines(CLOSE_ANYWAY.format("the right one stays off"))
    play.lines(LOOK)
    assert not closed_too_early(play)


def test_an_area_with_its_side_in_short_is_the_same_area():
    play = Play()
    play.lines("~ zone tail L\noff horn LEFT; mark UP, arrow FWD; 2 AN3-5A\n~ zone tail LEFT")
    play.lines("off stop LEFT; mark UP, arrow FWD; 1 AN3-6A")
    assert play.job.state.areas() == ("tail LEFT",)


def test_a_row_that_could_not_be_seen_stays_visible():
    play = Play()
    play.lines(HORN + "? <tag horn, LEFT>\nup fwd\n? <bag horn, LEFT>")
    play.lines("all in, finger no, tight 25 in-lb, safe\n~ by MB")
    reply = told(play("inspect horn LEFT; locking: not available, hidden; assembly: as drawn", None))
    assert re.search(r"INSPECTED .*assembly", reply), reply
    assert any(check.role is CheckRole.NOT_AVAILABLE for (_, row), check in play.job.state.checks.items()
               if row == "locking")  # fmt: skip


def test_the_other_side_typed_in_a_zone_is_asked_and_the_other_zones_card_settles_it():
    play = Play()
    play("zone tail LEFT", Tone.NOTE)
    stopped = told(play("off horn RIGHT; 2 AN3-5A", Tone.ASK))
    assert "does not lie in zone tail LEFT" in stopped
    play("no", Tone.NOTE)
    assert not play.job.state.positions
    play.lines("~ zone tail RIGHT\noff horn RIGHT; 2 AN3-5A")
    asked = told(play("same horn LEFT", Tone.ASK))
    assert "does not lie in zone tail RIGHT" in asked
    assert "zone tail LEFT" in asked
    play.lines("~ no\n? same")
    assert len(play.job.state.parts) == 1
    play("yes, because it hangs out of reach of the card")
    # what is the same as the other side lies in that side's area
    assert play.job.state.areas() == ("tail RIGHT", "tail LEFT")


def test_an_end_that_fits_another_terminal_is_asked_where_it_is():
    play = Play()
    play.lines("disconnect motor CENTRE; A: terminal 3 red; B: terminal 4 white\n? <wire motor, CENTRE A>")
    assert "came from terminal 3 red" in told(play("4", Tone.ASK))
    play("no", Tone.NOTE)
    play("3")
    play.lines("? <wire motor, CENTRE B>\nwhite")
    assert all(end.made and end.terminal == end.as_found for end in play.job.state.ends.values())


def test_another_word_or_tag_leaves_the_end_in_hand_alone():
    play = Play()
    play.lines("disconnect motor CENTRE; A: terminal 3; B: terminal 4\n? <wire motor, CENTRE A>\n~ status")
    assert "no word of the loop" in told(play("4", Tone.WRONG))
    assert not any(end.made for end in play.job.state.ends.values())


def test_what_is_put_at_a_position_lies_in_the_area_of_the_zone_card():
    play = Play()
    play.lines("~ zone tail LEFT\nput 1 rig pin at horn LEFT")
    assert any(f.kind is Kind.STILL_ABOARD for f in reconcile(play.job.refresh(), area="tail LEFT").unanswered)


def test_the_report_says_who_went_on_although_the_program_objected_and_when():
    play = Play()
    play.lines("~ zone tail LEFT\n? off horn RIGHT; 2 AN3-5A\nyes, because the card was torn off")
    (entry,) = play.job.state.despite.values()
    assert (entry.by, entry.about, entry.reason) == ("KT", "horn, RIGHT", "the card was torn off")


# -- a part that is not on, a bolt that is not the same one -----------------------------------------------------------


@pytest.mark.parametrize("line", ["in 1 AN3-5A", "all in", "new 1 AN3-5A", "tight", "safe",
                                  "used 1 AN3-6A instead of 1 AN3-5A because the data allow it",
                                  "added 1 AN960-10 because of the hole"])  # fmt: skip
def test_hardware_for_a_part_that_is_not_on_is_asked(line):
    play = Play()
    play.lines(HORN + "? <bag horn, LEFT>")
    before = len(play.job.acts)
    assert "the horn, LEFT itself is not on" in told(play(line, Tone.ASK))
    play("no", Tone.NOTE)
    assert len(play.job.acts) == before


def test_hardware_for_a_part_that_is_on_is_not_asked_and_a_finger_test_is_made_anywhere():
    play = Play()
    play.lines(HORN + "? <bag horn, LEFT>\nfinger no")
    play.lines("? <tag horn, LEFT>\nup fwd\n? <bag horn, LEFT>\nall in tight")


TWO_BOLTS = "~ zone tail LEFT\noff lid LEFT; {} AN3-5A\n? <tag lid, LEFT>\non\n? <bag lid, LEFT>\nall in"


def test_one_bolt_and_one_more_are_two_and_the_count_is_said_back():
    play = Play()
    play.lines(TWO_BOLTS.format(2))
    assert "AN3-5A: 1 of 2 tight" in told(play("tight 1"))
    assert "AN3-5A: 2 of 2 tight" in told(play("tight 1"))
    assert "not-tight" not in play.kinds()
    refused = told(play("tight 1", Tone.WRONG))
    assert "2 of 2 tight already" in refused
    assert "nothing more" in refused


def test_more_than_are_left_are_refused_and_all_of_them_is_always_all():
    play = Play()
    play.lines(TWO_BOLTS.format(4))
    play("tight 2 20 in-lb")
    assert "at most 2 more" in told(play("tight 3", Tone.WRONG))
    play("tight 1 25 in-lb")
    (joint,) = play.job.state.joints.values()
    assert (joint.tight, joint.torque) == (3, "20 in-lb, 25 in-lb")
    play("tight 4 25 in-lb")
    (joint,) = play.job.state.joints.values()
    assert (joint.tight, joint.torque) == (4, "25 in-lb")


def test_a_torque_said_of_one_bolt_is_not_that_of_the_next():
    play = Play()
    play.lines(TWO_BOLTS.format(2) + "\ntight 1 25 in-lb\ntight 1")
    (joint,) = play.job.state.joints.values()
    assert joint.torque == "25 in-lb, not said"


# -- what was answered, and comes back --------------------------------------------------------------------------------


def test_a_part_that_is_condemned_again_for_the_same_reason_is_asked_again():
    play = Play()
    play.lines(HORN + "? <tag horn, LEFT>\nup fwd\n? <bag horn, LEFT>\nall in tight\n"
               "~ <tag horn, LEFT>\ncondition unserviceable because cracked")
    asked = [f for f in reconcile(play.job.refresh()).unanswered if f.kind is Kind.UNSERVICEABLE]
    play(f"answer {asked[0].short} because within the limits of the manual")
    play("condition unserviceable because cracked")
    assert "unserviceable" not in play.kinds(), "nothing new was said"
    play.lines("condition serviceable because the dye shows nothing\ncondition unserviceable because cracked")
    assert "unserviceable" in play.kinds()


@pytest.mark.parametrize("said", ["again; assembly: washers under both heads", "not available: all others are ill"])
def test_the_worker_does_not_put_a_look_of_his_own_over_a_good_one(said):
    play = Play()
    play.lines("~ zone tail LEFT\noff horn LEFT; critical; lock none; 2 AN3-5A\n? <tag horn, LEFT>\non\n"
               "? <bag horn, LEFT>\nall in tight\n~ by MB\ninspect horn LEFT; assembly: as drawn\n~ by KT")
    if said.startswith("again"):
        assert "MB looked at the assembly: as drawn" in told(play(f"inspect horn LEFT; {said}", Tone.WRONG))
        play("inspect horn LEFT; again; travel: full and free")
    else:
        play(f"inspect horn LEFT; {said}", Tone.WRONG)
    check = play.job.state.checks["horn, LEFT", "assembly"]
    assert (check.by, check.role) == ("MB", CheckRole.INDEPENDENT)


@pytest.mark.parametrize(("typed", "card"), [("tail centre", "tail CENTRE"), ("cabin floor", "Cabin floor"),
                                             ("tail ctr", "tail CENTRE")])  # fmt: skip
def test_a_zone_that_is_typed_is_the_zone_of_its_card_however_it_is_spelled(typed, card):
    play = Play()
    hung = tagging.hang_zone_card(play.job, Who("KT"), card).events[0].tag
    play.lines(f"~ zone {typed}\noff lid CENTRE; 2 AN3-5A\n~ {hung}\n? <tag lid, CENTRE>\non")
    assert play.job.state.areas() == (card,)


def test_a_zone_card_that_is_made_later_is_the_zone_that_was_typed():
    play = Play()
    play.lines("~ zone cabin floor\noff lid CENTRE; 2 AN3-5A")
    hung = tagging.hang_zone_card(play.job, Who("KT"), "Cabin Floor").events[0].tag
    play.lines(f"~ {hung}\n? <tag lid, CENTRE>\non")


def test_tight_said_once_more_leaves_the_torque_that_was_said():
    play = Play()
    play.lines(TWO_BOLTS.format(2) + "\ntight 25 in-lb\ntight safe")
    (joint,) = play.job.state.joints.values()
    assert (joint.tight, joint.torque) == (2, "25 in-lb")


@pytest.mark.parametrize(("line", "todo"), [("up", "sits up"), ("tagtrack report", "quit first")])
def test_what_is_typed_in_the_wrong_place_is_told_where_it_belongs(line, todo):
    assert todo in told(Play()(line, Tone.WRONG))


@pytest.mark.parametrize("line", ["off lid RIGHT; 2 AN3-5A", "aside line RIGHT; 1 AN4-6A; in hole",
                                  "loosened clamp RIGHT",
                                  "drilled skin RIGHT; 6 MS20470AD4-4", "disconnect plug RIGHT; keyed"])  # fmt: skip
def test_whatever_comes_apart_on_the_other_side_of_the_zone_is_asked(line):
    play = Play()
    play("zone tail LEFT", Tone.NOTE)
    assert "does not lie in zone tail LEFT" in told(play(line, Tone.ASK))
    play("no", Tone.NOTE)
    play("zone tail RIGHT", Tone.NOTE)
    play(line)
def test_what_is_in_only_in_part_is_no_alarm_until_a_piece_is_missing():
    play = Play()
    play("zone tail LEFT", None)
    play("off tip cap LEFT; 6 AN525-10R8; in hole")
    play("<tag tip cap, LEFT>", None)
    play("on")
    some = play("in 4 AN525-10R8", Tone.WRONG)
    assert some.more
    assert "it lies, by the record: its hole" in some.lines[1]
    play("lost 1 AN525-10R8", None)
    missing = play("in 1 AN525-10R8", Tone.WRONG)
    assert not missing.more
    assert "Find it; never fit a guess" in missing.lines[1]


def test_what_lies_in_the_same_bag_for_another_position_is_no_comfort_where_a_piece_is_lost():
    play = Play()
    play("zone tail LEFT", None)
    play("off horn LEFT; 2 AN3-5A")
    play("off stop LEFT; 2 AN3-5A; bag <bag horn, LEFT>")
    for line in ("<bag horn, LEFT>", "lost 1 AN3-5A", "<tag horn, LEFT>", "on", "<bag horn, LEFT>"):
        play(line, None)
    missing = play("in 1 AN3-5A", Tone.WRONG)
    assert not missing.more
    assert "Find it; never fit a guess" in missing.lines[1]

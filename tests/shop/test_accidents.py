"""What went wrong in published accident and incident reports, replayed: where the program stops it, or does not.

Each story names the report by its authority and number as it was read in summaries; aircraft, shop and parts here are
invented. What no record can show is said at the end, with what a mechanic can do about it.
"""

from __future__ import annotations

import pytest
from builders import Play

from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import position
from tagtrack.core.tagwords import face_of
from tagtrack.shop.lines.talk import Tone


def kinds(play, **how):
    return {f.kind.value for f in reconcile(play.job.refresh(), **how).unanswered}


def told(reply):
    return "\n".join(reply.lines)


PAIR = """
~ zone tail LEFT
off trim tab LEFT; mark UP, arrow FWD; mount FWD; critical; 3 AN525-10R8
~ zone tail RIGHT
same trim tab RIGHT
"""


def test_both_trim_tabs_refitted_upside_down_and_reversed():
    """NTSB ERA21FA224. The tab of the other side, or the right one turned over, is stopped when its marks are said."""
    play = Play()
    play.lines(PAIR.replace("arrow FWD", "arrow INBD"))
    play.lines("~ at trim tab LEFT")
    assert told(play("<tag trim tab, RIGHT>", None)).startswith("STOP: this is the trim tab, RIGHT")
    play("<tag trim tab, LEFT>", None)
    assert "WRONG WAY ROUND" in told(play("down inbd", None))


def test_an_elevator_turned_over_to_the_other_side_shows_by_a_feature_that_belongs_on_top():
    """FAA Maintenance Alerts, June 2012: static wicks belong on the upper surface. Named at removal, asked at refit."""
    play = Play()
    play.lines("~ zone tail LEFT\noff elevator LEFT; wicks UP, horn OUTBD; mount FWD; critical; 4 AN3-5A; lock none")
    play.lines("? <tag elevator, LEFT>")
    stopped = told(play("wicks down, horn outbd", None))
    assert "WRONG WAY ROUND" in stopped
    assert "turn it half round the in-and-outboard axis" in stopped


def test_left_and_right_ailerons_exchanged_after_paint():
    """NASA ASRS 660635. The tag of the right one, scanned on the left, is a stop; so is what the marks show."""
    play = Play()
    play.lines("~ zone wing LEFT\noff aileron LEFT; mark UP, arrow FWD; mount FWD; critical; 4 AN3-5A; lock none")
    play.lines("~ zone wing RIGHT\nsame aileron RIGHT\n~ zone wing LEFT")
    assert told(play("<tag aileron, RIGHT>", None)).startswith("STOP")


def test_the_tag_says_what_the_other_sides_part_would_show():
    play = Play()
    play.lines(PAIR.replace("mount FWD", "mount INBD"))
    face = face_of(play.job.state, play.tag("trim tab, LEFT"))
    assert "with the mark UP, the other side's part would show arrow AFT" in face.marks_note


def test_cables_crossed_at_the_bellcrank():
    """NTSB reports on four light aircraft, 1999 to 2020: each end has its own tag and the terminal that it goes to."""
    play = Play()
    play.lines("~ zone wing LEFT\ndisconnect aileron cables CENTRE; A: upper arm; B: lower arm; function")
    crossed = play("connect aileron cables CENTRE; A; lower arm", None)
    assert crossed.tone is Tone.ASK
    assert "upper arm" in told(crossed)
    play("yes, because the cables were renewed", Tone.WRONG)
    assert "still-disconnected" in kinds(play)


@pytest.mark.parametrize(("seen", "stops"), [("DOWN", True), ("UP", False)])
def test_a_control_checked_for_movement_and_not_for_direction(seen, stops):
    """NTSB safety alert of April 2015, and BFU on a trim check by two: direction words, by two people, compared."""
    play = Play()
    play.lines("~ zone wing LEFT\noff aileron LEFT; critical; 1 AN23-10; in hole\n? <tag aileron, LEFT>\non\n"
               "all in tight safe\ncommand aileron LEFT: stick left\n~ by MB")
    assert play("inspect aileron LEFT; sense: full and free", None).lines[0] == "which way did it move?"
    answer = told(play(f"inspect aileron LEFT; sense: {seen}", None))
    assert ("MOVES THE WRONG WAY" in answer) is stops


def test_a_split_pin_that_two_people_signed_for_and_nobody_fitted():
    """AAIB, March 2022: a pin is a piece of its own, used once; a joint that is opened again loses its checks."""
    play = Play()
    play.lines("~ zone tail LEFT\noff pushrod LEFT; critical; 1x [AN3-6 AN960-10 | AN310-3 MS24665-132!]; lock cotter")
    play.lines("? <tag pushrod, LEFT>\non\n? <bag pushrod, LEFT>\nall in\ntight")
    assert {"short", "not-safetied"} <= kinds(play)
    play.lines("~ by MB")
    assert "is not finished" in told(play("inspect pushrod LEFT; locking: pin in", None))
    play.lines("~ by KT\nnew\ntight safe\n~ by MB\ninspect pushrod LEFT; locking: both legs bent")
    play.lines("~ by KT\noff pushrod LEFT; in hole")
    assert len([f for f in reconcile(play.job.state).findings if f.kind.value == "not-inspected"]) == 0
    play.lines("? <tag pushrod, LEFT>\non")
    assert "not-inspected" in kinds(play), "opened again, nothing that was seen holds any more"


def test_an_engine_control_is_a_critical_item_like_any_flight_control():
    """NTSB, a throttle bolt without its nut; the shop says what is critical, and a second person looks."""
    play = Play()
    play.lines("~ zone engine CENTRE\noff throttle rod CENTRE; critical; 1x [AN3-7 | AN310-3 MS24665-132!]; in hole\n"
               "? <tag throttle rod, CENTRE>\non")
    play("in 1 AN3-7", None)
    assert "short" in kinds(play)
    assert "not-inspected" in kinds(play)


def test_a_bolt_not_found_a_new_one_bought_and_the_panel_closed():
    """NASA ASRS 467078: a new piece never clears a lost one, and the area is not closed out."""
    play = Play()
    play.lines("~ zone wing LEFT\noff cover LEFT; 4 AN525-10R8\n? <tag cover, LEFT>\non\n? <bag cover, LEFT>\n"
               "! dropped 1 AN525-10R8\n! all in\nnew 1 AN525-10R8\ntight")
    assert kinds(play) >= {"lost"}
    assert "is lost there" in told(play("complete wing LEFT; clear: all tools back; covers: on", None))
    assert play("sign off", None).act is None


def test_a_bolt_that_the_mechanic_felt_he_had_fitted():
    """NASA ASRS 244359: hardware in a bag is put in by scanning the bag; memory is not evidence."""
    play = Play()
    play.lines("~ zone wing LEFT\noff aileron hinge LEFT; 2 AN3-5A\n? <tag aileron hinge, LEFT>\non")
    assert "memory is not evidence" in told(play("all in tight", None))
    assert "left-over" in kinds(play)


def test_plates_swung_aside_and_parked_on_one_screw():
    """NASA ASRS 964917: a cover on some of its fasteners is open, and who did what stands in the record."""
    play = Play()
    play.lines("~ zone wing LEFT\naside inspection plate LEFT; 3 AN526-832R6; in hole\n"
               "temporarily inspection plate LEFT held by 1 screw")
    assert "missing" in kinds(play) or "not-tight" in kinds(play)
    assert play("sign off", None).act is None


def test_fasteners_matched_by_eye_to_the_wrong_ones_that_came_out():
    """AAIB 1/92: as found is not proof. Where the data was looked up, it is held against what was found."""
    play = Play()
    play.lines("~ zone cabin LEFT\noff windscreen LEFT; 90 AN525-10R7; per data 90 AN525-10R8 per 56-10")
    assert "differs-from-data" in kinds(play)


def test_a_tool_left_inside():
    """ATSB AO-2024-006: what was put aboard stands in the way of the sign-off until it is off again."""
    play = Play()
    play.lines("~ zone engine CENTRE\noff cowl CENTRE; 4 AN525-10R8; in hole\nput 1 turning tool at cowl CENTRE\n"
               "? <tag cowl, CENTRE>\non\nall in tight")
    assert kinds(play) >= {"still-aboard"}
    assert play("sign off", None).act is None


def test_what_no_record_shows_and_the_program_does_not_stop():
    """Two bolts of one spec exchanged, and a wrong count confirmed twice: by the record all is well.

    Against the first helps a bag for each place, scanned where it is emptied; against the second, counting into the
    bag and again out of it, by another person.
    """
    play = Play()
    play.lines("~ zone wing LEFT\noff lid LEFT; 3 AN525-10R8\noff cap LEFT; 4 AN525-10R8")
    # there were four in the lid too; three were counted, and three are counted again
    for name in ("lid", "cap"):
        play.lines(f"? <tag {name}, LEFT>\non\n? <bag {name}, LEFT>\nall in tight")
    assert play.job.state.part_from(position("lid LEFT")).at is not None
    play.close()

"""A wing taken apart on both sides by a mechanic who has read the README: what was typed by habit, and is answered."""

from __future__ import annotations

import pytest
from builders import Play

from tagtrack.core.callout import Decoder
from tagtrack.core.check_joints import FINGER
from tagtrack.core.observations import sounds_wrong
from tagtrack.core.part_numbers import told_handed
from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import position
from tagtrack.shop.lines.talk import Tone
from tagtrack.tables.loader import load

BOTH_WINGS = """
~ zone wing LEFT
off aileron LEFT; mark UP, arrow FWD; 2x [AN3-6A AN960-10 | MS21044N3]
off pushrod LEFT; mark UP, arrow FWD, dot INBD; [AN3-10 AN960-10 | AN960-10 AN320-3 MS24665-132]
"""


@pytest.fixture
def play():
    made = Play()
    made("zone wing LEFT", Tone.NOTE)
    return made


@pytest.fixture
def known():
    """A job in a shop that has the tables of standard hardware."""
    made = Play()
    made.job.shop.knowledge = Decoder(load())
    return made


def told(reply):
    return "\n".join(reply.lines)


def standing(play):
    """Return the step at which the record stands: what is refused leaves it where it is."""
    return play.job.refresh().step


# -- two positions in one line ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "both",
    [
        "hinge inboard LEFT + hinge outboard LEFT",
        "hinge inboard L + hinge outboard L",
        "hinge 1 LEFT, hinge 2 LEFT",
        "hinge 1 LEFT and hinge 2 LEFT",
        "hinge 1 LEFT, and hinge 2",
        "hinge 1 C and hinge 2 C",
    ],
)
def test_two_hinges_in_one_line_are_refused_and_nothing_is_lost(play, both):
    before = standing(play)
    said = told(play(f"off {both}; 2x [AN3-5A AN960-10 | MS21044N3]; [AN4-6A AN960-416 | MS21044N4]", Tone.WRONG))
    assert "two positions at once: hinge" in said
    assert "a line for each" in said
    assert "clamps hinge" in said
    assert standing(play) == before


@pytest.mark.parametrize("one", ["fuel crossover left and right CENTRE", "rib C and D brace LEFT", "panel, upper LEFT"])
def test_a_name_with_a_side_or_a_letter_in_it_is_one_position(play, one):
    play("zone fuselage", Tone.NOTE)
    play(f"off {one}; 2 AN3-5A")


# -- hardware words that name a position ------------------------------------------------------------------------------

PUT_BACK = (
    BOTH_WINGS
    + """
? <tag aileron, LEFT>
up fwd
? <bag aileron, LEFT>
all in
? <tag pushrod, LEFT>
up fwd inbd
? <bag pushrod, LEFT>
all in
"""
)


@pytest.mark.parametrize(
    ("line", "then"),
    [
        ("tight aileron LEFT", "at aileron LEFT, then: tight"),
        ("tight 25 in-lb at aileron L", "at aileron LEFT, then: tight 25 in-lb"),
        ("finger no aileron LH", "at aileron LEFT, then: finger no"),
        ("safe aileron LEFT", "at aileron LEFT, then: safe"),
        ("added aileron LEFT 1 AN960-10 because thin", "at aileron LEFT, then: added 1 AN960-10"),
        ("added 1 AN960-10 to aileron LEFT because thin", "at aileron LEFT, then: added 1 AN960-10"),
        ("new 1 AN960-10 aileron LEFT", "at aileron LEFT, then: new 1 AN960-10"),
        ("out 1 AN960-10 from aileron LEFT", "at aileron LEFT, then: out 1 AN960-10"),
        ("in 1 AN960-10 at aileron LEFT", "at aileron LEFT, then: in 1 AN960-10"),
        ("scrap 1 AN960-10 of aileron LEFT because bent", "at aileron LEFT, then: scrap 1 AN960-10"),
    ],
)
def test_what_names_another_position_is_not_recorded_of_the_one_in_hand(play, line, then):
    play.lines(PUT_BACK)
    before = standing(play)
    said = told(play(line, Tone.WRONG))
    assert "that names aileron, LEFT, and what is in hand is pushrod, LEFT" in said
    assert then in said
    assert standing(play) == before


def test_what_names_the_position_in_hand_is_taken(play):
    play.lines(PUT_BACK)
    assert "TIGHT  pushrod, LEFT" in told(play("tight pushrod LEFT"))
    joints = play.job.state.joints_of(position("pushrod LEFT"))
    assert [(joint.tight, joint.torque) for joint in joints] == [(1, "")]


def test_a_position_that_is_not_known_is_no_hardware(play):
    play.lines(BOTH_WINGS)
    said = told(play("back hinge LEFT 4 AN3-5A because one was missing", Tone.WRONG))
    assert "no 'hinge, LEFT' came off in this job" in said


@pytest.mark.parametrize("line", ["back aileron LEFT 3 AN3-6A because one was missing",
                                  "back aileron LEFT; 3 AN3-6A because one was missing"])  # fmt: skip
def test_what_goes_back_is_said_of_the_position_that_is_named(play, line):
    play.lines(BOTH_WINGS)
    assert "TO GO BACK  3 AN3-6A: aileron, LEFT" in told(play(line))
    state = play.job.state
    back = {p.name: [str(line) for j in state.joints_of(p) for line in j.back] for p in state.positions}
    assert "3 AN3-6A" in back["aileron"]
    assert not any("LEFT" in line for lines in back.values() for line in lines)


# -- the side, where an exact spot was named --------------------------------------------------------------------------


def test_at_a_spot_of_the_right_wing_a_left_part_is_asked_about(play):
    play.lines("~ zone wing RIGHT\noff aileron RIGHT; 2 AN3-5A\n~ at aileron RIGHT")
    said = told(play("off flap LEFT; 2 AN4-5A", Tone.ASK))
    assert "you stand at aileron, RIGHT" in said
    assert "expected: flap RIGHT" in said
    play("no", Tone.NOTE)
    play("off flap RIGHT; 2 AN4-5A")


def test_at_a_spot_on_the_centre_line_no_side_is_asked_about(play):
    play.lines("~ zone fuselage\noff mast CENTRE; 2 AN3-5A\n~ at mast CENTRE\noff fairing LEFT; 2 AN3-5A")


# -- a pair that is being marked --------------------------------------------------------------------------------------

ALIKE = """
off aileron LEFT; mark UP, arrow FWD; critical; pn 12-7; 4 AN3-5A
~ zone wing RIGHT
same aileron RIGHT; 3 AN3-5A; pn 12-9
"""


def test_of_a_pair_half_marked_nothing_is_told_but_what_is_still_to_be_marked(play):
    play.lines(ALIKE)
    said = told(play("marked aileron LEFT; dot INBD"))
    assert "marked aileron RIGHT; dot INBD" in said
    assert "PAIR DIFFERS" not in said
    assert told(play("marked aileron RIGHT; dot INBD")).count("\n") == 0


def test_marks_that_differ_where_each_tells_the_side_are_still_told(play):
    play.lines("""
        off aileron LEFT; mark UP, arrow FWD, dot INBD; 4 AN3-5A
        ~ zone wing RIGHT
    """)
    said = told(play("off aileron RIGHT; mark UP, arrow AFT, dot INBD; 4 AN3-5A"))
    assert "PAIR DIFFERS  aileron, marks" in said


def test_where_one_was_missing_the_line_to_type_is_told_whole(play):
    said = told(play.lines(ALIKE)[-1])
    assert "one was missing: back aileron RIGHT; 4 AN3-5A because ..." in said
    play("back aileron RIGHT; 4 AN3-5A because one was missing as found")
    assert "hardware as found" not in told(play("check", Tone.WRONG))


def test_what_was_answered_is_not_open_any_more(play):
    reply = play.lines(ALIKE)[-1]
    mark = next(line for line in told(reply).splitlines() if "why? design" in line).split()[2]
    assert "say why: part number" in told(play("status", Tone.NOTE))
    play(f"design {mark} because each side has its own")
    assert "say why: part number" not in told(play("status", Tone.NOTE))
    assert "answered by KT: each side has its own" in told(play("check", Tone.WRONG))


# -- part numbers of handed parts -------------------------------------------------------------------------------------

# odd left, even right: common practice, no source


@pytest.mark.parametrize(
    ("left", "right"),
    [("0523-1", "0523-2"), ("0523-001", "0523-002"), ("12-3400-L", "12-3400-R"), ("77LH", "77RH"), ("5-15", "5-16")],
)
def test_numbers_of_handed_parts_read_like_a_pair(left, right):
    assert told_handed(left, right).startswith("they read like")
    assert told_handed(right, left).startswith("EXCHANGED?")


@pytest.mark.parametrize(
    ("left", "right"),
    [("0523-2", "0523-3"), ("0523-1", "0523-4"), ("0523-1", "0617-2"), ("0523-L", "0617-R"), ("0523-9", "0523-10"),
     ("0523", "0524"), ("77LH", "77R"), ("77LH", "77LH")],
)  # fmt: skip
def test_other_numbers_read_like_nothing(left, right):
    assert told_handed(left, right) == told_handed(right, left) == ""


def test_handed_numbers_are_asked_as_such_and_not_let_pass(play):
    said = told(play.lines(ALIKE.replace("12-7", "12-1").replace("12-9", "12-2"))[-1])
    assert "they read like a left and a right one (odd left, even right is common): look at both plates" in said
    assert "pair-differs" in told(play("check", Tone.WRONG))


def test_handed_numbers_the_wrong_way_about_are_told_so(play):
    said = told(play.lines(ALIKE.replace("12-7", "12-2").replace("12-9", "12-1"))[-1])
    assert "EXCHANGED?" in said


# -- the words at a bag -----------------------------------------------------------------------------------------------

CASTLE = """
~ zone wing LEFT
off pushrod LEFT; [AN3-10 AN960-10 | AN960-10 AN320-3 MS24665-132]
? <tag pushrod, LEFT>
on
? <bag pushrod, LEFT>
"""


def test_a_finger_test_said_by_habit_costs_nothing(known):
    known.lines(CASTLE)
    said = told(known("all in new finger no tight safe"))
    assert said.startswith("ALL IN NEW TIGHT SAFE  pushrod, LEFT")
    assert "none is recorded" in said
    assert not any(row == FINGER for _, row in known.job.state.checks)
    assert "still" not in said


def test_nuts_that_run_on_by_finger_where_none_is_are_refused_whole(known):
    known.lines(CASTLE)
    known("all in new finger yes tight safe", Tone.WRONG)
    (joint,) = known.job.state.joints.values()
    assert not joint.tight


@pytest.mark.parametrize(
    "line",
    ["all in finger no new tight 15 in-lb safe", "all in tight 15 in-lb new safe", "all in tight 15 in-lb safe new",
     "all in new tight 15 in-lb safe"],
)  # fmt: skip
def test_new_may_stand_anywhere_in_the_line(known, line):
    known.lines(CASTLE)
    assert "still" not in told(known(line))
    (joint,) = known.job.state.joints.values()
    assert (joint.tight, joint.torque, joint.safe) == (1, "15 in-lb", True)


def test_new_is_no_torque(known):
    known.lines(CASTLE)
    known("all in tight new safe")
    assert [joint.torque for joint in known.job.state.joints.values()] == [""]


def test_one_look_alike_in_several_bags_is_one_line(known):
    known.lines("""
        ~ zone wing LEFT
        off hinge 1 LEFT; 2 AN3-5A
        off hinge 2 LEFT; 2 AN3-5A
        off hinge 3 LEFT; 2 AN3-5A
        off hinge 4 LEFT; 2 AN3-5A
    """)
    said = told(known("off aileron LEFT; 2 AN3-6A"))
    assert said.count("LOOKS LIKE") == 1
    first, fourth = (f"{code[:4]} {code[4:]}" for code in map(known.bag, ("hinge 1, LEFT", "hinge 4, LEFT")))
    assert f"AN3-5A in bag {first}, " in said
    assert "and 1 more: one grip shorter" in said
    assert fourth not in said


# -- where a refusal sends one ----------------------------------------------------------------------------------------


def test_what_is_off_already_names_the_word_for_what_was_forgotten(play):
    play("off cover LEFT; 8 AN526C832R8")
    said = told(play("off cover LEFT; 8 AN526C832R8; closes bellcrank L", Tone.WRONG))
    assert "also cover LEFT; ..." in said
    play("also cover LEFT; closes bellcrank L")


def test_a_part_named_without_its_tag_is_reprinted_by_its_name(play):
    play.lines(BOTH_WINGS)
    assert "reprint aileron LEFT because ..." in told(play("on aileron LEFT", Tone.WRONG))
    play("reprint aileron LEFT because torn off")


def test_a_look_at_what_nobody_named_leads_to_the_word_for_it(play):
    play.lines(BOTH_WINGS)
    assert "point rear spar LEFT" in told(play("look rear spar LEFT: no corrosion", Tone.WRONG))
    play.lines("point rear spar LEFT\nlook rear spar LEFT: no corrosion")
    assert "did you mean rear spar, LEFT?" in told(play("look rear spra LEFT: no corrosion", Tone.WRONG))


def test_a_look_that_nobody_asked_for_leads_to_the_word_for_it(play):
    play.lines(BOTH_WINGS)
    assert "point aileron LEFT" in told(play("look aileron LEFT: no corrosion", Tone.WRONG))


def test_what_is_taken_from_a_position_is_taken_there(play):
    play.lines("put 2 blue caps at aileron LEFT\nput 2 blue caps at flap LEFT\ntake 2 blue caps from flap LEFT")
    said = told(play("status", Tone.NOTE))
    assert "2 blue caps at aileron, LEFT" in said
    assert "2 blue caps at flap, LEFT" not in said


def test_a_tick_names_the_row_that_it_was_typed_for(play):
    play.lines("off aileron LEFT; critical; mark UP; 2 AN3-5A\n? <tag aileron, LEFT>\nup\n? <bag aileron, LEFT>")
    play.lines("all in tight safe\n~ by MB")
    said = told(play("inspect aileron LEFT; assembly: all three hinges; locking: ok", Tone.WRONG))
    assert "what was seen is not said of: locking" in said


@pytest.mark.parametrize("seen", ["some play at the rod end", "excessive play", "thread stripped", "lug damaged",
                                  "galled", "a gouge in the lug", "none on yet", "tip yet to go on"])  # fmt: skip
def test_words_of_a_defect_are_asked_about(seen):
    assert sounds_wrong(seen)


@pytest.mark.parametrize("seen", ["no play", "end play .003 in, within limits", "no damage found", "undamaged",
                                  "none fitted here"])  # fmt: skip
def test_words_that_say_it_is_right_are_not(seen):
    assert not sounds_wrong(seen)


# -- a fuel line ------------------------------------------------------------------------------------------------------


def test_the_fittings_of_a_line_and_its_leak_check_are_asked_for_once_said(play):
    said = told(play("disconnect fuel line LEFT; A: tank outlet; B: selector"))
    assert "loosened fuel line LEFT; 2 coupling nuts" in said
    assert "also fuel line LEFT; function" in said
    play.lines("loosened fuel line LEFT; 2 coupling nuts\nalso fuel line LEFT; function")
    play.lines("connect fuel line LEFT; A\nconnect fuel line LEFT; B")
    said = told(play("status", Tone.NOTE))
    assert "0 of 2 tight" in said
    assert "function of fuel line: no answer" in said
    play.lines("tight\nfunction fuel line LEFT: no leak at 5 psi")
    assert told(play("status", Tone.NOTE)) == "OPEN: 0"


def test_a_line_that_was_told_whole_is_not_asked_about(play):
    assert "nothing asks" not in told(play("disconnect brake line LEFT; function; 2 coupling nuts; in hole"))
    assert "nothing asks" not in told(play("disconnect landing light wire LEFT; A: lamp; B: ground stud"))


def test_tight_of_a_line_whose_fittings_nobody_told_says_how(play):
    play("disconnect fuel line LEFT; A: tank outlet; B: selector")
    assert "loosened fuel line LEFT; 2 coupling nuts, then: tight" in told(play("tight", Tone.WRONG))


def test_a_function_is_asked_of_wires_and_lines_alone(play):
    play("off panel LEFT; 2 AN3-5A")
    assert "point panel LEFT" in told(play("also panel LEFT; function", Tone.WRONG))


# -- one control, several critical parts ------------------------------------------------------------------------------

ONE_CONTROL = """
off aileron LEFT; mark UP; critical; 2 AN3-5A
off aileron pushrod LEFT; critical; 2 AN3-7A
? <tag aileron, LEFT>
up
? <bag aileron, LEFT>
all in tight safe
? <tag aileron pushrod, LEFT>
on
? <bag aileron pushrod, LEFT>
all in tight safe
command aileron LEFT + aileron pushrod LEFT: stick left
~ by MB
"""
ALL_OF_IT = "inspect aileron LEFT + aileron pushrod L; travel: stop to stop, free; sense: UP; tension: no cable touched"


def looks_owed(play):
    found = [f for f in reconcile(play.job.refresh()).unanswered if f.kind.value == "not-inspected"]
    return sorted(f"{f.thing.split(' of ')[0]} {f.position.name}" for f in found)


def test_what_a_whole_control_shows_is_said_once_of_its_parts(play):
    play.lines(ONE_CONTROL)
    assert len(looks_owed(play)) == 12
    said = told(play(ALL_OF_IT))
    assert "aileron pushrod, LEFT; still to answer: assembly, interaction, locking" in said
    assert looks_owed(play) == sorted(
        f"{row} {part}" for row in ("assembly", "locking", "interaction") for part in ("aileron", "aileron pushrod")
    )
    # each part has its own answer: what is worked on again is looked at again, and nothing else
    play.lines("~ by KT\n~ at aileron pushrod LEFT\nloosened aileron pushrod LEFT\ntight\nsafe")
    assert "sense aileron" not in looks_owed(play)
    assert "sense aileron pushrod" in looks_owed(play)


@pytest.mark.parametrize(
    "row",
    ["assembly: all pins in", "locking: cotters bent", "interaction: clear of the skin",
     "travel: not available, nobody in the cockpit", "not available: nobody there"],
)  # fmt: skip
def test_what_is_looked_at_on_each_part_is_not_said_of_all(play, row):
    play.lines(ONE_CONTROL)
    said = told(play(f"inspect aileron LEFT + aileron pushrod LEFT; sense: UP; {row}", Tone.WRONG))
    assert "of each part by itself" in said
    assert len(looks_owed(play)) == 12


def test_of_parts_looked_at_together_each_rule_holds_for_each(play):
    play.lines(ONE_CONTROL)
    assert "MOVES THE WRONG WAY" in told(play(ALL_OF_IT.replace("sense: UP", "sense: DOWN"), Tone.ASK))
    play.lines("~ no\n~ by KT")
    assert "worked on aileron, LEFT" in told(play(ALL_OF_IT, Tone.WRONG))
    play.lines("~ at aileron pushrod LEFT\nloosened aileron pushrod LEFT\n~ by MB")
    assert "the aileron pushrod, LEFT is not finished" in told(play(ALL_OF_IT, Tone.WRONG))
    assert len(looks_owed(play)) == 12


def test_the_direction_is_that_of_the_trailing_edge(play):
    # a balance weight ahead of the hinge goes the other way; what is asked for is said with it
    play.lines(ONE_CONTROL)
    assert "said of its trailing edge" in told(play("inspect aileron LEFT; sense: DOWN", Tone.ASK))


def test_what_each_row_means_is_told_once(play):
    play.lines(ONE_CONTROL)
    said = told(play("check", Tone.WRONG))
    assert said.count("every lock is fitted") == 1
    assert said.count("assembly, locking, travel, sense, tension, interaction") == 2
    assert "inspect POSITION + POSITION; travel: what was seen" in said


def test_a_bolt_that_was_backed_off_alone_lies_in_nobodys_way(known):
    known.lines("~ zone wing LEFT\nloosened bellcrank LEFT; 1 AN3-6A")
    assert "LOOKS LIKE" not in told(known("off aileron LEFT; 2 AN3-5A"))
    known("off flap LEFT; 2 AN3-6A")
    assert "LOOKS LIKE  AN3-6A in bag" in told(known("off hinge LEFT; 2 AN3-5A"))


# -- a flight control that nobody called critical ---------------------------------------------------------------------


@pytest.mark.parametrize(
    "line",
    ["off flap LEFT; 2 AN3-5A", "loosened aileron bellcrank LEFT; 1 AN4-11", "aside elevator push rod LEFT; 1 AN3-5A",
     "disconnect rudder cable LEFT; A: horn; B: turnbuckle"],
)  # fmt: skip
def test_a_flight_control_that_was_not_said_to_be_critical_is_asked_about(play, line):
    said = told(play(line))
    assert "no second person is asked to look" in said
    play(said[said.index("also ") :].splitlines()[0])
    assert [known.critical for known in play.job.state.positions.values()] == [True]


@pytest.mark.parametrize(
    "line",
    ["off flap LEFT; critical; 2 AN3-5A", "off aileron tip fairing LEFT; 8 AN525-10R8", "off cowl flap LEFT; 2 AN3-5A",
     "off inspection cover, aileron bellcrank LEFT; 8 AN525-10R8", "disconnect landing light wire LEFT; A: 1; B: 2"],
)  # fmt: skip
def test_what_is_critical_or_no_control_is_not(play, line):
    assert "critical:" not in told(play(line))


def test_it_is_asked_once_and_not_of_the_other_side_again(play):
    play.lines("loosened aileron bellcrank LEFT; 1 AN4-11\ntight")
    assert "critical" not in told(play("loosened aileron bellcrank LEFT"))
    play("zone wing RIGHT", Tone.NOTE)
    assert "critical" not in told(play("same aileron bellcrank RIGHT"))


def test_a_finger_test_is_recorded_of_the_joints_with_such_a_nut_alone(known):
    known.lines(CASTLE.replace("MS24665-132]", "MS24665-132]; [AN3-6A AN960-10 | MS21044N3]"))
    known("all in new finger no tight safe")
    tested = [known.job.state.joints[subject] for subject, row in known.job.state.checks if row == FINGER]
    assert [joint.stack.lines[0].text for joint in tested] == ["AN3-6A"]


def test_a_setting_that_lapsed_tells_what_was_read_before(play):
    play.lines("off pushrod LEFT; 2 AN3-5A\nsetting pushrod LEFT; as found 7 threads\n? <tag pushrod, LEFT>\non")
    play.lines("? <bag pushrod, LEFT>\nall in tight\nsetting pushrod LEFT; as left 7 threads")
    assert "setting" not in play.kinds()
    play.lines("loosened pushrod LEFT\ntight")
    said = told(play("check", Tone.WRONG))
    assert "seen as left 7 threads, read before the last work here" in said
    assert "read it again and say so" in said


def test_a_name_that_was_mistyped_is_answered_with_those_like_it_alone(play):
    play.lines("\n".join(f"off panel {number} LEFT; 8 screws" for number in range(1, 9)) + "\noff flap LEFT; 2 AN3-5A")
    said = told(play("at flop LEFT", Tone.WRONG))
    assert "expected: flap, LEFT\n" in said
    assert "did you mean flap, LEFT?" in said


def test_who_spoke_of_one_spot_is_told_how_to_go_on_in_the_zone(play):
    play.lines("off flap LEFT; 2 AN3-5A\nloosened horn LEFT; 1 AN4-11\n~ at horn LEFT\ntight")
    said = told(play(play.filled("<tag flap, LEFT>"), Tone.WRONG))
    assert "You are at horn, LEFT." in said
    assert "Scan the zone card, or say: zone wing LEFT" in said
    play.lines("~ zone wing LEFT\n? <tag flap, LEFT>")


def test_both_of_a_pair_are_marked_in_one_line_and_one_step(play):
    said = told(play.lines(ALIKE)[-1])
    assert said.count("marked aileron") == 1
    assert "marked aileron LEFT + RIGHT; dot INBD" in said
    said = told(play("marked aileron L + R; dot INBD"))
    assert said.splitlines() == ["MARKED  aileron, LEFT: mark UP, arrow FWD, dot INBD",
                                 "MARKED  aileron, RIGHT: mark UP, arrow FWD, dot INBD"]  # fmt: skip
    assert "pair-looks-alike" not in play.kinds()
    play("undo")
    assert "pair-looks-alike" in play.kinds()
    assert {str(part.marks) for part in play.job.state.parts.values()} == {"mark UP, arrow FWD"}


def test_where_one_of_both_bears_the_mark_nothing_is_recorded(play):
    play.lines(ALIKE + "marked aileron LEFT; dot INBD")
    before = standing(play)
    said = told(play("marked aileron LEFT + aileron RIGHT; dot INBD", Tone.WRONG))
    assert "the aileron, LEFT bears these marks already" in said
    assert standing(play) == before


def test_the_other_sides_line_has_its_fittings_backed_off_too(play):
    play.lines("disconnect fuel line LEFT; A: tank; B: selector; function\nloosened fuel line LEFT; 2 coupling nuts")
    play("zone wing RIGHT", Tone.NOTE)
    said = told(play("same fuel line RIGHT"))
    assert "     2 coupling nuts\n" in said
    assert "lies loose" not in said
    play.lines("connect fuel line RIGHT; A\nconnect fuel line RIGHT; B")
    assert told(play("status", Tone.NOTE)).count("0 of 2 tight") == 2
    play.lines("tight\nfunction fuel line RIGHT: dry")
    assert "fuel line, RIGHT" not in told(play("status", Tone.NOTE))


# -- one of several ---------------------------------------------------------------------------------------------------

SCREWS = """
off cover LEFT; 8 screws, 8 AN960-8
? <tag cover, LEFT>
on
? <bag cover, LEFT>
"""


def test_one_screw_of_eight_screws_is_one_of_them(play):
    play.lines(SCREWS + "! in 8 AN960-8")
    play("in 1 screw", None)
    play("out 1 screw")
    play("scrap 1 screw because stripped")
    play("dropped 1 screw", Tone.WRONG)
    (joint,) = play.job.state.joints.values()
    assert {item.name: count for item, count in play.job.state.holdings[joint.kept].items()} == {"SCREWS": 6}
    play.lines("back 9 screw because one was missing")
    assert [str(line) for line in joint_of(play).back] == ["8 AN960-8", "9 screws"]
    play("used 1 long screw instead of 1 screw because the hole was dressed", None)
    assert "8 screws" in [str(line) for line in joint_of(play).back]


def joint_of(play):
    return next(iter(play.job.state.joints.values()))


def test_a_callout_is_never_read_as_another_one(play):
    play.lines(SCREWS)
    assert "1 AN960-8S in bag" in told(play("in 1 AN960-8S", Tone.WRONG))
    assert "1 bolt in bag" in told(play("in 1 bolt", Tone.WRONG))


def test_where_both_words_are_known_each_is_its_own(play):
    play.lines("off lens LEFT; 6 screws, 1 screw\n? <tag lens, LEFT>\non\n? <bag lens, LEFT>")
    play("in 1 screw", None)
    lying = play.job.state.holdings[joint_of(play).kept]
    assert {item.name: count for item, count in lying.items()} == {"SCREWS": 6}


@pytest.mark.parametrize("put", ["put 3 rags in wing LEFT", "put 3 rags at wing LEFT", "put 3 rags on wing LEFT"])
@pytest.mark.parametrize("take", ["take 3 rags out of wing LEFT", "take 3 rags from wing LEFT", "take 3 rags"])
def test_rags_in_a_wing_are_rags(play, put, take):
    assert "ABOARD  3 rags at wing LEFT" in told(play(put))
    play(take)
    assert told(play("status", Tone.NOTE)) == "OPEN: 0"


def test_a_thing_may_be_called_by_what_it_sits_in(play):
    assert "ABOARD  1 plug in vent at wing LEFT" in told(play("put 1 plug in vent"))

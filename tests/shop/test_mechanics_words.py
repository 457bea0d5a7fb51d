"""What a mechanic types who has read the README and nothing else, and what is answered."""

from __future__ import annotations

import pytest
from builders import Play

from tagtrack.cli.screen import show
from tagtrack.core import leftover
from tagtrack.core.callout import Decoder
from tagtrack.core.events import Head
from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import position
from tagtrack.shop.lines.talk import Tone
from tagtrack.tables.loader import load


@pytest.fixture
def play():
    made = Play()
    made("zone tail LEFT", Tone.NOTE)
    return made


def told(reply):
    return "\n".join(reply.lines)


# -- lost, and out of which bag ---------------------------------------------------------------------------------------

TWO_BAGS = """
~ zone wing LEFT
off aileron LEFT; mark UP, arrow FWD; 2 AN960-10
~ zone tail LEFT
off weight LEFT; 4 AN960-10
"""


def bag_holds(play, position):
    return sum(
        count for place, lots in play.job.state.holdings.items() if place.name == play.bag(position)
        for count in lots.values()
    )  # fmt: skip


def test_what_is_lost_from_a_named_position_comes_out_of_its_bag(play):
    play.lines(TWO_BAGS)
    said = told(play("lost 1 AN960-10 from aileron LH", Tone.WRONG))
    code = play.bag("aileron, LEFT")
    assert f"taken from bag {code[:4]} {code[4:]} of aileron, LEFT; lost in wing LEFT" in said
    assert (bag_holds(play, "aileron, LEFT"), bag_holds(play, "weight, LEFT")) == (1, 4)
    (finding,) = [f for f in reconcile(play.job.state).unanswered if f.kind.value == "lost"]
    assert finding.area == "wing LEFT"


def test_a_bag_that_was_scanned_before_is_not_charged_for_another_position(play):
    play.lines(f"{TWO_BAGS}\n? <bag weight, LEFT>")
    play("lost 1 AN960-10 from aileron LH", Tone.WRONG)
    assert bag_holds(play, "weight, LEFT") == 4


def test_a_bag_that_was_scanned_before_something_else_came_off_is_not_charged(play):
    play.lines("off aileron LEFT; 2 AN960-10\n? <bag aileron, LEFT>\noff weight LEFT; 4 AN960-10")
    assert "of weight, LEFT" in told(play("lost 1 AN960-10", Tone.WRONG))


def test_where_nothing_is_named_the_one_in_hand_is_charged_and_named(play):
    play.lines(TWO_BAGS)
    assert "of weight, LEFT; lost in tail LEFT" in told(play("lost 1 AN960-10", Tone.WRONG))
    assert bag_holds(play, "weight, LEFT") == 3


def test_an_area_that_is_said_is_kept_before_and_behind_the_position(play):
    play.lines(TWO_BAGS)
    said = told(play("lost 1 AN960-10 from aileron LH in tail LEFT", Tone.WRONG))
    assert "of aileron, LEFT; lost in tail LEFT" in said
    said = told(play("lost 1 AN960-10 in wing LEFT from weight LH", Tone.WRONG))
    assert "of weight, LEFT; lost in wing LEFT" in said


def test_a_position_that_never_came_off_has_lost_nothing(play):
    play.lines(TWO_BAGS)
    assert "no 'rudder, CENTRE' came off" in told(play("lost 1 AN960-10 from rudder C", Tone.WRONG))
    assert not play.job.state.losses


# -- a loss that is given up needs two --------------------------------------------------------------------------------

LOST = "off weight LEFT; 4 AN960-10\n! lost 1 AN960-10\n"


def lost_row(play):
    state = play.job.refresh()
    sections = leftover.report(state, reconcile(state), Head("test", 1, "0" * 64), printed="").sections
    (found,) = [each for each in sections if each.heading.startswith("Lost items")]
    return found.table.rows[0][-1]


def test_a_loss_nobody_searched_for_is_not_given_up_without_a_question(play):
    play.lines(LOST)
    for said in ("not aboard by Uncle Bob: found none", "accepted by Mo Beispiel: found none"):
        assert "no search for AN960-10 is recorded" in told(play(f"case L1 {said}", Tone.ASK))
        play("no", Tone.NOTE)
    play.lines("case L1 searched tail: mirror and lamp\ncase L1 not aboard by Uncle Bob: found none")


def test_a_search_that_is_told_with_it_is_enough(play):
    play.lines(f"{LOST}case L1 accepted by Olga Owner: searched the whole tail")


def test_who_is_no_person_of_the_shop_stands_there_as_named_by_the_one_who_typed(play):
    play.lines(f"{LOST}case L1 searched tail: mirror")
    said = told(play("case L1 accepted by Uncle Bob: found none"))
    assert "with Uncle Bob: named by Kari Testad (KT), not confirmed; nobody who works in this shop" in said
    assert "named by Kari Testad (KT), not confirmed" in lost_row(play)


@pytest.mark.parametrize("second", ["MB", "Mo Beispiel", "mo beispiel"])
def test_a_person_of_the_shop_says_it_too(play, second):
    play.lines(f"{LOST}case L1 searched tail: mirror")
    said = told(play(f"case L1 not aboard by {second}: found none"))
    assert "named by Kari Testad (KT), not confirmed" in said
    assert "Mo Beispiel says it too: by MB, then: case L1 not aboard:" in said
    play("case L1 not aboard: once more", Tone.WRONG)
    play.lines("~ by MB\n! case L1 accepted: something else")
    said = told(play("case L1 not aboard: looked into the sump as well"))
    assert "with Mo Beispiel (MB), who said it too" in said
    assert "not confirmed" not in lost_row(play)
    assert "is closed" in told(play("case L1 not aboard: and again", Tone.WRONG))


# -- how many of how many ---------------------------------------------------------------------------------------------


def test_what_is_short_is_told_by_what_is_missing_and_not_by_what_is_in(play):
    play.lines("off weight LEFT; 4 AN960-10\n? <tag weight, LEFT>\non\n? <bag weight, LEFT>\n! in 3 AN960-10")
    assert "1 of 4 AN960-10 still to go in" in told(play("status", Tone.NOTE))
    assert "still open: 1 of 4 AN960-10 still to go in" in told(play("tight"))


def test_hardware_in_plain_words_is_counted_so_too(play):
    play.lines("off weight LEFT; 11 trim screws, short\n? <tag weight, LEFT>\non")
    said = told(play("status", Tone.NOTE))
    assert "11 of 11 TRIM SCREWS, SHORT still to go in" in said
    assert "0 TRIM SCREWS" not in said


# -- the same, but for what is its own --------------------------------------------------------------------------------


def test_a_part_number_is_never_taken_from_the_other_side(play):
    play.lines("off aileron LEFT; pn 99-1; sn 5; mark UP; put shelf 2; 2 AN3-5A\n~ zone tail RIGHT")
    said = told(play("same aileron RH"))
    assert "not taken from the other side (99-1): say it behind same" in said
    part = play.job.state.part_from(position("aileron RIGHT"))
    assert (part.number, part.serial) == ("", "")


def test_what_is_otherwise_on_this_side_is_said_behind_same(play):
    play.lines("off aileron LEFT; pn 99-1; sn 5; mark UP; 2 AN3-5A\n~ zone tail RIGHT")
    said = told(play("same aileron RH; pn 99-2; sn 6; put shelf 3; mark DOWN, arrow FWD; 3 AN3-5A"))
    for each in ("pn 99-2", "sn 6", "at shelf 3", "mark DOWN, arrow FWD", "3 AN3-5A"):
        assert each in said
    assert "not taken from" not in said


def test_of_a_part_number_that_differs_nothing_is_said_of_missing_hardware(play):
    play.lines("off aileron LEFT; pn 99-1; 2 AN3-5A\noff horn LEFT; 2 AN3-5A\n~ zone tail RIGHT")
    said = told(play("same aileron RH; pn 99-2"))
    assert "PAIR DIFFERS" in said
    assert "one was missing" not in said
    assert "one was missing" in told(play("same horn RH; 1 AN3-5A"))


def test_same_without_a_name_takes_clauses_too(play):
    play.lines("off aileron LEFT; mark UP; 2 AN3-5A\n~ zone tail RIGHT")
    assert "sn 6" in told(play("same; sn 6"))


def test_same_with_hardware_left_out_or_counted_later(play):
    play.lines("off aileron LEFT; 2 AN3-5A\noff horn LEFT; 2 AN3-5A\n~ zone tail RIGHT")
    assert "not counted yet" in told(play("same aileron RH; count later"))
    assert "AN3-5A" not in told(play("same horn RH; none")).split("PAIR")[0]


STACKS = "off aileron LEFT; 4x [AN3-5A AN960-10 | AN960-10 MS21044N4]\n~ zone tail RIGHT\n"


@pytest.mark.parametrize("count", ["4 MS21044N4", "8 AN960-10", "3 AN3-5A, 3 MS21044N4", "3x [AN3-5A | MS21044N4]"])
def test_a_count_that_fits_the_stacks_is_taken(play, count):
    play.lines(STACKS)
    said = told(play(f"same aileron RH; {count}"))
    assert f"     {'3x' if count[0] == '3' else '4x'} [" in said


def test_a_count_that_may_mean_two_things_is_refused_in_clear_words(play):
    play.lines(STACKS)
    said = told(play("same aileron RH; 3 MS21044N4", Tone.WRONG))
    assert "is counted by stacks" in said
    assert "same aileron RIGHT; 3x [AN3-5A AN960-10 | AN960-10 MS21044N4]" in said
    play("same aileron RIGHT; 3x [AN3-5A AN960-10 | AN960-10 MS21044N4]")


# -- out of the joint, and where to -----------------------------------------------------------------------------------

NUTS = """
~ zone tail RIGHT
off hinge RIGHT; 2x [AN3-5A AN960-10 | AN960-10 MS21042-3]
~ zone tail LEFT
off hinge LEFT; 2x [AN3-5A AN960-10 | AN960-10 MS21042-3]
? <tag hinge, LEFT>
on
? <bag hinge, LEFT>
"""


@pytest.fixture
def known():
    made = Play()
    made.job.shop.knowledge = Decoder(load())
    return made


def test_what_comes_out_is_told_where_it_went(known):
    known.lines(NUTS + "all in finger yes tight")
    said = told(known("out 2 MS21042-3, 1 AN960-10"))
    assert "2 MS21042-3 scrapped: not to be used again" in said
    bag = known.bag("hinge, LEFT")
    assert f"1 AN960-10 to bag {bag[:4]} {bag[4:]}" in said


def test_scrapping_once_more_never_offers_the_other_sides_bag(known):
    known.lines(NUTS + "all in finger yes tight\nout 2 MS21042-3")
    said = told(known("scrap 2 MS21042-3 because they ran on", Tone.WRONG))
    other = known.bag("hinge, RIGHT")
    assert "2 of them are scrapped already" in said
    assert f"{other[:4]} {other[4:]}" not in said


def test_what_lies_in_its_own_bag_is_scrapped_out_of_it(known):
    known.lines(NUTS)
    assert "from bag" in told(known("scrap 1 MS21042-3 because it is bent"))


# -- put aboard -------------------------------------------------------------------------------------------------------


def test_on_is_as_good_as_at(play):
    play.lines("off aileron LEFT; 2 AN3-5A")
    assert "ABOARD  1 gust lock at aileron, LEFT" in told(play("put 1 gust lock on aileron LH"))
    play("take 1 gust lock on aileron LH")
    assert "still-aboard" not in play.kinds()


def test_the_side_is_asked_of_what_is_known_by_its_side(play):
    play.lines("off elevator LEFT; 2 AN3-5A")
    said = told(play("put 2 blue caps at elevator", Tone.WRONG))
    assert "which side is 'elevator' on?" in said
    assert "type: elevator LEFT" in said


def test_a_place_that_is_known_by_no_side_is_taken_as_it_is(play):
    play.lines("off elevator LEFT; 2 AN3-5A\nput 2 blue caps at cockpit\ntake 2 blue caps at cockpit")


def test_the_side_that_is_offered_is_that_of_the_zone(play):
    play.lines("off static wick LEFT; 2 AN3-5A\n~ zone tail RIGHT")
    assert "type: static wick RIGHT" in told(play("same static wick", Tone.WRONG))
    play("zone tail", Tone.NOTE)
    assert "type: static wick LEFT" in told(play("same static wick", Tone.WRONG))


# -- a wire at another terminal ---------------------------------------------------------------------------------------

WIRE = "disconnect motor CENTRE; A: terminal 3; B: terminal 4\n? <wire motor, CENTRE A>\n"


def test_a_crossed_wire_is_asked_about_before_it_is_recorded(play):
    play.lines(WIRE)
    said = told(play("4", Tone.ASK))
    assert "STOP: end A of motor, CENTRE came from terminal 3" in said
    assert "really so?" in said
    assert not any(end.made for end in play.job.state.ends.values())


def test_after_no_the_end_is_still_in_hand(play):
    play.lines(WIRE + "? 4\n~ no\n3")
    assert [end.terminal for end in play.job.state.ends.values() if end.made] == ["terminal 3"]


def test_it_really_is_so_is_recorded_and_stays_a_finding(play):
    play.lines(WIRE + "? 4\n! yes, because the harness was renewed")
    assert [end.terminal for end in play.job.state.ends.values() if end.made] == ["terminal 4"]


def test_the_right_terminal_is_not_asked_about(play):
    play.lines(WIRE + "terminal 3\n? <wire motor, CENTRE B>\n4")


# -- finger test ------------------------------------------------------------------------------------------------------


def test_a_finger_test_where_no_self_locking_nut_is_refused(known):
    known.lines(NUTS + "all in\noff cover LEFT; 4 AN525-10R8")
    said = told(known("finger no", Tone.WRONG))
    assert "no self-locking nut at the cover, LEFT" in said
    known("at hinge LEFT", Tone.NOTE)
    known("finger no")


def test_the_finding_names_the_position_to_say_it_of(known):
    known.lines(NUTS + "all in tight")
    assert "at hinge LEFT, then: finger no" in told(known("check", Tone.WRONG))


def test_a_nut_that_no_table_knows_may_be_self_locking(known):
    known.lines("~ zone tail LEFT\noff cover LEFT; 4 K1000-XYZ\n? <tag cover, LEFT>\non\n? <bag cover, LEFT>")
    known("all in finger no tight")


# -- recorded or not --------------------------------------------------------------------------------------------------


def test_what_was_not_recorded_stands_in_a_line_of_its_own(play, capsys):
    play.lines("off cuff LEFT; 2 AN3-5A\n? off cuff RIGHT; 2 AN3-5A")
    reply = play("off horn LEFT; 2 AN3-5A")
    show(reply)
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("!!! NOT RECORDED")
    assert lines[1].startswith(" ok OFF  horn, LEFT")


# -- much like, and not at all alike ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("known_as", "typed", "asked"),
    [
        ("elevator trim tab", "elevator trim pushrod", False), ("elevator bonding strap", "elevator down stop", False),
        ("elevator trim tab", "elevator trim tube", False), ("hinge bracket", "hinge", False),
        ("hinge bracket", "bracket", False), ("upper hinge bracket", "lower hinge bracket", False),
        ("elevator trim tab", "trim tab", True), ("trim tab", "elevator trim tab", True),
        ("elevator trim tab", "elevater trim tab", True), ("elevator trim tab", "elevator trimtab", True),
        ("elevator trim tab", "trim tab elevator", True), ("hinge bracket", "hinge braket", True),
        ("cover", "covre", True),
    ],
)  # fmt: skip
def test_a_name_is_asked_about_where_it_is_most_likely_a_slip(play, known_as, typed, asked):
    play(f"off {known_as} LEFT; 2 AN3-5A")
    reply = play(f"off {typed} LEFT; 2 AN3-5A", None)
    assert (reply.tone is Tone.ASK) is asked
    assert (f"much like '{known_as}'" in told(reply)) is asked


# -- which way the marks point ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("marks", "asked"), [
    ("mark UP, arrow FWD", "mark, then arrow: for example fwd up "),
    ("arrow FWD, dot UP", "arrow, then dot: for example up aft "),
    ("mark FWD", "mark: for example up "),
])  # fmt: skip
def test_the_order_that_is_asked_is_that_of_the_marks_and_the_example_is_not_the_answer(play, marks, asked):
    play(f"off horn LEFT; critical; {marks}; 2 AN3-5A")
    said = told(play("<tag horn, LEFT>", Tone.ASK))
    assert asked in said


def test_where_both_sides_lie_in_one_area_the_side_is_asked_first(play):
    play("zone tail", Tone.NOTE)
    play.lines("off horn LEFT; mark UP, arrow FWD; 2 AN3-5A\nsame horn RIGHT\n? <tag horn, LEFT>")
    said = told(play("up fwd", Tone.ASK))
    assert "LEFT or RIGHT, then mark, then arrow: for example fwd up" in said
    play("left up fwd")

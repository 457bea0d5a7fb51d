"""Hardware that the record leaves in its joint, or books into another, while hands did something else."""

from __future__ import annotations

import pytest
from stories import KNOWLEDGE, refit, told

from tagtrack.core import places
from tagtrack.core.events import Moved
from tagtrack.core.findings import Kind
from tagtrack.core.places import Move, Place, PlaceKind
from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import position
from tagtrack.shop.lines.talk import Tone
from tagtrack.shop.ports import Who


def findings(play, **how):
    """Return what a check finds, without the tags that hang about."""
    found = reconcile(play.job.refresh(), KNOWLEDGE, **how).unanswered
    return [f for f in found if f.kind is not Kind.TAGS_OUT and f.position]


def kinds(play, **how):
    return {f.kind for f in findings(play, **how)}


def inside(play, where, number=0):
    """Return what is in a joint of a position, by spec."""
    state = play.job.refresh()
    joint = state.joints_of(position(where))[number]
    return {
        item.name: count
        for place, lots in state.holdings.items() if place.name == joint.identity and place.kind.value == "joint"
        for item, count in lots.items()
    }  # fmt: skip


# -- a connection parted again ----------------------------------------------------------------------------------------


def test_the_screws_of_a_connection_come_out_each_time_that_it_is_parted(play):
    play.lines("disconnect plug LEFT; keyed; 2 AN525-10R8\nconnect plug LEFT\n~ at plug LEFT\nall in tight")
    assert not findings(play)
    play("disconnect plug LEFT; keyed")
    assert not inside(play, "plug LEFT")
    play("connect plug LEFT")
    assert kinds(play) == {Kind.SHORT, Kind.LEFT_OVER}
    play("all in")
    assert kinds(play) == {Kind.NOT_TIGHT}
    play.lines("tight")
    assert not findings(play)


def test_the_screws_of_a_wire_that_was_moved_to_its_terminal_are_tight_no_more(play):
    play.lines("disconnect plug LEFT; A: terminal 1; B: terminal 2; 2 AN525-10R8")
    play.lines("? connect plug LEFT; A; terminal 2\n! yes, because so it is")
    play.lines("? connect plug LEFT; B; terminal 1\n! yes, because so it is\n~ at plug LEFT\nall in tight")
    play.lines("connect plug LEFT; A; terminal 1\nconnect plug LEFT; B; terminal 2")
    assert kinds(play) == {Kind.NOT_TIGHT}
    play("tight")
    assert not findings(play)


def test_a_plug_without_screws_is_parted_again_without_a_word(play):
    play.lines("disconnect plug LEFT; keyed\nconnect plug LEFT\ndisconnect plug LEFT; keyed\nconnect plug LEFT")
    assert not findings(play)


def test_a_plug_of_which_the_screws_stayed_is_asked_about(play):
    play.lines("disconnect plug LEFT; keyed; 2 AN525-10R8\nconnect plug LEFT\n~ at plug LEFT\nall in tight")
    assert "2 AN525-10R8" in told(play("disconnect plug LEFT; keyed; none", Tone.ASK))
    play("yes, because the shell was unlocked and the screws stayed in the bracket")
    play("connect plug LEFT")
    assert kinds(play) == {Kind.NOT_TIGHT}


# -- a part that leaves what holds it ---------------------------------------------------------------------------------


def test_none_is_asked_about_where_its_own_bolts_are_in(play):
    play.lines("off horn LEFT; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight")
    asked = told(play("off horn LEFT; none", Tone.ASK))
    assert "what holds the horn, LEFT is in" in asked
    assert "2 AN3-5A" in asked
    play.lines("off horn LEFT\n? <tag horn, LEFT>\non")
    assert kinds(play) == {Kind.SHORT, Kind.LEFT_OVER}


def test_bolts_that_stayed_in_around_a_part_that_came_off_are_loose(play):
    play.lines("off horn LEFT; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight\n? off horn LEFT; none")
    play.lines("yes, because it slid out from under them\n? <tag horn, LEFT>\non")
    assert kinds(play) == {Kind.NOT_TIGHT}


SHARED = """
off tube LEFT; 1x [AN3-12A AN960-10 | MS21044N3]; clamps horn LEFT + stop LEFT
? <tag tube, LEFT>
on
? <bag tube, LEFT>
all in finger no tight
"""


@pytest.mark.parametrize("said", ["off stop LEFT; none", "off stop LEFT; 2 AN3-5A"])
def test_a_shared_bolt_is_asked_about_when_what_it_clamps_comes_off(play, said):
    play.lines(SHARED)
    asked = told(play(said, Tone.ASK))
    assert "1 AN3-12A" in asked
    assert "tube, LEFT" in asked
    play.lines("~ at tube LEFT\nout 1 AN3-12A, 1 AN960-10, 1 MS21044N3\n~ at stop LEFT")
    play(said)
    play.lines("? <tag stop, LEFT>\non")
    if "2 AN3" in said:
        play.lines("? <bag stop, LEFT>\nall in tight")
    assert kinds(play) == {Kind.SHORT, Kind.LEFT_OVER}
    play.lines("~ at tube LEFT\n? <bag tube, LEFT>\nall in finger no tight")
    assert not findings(play)


def test_a_part_under_a_shared_bolt_that_lies_in_its_bag_comes_off_without_a_word(play):
    play.lines("off tube LEFT; 1 AN3-12A; clamps horn LEFT + stop LEFT\noff stop LEFT; none\noff horn LEFT; 2 AN3-5A")


@pytest.mark.parametrize("fate", ["scrap because cracked", "lost"])
def test_a_cover_held_by_a_few_screws_is_not_thrown_away_from_under_them(play, fate):
    play.lines("off fairing LEFT; 4 AN525-10R8\n" + refit("fairing, LEFT") + "all in tight")
    play.lines("temporarily fairing LEFT held by 2 screws\n? <tag fairing, LEFT>")
    assert "4 AN525-10R8" in told(play(fate, Tone.ASK))
    play.lines("off fairing LEFT\n? <tag fairing, LEFT>\nscrap because cracked\n! <tag fairing, LEFT>\nreplace; pn 5")
    assert kinds(play) == {Kind.SHORT, Kind.LEFT_OVER}


def test_a_trial_fit_without_hardware_is_thrown_away_without_a_word(play):
    play.lines("off horn LEFT; 2 AN3-5A\n? <tag horn, LEFT>\ntrial on\n? <tag horn, LEFT>\nscrap because cracked")


def test_a_part_that_slides_out_of_a_slackened_clamp_is_asked_nothing(play):
    play.lines("loosened collar LEFT; 1 AN3-5A; clamps horn LEFT\noff horn LEFT; none\n? <tag horn, LEFT>\non")
    assert {(f.kind, str(f.position)) for f in findings(play)} == {(Kind.NOT_TIGHT, "collar, LEFT")}
    play.lines("~ at collar LEFT\ntight")
    assert not findings(play)
    play("off horn LEFT", None)


def test_what_is_loosened_beside_it_is_named(play):
    play.lines(CLAMPED + "? <bag tube, LEFT>\nall in tight\n? <bag horn, LEFT>\nall in tight")
    assert "at tube LEFT, then tight" in told(play("loosened horn LEFT"))
    play.lines("tight\n~ at tube LEFT\ntight")
    assert not findings(play)


def test_hardware_and_none_in_one_line_are_not_taken(play):
    assert "the one or the other" in told(play("off horn LEFT; 2 AN3-5A; none", Tone.WRONG))


# -- nothing holds it -------------------------------------------------------------------------------------------------


def test_that_nothing_holds_a_part_is_said_once(play):
    play.lines("off horn LEFT; none\n? <tag horn, LEFT>\non\noff horn LEFT")
    assert not [tag for tag in play.job.state.tags.values() if tag.role.value == "bag"]
    play.lines("~ zone tail RIGHT\nsame horn RIGHT\n~ zone tail LEFT\n? <tag horn, LEFT>\non")
    play.lines("~ zone tail RIGHT\n? <tag horn, RIGHT>\non")
    assert not findings(play)


# -- the bag of another position --------------------------------------------------------------------------------------

TWO = """
off horn LEFT; 2 AN3-5A
off stop LEFT; 2 AN3-5A
? <tag horn, LEFT>
on
? <tag stop, LEFT>
on
~ at stop LEFT
"""


@pytest.mark.parametrize("said", ["all in tight", "in 2 AN3-5A"])
def test_a_reason_books_the_other_bag_into_the_joint_where_the_person_stands(play, said):
    play.lines(TWO + "? <bag horn, LEFT>")
    asked = told(play(said, Tone.ASK))
    assert "STOP: this is the bag of horn, LEFT" in asked
    assert "with a reason it is recorded of the stop, LEFT" in asked
    assert "stop, LEFT" in told(play("yes, because these went into the stop", None))
    assert inside(play, "stop LEFT") == {"AN3-5A": 2}
    assert not inside(play, "horn LEFT")
    play.lines("tight")
    assert {(f.kind, str(f.position)) for f in findings(play)} == {
        (Kind.SHORT, "horn, LEFT"), (Kind.LEFT_OVER, "stop, LEFT"),
    }  # fmt: skip


def test_pieces_of_another_bag_that_do_not_belong_where_they_went_are_told(play):
    play.lines(TWO.replace("stop LEFT; 2 AN3-5A", "stop LEFT; 2 AN3-6A") + "? <bag horn, LEFT>\n? all in tight")
    play("yes, because these went into the stop", None)
    assert inside(play, "stop LEFT") == {"AN3-5A": 2}
    assert Kind.WRONG_HARDWARE in kinds(play)


def test_another_bag_into_a_joint_that_is_full_is_told_as_too_many(play):
    play.lines(TWO + "? <bag stop, LEFT>\nall in tight\n? <bag horn, LEFT>\n? all in tight")
    assert "OVER" in told(play("yes, because these went into the stop", Tone.WRONG))
    assert inside(play, "stop LEFT") == {"AN3-5A": 4}


def test_whoever_says_where_he_really_stands_is_asked_nothing(play):
    play.lines(TWO + "? <bag horn, LEFT>\n~ at horn LEFT\nall in tight")
    play.lines("~ at stop LEFT\n? <bag stop, LEFT>\nall in tight")
    assert not findings(play)


# -- a bolt that clamps its neighbour ---------------------------------------------------------------------------------

CLAMPED = """
off tube LEFT; 1 AN5-12A; clamps horn LEFT
off horn LEFT; 2 AN3-5A
? <tag tube, LEFT>
on
? <tag horn, LEFT>
on
"""


def test_tight_is_said_of_the_bag_in_hand_and_not_of_the_neighbours_bolt(play):
    play.lines(CLAMPED + "? <bag tube, LEFT>\nall in\n? <bag horn, LEFT>\nall in tight 25 in-lb")
    assert {(f.kind, str(f.position)) for f in findings(play)} == {(Kind.NOT_TIGHT, "tube, LEFT")}
    play.lines("~ at tube LEFT\ntight 100 in-lb")
    assert not findings(play)
    assert [joint.torque for joint in play.job.state.joints.values()] == ["100 in-lb", "25 in-lb"]


def test_a_neighbours_bag_worked_from_here_is_that_bolts_alone(play):
    play.lines(CLAMPED + "~ at horn LEFT\n? <bag horn, LEFT>\nall in\n? <bag tube, LEFT>\nall in tight 100 in-lb")
    assert {(f.kind, str(f.position)) for f in findings(play)} == {(Kind.NOT_TIGHT, "horn, LEFT")}
    play.lines("tight 25 in-lb")
    assert not findings(play)


def test_which_of_two_is_tight_is_asked(play):
    play.lines(CLAMPED + "~ at horn LEFT\n? <bag horn, LEFT>\nall in\n? <bag tube, LEFT>\nall in")
    assert "tight of which?" in told(play("tight", Tone.WRONG))
    play.lines("~ at horn LEFT\ntight\n~ at tube LEFT\ntight")
    assert not findings(play)


def test_a_bolt_that_is_named_is_the_one_that_is_tight(play):
    play.lines(CLAMPED + "~ at horn LEFT\n? <bag horn, LEFT>\nall in\n? <bag tube, LEFT>\nall in")
    play.lines("tight AN5-12A 100 in-lb\ntight AN3-5A 25 in-lb")
    assert not findings(play)


def test_a_part_that_a_neighbours_bolt_alone_holds_is_tight_by_it(play):
    play.lines("off tube LEFT; 1 AN5-12A; clamps horn LEFT\noff horn LEFT; none\n? <tag horn, LEFT>\non")
    play.lines("? <tag tube, LEFT>\non\n? <bag tube, LEFT>\nall in\n~ at horn LEFT\ntight")
    assert not findings(play)


def test_the_finger_test_and_the_lock_are_of_what_is_in_hand(play):
    play.lines("""
        off tube LEFT; 1x [AN3-12A AN960-10 | MS21044N3]; clamps horn LEFT
        off horn LEFT; 1x [AN3-5 AN960-10 | AN310-3 MS24665-132]; lock cotter
        ? <tag tube, LEFT>
        on
        ? <tag horn, LEFT>
        on
        ? <bag tube, LEFT>
        all in tight
        ? <bag horn, LEFT>
        ! all in new finger no tight safe
        all in new tight safe
    """)
    assert {(f.kind, str(f.position)) for f in findings(play)} == {(Kind.NOT_LOOKED_AT, "tube, LEFT")}


# -- into which joint, out of which bag -------------------------------------------------------------------------------

WASHERS = """
off tube LEFT; 1 AN3-12A, 2 AN960-10, 1 MS24665-132; clamps horn LEFT
off horn LEFT; 2 AN3-5A, 2 AN960-10, 2 MS24665-132
? <tag horn, LEFT>
on
? <bag horn, LEFT>
"""


def test_what_goes_in_here_comes_out_of_the_bag_in_hand(play):
    play.lines(WASHERS)
    play.lines("in 2 AN3-5A, 2 AN960-10")
    assert inside(play, "horn LEFT", 1) == {"AN3-5A": 2, "AN960-10": 2}
    assert not inside(play, "horn LEFT", 0)


@pytest.mark.parametrize("said", ["new 2 AN960-10", "all in new tight safe"])
def test_what_goes_in_new_here_goes_into_its_own_joint(play, said):
    play.lines(WASHERS)
    play(said, None)
    assert inside(play, "horn LEFT", 1)
    assert not inside(play, "horn LEFT", 0)


def test_hardware_in_its_hole_goes_in_while_the_neighbours_lies_in_its_bag(play):
    play.lines("off tube LEFT; 1 AN5-12A; clamps horn LEFT\noff horn LEFT; 2 AN3-5A; in hole\n? <tag horn, LEFT>\non")
    play("all in tight")
    assert inside(play, "horn LEFT", 1) == {"AN3-5A": 2}


JOINTS = """
off horn LEFT; 1x [AN3-5A AN960-10 | MS21044N3]; 1x [AN3-6A AN960-10 | MS21044N3]
? <tag horn, LEFT>
on
? <bag horn, LEFT>
"""


@pytest.mark.parametrize("said", ["out 1 AN960-10", "! lost 1 AN960-10"])
def test_what_is_too_many_comes_out_of_the_joint_that_has_it(play, said):
    play.lines(JOINTS + "all in finger no tight\n! new 1 AN960-10")
    assert Kind.OVER in kinds(play)
    play.lines(said)
    assert {(f.kind, f.about) for f in findings(play)} == {(Kind.NOT_TIGHT, "j2"), (Kind.NOT_LOOKED_AT, "j2")}
    assert inside(play, "horn LEFT", 0)["AN960-10"] == inside(play, "horn LEFT", 1)["AN960-10"] == 1


def test_another_washer_stands_in_where_one_is_lacking(play):
    play.lines(JOINTS + "! in 1 AN3-5A, 1 AN3-6A, 1 AN960-10, 2 MS21044N3")
    play("used 1 AN960-10L instead of 1 AN960-10 because thin")
    assert inside(play, "horn LEFT", 1) == {"AN3-6A": 1, "AN960-10L": 1, "MS21044N3": 1}
    play.lines("stock 1 AN960-10 because not needed\ntight finger no")
    assert not findings(play)


def test_another_washer_that_is_to_go_in_later_is_taken_as_said(play):
    play.lines("off horn LEFT; 1x [AN3-5A AN960-10 | MS21044N3]\n? <tag horn, LEFT>\non")
    play("used 1 AN960-10L instead of 1 AN960-10 because thin")
    assert inside(play, "horn LEFT") == {"AN960-10L": 1}


def test_safe_is_of_the_one_that_has_a_lock(play):
    play.lines("""
        off tube LEFT; 1x [AN3-12 AN960-10 | AN310-3 MS24665-132]; lock cotter; clamps horn LEFT
        off horn LEFT; 2 AN3-5A; lock none
        ? <tag tube, LEFT>
        on
        ? <tag horn, LEFT>
        on
        ~ at horn LEFT
        ? <bag horn, LEFT>
        all in tight
        ? <bag tube, LEFT>
        all in new tight
        safe
    """)
    assert not findings(play)


# -- used a second time where it is -----------------------------------------------------------------------------------

PIN = """
off horn LEFT; 1x [AN3-5 AN960-10 | AN960-10 AN310-3 MS24665-132]; lock cotter
? <tag horn, LEFT>
on
? <bag horn, LEFT>
all in new tight safe
"""


@pytest.mark.parametrize("opened", ["loosened horn LEFT", "added 1 AN960-10 because the hole did not line up"])
def test_a_bent_pin_is_not_bent_a_second_time(play, opened):
    assert "out 1 MS24665-132, then new 1 MS24665-132" in told(play.lines(PIN + opened)[-1])
    assert "1 MS24665-132" in told(play("shortage", Tone.NOTE))
    assert Kind.REUSED not in kinds(play), "nothing is used again before that is said"
    play("tight safe", None)
    assert [f.seen for f in findings(play) if f.kind is Kind.REUSED] == ["1 used MS24665-132 put back"]
    play.lines("out 1 MS24665-132\nnew 1 MS24665-132\ntight safe")
    assert not findings(play)
    state = play.job.state
    assert {i.name: n for p, lots in state.holdings.items() if p == places.SCRAP for i, n in lots.items()} == {
        "MS24665-132": 1
    }  # the one that was found was thrown away as used, this one as new: both lie there


def test_a_record_in_which_a_bent_pin_went_to_stock_as_new_still_reads(play):
    play.lines(PIN + "loosened horn LEFT")
    joint = Place(PlaceKind.JOINT, "j1")
    moves = (Move(places.new("MS24665-132"), 1, joint, places.STOCK),)
    play.job.commit(Who("KT"), lambda _: (Moved("taken out again", moves),))
    play.lines("new 1 MS24665-132\ntight safe")
    assert not findings(play)


def test_a_nut_that_is_used_once_is_not_tightened_a_second_time(play):
    play.lines("off horn LEFT; 1x [AN3-5 | AN365-1032!]\n" + refit("horn, LEFT"))
    play.lines("all in new tight\nloosened horn LEFT")
    play("tight", None)
    assert kinds(play) == {Kind.REUSED}
    play.lines("out 1 AN365-1032\nnew\ntight")
    assert not findings(play)


def test_a_bolt_may_be_loosened_and_made_tight_again(play):
    play.lines("off horn LEFT; 2 AN3-5A\n" + refit("horn, LEFT") + "! in 1 AN3-5A\nnew 1 AN3-5A\ntight")
    play.lines("loosened horn LEFT\ntight\nstock 1 AN3-5A because a new one went in")
    assert not findings(play)


def test_a_pin_that_was_not_bent_yet_may_stay(play):
    play.lines("off horn LEFT; 1x [AN3-5 AN960-10 | AN960-10 AN310-3 MS24665-132]; lock cotter\n" + refit("horn, LEFT"))
    play.lines("all in new tight\nadded 1 AN960-10 because the hole did not line up\ntight safe")
    assert not findings(play)


def test_a_new_pin_drawn_too_many_goes_back_to_stock(play):
    play.lines(PIN.replace(" safe", "") + "! new 1 MS24665-132\nout 1 MS24665-132\nsafe")


def test_an_old_pin_by_its_former_number_is_used_again_all_the_same(play):
    play.lines(PIN.replace("all in new tight safe", ""))
    play("recount <bag horn, LEFT> 1 AN380-2-2")
    play.lines("all in\ntight safe")
    assert [f.seen for f in findings(play) if f.kind is Kind.REUSED] == ["1 used AN380-2-2 put back"]
    play.lines("out 1 AN380-2-2\nnew\ntight safe")
    assert not findings(play)


# -- its own lock, and that of the bolt beside it ---------------------------------------------------------------------


@pytest.mark.parametrize("critical", ["", "; critical"])
def test_a_self_locking_nut_is_no_lock_of_the_bolt_beside_it(play, critical):
    play.lines(f"off horn LEFT; 1 AN3-5, 1 AN310-3, 1 MS24665-132, 1 AN3-5A, 1 MS21044N3{critical}")
    play.lines(refit("horn, LEFT") + "all in new finger no tight")
    assert Kind.NOT_SAFETIED in kinds(play)
    play("safe")
    assert Kind.NOT_SAFETIED not in kinds(play)


def test_a_critical_bolt_without_any_lock_beside_a_self_locking_nut_is_asked_about(play):
    play.lines("off horn LEFT; 1 AN3-5, 1 AN310-3, 1 AN3-5A, 1 MS21044N3; critical")
    play.lines(refit("horn, LEFT") + "all in finger no tight")
    assert Kind.NOT_SAFETIED in kinds(play)


@pytest.mark.parametrize("held", ["2 AN3-5A, 2 AN960-10, 2 MS21044N3", "2x [AN3-5A AN960-10 | MS21044N3]"])
def test_bolts_with_a_self_locking_nut_each_need_no_other_lock(play, held):
    play.lines(f"off horn LEFT; {held}; critical\n" + refit("horn, LEFT") + "all in finger no tight")
    assert Kind.NOT_SAFETIED not in kinds(play)


# -- drilled out ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("held", ["4 trim screws", "2 bolts, long", "3 studs"])
def test_screws_in_plain_words_are_made_tight_after_they_were_drilled_out(play, held):
    play.lines(f"drilled lid LEFT; {held}\nchips out lid LEFT: vacuum, clean\n~ at lid LEFT\nnew {held}")
    assert kinds(play) == {Kind.NOT_TIGHT}
    play("tight")
    assert not findings(play)


def test_bolts_in_place_of_rivets_are_made_tight(play):
    play.lines("drilled lid LEFT; 4 MS20470AD4-4\nchips out lid LEFT: vacuum, clean\n~ at lid LEFT")
    play("used 4 bolts instead of 4 MS20470AD4-4 because the edge is out of reach of the gun")
    assert kinds(play) == {Kind.NOT_TIGHT}


@pytest.mark.parametrize("held", ["14 MS20470AD4-4", "14 rivets", "6 pop rivets, long"])
def test_rivets_are_not_made_tight(play, held):
    play.lines(f"drilled lid LEFT; {held}\nchips out lid LEFT: vacuum, clean\n~ at lid LEFT\nnew {held}")
    assert not findings(play)

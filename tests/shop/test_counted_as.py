"""Pieces under two numbers, bags of two positions, bolts of a neighbour: what is told of them, what is not asked."""

from __future__ import annotations

import pytest
from stories import KNOWLEDGE, refit, told

from tagtrack.core import places
from tagtrack.core.events import HardwareInstalled
from tagtrack.core.findings import Kind
from tagtrack.core.leftover import report
from tagtrack.core.places import Move, Place, PlaceKind
from tagtrack.core.reconcile import reconcile
from tagtrack.shop.lines.talk import Tone
from tagtrack.shop.mending import explanations
from tagtrack.shop.ports import Who


def findings(play, **how):
    found = reconcile(play.job.refresh(), KNOWLEDGE, **how).unanswered
    return [f for f in found if f.kind is not Kind.TAGS_OUT and f.position]


def kinds(play, **how):
    return {f.kind for f in findings(play, **how)}


# -- one piece under two numbers (AN960-10 and NAS1149F0363P: the tables name their source) ---------------------------


def test_what_is_too_many_is_named_as_it_is(play):
    play.lines("off clamp LEFT; 2 AN3-7A, 2 NAS1149F0363P\n" + refit("clamp, LEFT") + "! in 2 AN3-7A")
    assert "OVER  2 AN960-10" in told(play("new 4 AN960-10", Tone.WRONG))
    (over,) = [f for f in findings(play) if f.kind is Kind.OVER]
    assert (over.expected, over.seen) == ("2 NAS1149F0363P", "4 AN960-10, counted as NAS1149F0363P")
    assert "take 2 AN960-10 out" in over.advice
    assert "4 AN960-10" in told(play("out 2 NAS1149F0363P", Tone.WRONG))
    play("out 2 AN960-10")
    assert Kind.OVER not in kinds(play)


def test_a_successor_that_lies_elsewhere_is_no_look_alike_and_can_be_mended(play):
    play.lines("off clamp LEFT; 2 AN3-7A, 2 NAS1149F0363P\noff horn LEFT; 2 AN3-5A, 2 AN960-10")
    play.lines(refit("horn, LEFT") + "! in 2 AN3-5A\ntight\nscrap 2 AN960-10 because scored\n" + refit("clamp, LEFT"))
    play.lines("all in tight\nrecount <bag clamp, LEFT> 2 NAS1149F0363P")
    answer = told(play("why", None))
    assert "2 NAS1149F0363P: from bag" in answer
    assert "to horn, LEFT" in answer
    assert "look-alike" not in answer
    (found,) = explanations(play.job)
    play.lines(f"mend {found.short}\n~ at horn LEFT\ntight")
    assert not findings(play)


def test_an_old_washer_in_place_of_its_successor_is_counted_for_it(play):
    play.lines("off horn LEFT; 2 AN3-5A, 2 AN960-10\n" + refit("horn, LEFT") + "! in 2 AN3-5A, 1 AN960-10")
    play.lines("used 1 NAS1149F0363P instead of 1 AN960-10 because the old one is scored\nout 1 NAS1149F0363P")
    play.lines("in 1 AN960-10\ntight")
    assert not findings(play)


def test_the_data_may_call_a_washer_by_its_new_number(play):
    play.lines("off horn LEFT; 2 AN3-5A, 2 AN960-10; per data 2 AN3-5A, 2 NAS1149F0363P per 27-30")
    assert Kind.DIFFERS_FROM_DATA not in kinds(play)
    play.lines("off stop LEFT; 2 AN3-5A, 1 AN960-10; per data 2 AN3-5A, 2 NAS1149F0363P per 27-30")
    assert Kind.DIFFERS_FROM_DATA in kinds(play)


# -- two joints of one position ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("second", "named"), [("AN3-6A", "(1x [AN3-5A AN960-10 | MS21044N3])"), ("AN3-5A", "number 1 of 2)")]
)
def test_which_joint_of_a_position_is_meant_is_told(play, second, named):
    play.lines(f"off horn LEFT; 1x [AN3-5A AN960-10 | MS21044N3]; 1x [{second} AN960-10 | MS21044N3]")
    play.lines(refit("horn, LEFT") + "all in finger no tight")
    one, other = (Place(PlaceKind.JOINT, identity) for identity in play.job.state.joints)
    moves = (Move(places.used("AN960-10"), 1, one, other),)
    play.job.commit(Who("KT"), lambda _: (HardwareInstalled(other.name, moves),))
    assert named in told(play("why", None))


# -- a bag of two positions --------------------------------------------------------------------------------------------


def test_what_is_left_in_a_bag_of_two_positions_is_told_where_it_is_lacking(play):
    play.lines("off horn LEFT; 2 AN3-5A")
    play("off stop LEFT; 4 AN525-10R8; bag <bag horn, LEFT>")
    play.lines(refit("horn, LEFT") + "! in 1 AN3-5A\n~ at stop LEFT\n? <tag stop, LEFT>\non\n? <bag horn, LEFT>")
    play("all in tight")
    left = [f for f in findings(play) if f.kind is Kind.LEFT_OVER]
    assert [(str(f.position), f.seen) for f in left] == [("horn, LEFT", "1 AN3-5A")]
    play("answer " + left[0].short + " because the other one is to be renewed")
    outcome = reconcile(play.job.state, KNOWLEDGE)
    sheet = report(play.job.state, outcome, play.job.head, printed="2026-03-02")
    (row,) = next(s.table.rows for s in sheet.sections if s.heading == "Left over")
    assert row[3] == "horn, LEFT"
    assert "to be renewed" in row[4]


def test_what_both_positions_of_a_bag_left_in_it_is_told_at_each(play):
    play.lines("off horn LEFT; 2 AN3-5A")
    play("off stop LEFT; 4 AN525-10R8; bag <bag horn, LEFT>")
    left = [(str(f.position), f.seen) for f in findings(play) if f.kind is Kind.LEFT_OVER]
    assert left == [("horn, LEFT", "2 AN3-5A"), ("stop, LEFT", "4 AN525-10R8")]


# -- left, right, and the data -----------------------------------------------------------------------------------------


def test_a_neighbours_bolt_is_no_difference_between_the_sides(play):
    play.lines("off horn LEFT; 2 AN3-5A; per data 2 AN3-5A per 27-30\n~ zone tail RIGHT\nsame horn RIGHT")
    play.lines("~ zone tail LEFT\noff tube LEFT; 1 AN3-12A; clamps horn LEFT")
    assert not kinds(play) & {Kind.PAIR_DIFFERS, Kind.DIFFERS_FROM_DATA}


def test_a_bolt_told_at_the_neighbour_on_one_side_and_here_on_the_other_is_no_difference(play):
    play.lines("off horn LEFT; 2 AN3-5A, 1 AN3-12A\n~ zone tail RIGHT\noff tube RIGHT; 1 AN3-12A; clamps horn RIGHT")
    play.lines("off horn RIGHT; 2 AN3-5A")
    assert Kind.PAIR_DIFFERS not in kinds(play)


def test_one_bolt_fewer_is_a_difference_beside_a_neighbours_bolt_as_well(play):
    play.lines("off horn LEFT; 2 AN3-5A\n~ zone tail RIGHT\noff horn RIGHT; 1 AN3-5A")
    play.lines("~ zone tail LEFT\noff tube LEFT; 1 AN3-12A; clamps horn LEFT")
    assert Kind.PAIR_DIFFERS in kinds(play)


def test_nothing_where_the_data_and_the_other_side_have_bolts_is_told(play):
    play.lines("off horn LEFT; none; per data 2 AN3-5A per 27-30")
    assert kinds(play) >= {Kind.DIFFERS_FROM_DATA}
    answer = play.lines("~ zone tail RIGHT\noff horn RIGHT; 2 AN3-5A")[-1]
    assert "PAIR DIFFERS" in told(answer)
    (differs,) = [f for f in findings(play) if f.kind is Kind.PAIR_DIFFERS]
    assert "LEFT has nothing" in differs.expected


def test_what_is_not_counted_yet_is_compared_with_nothing(play):
    play.lines("off horn LEFT; count later; per data 2 AN3-5A per 27-30\n~ zone tail RIGHT\noff horn RIGHT; 2 AN3-5A")
    assert not kinds(play) & {Kind.PAIR_DIFFERS, Kind.DIFFERS_FROM_DATA}

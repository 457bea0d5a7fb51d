"""What stands in for what: another's part on, an old part in hand, a look or an answer from before the facts changed.

Each story is one in which the record once came out as reconciled, or named the wrong thing, and what it says now.
"""

from __future__ import annotations

import pytest
from builders import Play
from stories import KNOWLEDGE, findings, refit, told

from tagtrack.core import places
from tagtrack.core.events import Installed
from tagtrack.core.findings import Kind
from tagtrack.core.leftover import report
from tagtrack.core.places import Move, Place, PlaceKind
from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import position
from tagtrack.shop.lines.talk import Tone
from tagtrack.shop.ports import Who


def of(play, kind, **how):
    return [f for f in findings(play, **how) if f.kind is kind]


def answer(play, *kinds):
    """Answer every finding of these kinds, as somebody in a hurry does."""
    for finding in findings(play):
        if finding.kind in kinds:
            play(f"answer {finding.short} because it was looked into")


# -- another's part stands there --------------------------------------------------------------------------------------

SWAPPED = """
off horn LEFT; 2 AN3-5A
~ zone tail RIGHT
off horn RIGHT; 2 AN3-5A
~ at horn RIGHT
! <tag horn, LEFT>
? on
! yes, because the left one fits here
~ at horn LEFT
! <tag horn, RIGHT>
? on
! yes, because the right one fits here
"""
ONE_OF_THEM = SWAPPED.partition("~ at horn LEFT")[0] + "~ zone tail RIGHT\n"


def test_a_joint_around_anothers_part_is_asked(play):
    play.lines(SWAPPED)
    answer(play, Kind.SWAPPED)
    assert sorted(str(f.position) for f in of(play, Kind.SHORT)) == ["horn, LEFT", "horn, RIGHT"]
    for side in ("LEFT", "RIGHT"):
        play.lines(f"~ zone tail {side}\n? <bag horn, {side}>\nall in")
    assert not of(play, Kind.SHORT)
    assert len(of(play, Kind.NOT_TIGHT)) == 2
    play.lines("tight\n~ at horn LEFT\ntight")
    assert not {f.kind for f in findings(play)} & {Kind.SHORT, Kind.NOT_TIGHT, Kind.MISSING, Kind.SWAPPED}


def test_a_joint_around_nothing_asks_nothing_beside_the_part(play):
    play.lines("off horn LEFT; 2 AN3-5A")
    assert not of(play, Kind.SHORT)
    play.lines("? <tag horn, LEFT>\ntrial on")
    assert not of(play, Kind.SHORT)


EMPTY = """
off fairing LEFT; 2 AN525-10R8; closes up horn LEFT
off horn LEFT; none
~ zone tail RIGHT
off horn RIGHT; none
~ at horn RIGHT
! <tag horn, LEFT>
? on
! yes, because it was dark
~ zone tail LEFT
"""


def test_a_position_whose_part_sits_elsewhere_is_missing(play):
    play.lines(EMPTY)
    assert "horn, LEFT" in {str(f.position) for f in of(play, Kind.MISSING)}
    assert not reconcile(play.job.state, KNOWLEDGE, closing=position("fairing LEFT")).clean
    play.lines("? <tag fairing, LEFT>")
    assert "closes up what is not finished: horn, LEFT" in told(play("on", Tone.ASK))
    assert "horn, LEFT" in told(play("complete tail LEFT; clear: 9 of 9 tools back; covers: all on", Tone.WRONG))


def test_the_other_side_scrapped_leaves_this_side_missing(play):
    play.lines(ONE_OF_THEM)
    play("<tag horn, RIGHT>", None)
    play("scrap because cracked")
    (left,) = [f for f in of(play, Kind.MISSING) if str(f.position) == "horn, LEFT"]
    assert "its part is at horn, RIGHT" in left.seen
    answer(play, Kind.SWAPPED)
    assert "horn, LEFT" in {str(f.position) for f in of(play, Kind.MISSING)}


def test_a_cover_does_not_go_on_over_anothers_part(play):
    play.lines(ONE_OF_THEM + "off fairing RIGHT; none; closes up horn RIGHT")
    answer(play, Kind.MISSING)
    play("<tag fairing, RIGHT>", Tone.ASK)
    assert "not finished: horn, RIGHT" in told(play("on", Tone.ASK))


def test_parts_exchanged_and_both_on_are_missing_nowhere(play):
    play.lines(SWAPPED)
    assert not of(play, Kind.MISSING)


# -- an assembly is replaced, and what went on with the old one -------------------------------------------------------

WITHIN = """
off elevator LEFT; 2 AN3-5A
off bearing LEFT; 1 AN3-7A; part of elevator LEFT; sn 77
? <tag bearing, LEFT>
on
? <bag bearing, LEFT>
all in tight
? <tag elevator, LEFT>
"""


def test_what_went_on_with_the_old_assembly_is_asked_once_for_the_new_one(play):
    play.lines(WITHIN + "replace; pn 5")
    tag = play.tag("bearing, LEFT")
    play.lines("scrap because cracked\n? <bag elevator, LEFT>\nall in tight")
    (bearing,) = of(play, Kind.MISSING)
    assert (str(bearing.position), "scrap" in bearing.seen) == ("bearing, LEFT", True)
    play(tag, Tone.ASK)
    play("on")
    assert not of(play, Kind.MISSING)
    (bolt,) = of(play, Kind.NOT_TIGHT)
    assert str(bolt.position) == "bearing, LEFT"
    play("tight")
    play.close()


def test_what_went_to_the_scrap_with_its_assembly_is_missing_until_a_new_one_is_on(play):
    play.lines(WITHIN)
    tag = play.tag("bearing, LEFT")
    play("scrap because cracked")
    assert [str(f.position) for f in of(play, Kind.MISSING)] == ["bearing, LEFT", "elevator, LEFT"]
    play(tag, Tone.ASK)
    play.lines("? scrap because it sat in the cracked one\nyes, because its bolt went with it\n! " + tag)
    play.lines("replace; pn 8")
    assert [str(f.position) for f in of(play, Kind.MISSING)] == ["bearing, LEFT", "elevator, LEFT"]


def test_nothing_is_asked_of_what_stayed_with_its_assembly(play):
    play.lines(WITHIN + "on\n? <bag elevator, LEFT>\nall in tight")
    assert not of(play, Kind.MISSING)
    play.close()


def test_what_went_out_and_came_back_with_its_assembly_is_on(play):
    play.lines(WITHIN + "send to the paint shop because it is to be painted")
    assert {str(f.position) for f in of(play, Kind.MISSING)} == {"bearing, LEFT", "elevator, LEFT"}
    play.lines("? <tag elevator, LEFT>\non\n? <bag elevator, LEFT>\nall in tight")
    play.close()


def test_what_goes_over_to_the_new_assembly_as_a_whole_is_not_asked_for_what_sits_in_it(play):
    play.lines("off wing LEFT; 4 AN3-6A\noff aileron LEFT; 2 AN3-5A; part of wing LEFT\n"
               "off hinge LEFT; 1 AN3-7A; part of aileron LEFT\n" + refit("hinge, LEFT") + "all in tight\n"
               + refit("aileron, LEFT") + "all in tight\n? <tag wing, LEFT>\nreplace; pn 9")
    play.lines("scrap because bent\n? <bag wing, LEFT>\nall in tight")
    asked = {(f.kind, str(f.position)) for f in findings(play) if f.position}
    assert asked == {(Kind.MISSING, "aileron, LEFT"), (Kind.NOT_TIGHT, "aileron, LEFT")}
    play.lines("? <tag aileron, LEFT>\non\ntight")
    play.close()


def test_what_goes_on_after_the_new_assembly_belongs_to_that(play):
    play.lines("off elevator LEFT; 2 AN3-5A\noff bearing LEFT; 1 AN3-7A; part of elevator LEFT\n? <tag elevator, LEFT>")
    play.lines("replace; pn 5\nscrap because cracked\n? <bag elevator, LEFT>\nall in tight")
    play.lines(refit("bearing, LEFT") + "all in tight")
    play.close()


# -- the part in hand -------------------------------------------------------------------------------------------------

OLD_AND_NEW = """
off horn LEFT; 2 AN3-5A; pn OLD1
? <tag horn, LEFT>
condition hold because MB is to look at it
! <tag horn, LEFT>
replace; pn NEW5
"""


@pytest.mark.parametrize("line", ["stock because the new one is the wrong one", "scrap because it is bent", "lost"])
def test_what_comes_off_takes_the_place_of_what_was_in_hand_before(play, line):
    play.lines(OLD_AND_NEW + "off horn LEFT")
    play(line, Tone.WRONG)
    old = next(p for p in play.job.state.parts.values() if p.number == "OLD1")
    assert old.place == places.BENCH
    play("<tag horn, LEFT>", Tone.ASK)
    play("stock because the new one is the wrong one")
    new = next(p for p in play.job.state.parts.values() if p.number == "NEW5")
    assert (old.place, new.place) == (places.BENCH, places.STOCK)


def test_the_old_part_is_in_hand_until_something_else_comes_off(play):
    play.lines(OLD_AND_NEW + "scrap because MB says so")
    assert next(p for p in play.job.state.parts.values() if p.number == "OLD1").place == places.SCRAP


def test_what_is_no_good_does_not_go_into_stock_without_a_word(play):
    play.lines(OLD_AND_NEW.replace("hold because MB is to look at it", "unserviceable because cracked"))
    assert "marked unserviceable" in told(play("stock because not needed", Tone.ASK))
    play("no", Tone.NOTE)
    play("send to the maker because cracked")


def test_a_good_part_goes_into_stock(play):
    play.lines("off horn LEFT; 2 AN3-5A\n? <tag horn, LEFT>\nreplace; pn NEW5\nstock because it is still good")


# -- lost, and found --------------------------------------------------------------------------------------------------


def on_the_bench(play):
    return places.held(play.job.state.holdings, places.BENCH, places.used("AN525-10R8"))


@pytest.mark.parametrize(
    "line", ["on", "scrap because cracked", "stock because not needed", "lost", "send to the maker because cracked"]
)
def test_a_part_that_is_lost_is_found_before_anything_becomes_of_it(play, line):
    play.lines("off horn LEFT; 2 AN3-5A\n? <tag horn, LEFT>\n! lost")
    assert "case L1 found: where" in told(play("<tag horn, LEFT>", Tone.WRONG))
    play(line, Tone.WRONG)
    play.lines("case L1 found: under the bench\n" + refit("horn, LEFT") + "all in tight")
    play.close()


def test_the_case_of_a_part_that_was_once_put_on_while_it_was_lost_is_closed(play):
    play.lines("off horn LEFT; 2 AN3-5A\n? <tag horn, LEFT>\n! lost")
    here = Place(PlaceKind.POSITION, "horn, LEFT")
    move = Move(places.part("p1"), 1, Place(PlaceKind.LOST, "L1"), here)
    play.job.commit(Who("KT"), lambda _: (Installed(position("horn LEFT"), "p1", moves=(move,)),))
    play.lines("case L1 found: under the bench\n? <bag horn, LEFT>\nall in tight")
    assert play.job.state.parts["p1"].place == here
    play.close()


def test_a_lost_part_is_replaced_and_its_search_goes_on(play):
    play.lines("off horn LEFT; 2 AN3-5A\n? <tag horn, LEFT>\n! lost\n! <tag horn, LEFT>\nreplace; pn 5")
    play.lines("? <bag horn, LEFT>\nall in tight")
    assert [f.kind for f in findings(play) if f.kind in (Kind.LOST, Kind.MISSING)] == [Kind.LOST]
    play("case L1 found: under the bench")


@pytest.mark.parametrize(
    "said", ["found 1", "found one", "found 1 of 2", "found one of them", "found 1 in tail LEFT", "found 1 AN525-10R8",
             "found, only 1"]
)
def test_one_of_two_that_are_lost_is_found_and_the_other_is_not(play, said):
    play.lines("off horn LEFT; 2 AN525-10R8\n? <bag horn, LEFT>\n! lost 2 AN525-10R8")
    assert "STILL LOST: 1 AN525-10R8" in told(play(f"case L1 {said}: under the mat", Tone.WRONG))
    (lost,) = of(play, Kind.LOST)
    assert "1 AN525-10R8" in lost.seen
    assert play.job.state.losses["L1"].areas == ("tail LEFT",)
    assert on_the_bench(play) == 1
    assert "cannot have been found" in told(play("case L1 found 2: under the seat", Tone.WRONG))
    play("case L1 found: under the seat")
    assert on_the_bench(play) == 2
    assert not of(play, Kind.LOST)
    assert "is closed" in told(play("case L1 found 1: again", Tone.WRONG))


def test_a_number_behind_the_colon_is_asked_about(play):
    play.lines("off horn LEFT; 2 AN525-10R8\n? <bag horn, LEFT>\n! lost 2 AN525-10R8")
    assert "were all of them found" in told(play("case L1 found: one of them under the mat", Tone.ASK))
    play("no", Tone.NOTE)
    assert of(play, Kind.LOST)
    play("case L1 found: 2 under the mat")


def test_two_that_are_lost_are_found_together(play):
    play.lines("off horn LEFT; 2 AN525-10R8\n? <bag horn, LEFT>\n! lost 2 AN525-10R8\ncase L1 found 2: under the mat")
    assert not of(play, Kind.LOST)


def test_what_is_given_up_after_one_was_found_is_the_other_one(play):
    play.lines("off horn LEFT; 2 AN525-10R8\n? <bag horn, LEFT>\n! lost 2 AN525-10R8\n! case L1 found 1: under the mat")
    play.lines("case L1 accepted by Olga Owner: all searched\n! case L1 found 2: in the tray")
    play("case L1 found: in the tray")
    assert on_the_bench(play) == 2


# -- a second look, and the work under it -----------------------------------------------------------------------------

LOOK = "assembly: as drawn; locking: no pin; tension: none; interaction: free; travel: full; sense: not affected"
HORN = "off horn LEFT; critical; lock none; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight\n"


@pytest.mark.parametrize(
    "what", ["tight 25 in-lb", "setting horn LEFT; as left 5 threads because the travel was short"]
)
def test_work_is_not_brought_back_under_a_look(play, what):
    play.lines(HORN + "setting horn LEFT; as found 4 threads\nsetting horn LEFT; as left 4 threads")
    play.lines(f"~ by MB\n~ at horn LEFT\n{what}\nundo")
    undoing = play.job.acts[-1].id
    play(f"inspect horn LEFT; {LOOK}")
    play("by KT", Tone.NOTE)
    assert "the second look at horn, LEFT rests on that one" in told(play(f"undo {undoing}", Tone.WRONG))
    assert play.job.state.joints["j1"].torque == ""


def test_work_on_a_member_is_not_brought_back_under_a_look_at_the_assembly(play):
    play.lines("off elevator LEFT; critical; lock none; 2 AN3-5A\noff bearing LEFT; 1 AN3-7A; part of elevator LEFT")
    play.lines(refit("bearing, LEFT") + "all in tight\n" + refit("elevator, LEFT") + "all in tight\n~ by MB")
    play.lines(f"~ at bearing LEFT\ntight 25 in-lb\nundo\n~ by MB\ninspect elevator LEFT; {LOOK}")
    undoing = next(act for act in play.job.acts if "Reversed" in {type(e).__name__ for e in act.events})
    assert "rests on" in told(play(f"undo {undoing.id}", Tone.WRONG))


def test_a_step_is_brought_back_before_the_look_and_another_joints_after_it(play):
    play.lines(HORN + "off stop LEFT; 1 AN3-6A\n" + refit("stop, LEFT") + "all in tight\nundo")
    undoing = play.job.acts[-1].id
    play.lines(f"~ by MB\ninspect horn LEFT; {LOOK}\n~ by KT\nundo {undoing}")
    assert not of(play, Kind.NOT_INSPECTED)


SHARED = """
off fairing LEFT; 4 AN525-10R8; clamps bracket LEFT; closes bracket LEFT; lock none
off bracket LEFT; none; critical
? <tag bracket, LEFT>
on
"""


def test_what_the_screws_of_a_cover_hold_is_looked_at_when_they_are_in_and_again_when_they_are_driven(play):
    play.lines(SHARED)
    assert "CAN GO ON NOW, last off first\n  fairing, LEFT" in told(play("next", Tone.NOTE))
    assert not findings(play, closing=position("fairing LEFT"))
    play.lines(refit("fairing, LEFT") + f"all in tight\n~ by MB\ninspect bracket LEFT; {LOOK}")
    assert not [f for f in findings(play) if f.position]
    play.lines("~ by KT\n~ at fairing LEFT\ntight 25 in-lb")
    assert {f.kind for f in findings(play, closing=position("fairing LEFT"))} == {Kind.NOT_INSPECTED}
    assert {f.kind for f in findings(play) if f.position} == {Kind.NOT_INSPECTED}
    play.lines(f"~ by MB\ninspect bracket LEFT; {LOOK}")
    play.close()


def test_behind_a_second_cover_the_screws_of_the_first_are_out_of_reach(play):
    play.lines("off door LEFT; 2 AN3-5A; closes up fairing LEFT\n" + SHARED + refit("fairing, LEFT") + "all in tight")
    play("<tag door, LEFT>", Tone.ASK)
    assert "not finished: bracket, LEFT" in told(play("on", Tone.ASK))
    play.lines("! yes, because it rains\n? <bag door, LEFT>\nall in tight\n~ by MB")
    play(f"inspect bracket LEFT; {LOOK}")
    assert "door, LEFT" in [str(f.position) for f in of(play, Kind.CLOSED_BEFORE_COMPLETE)]


def test_a_cover_that_shares_nothing_still_waits_for_the_second_look(play):
    play.lines("off fairing LEFT; 4 AN525-10R8; closes horn LEFT\n" + HORN)
    play("<tag fairing, LEFT>", Tone.ASK)
    assert "not finished: horn, LEFT" in told(play("on", Tone.ASK))


# -- an answer from before the facts changed --------------------------------------------------------------------------


def test_a_bay_that_was_cleared_and_is_not_clear_again_is_asked_again(play):
    play.lines("off horn LEFT; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight\ncovers tail LEFT: none was off")
    play.lines("clear tail LEFT: not right, a rag lies there")
    answer(play, Kind.NOT_LOOKED_AT)
    assert not of(play, Kind.NOT_LOOKED_AT)
    play.lines("clear tail LEFT: 9 of 9 tools back, nothing lies there\nclear tail LEFT: not right, a rag lies there")
    assert of(play, Kind.NOT_LOOKED_AT)


def test_a_part_turned_back_again_is_asked_again(play):
    play.lines("off horn LEFT; mark UP, arrow FWD; 2 AN3-5A\n? <tag horn, LEFT>\n? down fwd\n! yes, because drawn so")
    answer(play, Kind.TURNED)
    assert not of(play, Kind.TURNED)
    play.lines("? sits horn LEFT; down fwd\n! yes, because drawn so")
    assert not of(play, Kind.TURNED), "the same as it was answered for"
    play.lines("sits horn LEFT; up fwd\n? sits horn LEFT; down fwd\n! yes, because drawn so")
    assert of(play, Kind.TURNED)


def test_a_setting_changed_there_and_back_is_asked_again(play):
    play.lines("setting stop LEFT; as found 3 threads\nsetting stop LEFT; as left 4 threads")
    answer(play, Kind.SETTING)
    play("setting stop LEFT; as left 4 threads")
    assert not of(play, Kind.SETTING), "the same as it was answered for"
    play.lines("setting stop LEFT; as left 3 threads\nsetting stop LEFT; as left 4 threads")
    assert of(play, Kind.SETTING)


def test_another_piece_left_over_like_the_one_before_is_asked_again(play):
    play.lines("off horn LEFT; 2 AN3-5A\n? <bag horn, LEFT>\n! lost 1 AN3-5A\ncase L1 found: in the cowl")
    answer(play, Kind.LEFT_OVER)
    assert [f.thing for f in of(play, Kind.LEFT_OVER)] == []
    play.lines("? <tag horn, LEFT>\non\n! in 1 AN3-5A")
    play.lines("? <bag horn, LEFT>\n! lost 1 AN3-5A\ncase L2 found: in the cowl")
    assert [(f.thing, f.seen) for f in of(play, Kind.LEFT_OVER)] == [("bench", "1 AN3-5A")]


def test_a_leftover_that_was_answered_is_not_asked_again_for_what_came_and_went_beside_it(play):
    play.lines("off horn LEFT; 2 AN3-5A\noff stop LEFT; 2 AN3-6A\n? <bag horn, LEFT>\n! lost 1 AN3-5A")
    play("case L1 found: in the cowl")
    answer(play, Kind.LEFT_OVER)
    play.lines("? <bag stop, LEFT>\n! lost 1 AN3-6A\ncase L2 found: in the cowl\n? <tag stop, LEFT>\non")
    play.lines("! in 1 AN3-6A")
    assert "bench" not in [f.thing for f in of(play, Kind.LEFT_OVER)]


def test_a_nut_that_runs_on_by_finger_after_all_is_asked_again(play):
    play.lines("off horn LEFT; 1x [AN3-5A | MS21044N3]\n" + refit("horn, LEFT") + "all in finger yes tight")
    answer(play, Kind.REUSED)
    assert not of(play, Kind.REUSED)
    play.lines("finger no\nfinger yes")
    assert of(play, Kind.REUSED)


def test_a_control_that_moves_the_wrong_way_again_is_asked_again(play):
    play.lines("off elevator LEFT; critical; lock none; 2 AN3-5A\n" + refit("elevator, LEFT") + "all in tight")
    wrong = "? inspect elevator LEFT; sense: DOWN\nyes, because that is what I saw\n"
    play.lines("command elevator LEFT: stick back\n~ by MB\n" + wrong)
    answer(play, Kind.TURNED)
    assert not of(play, Kind.TURNED)
    play.lines("inspect elevator LEFT; sense: UP\n" + wrong)
    assert of(play, Kind.TURNED)


# -- said too early, or not to be right -------------------------------------------------------------------------------


def test_a_setting_read_while_its_part_is_off_is_read_again_once(play):
    play.lines("off horn LEFT; 2 AN525-10R8\nsetting horn LEFT; as found 3 threads")
    assert "off: it is read again" in told(play("setting horn LEFT; as left 3 threads"))
    play.lines(refit("horn, LEFT") + "all in tight")
    (setting,) = of(play, Kind.SETTING)
    assert setting.seen == "as left 3 threads, read before the part went on"
    play("setting horn LEFT; as left 3 threads")
    play.close()


def test_a_setting_read_on_a_part_that_is_on_or_on_no_part_is_asked_no_more(play):
    play.lines("off horn LEFT; 2 AN525-10R8\nsetting horn LEFT; as found 3 threads\n? <tag horn, LEFT>\ntrial on")
    assert "read again" not in told(play("setting horn LEFT; as left 3 threads"))
    play.lines(refit("horn, LEFT") + "all in tight\nsetting stop LEFT; as found 2 threads")
    play("setting stop LEFT; as left 2 threads")
    assert not of(play, Kind.SETTING)
    play.close()


def test_chips_that_are_not_out_are_not_out(play):
    play.lines("drilled skin LEFT; 14 MS20470AD4-4")
    play("chips out skin LEFT: not right, two stems still lie in the bay", Tone.WRONG)
    play.lines("~ at skin LEFT\nnew 14 MS20470AD4-4")
    (chips,) = of(play, Kind.STILL_ABOARD)
    assert "two stems still lie in the bay" in chips.seen
    assert "'missing' does not sound right" in told(play("chips out skin LEFT: two stems missing", Tone.ASK))
    play("no", Tone.NOTE)
    answer(play, Kind.STILL_ABOARD)
    assert not of(play, Kind.STILL_ABOARD)
    play.lines("chips out skin LEFT: all 14 stems found\n"
               "! chips out skin LEFT: not right, two stems still lie in the bay")
    assert of(play, Kind.STILL_ABOARD)
    play("chips out skin LEFT")
    play.close()


def test_a_point_that_is_asked_again_is_looked_at_again(play):
    play.lines("off fairing LEFT; 2 AN525-10R8\npoint rib LEFT; under fairing LEFT\nlook rib LEFT: clean all along")
    play.lines(refit("fairing, LEFT") + "all in tight\noff fairing LEFT")
    assert "asked once more" in told(play("point rib LEFT; under fairing LEFT"))
    assert [f.thing for f in of(play, Kind.NOT_LOOKED_AT) if f.position] == ["look of rib"]
    play("look rib LEFT: still clean all along")
    assert not [f for f in of(play, Kind.NOT_LOOKED_AT) if f.position]
    play.lines(refit("fairing, LEFT") + "all in tight")
    play.close()


def test_a_point_named_twice_is_looked_at_once(play):
    play("point rib LEFT")
    assert "once more" not in told(play("point rib LEFT; under fairing LEFT"))
    play("look rib LEFT: clean all along")
    assert not [f for f in of(play, Kind.NOT_LOOKED_AT) if f.position]


# -- areas ------------------------------------------------------------------------------------------------------------


def test_what_is_held_from_the_other_side_lies_on_its_own(play):
    play.lines("off tube LEFT; 1 AN3-12A; clamps horn RIGHT\n~ zone tail RIGHT\noff horn RIGHT; 2 AN3-5A")
    play.lines("? <tag horn, RIGHT>\non\n? <bag horn, RIGHT>\nall in tight")
    assert play.job.state.positions[position("horn RIGHT")].area == "tail RIGHT"
    play("complete tail RIGHT; clear: 9 of 9 tools back; covers: none was off", None)
    play.lines("~ zone tail LEFT\n? <tag tube, LEFT>\non\n? <bag tube, LEFT>\nall in tight\n~ at horn RIGHT\ntight")
    play.close()


def test_what_never_came_off_lies_where_it_is_held_from(play):
    play("off tube LEFT; 1 AN3-12A; clamps horn LEFT")
    assert play.job.state.areas() == ("tail LEFT",)


@pytest.mark.parametrize("asked", ["tail LEFT", "left tail", "tail L"])
def test_an_area_is_asked_for_whichever_way_its_words_stand(play, asked):
    play.lines("off horn LEFT; 2 AN3-5A\n~ zone nose\noff cowl CENTRE; 2 AN3-6A")
    play.lines("! lost 1 AN525-10R8 from stock in left tail")
    play("put 1 rag at left tail")
    seen = told(play(f"check {asked}", Tone.WRONG))
    assert "case L1" in seen
    assert "1 rag at tail LEFT" in seen
    assert "cowl" not in seen
    assert not {"lost", "still-aboard"} & {f.kind.value for f in findings(play, area="nose")}


def test_what_is_lost_nobody_knows_where_is_told_for_every_area():
    play = Play()
    play.lines("off horn LEFT; 2 AN3-5A\n~ zone tail LEFT\noff stop LEFT; 2 AN3-6A\n~ zone")
    play("lost 1 AN3-5A from stock", Tone.WRONG)
    assert of(play, Kind.LOST, area="tail LEFT")


def test_what_is_lost_behind_a_cover_is_told_before_the_cover_goes_on(play):
    play.lines("off fairing LEFT; 2 AN525-10R8; closes up horn LEFT\noff horn LEFT; 2 AN3-5A\n" + refit("horn, LEFT"))
    play.lines("all in tight\n! lost 1 AN525-10R8 from stock in left tail")
    assert [f.kind for f in findings(play, closing=position("fairing LEFT"))] == [Kind.LOST]
    play.lines("case L1 found: under the mat")
    assert not findings(play, closing=position("fairing LEFT"))
    play("lost 1 AN525-10R8 from stock in nose", Tone.WRONG)
    assert not findings(play, closing=position("fairing LEFT"))


def test_an_area_that_is_nearly_one_of_the_job_is_asked_about(play):
    play.lines("off horn LEFT; 2 AN3-5A\n~ zone bay 1\noff lid CENTRE; 2 AN3-6A")
    assert "much like 'tail LEFT'" in told(play("lost 1 AN3-5A from stock in tial LEFT", Tone.ASK))
    play("no", Tone.NOTE)
    assert not play.job.state.losses
    for area in ("bay 2", "hangar floor", "left tail", "tail", "upper bay 1"):
        play(f"lost 1 AN3-5A from stock in {area}", Tone.WRONG)


@pytest.mark.parametrize("name", ["zone valve", "horn | upper", "a | b | c"])
def test_an_answer_holds_at_a_position_of_any_name(play, name):
    play.lines(f"off {name} LEFT; 2 AN3-5A\n" + refit(f"{name}, LEFT") + "! in 1 AN3-5A\ntight")
    answer(play, Kind.SHORT, Kind.NOT_TIGHT, Kind.LEFT_OVER)
    assert not [f for f in findings(play) if f.position]
    play.lines(f"? <bag {name}, LEFT>\nstock 1 AN3-5A because one is enough")
    play.close()


# -- what is told to programs, and on the report ----------------------------------------------------------------------


def test_a_leftover_on_the_bench_that_was_answered_has_its_reason_on_the_report(play):
    play.lines("off horn LEFT; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight\n! lost 1 AN525-10R8 from stock")
    play("case L1 found: in the cowl")
    answer(play, Kind.LEFT_OVER)
    sheet = report(play.job.state, reconcile(play.job.state, KNOWLEDGE), play.job.head, printed="2026-03-02")
    (left,) = [section for section in sheet.sections if section.heading == "Left over"]
    assert "looked into" in left.table.rows[0][-1]
    assert not left.loud


def test_a_zone_whose_side_is_said_first_is_that_side(play):
    play("zone left wing", Tone.NOTE)
    assert "does not lie in zone wing LEFT" in told(play("off flap RIGHT; 2 AN3-5A", Tone.ASK))
    play.lines("~ no\noff flap LEFT; 2 AN3-5A\n~ zone left bay C\noff lid LEFT; 2 AN3-5A")
    assert play.job.state.areas() == ("wing LEFT", "left bay C")
    play("complete left bay C", Tone.WRONG)

"""What happens twice: taken off again, undone and done again, put back and found wrong once more."""

from __future__ import annotations

import pytest
from stories import KNOWLEDGE, kinds, told

from tagtrack.core import places
from tagtrack.core.axes import Direction
from tagtrack.core.findings import Kind
from tagtrack.core.hardware import parse
from tagtrack.core.kinship import heads
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import position
from tagtrack.shop.lines.talk import Tone

HORN = position("horn LEFT")


def balance(play):
    """Return what the record says came off the aircraft, less what went back to where nobody had counted."""
    return {i.name: -n for i, n in play.job.refresh().holdings.get(places.UNCOUNTED, {}).items()}


def joint(play, where=HORN):
    (only,) = play.job.refresh().joints_of(where)
    return only


OFF = "~ zone tail LEFT\noff horn LEFT; mark UP, arrow FWD; mount FWD; 2x [AN3-5A AN960-10 | AN960-10 MS21044N3]\n"
ON = "? <tag horn, LEFT>\nup fwd\n? <bag horn, LEFT>\nall in finger no tight\n"
# put back without a word on which way round, its bag in hand
PUT = "? <tag horn, LEFT>\non\n? <bag horn, LEFT>\n"
AGAIN = "off horn LEFT; mark UP, arrow FWD; mount FWD; 2x [AN3-5A AN960-10 | AN960-10 MS21044N3]\n"


# -- undoing ----------------------------------------------------------------------------------------------------------


def test_nothing_is_undone_under_a_sign_off(play):
    play.lines(OFF + ON)
    tight = play.job.acts[-1].id
    play.close()
    refused = told(play(f"undo {tight}", Tone.WRONG))
    assert "signed off" in refused
    assert play.job.refresh().signed is not None
    play("undo sign-off because a wrench is missing")
    play(f"undo {tight}")
    assert kinds(play)


def test_a_sign_off_never_comes_back_by_itself(play):
    play.lines(OFF + ON)
    play.close()
    play("undo sign-off because a wrench is missing")
    refused = told(play(f"undo {play.job.acts[-1].id}", Tone.WRONG))
    assert "does not come back by itself" in refused
    assert play.job.refresh().signed is None


def test_undoing_an_undoing_brings_it_back_and_can_be_undone_again(play):
    play.lines(OFF)
    off = play.job.acts[-1].id
    play("undo")
    assert not balance(play)
    play(f"undo {play.job.acts[-1].id}")
    assert balance(play)["AN960-10"] == 4
    play(f"undo {off}")
    assert not balance(play)


def test_an_undoing_is_not_undone_once_the_same_was_typed_again(play):
    play.lines(OFF)
    play("undo")
    undoing = play.job.acts[-1].id
    play.lines(AGAIN)
    refused = told(play(f"undo {undoing}", Tone.WRONG))
    assert "a later step rests on that one" in refused
    assert balance(play)["AN960-10"] == 4
    # nor by way of undoing the second one, and bringing both back
    play("undo")
    second = play.job.acts[-1].id
    play(f"undo {undoing}")
    assert "rests on" in told(play(f"undo {second}", Tone.WRONG))
    assert balance(play)["AN960-10"] == 4


def test_what_was_said_of_a_part_holds_its_removal(play):
    play.lines(OFF)
    off = play.job.acts[-1].id
    play.lines("? <tag horn, LEFT>\ncondition unserviceable because cracked")
    assert "rests on" in told(play(f"undo {off}", Tone.WRONG))
    play("undo")
    play(f"undo {off}")


def test_an_undoing_that_would_leave_a_later_step_without_its_subject_is_refused(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; 2 AN3-5A; loose")
    off = play.job.acts[-1].id
    blank = play.job.shop.issue(play.loop.bench.who(), 1)[0]
    play(blank)
    assert "rests on" in told(play(f"undo {off}", Tone.WRONG))


# -- taken off a second time ------------------------------------------------------------------------------------------


def test_the_way_round_as_found_is_not_overwritten_by_a_second_removal(play):
    play.lines(OFF + "? <tag horn, LEFT>\n? down fwd\n! yes, because the inspector wants to see it\n")
    stopped = told(play("off horn LEFT; mark DOWN, arrow FWD", Tone.ASK))
    assert "it sat another way" in stopped
    assert "half round" in stopped
    play("no", Tone.NOTE)
    play("off horn LEFT")
    assert str(play.job.state.part_from(HORN).marks) == "mark UP, arrow FWD"


def test_a_first_record_that_was_wrong_is_put_right_with_a_reason(play):
    play.lines(OFF + ON + "? off horn LEFT; mark DOWN, arrow FWD\nyes, because the first record was misread")
    assert str(play.job.state.part_from(HORN).marks) == "mark DOWN, arrow FWD"


def test_a_mark_more_at_a_second_removal_is_kept_beside_the_others(play):
    play.lines(OFF + ON + "off horn LEFT; wicks AFT")
    assert str(play.job.state.part_from(HORN).marks) == "mark UP, arrow FWD, wicks AFT"


def test_a_pair_is_asked_about_once_however_often_one_of_it_comes_off(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; 2 AN3-5A\n~ zone tail RIGHT")
    assert "PAIR DIFFERS" in told(play("off horn RIGHT; 3 AN3-5A"))
    play.lines("~ at horn LEFT\n" + PUT + "all in tight")
    assert "PAIR DIFFERS" not in told(play("off horn LEFT"))


def test_what_went_in_new_and_was_tightened_comes_out_as_used(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; 1x [AN3-5A AN960-10 | AN960-10 MS21044N3]")
    play.lines(PUT + "! in 1 AN3-5A, 2 AN960-10\nnew 1 MS21044N3\ntight")
    play("off horn LEFT")
    bag = Place(PlaceKind.BAG, play.bag("horn, LEFT"))
    lots = play.job.state.holdings[bag]
    assert lots[places.used("MS21044N3")] == 2
    assert places.new("MS21044N3") not in lots
    play.lines("? <tag horn, LEFT>\non\n? <bag horn, LEFT>\n! all in tight")
    assert any(f.thing == "finger test of MS21044N3" for f in reconcile(play.job.state, KNOWLEDGE).unanswered)


def test_a_cotter_pin_that_was_bent_never_goes_back_to_stock(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; 1x [AN3-5 AN960-10 | AN960-10 AN310-3 MS24665-132]; lock cotter")
    play.lines("? <tag horn, LEFT>\non\n? <bag horn, LEFT>\nall in new tight safe\nout 1 MS24665-132")
    assert places.held(play.job.state.holdings, places.SCRAP, places.new("MS24665-132")) == 1
    assert places.held(play.job.state.holdings, places.STOCK, places.new("MS24665-132")) == -1


def test_a_pin_drawn_from_stock_and_not_bent_may_go_back_there(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; 1x [AN3-5 AN960-10 | AN960-10 AN310-3 MS24665-132]; lock cotter")
    play.lines("? <tag horn, LEFT>\non\n? <bag horn, LEFT>\nall in new\nout 1 MS24665-132")
    assert places.held(play.job.state.holdings, places.STOCK, places.new("MS24665-132")) == 0


def test_a_setting_is_read_again_after_its_part_came_off_again(play):
    play.lines(OFF + "setting horn LEFT; as found 3 threads\n" + ON + "setting horn LEFT; as left 3 threads")
    assert Kind.SETTING not in kinds(play)
    play.lines("off horn LEFT\n" + ON)
    assert Kind.SETTING in kinds(play)
    play("setting horn LEFT; as left 3 threads")
    assert Kind.SETTING not in kinds(play)


def test_the_rest_in_the_bag_stays_with_what_comes_off_again(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; 4 AN525-10R8\n" + PUT + "! in 2 AN525-10R8")
    play.lines("off horn LEFT\n? <tag horn, LEFT>\non\n? <bag horn, LEFT>\nall in tight")
    assert joint(play).tight == 4
    assert not kinds(play) - {Kind.TAGS_OUT, Kind.NOT_LOOKED_AT}


def test_hardware_that_still_lies_in_its_bag_is_not_typed_a_second_time(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; 4 AN525-10R8\n? <tag horn, LEFT>\ntrial on")
    refused = told(play("off horn LEFT; 4 AN525-10R8", Tone.WRONG))
    assert "known already" in refused
    play("off horn LEFT")
    assert balance(play) == {"p1": 1, "AN525-10R8": 4}


def test_hardware_counted_at_the_bench_is_counted_once(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; count later\nfound horn LEFT; 4 AN525-10R8")
    assert "nothing left to count" in told(play("found horn LEFT; 4 AN525-10R8", Tone.WRONG))
    assert balance(play)["AN525-10R8"] == 4


def test_rivets_drilled_out_a_second_time_leave_chips_a_second_time(play):
    play.lines("~ zone tail LEFT\ndrilled skin LEFT; 14 MS20470AD4-4\nchips out skin LEFT: vacuum\nnew 14 MS20470AD4-4")
    assert Kind.STILL_ABOARD not in kinds(play)
    play("drilled skin LEFT")
    assert places.held(play.job.state.holdings, places.SCRAP, places.new("MS20470AD4-4")) == 14
    assert Kind.STILL_ABOARD in kinds(play)
    play("chips out skin LEFT: vacuum")
    assert Kind.STILL_ABOARD not in kinds(play)


def test_a_recorded_bolt_that_had_to_be_drilled_out_leaves_chips_and_is_tightened_again(play):
    play.lines(OFF + ON + "drilled horn LEFT")
    assert Kind.STILL_ABOARD in kinds(play)
    play.lines("chips out horn LEFT: magnet\n~ at horn LEFT\nnew 2 AN3-5A, 4 AN960-10, 2 MS21044N3")
    assert Kind.NOT_TIGHT in kinds(play)


def test_an_old_part_refitted_after_all_belongs_there_again(play):
    play.lines(OFF + "? <tag horn, LEFT>\nreplace; pn 5; up fwd")
    play.lines("off horn LEFT")
    old = next(p for p in play.job.state.parts.values() if p.replaced_by)
    play.lines(f"? {old.tag}")
    stopped = told(play("up fwd", Tone.ASK))
    assert "was replaced" in stopped
    play("yes, because the new one is too long", Tone.WRONG)
    state = play.job.state
    assert state.part_from(HORN).identity == old.identity
    (left,) = [f for f in reconcile(state, KNOWLEDGE).unanswered if f.kind is Kind.LEFT_OVER and "old" in f.thing]
    assert "bench" in left.seen
    assert not kinds(play) & {Kind.SWAPPED, Kind.MISSING}


# -- said too early, and mended, and wrong again ----------------------------------------------------------------------


def test_an_answer_does_not_come_back_with_a_fault_that_comes_back(play):
    play.lines(OFF + "? <tag horn, LEFT>\nup fwd\n? <bag horn, LEFT>\n"
               "! in 2 AN3-5A, 3 AN960-10, 2 MS21044N3\nfinger no tight")
    (short,) = [f for f in reconcile(play.job.refresh(), KNOWLEDGE).unanswered if f.kind is Kind.SHORT]
    play(f"answer {short.short} because the owner brings one tomorrow")
    assert Kind.SHORT not in kinds(play)
    play("in 1 AN960-10")
    play("out 1 AN960-10")
    assert Kind.SHORT in kinds(play)


LOOKED = """
~ by MB
inspect horn LEFT; assembly: right; locking: no pin; travel: full; sense: not affected; tension: none; interaction: free
~ by KT
"""
CRITICAL = OFF.replace("mount FWD;", "mount FWD; critical; lock none;")


def test_a_second_look_lapses_when_the_torque_is_changed_after_it(play):
    play.lines(CRITICAL + ON + LOOKED)
    assert Kind.NOT_INSPECTED not in kinds(play)
    play.lines("~ at horn LEFT\ntight 25 in-lb")
    assert Kind.NOT_INSPECTED in kinds(play)


def test_a_second_look_lapses_when_a_setting_is_changed_after_it(play):
    play.lines(CRITICAL + "setting horn LEFT; as found 3 threads\n" + ON)
    play.lines("setting horn LEFT; as left 3 threads\n" + LOOKED)
    assert Kind.NOT_INSPECTED not in kinds(play)
    play("setting horn LEFT; as left 4 threads because the travel was short")
    assert Kind.NOT_INSPECTED in kinds(play)


def test_an_assembly_is_not_looked_at_while_a_part_of_it_is_off_and_the_look_lapses_when_it_comes_off(play):
    play.lines(CRITICAL + "off bearing LEFT; 1 AN3-7A; part of horn LEFT\n" + ON)
    refused = told(play("by MB", Tone.NOTE)) and told(
        play("inspect horn LEFT; assembly: right; locking: none fitted", Tone.WRONG))  # fmt: skip
    assert "the bearing, LEFT is not finished" in refused
    play.lines("~ by KT\n~ at bearing LEFT\n? <tag bearing, LEFT>\non\n? <bag bearing, LEFT>\nall in tight" + LOOKED)
    assert Kind.NOT_INSPECTED not in kinds(play)
    play("off bearing LEFT")
    play.lines("~ at bearing LEFT\n? <tag bearing, LEFT>\non\n? <bag bearing, LEFT>\nall in tight")
    assert Kind.NOT_INSPECTED in kinds(play)


def test_nothing_is_part_of_itself(play):
    play.lines(OFF)
    assert "part of itself" in told(play("off bearing LEFT; none; part of bearing LEFT", Tone.WRONG))
    play("off bearing LEFT; none; part of horn LEFT")
    play.lines(ON)
    assert "part of itself" in told(play("off horn LEFT; part of bearing LEFT", Tone.WRONG))


def test_a_function_is_checked_once_the_wires_are_made_and_again_when_they_are_changed(play):
    play.lines("~ zone tail LEFT\ndisconnect light LEFT; A: terminal 3; B: terminal 4; function")
    assert "not connected" in told(play("function light LEFT: it lights", Tone.WRONG))
    play.lines("? connect light LEFT; A; terminal 4\n! yes, because so it is\n"
               "? connect light LEFT; B; terminal 3\n! yes, because so it is\n"
               "function light LEFT: it lights")
    play.lines("connect light LEFT; A; terminal 3\nconnect light LEFT; B; terminal 4")
    assert any("function" in f.thing for f in reconcile(play.job.refresh(), KNOWLEDGE).unanswered)
    play("function light LEFT: it lights")
    assert Kind.STILL_DISCONNECTED not in kinds(play)


def test_which_way_round_is_said_afterwards_where_the_twin_came_off_later(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; mark UP, arrow FWD; mount INBD; 2 AN3-5A")
    play.lines("? <tag horn, LEFT>\non\n? <bag horn, LEFT>\nall in tight\n~ zone tail RIGHT")
    play.lines("same horn RIGHT\n~ zone tail LEFT")
    (asked,) = [f for f in reconcile(play.job.state, KNOWLEDGE).unanswered if f.thing == "how the horn sits"]
    play(asked.advice.partition("show: ")[2])
    assert not [f for f in reconcile(play.job.state, KNOWLEDGE).unanswered if f.thing == "how the horn sits"]
    assert "WRONG WAY ROUND" in told(play("sits horn LEFT; down fwd", Tone.ASK))
    assert Kind.TURNED not in kinds(play)
    play("yes, because the inspector wants it so", Tone.WRONG)
    assert Kind.TURNED in kinds(play)
    play.lines("? off horn LEFT; mark DOWN, arrow FWD\n~ no\noff horn LEFT")
    assert "which way" in told(play("sits horn LEFT; up fwd", Tone.WRONG))


# -- counts of fasteners ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "specs"),
    [
        ("4 AN3-5A, 4 AN960-10", ("AN3-5A",)),
        ("4 AN960-10, 4 AN3-5A, 2 AN525-10R8", ("AN3-5A", "AN525-10R8")),
        ("11 trim screws, 11 cup washers", ("TRIM SCREWS",)),
        # of what nobody knows, the first: common practice, no source
        ("3 thingamies, 2 widgets", ("THINGAMIES",)),
        ("1x [AN3-5A | MS21044N3]", ()),
        ("12 AN525-10R8", ()),
    ],
)
def test_what_of_a_list_is_made_tight(said, specs):
    (stack,) = parse(said)
    assert heads(KNOWLEDGE, stack) == specs


def test_a_plain_list_of_bolts_and_washers_has_as_many_fasteners_as_bolts(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; 4 AN3-5A, 4 AN960-10\n" + PUT + "all in")
    assert joint(play).fasteners == 4
    play("tight 1")
    assert Kind.NOT_TIGHT in kinds(play)
    assert "at most 3 more" in told(play("tight 5", Tone.WRONG))
    play("tight 4")
    assert Kind.NOT_TIGHT not in kinds(play)


def test_one_of_two_bolts_exchanged_for_another_is_a_fastener_too(play):
    play.lines(OFF + "? <tag horn, LEFT>\nup fwd\n? <bag horn, LEFT>")
    play.lines("! in 1 AN3-5A, 4 AN960-10, 2 MS21044N3\n! used 1 AN3-6A instead of 1 AN3-5A because of a shim")
    play("finger no tight 2")
    assert joint(play).fasteners == 2
    assert not kinds(play) & {Kind.NOT_TIGHT, Kind.SHORT, Kind.WRONG_HARDWARE}


def test_a_bolt_more_is_a_fastener_more_and_a_washer_more_is_none(play):
    play.lines(OFF + ON + "added 1 AN960-10 because the hole did not line up")
    assert joint(play).fasteners == 2
    play("added 1 AN525-10R8 because a hole was empty")
    assert joint(play).fasteners == 3


def test_a_joint_of_fewer_fasteners_is_tight_when_those_are(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; 12 AN525-10R8\n? <tag horn, LEFT>\non\n? <bag horn, LEFT>")
    play.lines("! in 11 AN525-10R8\nback 11 AN525-10R8 because one hole is stripped, by the data\ntight")
    assert Kind.NOT_TIGHT not in kinds(play)


def test_a_lock_says_nothing_of_tight(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; 1x [AN3-5 AN960-10 | AN960-10 AN310-3 MS24665-132]; lock cotter")
    play.lines("? <tag horn, LEFT>\non\n? <bag horn, LEFT>\nall in new safe")
    assert Kind.NOT_TIGHT in kinds(play)
    play("tight")
    assert not kinds(play) & {Kind.NOT_TIGHT, Kind.NOT_SAFETIED}


def test_a_piece_of_another_kind_used_instead_is_known_to_be_used_once(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; 1x [AN3-5 AN960-10 | AN960-10 AN310-3 MS24665-132]; lock cotter")
    play.lines("? <tag horn, LEFT>\non\n? <bag horn, LEFT>\nall in")
    play("used 1 MS24665-134 instead of 1 MS24665-132 because it is longer", None)
    assert {line.text: line.once for line in joint(play).back}["MS24665-134"]


def test_successors_from_stock_are_shared_out_among_the_joints_that_lack_them(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; 1x [AN3-5A AN960-10 | MS21044N3]; 1x [AN3-6A AN960-10 | MS21044N3]")
    play.lines(PUT + "! in 1 AN3-5A, 1 AN3-6A, 2 MS21044N3\nnew 2 NAS1149F0363P")
    assert not kinds(play) & {Kind.OVER, Kind.SHORT}


# -- bags, scrap, and what is lost ------------------------------------------------------------------------------------


def test_a_bag_of_two_positions_gives_each_its_own(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; 2 AN3-5A")
    play("off stop LEFT; 2 AN3-5A; bag " + play.bag("horn, LEFT"))
    play.lines("? <tag horn, LEFT>\non\n? <bag horn, LEFT>")
    assert "of another position: 2 AN3-5A" in told(play("all in tight"))
    play.lines("? <tag stop, LEFT>\non\n~ at stop LEFT\n? <bag horn, LEFT>\n~ at stop LEFT\nall in tight")
    assert not kinds(play) & {Kind.OVER, Kind.SHORT, Kind.LEFT_OVER}


@pytest.mark.parametrize("end", ["scrap 2 AN3-5A because worn", "stock 2 AN3-5A because not needed"])
def test_what_was_thrown_away_or_given_back_is_not_emptied_into_a_joint(play, end):
    play.lines("~ zone tail LEFT\noff horn LEFT; 2 AN3-5A\noff stop LEFT; 1 AN3-7A")
    play.lines(f"? <bag stop, LEFT>\n{end.replace('2 AN3-5A', '1 AN3-7A')}\n? <bag horn, LEFT>\n{end}")
    play.lines("? <tag horn, LEFT>\non")
    assert "nothing is left" in told(play("all in tight", Tone.WRONG))


def test_a_bag_scanned_after_nothing_but_cotter_pins_came_out_is_a_new_tag(play):
    one, two = play.job.shop.issue(play.loop.bench.who(), 2)
    play(one, Tone.NOTE)
    play("off keeper LEFT; 2 MS24665-132")
    assert "NEW TAG" in told(play(two, Tone.NOTE))


def test_a_piece_lost_from_a_full_joint_leaves_the_joint_short(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; 2 AN3-5A\n" + PUT + "all in tight")
    play("lost 1 AN3-5A", Tone.WRONG)
    assert {Kind.SHORT, Kind.LOST} <= kinds(play)
    assert places.STOCK not in play.job.state.holdings


def test_a_new_piece_that_is_used_once_may_be_lost_before_it_was_drawn_and_another_says_so(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; 1x [AN3-5 AN960-10 | AN960-10 AN310-3 MS24665-132]; lock cotter")
    play.lines("? <tag horn, LEFT>\non\n? <bag horn, LEFT>\nall in")
    play("dropped 1 MS24665-132", Tone.WRONG)
    assert "from stock" in told(play("dropped 1 AN3-9", Tone.WRONG))
    play("dropped 1 AN3-9 from stock", Tone.WRONG)
    assert len(play.job.state.losses) == 2


COVERED = "~ zone tail LEFT\noff fairing LEFT; 2 AN525-10R8; closes up horn LEFT\noff horn LEFT; 2 AN3-5A\n"


def test_a_cover_does_not_go_on_without_a_word_over_what_is_lost_there(play):
    play.lines(COVERED + PUT + "all in tight\n? <bag fairing, LEFT>\n! lost 1 AN525-10R8")
    play("<tag fairing, LEFT>", Tone.ASK)
    assert "is lost there: case L1" in told(play("on", Tone.ASK))
    play("no", Tone.NOTE)
    play.lines("case L1 found: in the tail cone\n? <tag fairing, LEFT>\non")


# -- the other side ---------------------------------------------------------------------------------------------------


def test_the_other_sides_position_said_with_on_is_where_one_stands(play):
    play.lines("~ zone tail\noff horn LEFT; mark UP, arrow FWD; mount FWD; 2 AN3-5A\n"
               "same horn RIGHT\n? <tag horn, LEFT>")
    stopped = told(play("on horn RIGHT", Tone.ASK))
    assert "which way do they point" in stopped
    assert "OTHER SIDE'S part" in told(play("up fwd", Tone.ASK))
    play("no", Tone.NOTE)
    assert play.job.state.part_from(HORN).at is None


def test_a_part_that_comes_off_where_it_does_not_belong_is_told_by_its_own_name(play):
    play.lines("~ zone tail\noff horn LEFT; 2 AN3-5A\nsame horn RIGHT\n~ at horn LEFT\n! <tag horn, RIGHT>\n? on")
    play.lines("! yes, because it was dark")
    assert "it is the horn, RIGHT" in told(play("off horn LEFT"))


def test_a_mark_that_was_never_recorded_is_not_taken_for_one(play):
    play.lines(OFF + "? <tag horn, LEFT>")
    assert "no mark 'lamp' is recorded" in told(play("on mark up, arrow fwd, lamp down", Tone.WRONG))


def test_same_mirrors_what_points_left_or_right(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; mark UP, horn LEFT; mount LEFT; 2x [AN3-5A | MS21044N3] head LEFT")
    play.lines("~ zone tail RIGHT\nsame horn RIGHT")
    right = position("horn RIGHT")
    assert str(play.job.state.part_from(right).marks) == "mark UP, horn RIGHT"
    assert play.job.state.positions[right].mount is Direction.RIGHT
    assert joint(play, right).stack.head is Direction.RIGHT
    assert Kind.PAIR_DIFFERS not in kinds(play)


def test_outboard_on_the_one_side_is_right_on_the_other(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; mark UP, horn OUTBD; mount FWD; 2 AN3-5A")
    play.lines("~ zone tail RIGHT\noff horn RIGHT; mark UP, horn RIGHT; mount FWD; 2 AN3-5A")
    assert Kind.PAIR_DIFFERS not in kinds(play)


def test_same_after_drilling_and_after_loosening_is_the_same(play):
    play.lines("~ zone tail LEFT\ndrilled skin LEFT; 14 MS20470AD4-4\nloosened clamp LEFT; 2 AN3-5A")
    play.lines("~ zone tail RIGHT\nsame skin RIGHT\nsame clamp RIGHT")
    asked = [f for f in reconcile(play.job.state, KNOWLEDGE).unanswered if f.position == position("skin RIGHT")]
    assert any("chips" in f.thing for f in asked)
    assert Place(PlaceKind.JOINT, joint(play, position("clamp RIGHT")).identity) in play.job.state.holdings
    play.lines("~ at clamp RIGHT\ntight")


def test_a_joint_shared_by_two_areas_is_asked_in_both(play):
    play.lines("~ zone tail LEFT\noff horn LEFT; none\n~ zone tail RIGHT")
    play.lines("off tube RIGHT; 1 AN3-12A; clamps horn LEFT\n~ at tube RIGHT\n? <tag tube, RIGHT>\n"
               "on\n? <bag tube, RIGHT>\nall in")
    for area in ("tail LEFT", "tail RIGHT"):
        assert Kind.NOT_TIGHT in kinds(play, area=area)

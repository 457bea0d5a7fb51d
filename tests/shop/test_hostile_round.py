"""What hangs together and is asked together: assemblies and their covers, looks inside them, numbers, wires, counts."""

from __future__ import annotations

import pytest
from stories import KNOWLEDGE, findings, kinds, refit, told

from tagtrack.core.findings import Kind
from tagtrack.core.fold import fold
from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import position
from tagtrack.core.refit_sheet import refit_sheet
from tagtrack.core.state import members
from tagtrack.shop.lines.talk import Tone

LOOK = "assembly: as drawn; locking: nut seen; travel: full; sense: not affected; tension: none; interaction: clear"


def of_kind(play, kind):
    """Return what a check finds of one kind, and nobody has answered."""
    return [f for f in findings(play) if f.kind is kind]


# -- assemblies under covers ------------------------------------------------------------------------------------------

ELEVATOR = """
off panel LEFT; 4 AN525-10R8; closes elevator LEFT
off elevator LEFT; 2 AN3-5A
off bearing LEFT; 1 AN525-10R8; part of elevator LEFT
"""


def test_a_cover_does_not_go_on_over_an_assembly_that_lacks_a_part(play):
    play.lines(ELEVATOR + refit("elevator, LEFT") + "all in tight")
    play("<tag panel, LEFT>", Tone.ASK)
    assert "closes up what is not finished: bearing, LEFT" in told(play("on", Tone.ASK))
    play("yes, because the hangar closes", Tone.WRONG)
    (early,) = of_kind(play, Kind.CLOSED_BEFORE_COMPLETE)
    assert early.seen == "on over: bearing, LEFT"
    asked = reconcile(play.job.state, KNOWLEDGE, closing=position("panel LEFT")).findings
    assert position("bearing LEFT") in {f.position for f in asked}


def test_a_cover_waits_for_what_is_part_of_what_it_closes_up(play):
    play.lines(ELEVATOR + refit("elevator, LEFT") + "all in tight")
    assert "panel, LEFT: for bearing, LEFT" in told(play("next", Tone.NOTE))


def test_an_assembly_that_is_whole_is_closed_up_without_a_question(play):
    play.lines(ELEVATOR + refit("bearing, LEFT") + "all in tight\n" + refit("elevator, LEFT") + "all in tight")
    play.lines(refit("panel, LEFT") + "all in tight")
    play.close()


def test_a_plate_of_the_assembly_over_the_cover_goes_on_after_it(play):
    play.lines(ELEVATOR + "off plate LEFT; 2 AN525-10R8; closes panel LEFT; part of elevator LEFT")
    for where in ("bearing", "elevator", "panel", "plate"):
        play.lines(refit(f"{where}, LEFT") + "all in tight")
    play.close()


def test_what_lies_behind_a_plate_of_the_assembly_is_told_at_that_plate_alone(play):
    play.lines(ELEVATOR + "off plate LEFT; 2 AN525-10R8; closes bearing LEFT; part of elevator LEFT")
    for where in ("bearing", "plate", "elevator"):
        play.lines(refit(f"{where}, LEFT") + "all in tight")
    play.lines("loosened bearing LEFT\ntight\n" + refit("panel, LEFT") + "all in tight")
    assert [f.position for f in of_kind(play, Kind.CLOSED_BEFORE_COMPLETE)] == [position("plate LEFT")]


# -- looks inside an assembly -----------------------------------------------------------------------------------------

TAB = """
off elevator LEFT; 2 AN3-5A
off trim tab LEFT; 1 AN525-10R8; part of elevator LEFT; critical; lock none
"""
BOTH_ON = refit("trim tab, LEFT") + "all in tight\n" + refit("elevator, LEFT") + "all in tight\n"


def test_how_a_part_of_an_assembly_moves_is_looked_at_again_when_the_assembly_was_off(play):
    play.lines(TAB + BOTH_ON + f"~ by MB\ninspect trim tab LEFT; {LOOK}")
    assert not of_kind(play, Kind.NOT_INSPECTED)
    play.lines("~ by KT\noff elevator LEFT\n" + refit("elevator, LEFT") + "all in tight")
    asked = {f.thing.split(" of ")[0] for f in of_kind(play, Kind.NOT_INSPECTED)}
    assert asked == {"travel", "sense", "tension", "interaction"}
    play.lines(f"~ by MB\ninspect trim tab LEFT; {LOOK}")
    play.close()


def test_an_assembly_that_is_only_tightened_again_leaves_the_look_at_its_part(play):
    play.lines(TAB + BOTH_ON + f"~ by MB\ninspect trim tab LEFT; {LOOK}")
    play.lines("loosened elevator LEFT\ntight")
    play.close()


# -- what is mended, and what it was before ---------------------------------------------------------------------------

TWO_PINS = """
off horn LEFT; [AN3-5 AN960-10 | AN310-3 MS24665-132]; lock cotter
off stop LEFT; [AN3-5 AN960-10 | AN310-3 MS24665-132]; lock cotter
? <tag horn, LEFT>
on
? <bag horn, LEFT>
all in
! new 2 MS24665-132
"""
STOP_ON = refit("stop, LEFT") + "all in tight\n"


def mend(play):
    """Say that the one explanation was so, and was put right."""
    (line,) = [line for line in told(play("why", Tone.NOTE)).splitlines() if "mend " in line]
    return play(f"mend {line.split('mend ')[1][:6]}")


def test_a_pin_that_was_bent_in_one_joint_is_no_new_one_in_the_next(play):
    play.lines(TWO_PINS + "tight safe\n" + STOP_ON)
    mend(play)
    assert position("stop LEFT") in {f.position for f in of_kind(play, Kind.REUSED)}


def test_a_pin_that_nobody_has_bent_is_a_new_one_where_it_belongs(play):
    play.lines(TWO_PINS + STOP_ON)
    mend(play)
    play.lines("~ at stop LEFT\ntight safe\n~ at horn LEFT\ntight safe")
    play.close()


# -- a skin that is riveted shut --------------------------------------------------------------------------------------

SKIN = "drilled skin LEFT; 4 MS20470AD4-4; closes horn LEFT\noff horn LEFT; 2 AN3-5A\n"


def test_a_skin_is_not_riveted_shut_over_what_is_off_without_a_question(play):
    play.lines(SKIN + "chips out skin LEFT\n~ at skin LEFT")
    assert "closes up what is not finished: horn, LEFT" in told(play("new 4 MS20470AD4-4", Tone.ASK))
    play("no", Tone.NOTE)
    play.lines("~ at horn LEFT\n" + refit("horn, LEFT") + "all in tight\n~ at skin LEFT\nnew 4 MS20470AD4-4")
    play.close()


def test_a_skin_riveted_in_two_goes_is_asked_about_once(play):
    play.lines(SKIN + "chips out skin LEFT\n~ at skin LEFT\n? new 2 MS20470AD4-4")
    play("yes, because the horn goes in from below", None)
    play.lines("new 2 MS20470AD4-4")
    assert [f.position for f in of_kind(play, Kind.CLOSED_BEFORE_COMPLETE)] == [position("skin LEFT")]


# -- lost before it was counted ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("line", ["lost 1 AN3-5A from horn LEFT", "lost 1 AN3-5A"])
def test_what_is_lost_before_it_was_counted_is_counted_first(play, line):
    play.lines("off horn LEFT; count later")
    refused = told(play(line, Tone.WRONG))
    assert "not counted yet" in refused
    assert "found horn LEFT; 4 AN3-5A" in refused
    assert not play.job.state.losses
    play.lines("found horn LEFT; 4 AN3-5A\n! lost 1 AN3-5A from horn LEFT")
    play.lines(refit("horn, LEFT") + "! all in tight")
    play("case L1 not aboard by Olga Owner: seen going down the drain, searched the hangar", Tone.DONE)
    assert [(f.kind, f.lacks) for f in findings(play) if f.kind is Kind.SHORT] == [(Kind.SHORT, 1)]


def test_of_what_was_counted_a_piece_is_lost_in_one_line(play):
    play.lines("off horn LEFT; count later\nfound horn LEFT; 4 AN3-5A\n! lost 1 AN3-5A from horn LEFT")
    assert [loss.source.kind.value for loss in play.job.state.losses.values()] == ["bag"]


# -- wires ------------------------------------------------------------------------------------------------------------

LAMP = "disconnect lamp LEFT; A: terminal 3; B: terminal 4; 2 AN520-8R6\nhole\n"


def test_screws_that_were_tight_before_a_wire_came_on_are_made_tight_again(play):
    play.lines(LAMP + "? <wire lamp, LEFT A>\n3\n~ at lamp LEFT\nall in tight\n? <wire lamp, LEFT B>\n4")
    assert [f.position for f in of_kind(play, Kind.NOT_TIGHT)] == [position("lamp LEFT")]
    play.lines("tight")
    play.close()


def test_screws_made_tight_once_both_wires_are_on_are_asked_no_more(play):
    play.lines(LAMP + "? <wire lamp, LEFT A>\n3\n? <wire lamp, LEFT B>\n4\n~ at lamp LEFT\nall in tight")
    play.close()


# -- what was commanded before it was on ------------------------------------------------------------------------------

AILERON = "off aileron LEFT; 2 AN3-5A; critical; lock none\n"


def test_a_command_given_before_the_part_was_on_moves_nothing(play):
    play.lines(AILERON + "command aileron LEFT: stick left\n" + refit("aileron, LEFT") + "all in tight\n~ by MB")
    assert "the command, entered by whoever gave it" in told(play("inspect aileron LEFT; sense: UP", Tone.WRONG))
    play.lines("~ by KT\ncommand aileron LEFT: stick left\n~ by MB\ninspect aileron LEFT; sense: UP")
    assert "sense" not in {f.thing.split(" of ")[0] for f in of_kind(play, Kind.NOT_INSPECTED)}


# -- what is written on a part ----------------------------------------------------------------------------------------

HORN_AGAIN = "off horn LEFT; pn 77; sn 5; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight\n"


def test_another_serial_number_where_the_same_part_should_come_off_is_asked(play):
    play.lines(HORN_AGAIN)
    asked = told(play("off horn LEFT; sn 9", Tone.ASK))
    assert "expected: S/N 5" in asked
    assert "came:     S/N 9" in asked
    assert "its tag was printed before" in told(play("yes, because the 5 was a misread 9"))
    assert play.job.state.part_from(position("horn LEFT")).numbers == "P/N 77, S/N 9"


def test_a_serial_number_read_when_it_comes_off_once_more_is_kept(play):
    play.lines("off horn LEFT; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight\noff horn LEFT; pn 77; sn 5")
    assert play.job.state.part_from(position("horn LEFT")).numbers == "P/N 77, S/N 5"


def test_the_same_numbers_said_once_more_are_no_question(play):
    play.lines(HORN_AGAIN)
    assert "printed before" not in told(play("off horn LEFT; pn 77; sn 5"))


def test_one_serial_number_is_not_on_two_parts(play):
    play.lines("off magneto LEFT; pn 4; sn 11; 2 AN3-5A\n~ zone tail RIGHT")
    assert "magneto, LEFT bears these numbers" in told(play("off magneto RIGHT; pn 4; sn 11; 2 AN3-5A", Tone.ASK))
    play("no", Tone.NOTE)
    play.lines("off magneto RIGHT; pn 4; sn 12; 2 AN3-5A\noff pump RIGHT; pn 9; sn 11; 2 AN3-5A\n"
               "off valve RIGHT; sn 11; 2 AN3-5A")  # fmt: skip


def test_the_other_sides_serial_number_names_that_part(play):
    play.lines("off magneto LEFT; pn 4; sn 11; 2 AN3-5A\n~ zone tail RIGHT\noff magneto RIGHT; pn 4; sn 12; 2 AN3-5A")
    play.lines(refit("magneto, RIGHT") + "all in tight")
    assert "that is the S/N of the magneto, LEFT" in told(play("off magneto RIGHT; sn 11", Tone.ASK))


def test_a_life_limited_part_is_not_renewed_by_its_own_serial_number(play):
    play.lines("off pump CENTRE; pn 9; sn 1; life 100 h left; 2 AN3-5A\n? <tag pump, CENTRE>")
    assert "the old pump, CENTRE bears these numbers" in told(play("replace; sn 1; life 1000 h left", Tone.WRONG))
    play("replace; sn 2; life 1000 h left")


def test_a_replacement_with_the_number_of_the_old_one_is_asked(play):
    play.lines("off horn LEFT; pn 77; sn 5; 2 AN3-5A\n? <tag horn, LEFT>")
    assert "horn, LEFT bears these numbers already" in told(play("replace; sn 5", Tone.ASK))
    play("no", Tone.NOTE)
    play("replace; pn 78; sn 5")


# -- how hardware locks and clamps ------------------------------------------------------------------------------------


def test_a_lock_that_was_not_said_at_first_is_kept_when_it_comes_off_once_more(play):
    play.lines("off horn LEFT; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight\noff horn LEFT; lock lockwire")
    play.lines(refit("horn, LEFT") + "all in tight")
    assert Kind.NOT_SAFETIED in kinds(play)


def test_another_lock_than_at_first_is_asked(play):
    play.lines("off horn LEFT; 2 AN3-5A; lock lockwire\n" + refit("horn, LEFT") + "all in tight safe")
    assert "expected: lock lockwire" in told(play("off horn LEFT; lock none", Tone.ASK))
    play("no", Tone.NOTE)
    play("off horn LEFT; lock lockwire")


def test_what_a_bolt_clamps_beside_is_not_passed_over_where_its_hardware_is_known(play):
    play.lines("off horn LEFT; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight")
    assert "clamps of which hardware" in told(play("off horn LEFT; clamps stop LEFT", Tone.WRONG))
    play("off horn LEFT")


def test_the_lock_is_said_with_the_count_at_the_bench(play):
    refused = told(play("off horn LEFT; count later; clamps stop LEFT", Tone.WRONG))
    assert "found horn LEFT; 4 AN3-5A; clamps X" in refused
    play.lines("off horn LEFT; count later\nfound horn LEFT; 2 AN3-5A; lock lockwire; clamps stop LEFT")
    (joint,) = play.job.state.joints.values()
    assert joint.lock == "lockwire"
    assert [str(p) for p in joint.positions] == ["horn, LEFT", "stop, LEFT"]
    assert "nothing but hardware" in told(play("found horn LEFT; 2 AN3-5A; critical", Tone.WRONG))


def test_a_lock_that_was_said_before_the_count_holds_for_what_is_counted(play):
    play.lines("off horn LEFT; count later; lock lockwire\nfound horn LEFT; 2 AN3-5A\n")
    play.lines(refit("horn, LEFT") + "all in tight")
    assert Kind.NOT_SAFETIED in kinds(play)


# -- names that were said with something else -------------------------------------------------------------------------


@pytest.mark.parametrize("spelled", ["Horn LEFT", "HORN L", "horn  left"])
def test_what_a_cover_closes_is_the_same_however_it_is_spelled_later(play, spelled):
    play.lines(f"off panel LEFT; 4 AN525-10R8; closes horn LEFT\noff {spelled}; 2 AN3-5A\n? <tag panel, LEFT>")
    assert "closes up what is not finished: horn, LEFT" in told(play("on", Tone.ASK))


def test_a_slip_in_what_a_cover_closes_is_asked_when_that_comes_off(play):
    play.lines("off panel LEFT; 4 AN525-10R8; closes bellcrank LEFT")
    assert "much like 'bellcrank'" in told(play("off bellcrnak LEFT; 2 AN3-5A", Tone.ASK))


@pytest.mark.parametrize("turn", [1, -1])
def test_an_assembly_is_the_same_however_it_is_spelled(play, turn):
    for line in ("off elevator LEFT; 2 AN3-5A", "off bearing LEFT; 1 AN3-7A; part of Elevator LEFT")[::turn]:
        play(line)
    (elevator,) = [p.home for p in play.job.state.parts.values() if "levator" in p.home.name]
    assert members(play.job.state, elevator) == (position("bearing LEFT"),)


def test_a_slip_in_the_name_of_an_assembly_is_asked(play):
    play.lines("off elevator LEFT; 2 AN3-5A")
    assert "much like 'elevator'" in told(play("off bush LEFT; 1 AN3-7A; part of elevater LEFT", Tone.ASK))


def test_a_part_is_part_of_one_assembly(play):
    play.lines("off trim tab LEFT; 2 AN3-5A; part of elevator LEFT")
    assert "is part of elevator, LEFT" in told(play("also trim tab LEFT; part of aileron LEFT", Tone.WRONG))
    play("also trim tab LEFT; part of elevator LEFT; critical")


# -- by which face a part bolts on ------------------------------------------------------------------------------------


def test_another_face_than_was_said_is_asked(play):
    play.lines("off rod LEFT; mount INBD; mark UP, arrow FWD; 2 AN3-5A")
    assert "expected: mount INBD" in told(play("also rod LEFT; mount UP", Tone.ASK))
    play("yes, because it bolts on from above")
    assert play.job.state.positions[position("rod LEFT")].mount.value == "UP"


def test_a_pair_that_bolts_on_by_other_faces_is_asked_once(play):
    play.lines("off rod LEFT; mount INBD; mark UP, arrow FWD; 2 AN3-5A\n~ zone tail RIGHT")
    reply = told(play("off rod RIGHT; mount OUTBD; mark UP, arrow FWD; 2 AN3-5A"))
    assert "PAIR DIFFERS  rod, mounting face, left and right: the same on both sides; LEFT has mount INBD" in reply
    (asked,) = of_kind(play, Kind.PAIR_DIFFERS)
    play(f"design {asked.short} because the right one sits outside")
    assert not of_kind(play, Kind.PAIR_DIFFERS)


@pytest.mark.parametrize(("left", "right"), [("INBD", "INBD"), ("LEFT", "OUTBD"), ("FWD", "FWD"), ("RIGHT", "LEFT")])
def test_a_pair_that_bolts_on_alike_is_not_asked(play, left, right):
    play.lines(f"off rod LEFT; mount {left}; 2 AN3-5A\n~ zone tail RIGHT\noff rod RIGHT; mount {right}; 2 AN3-5A")
    assert not of_kind(play, Kind.PAIR_DIFFERS)


# -- wires that are parted once more ----------------------------------------------------------------------------------

WIRES = """
disconnect lamp LEFT; A: terminal 3; B: terminal 4
? <wire lamp, LEFT A>
3
? <wire lamp, LEFT B>
4
"""


def test_other_terminals_than_when_it_was_first_parted_are_asked(play):
    play.lines(WIRES)
    asked = told(play("disconnect lamp LEFT; A: terminal 4; B: terminal 3", Tone.ASK))
    assert "expected: A: terminal 3, B: terminal 4" in asked
    play("no", Tone.NOTE)
    assert "expected: A: terminal 3" in told(play("disconnect lamp LEFT; A: terminal 7; B: terminal 4", Tone.ASK))
    play("yes, because the 3 was a misread 7")
    play.lines("? <wire lamp, LEFT A>\n7\n? <wire lamp, LEFT B>\n4")
    assert not findings_at(play, "lamp LEFT")


def test_what_is_parted_once_more_as_before_has_the_ends_that_it_had(play):
    play.lines(WIRES + "disconnect lamp LEFT\n? <wire lamp, LEFT A>\n3\n? <wire lamp, LEFT B>\n4")
    assert [end.end for end in play.job.state.ends_of(position("lamp LEFT"))] == ["A", "B"]
    assert "with end A and end B" in told(play("disconnect lamp LEFT; keyed; goes to J3", Tone.WRONG))
    play("disconnect lamp LEFT; A: terminal 3; B: terminal 4")


def test_an_end_that_was_put_elsewhere_on_purpose_comes_off_there_without_a_question(play):
    play.lines(WIRES + "disconnect lamp LEFT\n? <wire lamp, LEFT A>\n? 7")
    play("yes, because terminal 3 is broken", None)
    play.lines("? <wire lamp, LEFT B>\n4\ndisconnect lamp LEFT; A: terminal 7; B: terminal 4")


def test_where_a_plug_goes_is_kept_when_it_is_first_said(play):
    play.lines("disconnect plug LEFT; keyed\n<wire plug, LEFT keyed>\ndisconnect plug LEFT; keyed; goes to J3")
    assert play.job.state.ends[position("plug LEFT"), ""].as_found == "J3"


def findings_at(play, where):
    """Return what a check finds at one position."""
    return [f for f in findings(play) if f.position == position(where)]


# -- what is to go back -----------------------------------------------------------------------------------------------


def test_a_successor_that_is_to_go_back_takes_the_place_of_what_was_found(play):
    play.lines("off horn LEFT; 2 AN3-5A, 4 AN960-10\nback 4 NAS1149F0363P because the drawing says so")
    play.lines("? <tag horn, LEFT>\non\n? <bag horn, LEFT>\n! in 2 AN3-5A\nnew 4 NAS1149F0363P\ntight")
    assert {f.kind for f in findings_at(play, "horn LEFT")} == {Kind.LEFT_OVER}, "the old washers are in the bag"
    play("stock 4 AN960-10 because not wanted")
    play.close()


def test_two_numbers_said_together_have_a_count_each(play):
    play.lines("off horn LEFT; 2 AN3-5A, 4 AN960-10\nback 2 AN960-10, 2 NAS1149F0363P because two were bent")
    (joint,) = play.job.state.joints.values()
    assert {line.spec: line.count for line in joint.back} == {"AN3-5A": 2, "AN960-10": 2, "NAS1149F0363P": 2}


def test_what_goes_back_is_said_whole_where_more_does_than_was_said(play):
    play.lines("off horn LEFT; 2 AN3-5A, 4 AN960-10")
    assert "in all: 2 AN3-5A, 5 AN960-10" in told(play("back 5 AN960-10 because miscounted"))


# -- covers that are exchanged ----------------------------------------------------------------------------------------


def test_where_a_cover_was_moved_away_by_a_mending_nothing_is_closed(play):
    play.lines("off cover LEFT; 4 AN525-10R8; closes horn LEFT\noff door LEFT; 4 AN525-10R8; closes horn LEFT")
    play.lines("off horn LEFT; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight\n~ at door LEFT")
    play.lines("! <tag cover, LEFT>\n? on door LEFT\n! yes, because they look alike\n~ zone tail LEFT")
    mend(play)
    play.lines("? <bag cover, LEFT>\nall in tight\nloosened horn LEFT\ntight")
    assert not of_kind(play, Kind.CLOSED_BEFORE_COMPLETE), "the door is off: the horn was reached through it"
    play.lines(refit("door, LEFT") + "all in tight")
    play.close()


# -- words ------------------------------------------------------------------------------------------------------------


def test_what_a_bolt_holds_beside_is_told_without_the_part_itself(play):
    play.lines("off arm LEFT; 1 AN3-10A; clamps bracket LEFT + crank LEFT\noff bracket LEFT; none")
    play.lines("? <tag bracket, LEFT>\non\n" + refit("arm, LEFT") + "all in tight")
    reply = told(play("off bracket LEFT"))
    assert "also holds arm, LEFT + crank, LEFT" in reply


def test_a_new_piece_that_was_tight_is_told_to_come_out_once(play):
    play.lines("off horn LEFT; 2 AN3-5A, 4 AN960-10\n? <tag horn, LEFT>\non\n? <bag horn, LEFT>")
    play.lines("! in 2 AN3-5A\nnew 4 AN960-10\ntight")
    (line,) = told(play("out 1 AN960-10")).splitlines()[1:]
    assert line.strip().startswith("1 AN960-10 to bag")


# -- the reinstallation sheet and the check ---------------------------------------------------------------------------


def refit_verdict(play):
    """Return what the reinstallation sheet says first."""
    return refit_sheet(play.job.index(), play.job.head, printed="2026-03-02").verdict


@pytest.mark.parametrize("done", ["all in\n tight 1", "! in 4 AN3-5A\n tight safe", "all in tight"])
def test_what_is_not_finished_stands_on_the_reinstallation_sheet(play, done):
    play.lines("off horn LEFT; 4 AN3-5A, 4 AN960-10; lock lockwire\n" + refit("horn, LEFT") + done)
    assert "1 position to put back" in refit_verdict(play)
    play.lines("? <bag horn, LEFT>")
    play("all in tight", None)
    play.lines("tight safe")
    assert refit_verdict(play) == "All is back"


def test_a_skin_that_is_riveted_again_is_back(play):
    play.lines("drilled skin LEFT; 4 MS20470AD4-4\nchips out skin LEFT\nnew 4 MS20470AD4-4")
    assert refit_verdict(play) == "All is back"


def test_what_was_only_loosened_is_where_it_was(play):
    play.lines("loosened horn LEFT; 2 AN3-5A")
    sheet = refit_sheet(play.job.index(), play.job.head, printed="2026-03-02")
    assert "Its hardware is where it was." in sheet.sections[0].note


def test_a_count_that_was_accepted_is_asked_by_no_sheet(play):
    play.lines("off horn LEFT; 2 AN3-5A, 4 AN960-10\n? <tag horn, LEFT>\non\n? <bag horn, LEFT>")
    play("in 2 AN3-5A, 3 AN960-10", None)
    play("tight")
    (short,) = of_kind(play, Kind.SHORT)
    play(f"answer {short.short} because the fourth is part of the bracket")
    assert refit_verdict(play) == "All is back"


@pytest.mark.parametrize("line", ["disconnect Bay LEFT; keyed", "point Bay LEFT", "setting Bay LEFT; as found 3",
                                  "put 2 caps at Bay LEFT", "loosened Bay LEFT; 2 AN3-5A"])  # fmt: skip
def test_whatever_a_cover_closes_is_known_however_it_is_spelled(play, line):
    play.lines(f"off panel LEFT; 4 AN525-10R8; closes bay LEFT\n{line}\n? <tag panel, LEFT>")
    assert "bay, LEFT" in told(play("on", Tone.ASK))
    assert position("bay LEFT") in play.job.state.positions
    assert position("Bay LEFT") not in play.job.state.positions


# -- the report of what was done against advice -----------------------------------------------------------------------


def test_what_was_loosened_against_advice_is_told_with_its_position_at_once(play):
    play.lines("off elevator LEFT; 2 AN3-5A\n" + refit("elevator, LEFT") + "all in tight\n~ zone tail RIGHT")
    play.lines("? loosened elevator LEFT\nyes, because I stand on the left")
    (despite,) = play.job.state.despite.values()
    assert despite.about == "elevator, LEFT"
    assert fold(play.job.acts) == play.job.state


# -- one line, one name; and what is brought back ---------------------------------------------------------------------


@pytest.mark.parametrize("line", ["off elevator LEFT; 2 AN3-5A; part of Elevator LEFT",
                                  "off elevator LEFT; 2 AN3-5A; closes ELEVATOR LEFT",
                                  "off elevator LEFT; 2 AN3-5A; under Elevator LEFT"])  # fmt: skip
def test_within_a_line_a_name_is_one_name_however_it_is_spelled(play, line):
    play(line, Tone.WRONG)
    play.lines("off elevator LEFT; 2 AN3-5A; clamps Elevator RIGHT")
    assert position("elevator RIGHT") in play.job.state.positions


@pytest.mark.parametrize("meanwhile", ["off Bearing LEFT; 2 AN3-5A", "disconnect Bearing LEFT; keyed"])
def test_what_was_typed_again_in_other_letters_is_not_brought_back_beside_it(play, meanwhile):
    play.lines("off bearing LEFT; 2 AN3-5A\nundo")
    undoing = play.job.acts[-1].id
    play(meanwhile)
    assert "rests on that one" in told(play(f"undo {undoing}", Tone.WRONG))


def test_a_serial_number_of_a_kind_is_one_number_however_its_name_is_spelled(play):
    play.lines("off magneto LEFT; sn 11; 2 AN3-5A\n~ zone tail RIGHT")
    assert "bears these numbers already" in told(play("off Magneto RIGHT; sn 11; 2 AN3-5A", Tone.ASK))


# -- a bag that was miscounted ----------------------------------------------------------------------------------------


def test_a_bag_that_was_miscounted_is_put_right_with_what_is_to_go_back(play):
    play.lines("off horn LEFT; 2 AN3-5A, 4 AN960-10\n? recount <bag horn, LEFT> 3 AN960-10")
    told_back = told(play("yes, because it was miscounted"))
    assert "4 AN960-10 are to go back, by the record" in told_back
    assert "at horn LEFT, then: back 3 AN960-10 because ..." in told_back
    play.lines("~ at horn LEFT\nback 3 AN960-10 because it was miscounted\n" + refit("horn, LEFT") + "all in tight")
    play.close()


def test_a_count_that_is_right_again_says_no_more(play):
    play.lines("off horn LEFT; 2 AN3-5A, 4 AN960-10\n? <tag horn, LEFT>\non\n? <bag horn, LEFT>")
    play("in 2 AN960-10", None)
    assert told(play("recount <bag horn, LEFT> 2 AN960-10")).count("to go back") == 0


def test_a_command_given_before_the_assembly_was_on_moves_nothing(play):
    play.lines(TAB + refit("trim tab, LEFT") + "all in tight\ncommand trim tab LEFT: wheel nose down")
    play.lines(refit("elevator, LEFT") + "all in tight\n~ by MB")
    assert "entered by whoever gave it" in told(play("inspect trim tab LEFT; sense: UP", Tone.WRONG))


# -- what is said of a wire -------------------------------------------------------------------------------------------

LEFT_LAMP = "disconnect lamp LEFT; A: terminal 3; B: terminal 4; 2 AN520-8R6\n~ zone tail RIGHT\n"


def test_what_is_otherwise_on_this_side_of_a_wire_is_said_behind_same(play):
    play.lines(LEFT_LAMP + "same lamp RIGHT; critical; under panel RIGHT; lock lockwire")
    state, here = play.job.state, position("lamp RIGHT")
    assert state.positions[here].critical
    assert state.positions[position("panel RIGHT")].closes_up == (here,)
    assert [joint.lock for joint in state.joints_of(here)] == ["lockwire"]


@pytest.mark.parametrize("clause", ["put shelf 2", "closes horn RIGHT", "mark UP", "pn 5", "part of wing RIGHT"])
def test_what_is_said_of_a_part_is_not_passed_over_of_a_wire(play, clause):
    play.lines(LEFT_LAMP)
    assert "is a connection, and has no" in told(play(f"same lamp RIGHT; {clause}", Tone.WRONG))
    play("same lamp RIGHT")


@pytest.mark.parametrize("clause", ["closes horn LEFT", "mark UP", "put shelf 2", "lock glue"])
def test_what_is_no_hardware_of_a_wire_is_not_taken_for_it(play, clause):
    refused = told(play(f"disconnect lamp LEFT; A: terminal 3; B: terminal 4; {clause}", Tone.WRONG))
    assert clause.split()[-1] in refused
    assert not play.job.state.joints


def test_the_lock_of_a_wires_screws_is_asked_at_the_end(play):
    play.lines("disconnect lamp LEFT; keyed; 2 AN520-8R6; lock lockwire\nhole\n<wire lamp, LEFT keyed>")
    play.lines("~ at lamp LEFT\nall in tight")
    assert Kind.NOT_SAFETIED in kinds(play)


# -- what the data call for -------------------------------------------------------------------------------------------


def test_another_count_by_the_data_than_was_looked_up_before_is_asked(play):
    play.lines("off horn LEFT; 2 AN3-5A, 4 AN960-10; per data 2 AN3-5A per 27-30")
    asked = told(play("also horn LEFT; per data 2 AN3-5A, 4 AN960-10 per 27-31", Tone.ASK))
    assert "expected: 2 AN3-5A" in asked
    play("yes, because the washers stand on the next page")
    assert not of_kind(play, Kind.DIFFERS_FROM_DATA)


def test_the_same_count_of_another_page_is_no_question(play):
    play.lines("off horn LEFT; 2 AN3-5A; per data 2 AN3-5A per 27-30\nalso horn LEFT; per data 2 AN3-5A per 27-31")


# -- nothing that is said is passed over ------------------------------------------------------------------------------


@pytest.mark.parametrize("line", [
    "loosened horn LEFT; 2 AN3-5A; mark UP, arrow FWD", "drilled skin LEFT; 4 MS20470AD4-4; sn 5",
    "loosened horn LEFT; 2 AN3-5A; put shelf 2", "point rib LEFT; look for cracks",
    "disconnect lamp LEFT; A: terminal 3; B: terminal 4; goes to J3",
])  # fmt: skip
def test_what_would_be_recorded_nowhere_is_refused(play, line):
    before = len(play.job.acts)
    play(line, Tone.WRONG)
    assert len(play.job.acts) == before
    play(line.rpartition(";")[0])


def test_an_end_is_made_at_one_terminal(play):
    play.lines(LAMP)
    assert "on which terminal?" in told(play("connect lamp LEFT; A; terminal 3; terminal 4", Tone.WRONG))
    play("connect lamp LEFT; A; terminal 3")


def test_what_is_known_of_hardware_that_is_out_already_may_be_said_again(play):
    play.lines("off horn LEFT; 2 AN3-5A; lock lockwire; clamps stop LEFT; measured 5/8\n? <tag horn, LEFT>\ntrial on")
    assert "lock of which hardware" in told(play("off horn LEFT; lock cotter", Tone.WRONG))
    play("off horn LEFT; lock lockwire; clamps stop LEFT; measured 5/8")

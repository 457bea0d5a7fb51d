"""Where looks, covers, wires, names and counts meet: what slipped between them, and the honest job beside each."""

from __future__ import annotations

import pytest
from stories import findings, kinds, refit, told

from tagtrack.core.findings import Kind
from tagtrack.core.observations import sounds_wrong
from tagtrack.core.records import position
from tagtrack.core.tagcode import shown
from tagtrack.shop.lines.talk import Tone


def of_kind(play, kind):
    """Return what a check finds of one kind, and nobody has answered."""
    return [f for f in findings(play) if f.kind is kind]


def standing(play):
    """Return how many steps the record holds."""
    return play.job.refresh().step


# -- a part that is looked at while its assembly is off ---------------------------------------------------------------

TAB = (
    """
off elevator LEFT; 2 AN3-5A; critical; lock none
off trim tab LEFT; 1 AN525-10R8; part of elevator LEFT; critical; lock none
"""
    + refit("trim tab, LEFT")
    + "all in tight\n~ by MB\n"
)


@pytest.mark.parametrize("row", ["travel: full", "tension: 20 lb on the gauge", "interaction: clear of the skin"])
def test_how_a_part_moves_is_not_seen_while_its_assembly_is_off(play, row):
    play.lines(TAB)
    before = standing(play)
    assert "the elevator, LEFT is not finished: missing" in told(play(f"inspect trim tab LEFT; {row}", Tone.WRONG))
    assert standing(play) == before


def test_how_a_part_moves_is_not_seen_before_its_assembly_is_tight(play):
    play.lines(TAB + "~ by KT\n? <tag elevator, LEFT>\non\n~ by MB")
    assert "the elevator, LEFT is not finished" in told(play("inspect trim tab LEFT; travel: full", Tone.WRONG))
    play.lines("~ by KT\n? <bag elevator, LEFT>\nall in tight\n~ by MB\ninspect trim tab LEFT; travel: full")


def test_how_a_part_sits_in_its_assembly_is_seen_at_the_bench(play):
    play.lines(TAB + "inspect trim tab LEFT; assembly: as drawn; locking: none by design")
    play.lines("~ by KT\n" + refit("elevator, LEFT") + "all in tight\n~ by MB")
    play.lines("inspect trim tab LEFT; travel: full; sense: not affected; tension: none; interaction: clear")
    assert not [f for f in of_kind(play, Kind.NOT_INSPECTED) if f.position == position("trim tab LEFT")]


# -- one word for two kinds of hardware -------------------------------------------------------------------------------

TWO_KINDS = """
off hinge LEFT; 8 screws, short
off bracket LEFT; 8 screws; clamps hinge LEFT
? <tag hinge, LEFT>
on
? <tag bracket, LEFT>
on
"""


def test_a_word_that_the_bag_in_hand_holds_with_more_behind_it_is_asked(play):
    play.lines(TWO_KINDS + "? <bag hinge, LEFT>")
    before = standing(play)
    said = told(play("in 1 screw", Tone.WRONG))
    assert "which screws? screws, short of hinge, LEFT, or screws of bracket, LEFT" in said
    assert "1 screws, short" in said
    assert standing(play) == before


def test_a_word_that_the_bag_in_hand_holds_is_of_that_bag(play):
    play.lines(TWO_KINDS + "? <bag hinge, LEFT>\nall in tight\n? <bag bracket, LEFT>\n! in 1 screw\nall in tight")
    assert not kinds(play) & {Kind.SHORT, Kind.OVER, Kind.NOT_TIGHT, Kind.LEFT_OVER}


def test_of_two_kinds_in_one_bag_each_is_its_own(play):
    play.lines("off hinge LEFT; 8 screws, short, 2 screws\n" + refit("hinge, LEFT"))
    play.lines("! in 1 screw\n! in 1 screw\nin 8 screws, short\ntight")
    assert not kinds(play) & {Kind.SHORT, Kind.OVER, Kind.NOT_TIGHT, Kind.LEFT_OVER}


# -- a terminal that looks like something else ------------------------------------------------------------------------

PARTED = "disconnect lead LEFT; A: terminal 3; B: terminal 4\n? <wire lead, LEFT A>\n"


def test_a_wrong_terminal_is_asked_about_and_no_misread_code(play):
    play.lines(PARTED)
    assert "end A of lead, LEFT came from terminal 3" in told(play("terminal 5", Tone.ASK))
    play.lines("~ no\n? <wire lead, LEFT A>\nterminal 3\n? <wire lead, LEFT B>\n4")
    assert not of_kind(play, Kind.STILL_DISCONNECTED)


@pytest.mark.parametrize("said", ["connect terminal 3", "connect to terminal 3", "connect 3"])
def test_the_terminal_may_be_said_with_the_word_for_it(play, said):
    play.lines(PARTED)
    assert "end A at terminal 3" in told(play(said))


def test_a_misread_code_leaves_the_end_in_hand(play):
    play.lines(PARTED)
    assert "was misread" in told(play("US7F 52Q8", Tone.WRONG))
    assert "end A at terminal 3" in told(play("terminal 3"))


def test_another_tag_takes_the_place_of_the_end_in_hand(play):
    play.lines("off cap LEFT; none\n" + PARTED + "? <tag cap, LEFT>")
    play("terminal 3", Tone.WRONG)


def test_which_end_is_asked_where_a_wire_has_two(play):
    play.lines("disconnect lead LEFT; A: terminal 3; B: terminal 4")
    said = told(play("connect lead LEFT", Tone.WRONG))
    assert "which end of lead, LEFT?" in said
    assert "connect lead LEFT; A,  or  connect lead LEFT; B" in said


# -- a leak check before the fittings are tight -----------------------------------------------------------------------

LINE = """
disconnect fuel line LEFT; A: tank; B: pump; function
loosened fuel line LEFT; 2 coupling nuts
? <wire fuel line, LEFT A>
tank
? <wire fuel line, LEFT B>
"""


def test_a_leak_check_before_the_fittings_are_tight_is_not_taken(play):
    play.lines(LINE)
    assert "make it tight, then check its function" in told(play("pump"))
    before = standing(play)
    said = told(play("function fuel line LEFT: dry after 5 min", Tone.WRONG))
    assert "the hardware of fuel line, LEFT is not tight yet: coupling nuts: 0 of 2 tight" in said
    assert standing(play) == before
    play.lines("~ at fuel line LEFT\ntight\nfunction fuel line LEFT: dry after 5 min")
    assert not of_kind(play, Kind.STILL_DISCONNECTED)


def test_a_wire_without_hardware_is_checked_as_soon_as_it_is_made(play):
    play.lines("disconnect lead LEFT; keyed; function\n<wire lead, LEFT >")
    play("function lead LEFT: lamp on")
    assert not of_kind(play, Kind.STILL_DISCONNECTED)


# -- both sides, a reason, old and new together -----------------------------------------------------------------------

PAIR = (
    "off elevator LEFT; none; critical\noff elevator RIGHT; none; critical\n"
    "~ at elevator LEFT\n? <tag elevator, LEFT>\non\n~ at elevator RIGHT\n? <tag elevator, RIGHT>\non\n"
)


def test_a_side_alone_is_of_the_part_named_before_it(play):
    play("zone tail", Tone.NOTE)
    play.lines(PAIR)
    assert "elevator, LEFT + elevator, RIGHT" in told(play("command elevator LEFT + RIGHT: stick back"))
    play("by MB", Tone.NOTE)
    said = told(play("inspect elevator LEFT + RIGHT; travel: full and free; sense: UP; tension: 30 lb"))
    assert "travel, sense, tension of 2 parts together" in said


def test_a_cover_may_close_both_sides_of_a_pair(play):
    play("off panel CENTRE; none; closes pump LEFT + RIGHT")
    closes = play.job.state.positions[position("panel CENTRE")].closes_up
    assert set(closes) == {position("pump LEFT"), position("pump RIGHT")}


@pytest.mark.parametrize("said", ["because seen on the ramp, searched the bay", ": seen on the ramp, searched the bay"])
def test_how_a_loss_ended_is_said_like_any_other_reason(play, said):
    play.lines("off cap LEFT; 4 screws\n! lost 1 screw from cap LEFT")
    play(f"case L1 not aboard by Mo Beispiel{'' if said[0] == ':' else ' '}{said}")
    assert play.job.state.losses["L1"].outcome is not None


OLD_AND_NEW = """
off horn LEFT; 2 AN3-5A
? <tag horn, LEFT>
on
! lost 1 AN3-5A from stock
case L1 found: floor
! lost 1 AN3-5A
case L2 found: floor
"""


@pytest.mark.parametrize("word", ["stock", "scrap"])
def test_what_came_out_and_what_was_new_go_together_when_so_many_are_said(play, word):
    play.lines(OLD_AND_NEW)
    assert "from bench" in told(play(f"{word} 2 AN3-5A because the threads are marked"))
    assert not [f for f in of_kind(play, Kind.LEFT_OVER) if f.position is None]


def test_of_old_and_new_together_no_more_go_than_lie_there(play):
    play.lines(OLD_AND_NEW)
    before = standing(play)
    play("stock 3 AN3-5A because the threads are marked", Tone.WRONG)
    assert standing(play) == before


# -- words of a look --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "seen",
    [
        "corrosion removed and treated",
        "surface corrosion on the bracket removed",
        "small burrs dressed, edges smooth",
        "crack in the fairing stop-drilled and repaired",
        "worn bushing has been replaced",
        "light corrosion cleaned, no pitting",
    ],
)
def test_what_was_mended_is_no_defect(seen):
    assert sounds_wrong(seen) == ""


@pytest.mark.parametrize(
    "seen",
    [
        "corrosion not removed",
        "corrosion to be removed",
        "corrosion yet to be treated",
        "crack partly repaired",
        "corrosion removed, crack below it",
        "corrosion cannot be removed",
        "corrosion, bolt replaced, still there",
        "crack beside the hole that was repaired",
        "loose rivet removed",
        "bolt missing, not replaced",
        "corrosion mostly removed",
        "corrosion on the bracket never removed",
        "corrosion removed but it came back",
        "crack being repaired",
    ],
)
def test_what_was_not_mended_is_asked_about(seen):
    assert sounds_wrong(seen)


# -- a list that is taken for a name ----------------------------------------------------------------------------------


@pytest.mark.parametrize("line", ["off hinge upper + lower LEFT; 4 AN3-5A", "point hinge upper+lower LEFT"])
def test_a_name_with_a_plus_is_no_name(play, line):
    before = standing(play)
    said = told(play(line, Tone.WRONG))
    assert "one thing: hinge upper and lower LEFT" in said
    assert standing(play) == before


def test_one_thing_with_two_words_is_one(play):
    play("off hinge upper and lower LEFT; 4 AN3-5A")


# -- what is said by name ---------------------------------------------------------------------------------------------


def test_a_part_whose_tag_is_gone_with_it_is_lost_by_its_name(play):
    play.lines("off cap LEFT; none\noff lid LEFT; none\n? <tag lid, LEFT>")
    assert "case L1" in told(play("lost cap LEFT", Tone.WRONG))
    (case,) = play.job.state.losses.values()
    assert case.what == "cap, LEFT"
    play("on")
    assert play.job.state.part_at(position("lid LEFT")) is not None


def test_a_part_that_is_on_is_not_lost_by_its_name(play):
    play.lines("off cap LEFT; none\n? <tag cap, LEFT>\non")
    assert "the cap, LEFT is on, by the record" in told(play("lost cap LEFT", Tone.WRONG))
    assert not play.job.state.losses


@pytest.mark.parametrize(
    ("line", "then"),
    [("lost capp LEFT", "did you mean cap, LEFT?"), ("lost cap", "which side is 'cap' on?")],
)
def test_a_name_that_is_not_whole_is_no_hardware_that_is_lost(play, line, then):
    play("off cap LEFT; 2 AN3-5A")
    assert then in told(play(line, Tone.WRONG))
    assert not play.job.state.losses


def test_hardware_is_lost_by_its_count_as_before(play):
    play.lines("off cap LEFT; 2 screws\n! lost screw from cap LEFT\n! lost the cap LEFT")
    assert [case.what for case in play.job.state.losses.values()] == ["screws", "cap, LEFT"]


def test_what_was_moved_aside_is_told_how_to_be_put_back(play):
    play.lines("aside hose LEFT")
    (missing,) = of_kind(play, Kind.MISSING)
    assert "on hose LEFT" in missing.advice
    play("on hose LEFT")
    assert not of_kind(play, Kind.MISSING)


def test_a_line_that_was_moved_aside_and_parted_has_its_function_asked(play):
    play.lines("aside hose LEFT\ndisconnect hose LEFT; keyed; goes to pump\nalso hose LEFT; function")
    play.lines("on hose LEFT\n<wire hose, LEFT >\nfunction hose LEFT: no leak")
    assert not kinds(play) & {Kind.MISSING, Kind.STILL_DISCONNECTED}
    assert not [f for f in of_kind(play, Kind.NOT_LOOKED_AT) if f.position is not None]


def test_hardware_without_its_counts_is_asked_how_many(play):
    before = standing(play)
    said = told(play("off crank LEFT; AN3-5A, AN310-3", Tone.WRONG))
    assert "how many of each?" in said
    assert "1 AN3-5A, 1 AN310-3" in said
    assert standing(play) == before


# -- where it lies ----------------------------------------------------------------------------------------------------


def test_what_is_short_and_lies_in_its_bag_is_told_to_lie_there(play):
    play.lines("off horn LEFT; 2 AN3-5A\n" + refit("horn, LEFT") + "! in 1 AN3-5A")
    (short,) = of_kind(play, Kind.SHORT)
    assert short.advice == f"scan bag {shown(play.bag('horn, LEFT'))}, and put in 1 AN3-5A"
    play.lines("? <bag horn, LEFT>\nin 1 AN3-5A\ntight")
    assert not kinds(play) & {Kind.SHORT, Kind.LEFT_OVER, Kind.NOT_TIGHT}


def test_what_is_short_and_lies_nowhere_is_to_be_found(play):
    play.lines("off horn LEFT; 2 AN3-5A\n" + refit("horn, LEFT") + "! in 1 AN3-5A\nstock 1 AN3-5A because worn")
    (short,) = of_kind(play, Kind.SHORT)
    assert "never fit a guess" in short.advice


def test_what_was_kept_in_its_hole_has_no_bag_to_be_scanned(play):
    play.lines("off horn LEFT; 2 AN3-5A; in hole\n? <tag horn, LEFT>\non")
    (short,) = of_kind(play, Kind.SHORT)
    assert short.advice == "it lies: its hole: put it in, and say so: at horn LEFT, then: in 2 AN3-5A"
    assert "at horn LEFT, then: all in" in told(play("tight", Tone.WRONG))
    play.lines("~ at horn LEFT\nall in\ntight")
    assert not kinds(play) & {Kind.SHORT, Kind.LEFT_OVER, Kind.NOT_TIGHT}


# -- told once, and as it is ------------------------------------------------------------------------------------------


def test_a_missing_part_and_its_bag_are_one_entry(play):
    play("off cap LEFT; 4 AN3-5A")
    said = told(play("check", Tone.WRONG))
    assert "5 FINDINGS in 4 entries" in said
    assert said.count("cap, LEFT") == 1
    assert f"bag {shown(play.bag('cap, LEFT'))}: 4 AN3-5A" in said


def test_a_bag_that_is_left_over_once_its_part_is_on_is_told_for_itself(play):
    play.lines("off cap LEFT; 4 AN3-5A\n? <tag cap, LEFT>\non\nnew 4 AN3-5A")
    said = told(play("check", Tone.WRONG))
    assert f"left-over              cap, LEFT: bag {shown(play.bag('cap, LEFT'))}" in said


def test_another_parts_bag_is_not_told_with_a_missing_part(play):
    play.lines("off cap LEFT; 4 AN3-5A\noff lid LEFT; 4 AN3-5A\n? <tag lid, LEFT>\non")
    said = told(play("check", Tone.WRONG))
    assert f"left-over              lid, LEFT: bag {shown(play.bag('lid, LEFT'))}" in said


def test_an_answer_to_a_setting_not_read_holds_however_it_is_told(play):
    play.lines("off rod LEFT; 2 AN3-5A\nsetting rod LEFT; as found 7 threads\n" + refit("rod, LEFT") + "all in tight")
    play.lines("setting rod LEFT; as left 7 threads\nloosened rod LEFT\ntight")
    (late,) = of_kind(play, Kind.SETTING)
    assert late.seen == "as left 7 threads, read before the last work here"
    assert "as left: not read" in late.key
    play(f"answer {late.short} because read by the other shift, see their sheet")
    assert not of_kind(play, Kind.SETTING)


# -- a name that is cut short -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("known", "short"), [("elevator tip fairing", "elev tip fairing"), ("aileron", "ail")])
def test_a_name_that_is_cut_short_is_asked_and_not_recorded_beside_it(play, known, short):
    play(f"off {known} LEFT; 4 screws")
    assert f"'{short}' is new, but much like '{known}'" in told(play(f"off {short} LEFT; 4 screws", Tone.ASK))
    play("no", Tone.NOTE)
    assert len(play.job.state.parts) == 1


@pytest.mark.parametrize(("known", "other"), [
    ("wing rib", "wing ribbon"), ("hinge", "hinge bracket"), ("flap rod", "flaperon arm"), ("in hinge", "inlet hinge"),
])  # fmt: skip
def test_another_thing_is_not_asked_for_its_name(play, known, other):
    play(f"off {known} LEFT; 4 screws")
    play(f"off {other} LEFT; 4 screws")


def test_what_nobody_could_see_of_a_whole_control_is_said_of_each_part(play):
    play("zone tail", Tone.NOTE)
    play.lines(PAIR + "~ by MB")
    said = told(play("inspect elevator LEFT + RIGHT; sense: not available: nobody in the cockpit", Tone.WRONG))
    assert "'not available' is said of each part by itself" in said
    assert "inspect elevator LEFT; sense: not available: REASON" in said


def test_an_empty_bag_is_not_asked_whether_all_of_it_is_in(play):
    play.lines("off cap LEFT; 2 AN3-5A\n? <tag cap, LEFT>\non")
    assert "all in?" in told(play("<bag cap, LEFT>", Tone.ASK))
    play("all in")
    said = told(play("<bag cap, LEFT>", Tone.ASK))
    assert "nothing is left in it" in said
    assert "all in?" not in said
    play("tight")
    assert not kinds(play) & {Kind.SHORT, Kind.NOT_TIGHT}


def test_both_sides_in_one_removal_are_two_lines(play):
    before = standing(play)
    said = told(play("off elevator LEFT + RIGHT; 4 AN3-5A", Tone.WRONG))
    assert "two positions at once: elevator LEFT, and elevator RIGHT" in said
    assert "a line for each" in said
    assert standing(play) == before

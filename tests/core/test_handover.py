"""The handover sheet: what whoever takes over must know. Stories of stopping in the middle, and that it never disagrees
with `status` and `check`."""

from __future__ import annotations

import random

import pytest
from builders import Play
from simulation import Simulation
from stories import KNOWLEDGE, knowing, told

from tagtrack.core.check_rest import AREA_ROWS
from tagtrack.core.findings import AT_ONCE, QUESTIONS, Kind
from tagtrack.core.half_done import interruption
from tagtrack.core.handover import GO_BACK, TO_LOOK_AT, handover, last_steps, next_of
from tagtrack.core.reconcile import of_position, reconcile
from tagtrack.paper.report_pdf import report_pdf
from tagtrack.paper.report_text import report_text
from tagtrack.shop.closing import next_steps
from tagtrack.shop.lines.talk import Tone

STACK = "2x [AN3-5 AN960-10 | AN960-10 AN310-3 MS24665-132!]; lock cotter"
WEIGHT = f"off weight LEFT; mark UP, arrow FWD; critical; {STACK}"
ON = "? <tag weight, LEFT>\nup fwd\n? <bag weight, LEFT>\n"


def left(play):
    state = play.job.refresh()
    return interruption(play.job.index(), reconcile(state, KNOWLEDGE, asked=False), play.job.acts)


def sheet(play):
    state = play.job.refresh()
    outcome = reconcile(state, KNOWLEDGE, asked=False)
    return handover(play.job.index(), outcome, play.job.acts, play.job.head, printed="2026-03-02")


def section(play, heading):
    (found,) = [each for each in sheet(play).sections if each.heading == heading]
    return found


def half_row(play, where="weight, LEFT"):
    (row,) = [row for row in section(play, "Half done").table.rows if where in row[0]]
    return row


def spoken(play):
    return told(play("handover", None))


# -- half done ----------------------------------------------------------------------------------------------------


def test_a_half_filled_joint_says_what_is_in_what_lacks_and_in_which_bag_that_lies():
    play = knowing()
    play.lines(WEIGHT + "\n" + ON)
    play("in 2 AN3-5, 3 AN960-10, 2 AN310-3", None)
    play("at weight LEFT", None)
    bag = play.bag("weight, LEFT")
    bag = f"bag {bag[:4]} {bag[4:8]}"
    where, stands, lacks = half_row(play)
    assert where == "CRITICAL: weight, LEFT"
    assert "in by hand: 2 AN3-5, 3 AN960-10, 2 AN310-3" in stands
    assert stands.endswith("\n(KT, 2026-03-02 08:00)")
    assert f"1 of 4 AN960-10 still to go in: {bag}" in lacks.splitlines()[0]
    assert "2 of 2 MS24665-132 still to go in: NEW, from stock" in lacks
    assert lacks.count(bag) == 1, "what lies ready is told once"
    assert "0 of 2 tight" in lacks
    assert "to be safetied" in lacks
    assert "a second person looks, at every row" in lacks
    assert sheet(play).verdict == "1 HALF DONE (1 CRITICAL)"


def test_a_bag_that_was_put_on_a_shelf_says_so():
    play = knowing()
    play.lines("off tab LEFT; 4 AN3-5A; put shelf 2\n? <tag tab, LEFT>\non\n")
    play(play.bag("tab, LEFT"), None)
    play("in 1 AN3-5A", None)
    place = play.job.index().lies(play.job.state.joints["j1"].kept)
    assert f"3 of 4 AN3-5A still to go in: {place}" in half_row(play, "tab")[2]


def test_in_by_hand_is_told_as_such_and_one_of_two_tight_is_not_tight():
    play = knowing()
    play.lines("off tab LEFT; 2 AN3-5A\n? <tag tab, LEFT>\non\n? <bag tab, LEFT>\nall in")
    _, stands, lacks = half_row(play, "tab")
    assert "in by hand: 2 AN3-5A" in stands
    assert "to be made tight: AN3-5A: 0 of 2 tight" in lacks
    play("tight 1 AN3-5A")
    _, stands, lacks = half_row(play, "tab")
    assert "in: 2 AN3-5A; 1 of 2 tight" in stands
    assert "1 of 2 tight" in lacks
    play("tight 1 AN3-5A")
    assert left(play).half == ()


def test_tight_and_not_safetied_is_half_done():
    play = knowing()
    play.lines(WEIGHT + "\n" + ON)
    play.lines("all in new tight 22 in-lb")
    _, stands, lacks = half_row(play)
    assert "2 of 2 tight, 22 in-lb" in stands
    assert "to be safetied" in lacks
    assert "to be made tight" not in lacks
    play("safe")
    assert left(play).half == ()


def test_what_is_critical_comes_first_and_what_waits_for_a_second_look_alone_is_no_half_done_work():
    play = knowing()
    play.lines(WEIGHT + "\n" + ON + "all in new tight 22 in-lb safe")
    play.lines("off tab LEFT; 2 AN3-5A\n? <tag tab, LEFT>\non\n? <bag tab, LEFT>\nall in")
    assert [each.position.name for each in left(play).half] == ["tab"]
    look = "CRITICAL: weight, LEFT: finished; then a second person looks, at every row"
    assert section(play, "To be looked at, or answered").note == look
    play("by MB", Tone.NOTE)
    play("inspect weight LEFT; locking: both pins bent; travel: full and free")
    note = section(play, "To be looked at, or answered").note
    assert note.endswith("finished; to be looked at by a second person: assembly, interaction, sense, tension")
    play.lines("~ by KT\n~ at weight LEFT\nout 2 MS24665-132\nnew 2 MS24665-132")
    play.lines("~ at tab LEFT\nout 1 AN3-5A")
    by_kind = [f.position.name for f in reconcile(play.job.refresh(), KNOWLEDGE, asked=False).open]
    assert by_kind[0] == "tab", "a piece that is not in comes before a lock"
    assert [each.position.name for each in left(play).half] == ["weight", "tab"]


def test_one_end_of_a_wire_on_is_half_done_and_both_ends_off_are_off():
    play = knowing()
    play.lines("disconnect trim wires LEFT; A: terminal 3; B: terminal 4; function")
    assert left(play).half == ()
    (row,) = section(play, "Off").table.rows
    assert row[1:3] == ("trim wires, LEFT", "A goes to terminal 3; B goes to terminal 4")
    assert row[3] == "then function, and what was seen: no answer"
    play("connect trim wires LEFT; A")
    _, stands, lacks = half_row(play, "trim wires")
    assert stands.splitlines()[0] == "A: made, terminal 3; B: OFF"
    assert lacks.splitlines()[0] == "end B: still disconnected, to be connected at terminal 4"
    assert all(each.position.name != "trim wires" for each in left(play).off)


def test_a_wire_at_another_terminal_than_it_came_from_says_both():
    play = knowing()
    play.lines("disconnect wires LEFT; A: terminal 3; B: terminal 4\n? connect wires LEFT; A; terminal 5")
    play("yes, because the strip was renewed", Tone.WRONG)
    _, stands, lacks = half_row(play, "wires")
    assert "A: made, terminal 5; B: OFF" in stands
    assert "end A: connected at terminal 5, to be connected at terminal 3" in lacks


def test_of_several_joints_at_one_position_each_says_how_far_it_is():
    play = knowing()
    play.lines("off horn LEFT; 2x [AN3-5A AN960-10 | AN960-10 MS21044N3], 1 AN4-7A\n? <tag horn, LEFT>\non")
    play.lines("? <bag horn, LEFT>\nall in finger no")
    _, stands, lacks = half_row(play, "horn")
    assert "in by hand (with the AN3-5A): 2 AN3-5A, 4 AN960-10, 2 MS21044N3; in by hand (with the AN4-7A)" in stands
    play("tight 1 AN4-7A")
    _, stands, lacks = half_row(play, "horn")
    assert "in by hand (with the AN3-5A)" in stands
    assert "in (with the AN4-7A): 1 AN4-7A; tight" in stands
    assert lacks == "to be made tight: AN3-5A: 0 of 2 tight"


def test_a_bolt_that_holds_two_parts_is_told_at_both_and_of_which_it_is():
    play = knowing()
    play.lines("off tube LEFT; 1 AN3-12A, 1 AN960-10; clamps horn LEFT\noff horn LEFT; none\n? <tag tube, LEFT>\non")
    play.lines("? <bag tube, LEFT>\n! in 1 AN3-12A")
    (row,) = [row for row in section(play, "Half done").table.rows if row[0] == "horn, LEFT"]
    assert "the part itself is off, at bench; in (bolts of tube, LEFT): 1 AN3-12A" in row[1]
    assert "holds horn, LEFT as well" in half_row(play, "tube")[1]


def test_the_part_of_the_other_side_says_where_the_own_one_is():
    play = knowing()
    play.lines("off tab LEFT; 1 AN3-5A\n~ zone tail RIGHT\noff tab RIGHT; 1 AN3-5A\n~ at tab RIGHT")
    play.lines("! <tag tab, LEFT>\n? on\n! yes, because it was bought as a left one")
    _, stands, lacks = half_row(play, "tab, RIGHT")
    assert "the tab, LEFT is on here, its own part is at bench" in stands
    assert lacks.splitlines()[0] == "to be back on"
    assert section(play, "Wrong now").table.rows[0][0].startswith("SWAPPED  tab, RIGHT")


def test_a_cover_that_is_only_temporarily_on_is_half_done_with_its_screws_in_the_bag():
    play = knowing()
    play.lines("off cover LEFT; 8 AN525-10R8\ntemporarily cover LEFT held by 2 screws")
    _, stands, lacks = half_row(play, "cover")
    assert "on temporarily, held by 2 screws" in stands
    assert "to be on for good" in lacks
    assert "8 AN525-10R8" in lacks
    assert "temporarily" not in lacks, "that is how it stands, and is said once"


def test_a_trial_fit_is_half_done():
    play = knowing()
    play.lines("off tab LEFT; 2 AN3-5A\n? <tag tab, LEFT>\ntrial on")
    assert "to try its fit" in half_row(play, "tab")[1]


def test_hardware_in_a_joint_without_its_part_is_half_done():
    play = knowing()
    play.lines("off tab LEFT; 2 AN3-5A\n? <tag tab, LEFT>\non\n? <bag tab, LEFT>\nall in tight\n? off tab LEFT; none")
    play("yes, because it slid out from under them")
    _, stands, lacks = half_row(play, "tab")
    assert stands.splitlines()[0] == "the part itself is off, at bench; in by hand: 2 AN3-5A"
    assert lacks.splitlines()[0] == "to be back on"
    assert [each.position.name for each in left(play).off] == []


def test_a_setting_as_found_and_not_as_left_is_half_done_until_it_is_read_again():
    play = knowing()
    play.lines("setting down stop LEFT; as found 3.5 threads")
    _, stands, lacks = half_row(play, "down stop")
    assert "setting as found 3.5 threads" in stands
    assert "to be read again" in lacks
    play("setting down stop LEFT; as left 3.5 threads")
    assert left(play).half == ()


def test_loosened_without_coming_off_is_half_done():
    play = knowing()
    play.lines("loosened clamp LEFT; 2 AN3-5A; in hole")
    assert [each.position.name for each in left(play).half] == ["clamp"]


# -- wrong, off, aboard, kept ---------------------------------------------------------------------------------------


def test_a_loss_is_wrong_now_with_the_area_that_it_keeps_open_and_the_joint_says_which_case():
    play = knowing()
    play.lines("off tab LEFT; 2 AN3-5A\n? <tag tab, LEFT>\non\n? <bag tab, LEFT>")
    play("dropped 1 AN3-5A", None)
    (row,) = section(play, "Wrong now").table.rows
    assert row[0] == "LOST  tail LEFT: AN3-5A"
    assert "Not to be closed out: tail LEFT" in row[1]
    assert "1 lost, case L1" in half_row(play, "tab")[2]
    assert "1 WRONG NOW" in sheet(play).verdict
    assert "WRONG NOW\n  lost: tail LEFT" in spoken(play)
    play("case L1 found: under the seat", None)
    assert "Wrong now" not in {each.heading for each in sheet(play).sections}


def test_what_is_off_is_told_by_area_with_where_it_and_its_hardware_lie():
    play = knowing()
    play.lines("off tab LEFT; 2 AN3-5A; put shelf 2\n~ zone cabin LEFT\noff panel LEFT; critical; none")
    rows = section(play, "Off").table.rows
    assert [row[:3] for row in rows] == [
        ("cabin LEFT", "CRITICAL: panel, LEFT", "at bench"), ("tail LEFT", "tab, LEFT", "at shelf 2"),
    ]  # fmt: skip
    assert "2 AN3-5A" in rows[1][3]
    assert section(play, "Half done").note == "Nothing is half done, by the record."
    assert not section(play, "Half done").loud
    assert sheet(play).verdict == "Nothing is half done; 2 off"


def test_temporary_items_are_told_by_place_with_who_put_them_there():
    play = knowing()
    play.lines("off tab LEFT; none\nput 2 blue caps at tab LEFT\nput 1 rag at tab LEFT\nput 1 lamp at tail cone")
    note = section(play, "Aboard, to come off again").note.splitlines()
    assert note == ["tab, LEFT: 2 blue caps (KT), 1 rag (KT)", "tail cone: 1 lamp (KT)"]


def test_a_place_to_look_at_and_a_question_of_a_pair_are_neither_off_nor_half_done():
    play = knowing()
    play.lines("off tab LEFT; 2 AN3-5A\npoint bulkhead LEFT\n~ zone tail RIGHT")
    play("off tab RIGHT; 3 AN3-5A", None)
    note = section(play, "To be looked at, or answered").note
    assert "bulkhead, LEFT: look: no answer" in note
    assert "tab, LEFT" in note
    assert {each.position.name for each in left(play).off} == {"tab"}


def test_what_is_left_in_the_bag_of_something_that_is_finished_is_told():
    play = knowing()
    play.lines("off tab LEFT; 2 AN3-5A\n? <tag tab, LEFT>\non")
    play.lines("~ at tab LEFT\nback 1 AN3-5A because the other hole is not used\n? <bag tab, LEFT>\nin 1 AN3-5A\ntight")
    assert left(play).half == ()
    assert "1 AN3-5A, of tab, LEFT" in section(play, "Lies in the shop beside").note


def test_what_lies_on_the_bench_is_promised_to_one_joint_and_not_to_two():
    play = knowing()
    for where in ("tab", "arm"):
        play.lines(f"off {where} LEFT; 1 AN3-5A\n? <bag {where}, LEFT>\n! lost 1 AN3-5A\n? <tag {where}, LEFT>\non")
    play("case L1 found: bench")
    lacks = {each.position.name: each.lacks for each in left(play).half}
    assert sorted(each[0].partition(": ")[2] for each in lacks.values()) == ["bench", "lost, case L2"]
    assert all(len(each) == 1 for each in lacks.values()), "what lies ready is told once"


# -- the last steps -------------------------------------------------------------------------------------------------


def test_the_last_steps_are_told_latest_first_and_the_last_three_are_to_be_looked_at():
    play = knowing()
    play.lines("off tab LEFT; 2 AN3-5A\noff arm LEFT; none\n? <tag arm, LEFT>\non\n? <tag tab, LEFT>\non")
    rows = section(play, GO_BACK).table.rows
    assert [row[2] for row in rows] == [
        "put on: tab, LEFT", "put on: arm, LEFT", "taken off: arm, LEFT", "taken off: tab, LEFT",
    ]  # fmt: skip
    assert [bool(row[3]) for row in rows] == [True, True, True, False]
    assert all(row[:2] == ("2026-03-02 08:00", "KT") for row in rows)


def test_an_undone_step_is_told_as_such_is_nothing_to_look_at_and_leaves_nothing_half_done():
    play = knowing()
    play.lines("off tab LEFT; 2 AN3-5A\n? <tag tab, LEFT>\non")
    assert [each.position.name for each in left(play).half] == ["tab"]
    play("undo")
    assert left(play).half == ()
    assert [each.position.name for each in left(play).off] == ["tab"]
    words = [(words, look) for _, words, look in last_steps(play.job.state, play.job.acts)]
    assert words[0] == ("undone: step of 2026-03-02 08:00 by KT (put on: tab, LEFT)", False)
    assert words[1] == ("UNDONE SINCE: put on: tab, LEFT", False)
    assert words[2] == ("taken off: tab, LEFT", True)
    assert "put on" not in spoken(play)
    play(f"undo {play.job.acts[-1].id}", None)
    assert [each.position.name for each in left(play).half] == ["tab"]
    assert {words: look for _, words, look in last_steps(play.job.state, play.job.acts)}["put on: tab, LEFT"]


def test_a_piece_that_was_taken_out_says_of_which_position_it_is():
    play = knowing()
    play.lines("off tab LEFT; 2 AN3-5A\n? <tag tab, LEFT>\non\n? <bag tab, LEFT>\nall in tight\nout 1 AN3-5A")
    assert section(play, GO_BACK).table.rows[0][2] == "moved: taken out again (1 AN3-5A of tab, LEFT)"


def test_the_last_step_at_a_position_is_not_the_last_of_the_job_and_names_who_did_it():
    play = knowing()
    play.lines("off tab LEFT; 2 AN3-5A\n? <tag tab, LEFT>\non\n~ by MB\noff arm LEFT; none")
    (tab,) = left(play).half
    assert tab.last is not None
    assert (tab.last.by, play.job.acts[-1].by) == ("KT", "MB")


# -- nothing to hand over ---------------------------------------------------------------------------------------------


def test_a_job_in_which_nothing_was_done_says_that_nothing_is_half_done():
    play = Play()
    made = sheet(play)
    assert made.verdict == "Nothing is half done"
    assert [each.heading for each in made.sections] == ["Half done"]
    assert len(made.signatures) == 2


def test_a_finished_job_says_so_and_a_signed_one_has_nothing_to_hand_over():
    play = knowing()
    play.lines("off tab LEFT; 2 AN3-5A\n? <tag tab, LEFT>\non\n? <bag tab, LEFT>\nall in tight")
    made = sheet(play)
    assert made.verdict == "Nothing is half done"
    assert made.signatures
    play.close()
    made = sheet(play)
    assert made.verdict == "SIGNED OFF 2026-03-02 by Kari Testad (KT): nothing to hand over"
    assert [each.heading for each in made.sections] == ["The last steps"]
    assert made.signatures == ()
    assert "nothing to hand over" in spoken(play)


def test_the_sheet_has_its_cautions_its_number_and_two_lines_to_sign():
    play = knowing()
    play.lines("off tab LEFT; 2 AN3-5A")
    made = sheet(play)
    text = report_text(made)
    assert [each.role for each in made.signatures] == ["Hands over", "Takes over"]
    assert text.count("Date and time") == 2
    assert "Certificate" not in text
    assert str(play.job.head) in text
    assert "does not replace the manufacturer's" in text
    assert "airworthy" not in text


def test_the_loop_answers_in_short_and_names_the_three_steps():
    play = knowing()
    play.lines("off tab LEFT; 2 AN3-5A\n? <tag tab, LEFT>\non\n? <bag tab, LEFT>")
    play("in 1 AN3-5A", None)
    before = len(play.job.acts)
    said = play("handover", Tone.NOTE).lines
    assert said[:2] == ("1 HALF DONE", "  tab, LEFT")
    assert any("1 of 2 AN3-5A still to go in: bag" in line for line in said)
    assert [line[28:] for line in said if " UTC  KT  " in line] == [
        "hardware in: tab, LEFT", "put on: tab, LEFT", "taken off: tab, LEFT",
    ]  # fmt: skip
    assert len(play.job.acts) == before


class StoppedError(Exception):
    """The shift is over."""


class Halfway(Simulation):
    """A job that somebody leaves in the middle of a line of work."""

    def __init__(self, seed, size, faults, lines):
        super().__init__(seed, size, faults)
        self.stop = lines

    def say(self, line, *, despite=False):
        if self.done.lines >= self.stop:
            raise StoppedError
        super().say(line, despite=despite)


def halfway(seed):
    chance = random.Random(seed * 31)
    size = chance.randint(5, 24)
    sim = Halfway(seed, size, chance.randint(0, 4), size * 2 + chance.randint(5, size * 6))
    try:
        sim.run()
    except StoppedError:
        return sim.play
    return sim.play


@pytest.mark.parametrize("seed", range(14))
def test_the_sheet_says_what_status_and_check_say_no_more_and_no_less(seed):
    play = halfway(seed)
    state = play.job.refresh()
    status = reconcile(state, KNOWLEDGE, asked=False)
    check = reconcile(state, KNOWLEDGE)
    found = left(play)
    everything = [f for each in (*found.half, *found.off) for f in each.findings]
    everything += [*found.aboard, *found.asked, *found.kept]
    keys = [f.key for f in everything]
    assert len(keys) == len(set(keys)), "told once"
    standing = {f.key for f in (*status.open, *status.findings) if f.answer is None}
    assert {f.key for f in found.wrong} == {f.key for f in status.unanswered}
    assert set(keys) | {f.key for f in found.wrong} == standing
    assert {f.key for f in everything if f.kind in AT_ONCE} == set()
    asked_only = {f.key for f in check.unanswered} - standing
    rows = {row for row, _ in AREA_ROWS}
    assert standing <= {f.key for f in check.unanswered}
    assert all(f.kind is Kind.TAGS_OUT or f.thing.partition(":")[0] in rows
               for f in check.unanswered if f.key in asked_only)  # fmt: skip


@pytest.mark.parametrize("seed", range(14))
def test_half_done_is_what_is_on_and_the_checks_of_its_position_are_not_content_with(seed):
    play = halfway(seed)
    index = play.job.index()
    found = left(play)
    half, off = {each.position for each in found.half}, {each.position for each in found.off}
    assert not half & off
    beside = {*QUESTIONS, *AT_ONCE, Kind.LEFT_OVER, Kind.STILL_ABOARD}
    for position, known in index.state.positions.items():
        owed = [f for f in of_position(index, position)
                if f.position == position and f.answer is None and f.kind not in beside]  # fmt: skip
        if known.role.value == "part" and index.state.parts_of(position):
            begun = _something_is_on(index.state, position)
            looks_alone = {f.kind for f in owed} == {Kind.NOT_INSPECTED}
            assert (position in half) == bool(owed and begun and not looks_alone)
            assert (position in off) == bool(owed and not begun)
    # what can go on next is what `next` says
    steps = next_of(index, reconcile(index.state, KNOWLEDGE, asked=False))
    assert steps == next_steps(play.job)
    text = report_text(sheet(play))
    assert all(each.position.name in text for each in found.half)
    assert sum(look for _, _, look in last_steps(index.state, play.job.acts)) == TO_LOOK_AT


def _something_is_on(state, position):
    joints = {joint.identity for joint in state.joints_of(position)}
    is_in = any(place.kind.value == "joint" and place.name in joints for place in state.holdings)
    return is_in or state.part_at(position) is not None


def test_some_of_the_jobs_that_were_left_halfway_had_something_half_done_and_something_off():
    every = [left(halfway(seed)) for seed in range(14)]
    assert sum(bool(each.half) for each in every) >= 10
    assert sum(bool(each.off) for each in every) >= 10


def test_a_usual_job_takes_one_page(tmp_path):
    play = knowing()
    play.lines(f"off fairing LEFT; 12 AN525-10R8; closes weight L\n{WEIGHT}\noff cap LEFT; 6 AN525-10R8; put shelf 2")
    play.lines(f"put 1 rig pin at weight LEFT\n{ON}")
    play("in 2 AN3-5, 3 AN960-10, 2 AN310-3", None)
    with (tmp_path / "sheet.pdf").open("wb") as out:
        assert report_pdf(sheet(play), out=out) == 1

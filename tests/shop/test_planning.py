"""A removal list from a spreadsheet: taken whole or not at all, every wrong cell named; nothing is off by it."""

from __future__ import annotations

import pytest
from builders import Play

from tagtrack.core.axes import Direction
from tagtrack.core.callout import Decoder
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Planned
from tagtrack.core.faces import FaceKind
from tagtrack.core.leftover import report
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import TagRole, position
from tagtrack.core.tagcode import shown
from tagtrack.core.tagwords import face_of
from tagtrack.shop.lines.talk import Tone
from tagtrack.shop.planning import plan, read_list
from tagtrack.shop.ports import Who
from tagtrack.tables.loader import load

GOOD = """Position,Side,Hardware,Marks,Mount,Critical,Closes
balance weight,LEFT,2x [AN3-5A AN960-10 | AN960-10 MS21044N3],"mark UP, arrow FWD",INBD,yes,
balance weight,RIGHT,2x [AN3-5A AN960-10 | AN960-10 MS21044N3],"mark UP, arrow FWD",INBD,yes,
tip fairing,LEFT,12 AN525-10R8,,,no,balance weight L
"""


def refused(text):
    with pytest.raises(Refusal) as told:
        read_list(text if isinstance(text, bytes) else text.encode())
    return f"{told.value.what} {told.value.came} {told.value.todo}"


def test_a_list_gives_every_row_a_tag_and_takes_nothing_off():
    play = Play()
    act = plan(play.job, Who("KT"), read_list(GOOD.encode()))
    assert len([e for e in act.events if isinstance(e, Planned)]) == 3
    assert play.job.state.parts == {}
    code = next(iter(play.job.state.planned))
    face = face_of(play.job.state, code)
    assert (face.title, face.side.value, face.warnings) == ("balance weight", "LEFT", ("CRITICAL",))
    assert face.hardware[0] == "2 AN3-5A"
    assert face.mount == "mount: INBD face"
    assert "PLANNED" in face.hardware_note


def test_what_came_off_as_listed_is_one_word():
    play = Play()
    plan(play.job, Who("KT"), read_list(GOOD.encode()))
    code = next(iter(play.job.state.planned))
    assert "PLANNED  balance weight, LEFT" in play(code, Tone.NOTE).lines[0]
    play("off")
    part = next(iter(play.job.state.parts.values()))
    assert (str(part.home), part.tag, str(part.marks)) == ("balance weight, LEFT", code, "mark UP, arrow FWD")


def test_what_was_found_otherwise_is_typed_and_another_position_is_refused():
    play = Play()
    plan(play.job, Who("KT"), read_list(GOOD.encode()))
    code = next(iter(play.job.state.planned))
    play(code, Tone.NOTE)
    assert "was printed for balance weight, LEFT" in play("off horn LEFT; 2 AN3-5A", Tone.WRONG).lines[0]
    play("off balance weight LEFT; 2 AN3-6A")
    assert next(iter(play.job.state.parts.values())).tag == code


@pytest.mark.parametrize("mark", [";", "\t"])
def test_a_list_with_another_mark_between_its_cells_is_read(mark):
    assert len(read_list(f"position{mark}side{mark}hardware\nhorn{mark}L{mark}2 AN3-5A\n".encode("utf-8-sig"))) == 1


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "the list is empty"),
        ("position,side\n", "holds no row"),
        ("side,hardware\nL,2 AN3-5A\n", "add position"),
        ("position,side,side\nhorn,L,R\n", "stands twice"),
        ("position,side,hardwear\nhorn,L,2 AN3-5A\n", "did you mean hardware"),
        ("position,side,hardware\nhorn,sideways,2 AN3-5A\n", "row 2, position"),
        ("position,side,hardware\nhorn,L,=SUM(A1:A9)\n", "row 2, hardware: a formula stands there"),
        ("position,side,hardware\nhorn,L,-2 AN3-5A\n", "row 2, hardware"),
        ("position,side,critical\nhorn,L,perhaps\n", "row 2, critical: 'perhaps' is neither yes nor no"),
        ("position,side,marks\nhorn,L,mark sideways\n", "row 2, marks"),
        ("position,side,mount\nhorn,L,ABOVE\n", "row 2, mount"),
        ("position,side\nhorn,L\nhorn,LH\n", "stands in row 2 too"),
        ("position,side\nhorn,L,extra\n", "1 cell too many"),
        ("position,side\nhorn,C,\n".encode("utf-16"), "not in UTF-8"),
        ("position,side\nSeitenruder \u00e4,C\n".encode("latin-1"), "not in UTF-8"),
        (b"position,side\nhorn\0,L\n", "a spreadsheet's own file"),
        ('position,side\n"horn,L\n', "no CSV file"),
    ],
)
def test_a_wrong_list_is_refused_whole_with_row_and_column(text, told):
    assert told in refused(text)


def test_every_wrong_cell_is_told_at_once():
    said = refused("position,side,hardware\nhorn,L,=1\narm,X,2 AN3-5A\nlid,R,two screws\n")
    assert all(where in said for where in ("row 2, hardware", "row 3, position"))


def test_ten_thousand_rows_are_taken():
    rows = "".join(f"cover {n},LEFT,4 AN525-10R8\n" for n in range(10_000))
    play = Play()
    act = plan(play.job, Who("KT"), read_list(f"position,side,hardware\n{rows}".encode()))
    assert len(act.events) == 10_000
    assert len({code for event in act.events for code in (event.tag, event.bag)}) == 20_000


def test_a_row_that_is_in_the_work_order_already_is_refused():
    play = Play()
    play("off balance weight LEFT; 2 AN3-5A")
    with pytest.raises(Refusal, match="row 2: balance weight, LEFT is in this work order already"):
        plan(play.job, Who("KT"), read_list(GOOD.encode()))


# -- a planned tag in hand --------------------------------------------------------------------------------------------


@pytest.fixture
def play():
    made = Play()
    plan(made.job, Who("KT"), read_list(GOOD.encode()))
    return made


def planned(play, position):
    return next(each for each in play.job.state.planned.values() if str(each.position) == position)


def told(reply):
    return "\n".join(reply.lines)


def test_hardware_of_a_list_gets_the_tag_of_its_bag_ahead_too(play):
    row = planned(play, "tip fairing, LEFT")
    face = face_of(play.job.state, row.bag)
    assert (face.kind, face.title, face.hardware[0]) == (FaceKind.BAG, "tip fairing", "12 AN525-10R8")
    play(row.tag, Tone.NOTE)
    play("off")
    assert play.job.state.tags[row.bag].role is TagRole.BAG
    assert play.bag("tip fairing, LEFT") == row.bag
    assert play.loop.bench.to_print == 0, "both lie printed"


def test_one_changed_count_is_one_short_line(play):
    play(planned(play, "tip fairing, LEFT").tag, Tone.NOTE)
    said = told(play("off; 11 AN525-10R8"))
    assert "11 AN525-10R8" in said
    (joint,) = play.job.state.joints.values()
    assert str(joint.stack) == "11 AN525-10R8"
    assert "closes balance weight, LEFT" in said, "all else stays as listed"


@pytest.mark.parametrize(
    ("line", "stack", "marks"),
    [
        ("off 1 AN3-5A", "1x [AN3-5A AN960-10 | AN960-10 MS21044N3]", "mark UP, arrow FWD"),
        ("off; arrow AFT", "2x [AN3-5A AN960-10 | AN960-10 MS21044N3]", "arrow AFT, mark UP"),
        ("off; 2x [AN3-6A | MS21044N3]; wicks AFT", "2x [AN3-6A | MS21044N3]", "wicks AFT, mark UP, arrow FWD"),
    ],
)
def test_only_what_differs_is_said(play, line, stack, marks):
    play(planned(play, "balance weight, LEFT").tag, Tone.NOTE)
    play(line)
    (joint,), (part,) = play.job.state.joints.values(), play.job.state.parts.values()
    assert (str(joint.stack), str(part.marks)) == (stack, marks)
    known = next(iter(play.job.state.positions.values()))
    assert (known.critical, known.mount) == (True, Direction.INBD)


def test_what_the_list_does_not_have_is_said_whole(play):
    play(planned(play, "tip fairing, LEFT").tag, Tone.NOTE)
    refused_ = play("off; 12 AN525-10R7", Tone.WRONG)
    assert "the list has no AN525-10R7" in refused_.lines[0]
    whole = refused_.lines[-1].partition("say it whole: ")[2]
    play(whole.replace("R8", "R7"))
    assert str(next(iter(play.job.state.joints.values())).stack) == "12 AN525-10R7"


def test_the_bag_s_tag_means_the_same_row(play):
    row = planned(play, "tip fairing, LEFT")
    assert "PLANNED  bag of tip fairing, LEFT" in told(play(row.bag, Tone.NOTE))
    play("off")
    assert play.tag("tip fairing, LEFT") == row.tag


def test_hardware_that_lies_loose_goes_into_the_bag_whose_tag_was_printed_for_it(play):
    row = planned(play, "tip fairing, LEFT")
    play(row.tag, Tone.NOTE)
    play("off; loose")
    play(row.bag)
    assert Place(PlaceKind.BAG, row.bag) in play.job.state.holdings


def test_what_is_planned_and_typed_without_a_scan_gets_its_printed_tags(play):
    row = planned(play, "tip fairing, LEFT")
    said = told(play("off tip fairing LEFT; 12 AN525-10R8"))
    assert said.count("(printed ahead)") == 2
    assert (play.tag("tip fairing, LEFT"), play.bag("tip fairing, LEFT")) == (row.tag, row.bag)


def test_the_tags_of_a_planned_removal_that_was_undone_are_still_good(play):
    row = planned(play, "tip fairing, LEFT")
    play(row.tag, Tone.NOTE)
    play("off")
    undone = told(play("undo"))
    assert "destroy" not in undone
    assert f"still good, to be scanned once more: {shown(row.tag)}, {shown(row.bag)}" in undone
    play(row.tag, Tone.NOTE)
    play("off; 11 AN525-10R8")
    assert play.bag("tip fairing, LEFT") == row.bag


def test_a_blank_tag_whose_removal_was_undone_is_still_good_and_the_others_are_destroyed():
    play = Play()
    (blank,) = play.job.shop.issue(Who("KT"), 1)
    play(blank, Tone.NOTE)
    play("off lid LEFT; 4 AN525-10R8; count later")
    undone = told(play("undo"))
    assert f"still good, to be scanned once more: {shown(blank)}" in undone
    assert undone.count("destroy") == 1
    play(blank, Tone.NOTE)
    play("off lid LEFT; none")


def test_a_planned_position_is_known_however_it_is_spelled(play):
    play("off Tip Fairing LEFT; 12 AN525-10R8")
    assert play.tag("tip fairing, LEFT") == planned(play, "tip fairing, LEFT").tag
    play(planned(play, "balance weight, LEFT").tag, Tone.NOTE)
    play("off BALANCE weight LH; 2 AN3-5A")
    with pytest.raises(Refusal, match="is planned already"):
        plan(play.job, Who("KT"), read_list(b"position,side\nBalance Weight,R\n"))


@pytest.mark.parametrize("line", ["off; none", "off; count later"])
def test_what_nothing_holds_and_what_nobody_has_counted_has_no_hardware(play, line):
    play(planned(play, "tip fairing, LEFT").tag, Tone.NOTE)
    play(line)
    assert play.job.state.joints == {}
    assert next(iter(play.job.state.positions.values())).uncounted is (line == "off; count later")


@pytest.mark.parametrize("scan", [True, False])
def test_what_is_typed_in_full_is_as_critical_as_the_list_says(play, scan):
    if scan:
        play(planned(play, "balance weight, LEFT").tag, Tone.NOTE)
    assert "(CRITICAL)" in told(play("off balance weight LEFT; mark UP; 2 AN3-6A"))
    known = play.job.state.positions[position("balance weight LEFT")]
    assert (known.critical, known.mount) == (True, Direction.INBD)
    assert str(play.job.state.part_from(known.position).marks) == "mark UP", "what was found is as it was typed"


def test_a_planned_tag_hangs_on_nothing_else(play):
    row = planned(play, "tip fairing, LEFT")
    play("off horn LEFT; 2 AN3-5A")
    play(row.tag, Tone.NOTE)
    assert "was printed for tip fairing, LEFT" in told(play("same horn RIGHT", Tone.WRONG))
    assert "was printed for tip fairing, LEFT" in told(play("disconnect plug LEFT; keyed", Tone.WRONG))


def test_a_code_that_was_printed_for_a_bag_is_given_out_for_nothing_else(play):
    printed = set(play.job.state.planned)
    for number in range(12):
        play(f"off lid {number} LEFT; 1 AN3-5A")
    assert not printed & set(play.job.state.tags)


def test_a_list_that_is_read_twice_is_refused(play):
    with pytest.raises(Refusal, match="row 2: balance weight, LEFT is planned already: tag "):
        plan(play.job, Who("KT"), read_list(GOOD.encode()))


# -- what became of it ------------------------------------------------------------------------------------------------


def test_status_says_what_is_planned_until_it_is_off(play):
    assert "PLANNED, not off yet: 3" in play("status", Tone.NOTE).lines
    play(planned(play, "tip fairing, LEFT").tag, Tone.NOTE)
    play("off")
    lines = play("status", Tone.NOTE).lines
    assert "PLANNED, not off yet: 2" in lines
    assert not [line for line in lines if line.startswith("  tip fairing, LEFT: tag")]


def test_tags_that_were_printed_ahead_and_never_used_are_told_until_the_end(play):
    row = planned(play, "tip fairing, LEFT")
    play("zone tail LEFT", Tone.NOTE)
    play(row.tag, Tone.NOTE)
    play("off")
    play.lines("? <tag tip fairing, LEFT>\non\n? <bag tip fairing, LEFT>\nall in tight")
    left = [code for code in play.job.state.planned if code not in play.job.state.tags]
    assert len(left) == 4
    assert "4 tags printed ahead, never used" in told(play("tags", Tone.NOTE))
    assert "4 tags printed ahead" in told(play("tags back 6", Tone.WRONG)), "somebody counted them too"
    play("tags back 2")
    play.close_out()
    assert "4 tags printed ahead" in told(play("check"))
    ended = told(play("sign off"))
    assert all(shown(code) in ended for code in left)
    sheet = report(play.job.state, reconcile(play.job.state), play.job.head, printed="2026-03-02")
    (section,) = [s for s in sheet.sections if s.heading == "Tags printed ahead, never used"]
    assert [row[0] for row in section.table.rows] == [shown(code) for code in left]


def test_a_tag_that_is_void_is_not_waited_for(play):
    for code in list(play.job.state.planned)[:6]:
        play(f"void {code} because torn")
    assert "printed ahead" not in told(play("tags", Tone.NOTE))


def test_a_tag_printed_ahead_says_what_must_be_new_at_refit():
    """AC 43.13-1B paragraph 7-127: cotter pins are not used again."""
    play = Play()
    text = "position,side,hardware\nhorn,LEFT,[AN3-10 AN960-10 | AN310-3 MS24665-132]\n"
    plan(play.job, Who("KT"), read_list(text.encode()))
    for code in play.job.state.planned:
        face = face_of(play.job.state, code, Decoder(load()))
        assert "1 MS24665-132 (NEW at refit)" in face.hardware
        assert "1 AN310-3" in face.hardware
        assert "1 MS24665-132 NEW" in [piece.label for piece in face.stack.pieces]

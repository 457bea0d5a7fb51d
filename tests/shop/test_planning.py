"""A removal list from a spreadsheet: taken whole or not at all, every wrong cell named; nothing is off by it."""

from __future__ import annotations

import pytest
from builders import Play

from tagtrack.core.errors import Refusal
from tagtrack.core.events import Planned
from tagtrack.core.tagwords import face_of
from tagtrack.shop.lines.talk import Tone
from tagtrack.shop.planning import plan, read_list
from tagtrack.shop.ports import Who

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
        ("position,side\nhorn,L,extra\n", "1 cells too many"),
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
    assert len({event.tag for event in act.events}) == 10_000


def test_a_row_that_is_in_the_work_order_already_is_refused():
    play = Play()
    play("off balance weight LEFT; 2 AN3-5A")
    with pytest.raises(Refusal, match="row 2: balance weight, LEFT is in this work order already"):
        plan(play.job, Who("KT"), read_list(GOOD.encode()))

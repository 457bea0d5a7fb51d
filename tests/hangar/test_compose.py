"""What the page's forms say: one line each, which the loop takes."""

from __future__ import annotations

import pytest
from builders import Play

from tagtrack.core.errors import Refusal
from tagtrack.hangar.compose import FORMS, Fields, line_of
from tagtrack.shop.lines.talk import Tone


def said(form: str, **fields) -> str:
    values = {name.replace("_", "-"): [text] if isinstance(text, str) else text for name, text in fields.items()}
    return line_of(Fields({"form": [form], **values}))


OFF = {"position": "tip fairing", "side": "LEFT"}


@pytest.mark.parametrize(
    ("form", "fields", "line"),
    [
        ("say", {"line": "tight"}, "tight"),
        ("off", OFF, "off tip fairing LEFT"),
        ("off", {**OFF, "hardware": "12 AN525-10R8", "usual": "12 AN525-10R8"}, "off tip fairing LEFT; 12 AN525-10R8"),
        ("off", {**OFF, "usual": "4 AN3-5A", "kept": "in hole"}, "off tip fairing LEFT; 4 AN3-5A; in hole"),
        ("off", {**OFF, "kept": "bag", "critical": "1", "mark": "UP", "arrow": "FWD", "mount": "INBD"},
         "off tip fairing LEFT; mark UP, arrow FWD; mount INBD; critical"),
        ("off", {**OFF, "arrow": "AFT", "put": "shelf; 2", "more": "pn 7; sn 9"},
         "off tip fairing LEFT; arrow AFT; put shelf, 2; pn 7; sn 9"),
        ("off", {**OFF, "closes": "hinge; LEFT", "pn": "7", "sn": "9", "put": ""},
         "off tip fairing LEFT; closes hinge, LEFT; pn 7; sn 9"),
        ("apart", {"position": "beacon wire", "wire_side": "CENTRE", "end_A": "terminal 3", "end_B": "terminal; 4"},
         "disconnect beacon wire CENTRE; A: terminal 3; B: terminal, 4"),
        ("apart", {"position": "beacon plug", "wire_side": "LEFT", "keyed": "1", "critical": "1", "end_A": " "},
         "disconnect beacon plug LEFT; keyed; critical"),
        ("same", {}, "same"),
        ("same", {"position": "tip fairing", "side": "RIGHT", "hardware": "11 AN525-10R8"},
         "same tip fairing RIGHT; 11 AN525-10R8"),
        ("on", {}, "on"),
        ("on", {"feature": ["mark", "arrow"], "way_mark": "UP", "way_arrow": "FWD"}, "on mark UP arrow FWD"),
        ("on", {"feature": ["mark"], "way_mark": "UP", "trial": "1"}, "trial mark UP"),
        ("all-in", {"all": "1"}, "all in"),
        ("all-in", {"all": "1", "new": "1", "finger": "no", "tight": "1", "safe": "1"},
         "all in new finger no tight safe"),
        ("all-in", {"torque": " 25 in-lb "}, "tight 25 in-lb"),
        ("count", {"spec": "AN960-10", "count": "3"}, "in 3 AN960-10"),
        ("count", {"spec": "AN960-10", "word": "lost"}, "lost 1 AN960-10"),
        ("inspect", {"position": "hinge LEFT", "row_locking": "pins; bent", "row_travel": " "},
         "inspect hinge LEFT; locking: pins, bent"),
        ("complete", {"zone": "tail LEFT", "clear": "9 of 9", "covers": ""}, "complete tail LEFT; clear: 9 of 9"),
        ("worded", {"word": "answer", "about": "1B7867", "text": "it was so"}, "answer 1B7867 because it was so"),
        ("worded", {"word": "look", "about": "spar LEFT", "text": "clean"}, "look spar LEFT: clean"),
        ("worded", {"word": "status"}, "status"),
        ("accept", {"about": "L1", "second": "the owner: A; B", "text": "searched twice"},
         "case L1 accepted by the owner  A, B: searched twice"),
        ("tags", {"count": " 4 "}, "tags back 4"),
        ("connect", {"code": "7K4M9QXQ", "terminal": "terminal; 3"}, "connect 7K4M9QXQ; terminal, 3"),
    ],
)  # fmt: skip
def test_a_form_says_one_line(form, fields, line):
    assert said(form, **fields) == line


def test_every_form_has_its_line_here():
    mine = test_a_form_says_one_line.pytestmark[0].args[1]
    assert {form for form, _, _ in mine} == FORMS.keys()


@pytest.mark.parametrize("fields", [{}, {"position": "tip fairing"}, {"side": "LEFT"}, {"position": ";", "side": ""}])
def test_a_removal_without_position_and_side_is_refused(fields):
    with pytest.raises(Refusal, match="which side"):
        said("off", **fields)


def test_a_form_that_is_not_ours_is_refused():
    with pytest.raises(Refusal, match="no form of this page"):
        said("erase")


def test_a_job_can_be_played_by_forms_alone():
    play = Play()
    play("zone tail LEFT", None)
    play(said("off", position="weight", side="LEFT", hardware="2x [AN3-5 AN960-10 | AN960-10 AN310-3 MS24665-132!]",
              mark="UP", arrow="FWD", mount="INBD", critical="1", kept="bag"))  # fmt: skip
    play("<tag weight, LEFT>", Tone.ASK)
    play(said("on", feature=["mark", "arrow"], way_mark="UP", way_arrow="FWD"))
    play("<bag weight, LEFT>", Tone.ASK)
    play(said("all-in", all="1", new="1", tight="1", torque="22 in-lb", safe="1"))
    play(said("worded", word="command", about="weight LEFT", text="stick back"))
    play("by MB", None)
    rows = {f"row_{row}": "seen, both sides" for row in ("assembly", "locking", "travel", "tension", "interaction")}
    play(said("inspect", position="weight LEFT", row_sense="UP", **rows))
    play("by KT", None)
    play(said("complete", zone="tail LEFT", clear="9 of 9 tools", covers="none was off"))
    play(said("tags", count="2"))
    play("sign off")
    assert play.job.state.signed is not None


def test_what_was_typed_and_another_tile_are_not_both_meant_and_none_is_dropped():
    with pytest.raises(Refusal, match="which is it") as asked:
        said("off", **OFF, hardware="4 AN3-5A", usual="12 AN525-10R8")
    assert "typed 4 AN3-5A, and chosen 12 AN525-10R8" in " ".join(asked.value.lines())

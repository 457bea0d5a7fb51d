"""What a mechanic has in hand and no screen beside it: the signed report, the sheet for refit, the tags, the answers.

Each story was played by somebody who knew the README alone, and had to guess.
"""

from __future__ import annotations

import pytest
from builders import Play

from tagtrack.core import steps
from tagtrack.core.callout import Decoder
from tagtrack.core.index import Index
from tagtrack.core.leftover import report
from tagtrack.core.order import last_off_first
from tagtrack.core.reconcile import reconcile
from tagtrack.core.refit_sheet import refit_sheet
from tagtrack.core.tagwords import face_of
from tagtrack.paper.report_text import report_text
from tagtrack.shop.lines.talk import Tone
from tagtrack.tables.loader import load

KNOWLEDGE = Decoder(load())


def sections(play):
    state = play.job.refresh()
    sheet = report(state, reconcile(state), play.job.head, printed="2026-03-02")
    return {section.heading: section for section in sheet.sections}, report_text(sheet)


def test_the_report_shows_what_was_looked_at_closed_out_and_put_aboard_with_who():
    play = Play()
    play("zone wing LEFT", None)
    play("off aileron LEFT; 2 AN3-5A", None)
    play("point rear spar LEFT", None)
    play("look rear spar LEFT: no cracks at the doubler", None)
    play("put 1 gust lock at aileron LEFT", None)
    play("put 2 blue caps at aileron LEFT", None)
    play("take 1 gust lock", None)
    play("clear wing LEFT: 9 of 9 tools", None)
    told, text = sections(play)
    headings = ("Looked at", "Areas closed out", "Put aboard and taken off again")
    look, area, aboard = (told[heading].table.rows for heading in headings)
    assert look[0][:3] == ("rear spar, LEFT", "look", "no cracks at the doubler")
    assert look[0][3].startswith("Kari Testad (KT), 2026-03-02")
    assert ("wing LEFT", "clear", "9 of 9 tools") in [row[:3] for row in area]
    assert ("wing LEFT", "covers", "NOT SAID") in [row[:3] for row in area]
    assert told["Areas closed out"].loud
    by = "Kari Testad (KT)"
    assert ("gust lock", "aileron, LEFT", f"1 by {by}", f"1 by {by}", "all off") in aboard
    assert ("blue caps", "aileron, LEFT", f"2 by {by}", "0", "2 STILL ABOARD") in aboard
    assert "no cracks at the doubler" in text


def test_a_look_undone_is_not_in_the_report_and_a_cap_lost_aboard_is_no_cap_taken_off():
    play = Play()
    play("zone wing LEFT", None)
    play("point rear spar LEFT", None)
    play("look rear spar LEFT: no cracks", None)
    play("undo", None)
    play("put 2 blue caps at wing LEFT", None)
    play("undo", None)
    told, _ = sections(play)
    assert told["Looked at"].table.rows == (("rear spar, LEFT", "look", "NOBODY HAS LOOKED", ""),)
    assert told["Looked at"].loud
    assert "Put aboard and taken off again" not in told


def test_what_was_replaced_names_its_position_and_the_position_is_not_told_as_empty():
    play = Play()
    play("zone wing LEFT", None)
    play("off static wick LEFT; 1 AN3-5, 1 AN310-3, 1 MS24665-132!", None)
    play("<tag static wick, LEFT>", None)
    play("replace; sn 77", None)
    play("scrap because worn", None)
    play(play.bag("static wick, LEFT"), None)
    play("all in new", None)
    told, _ = sections(play)
    rows = told["Replaced and scrapped"].table.rows
    assert any(row[0] == "hardware of static wick, LEFT" and "MS24665-132" in row[2] for row in rows), rows
    (row,) = told["Parts that came off, and where they are"].table.rows
    assert row[3] == "scrap; replaced: the new one (S/N 77) is on the aircraft at static wick, LEFT"


APART = """
~ zone tail LEFT
off tip fairing LEFT; 4 AN525-10R8; closes horn LEFT
off tab LEFT; 1 AN3-5A; part of elevator LEFT
off horn LEFT; 2 AN3-5A; under tip fairing LEFT
off elevator LEFT; 3 AN4-7A; clamps strap LEFT
off strap LEFT; none
"""


def test_it_goes_back_last_off_first_and_a_cover_after_what_it_closes():
    play = Play()
    play.lines(APART)
    sheet = refit_sheet(play.job.index(), play.job.head, printed="2026-03-02")
    assert sheet.verdict == "5 positions to put back: last off first; covers after what they close"
    order = [p.name for p in last_off_first(play.job.state)]
    assert order == ["strap", "elevator", "horn", "tab", "tip fairing"]
    headings = [s.heading.split(",")[0] for s in sheet.sections if s.heading.split(",")[0] in order]
    assert list(dict.fromkeys(headings)) == order
    (tab,) = [s for s in sheet.sections if s.heading.startswith("tab")]
    assert "Part of elevator, LEFT, which is off too." in tab.note


def test_what_comes_off_once_more_is_the_last_that_came_off():
    play = Play()
    play.lines("~ zone tail LEFT\noff horn LEFT; 2 AN3-5A; in hole\noff arm LEFT; 2 AN3-5A; in hole\n"
               "? <tag horn, LEFT>\non\nall in\noff horn LEFT")
    assert [p.name for p in last_off_first(play.job.state)] == ["horn", "arm"]


def test_what_hangs_on_something_that_is_off_is_not_told_as_what_can_simply_go_on_now():
    play = Play()
    play.lines(APART)
    told = "\n".join(play("next", Tone.NOTE).lines)
    now, _, rest = told.partition("GOES WITH")
    assert now.splitlines()[1:] == ["  elevator, LEFT", "  horn, LEFT"]
    assert "  tab, LEFT: with elevator, LEFT" in rest
    assert "  strap, LEFT: with elevator, LEFT" in rest
    assert "tip fairing, LEFT: for horn, LEFT" in rest


def still_owed(play):
    found = reconcile(play.job.refresh(), KNOWLEDGE).unanswered
    return {f.kind.value for f in found if f.kind.value in ("not-tight", "not-safetied")}


@pytest.mark.parametrize(
    ("said", "owed"),
    [
        # common practice, no source: a pin is put through and locked, a threaded one has a nut
        ("1 hinge pin, 1 MS24665-151", {"not-safetied"}),
        ("[AN393-11 AN960-10 | MS24665-132]", {"not-safetied"}),
        ("1 AN393-11", {"not-safetied"}),
        ("1 clevis pin", {"not-safetied"}),
        ("2 hinge wires", {"not-safetied"}),
        ("1 roll pin", set()),
        ("1 taper pin, 1 nut", {"not-tight"}),
        ("1 AN3-5A", {"not-tight"}),
        ("4 trim screws", {"not-tight"}),
        ("1 pin bolt", {"not-tight"}),
    ],
)
def test_a_pin_is_never_tightened_its_lock_is_asked(said, owed):
    play = Play()
    play.lines("~ zone tail LEFT")
    for line in (f"off tab LEFT; {said}", "<tag tab, LEFT>", "on", "<bag tab, LEFT>", "all in", "all in new"):
        play(line, None)
    assert still_owed(play) == owed
    if owed == {"not-safetied"}:
        play("safe")
        assert still_owed(play) == set()
        index = Index.of(play.job.state, KNOWLEDGE)
        assert refit_sheet(index, play.job.head, printed="2026-03-02").verdict == "All is back"


def test_a_washer_that_was_found_on_the_bench_need_not_be_had_new():
    play = Play()
    play.lines("~ zone tail LEFT\noff horn LEFT; 2 AN4-7A, 2 AN960-416\n? <bag horn, LEFT>")
    play("lost 1 AN960-416", None)
    assert "1 AN960-416" in "\n".join(play("shortage", Tone.NOTE).lines)
    play("case L1 found: bench", None)
    assert play.job.state.losses["L1"].still == 0
    assert "NOTHING more" in play("shortage", Tone.NOTE).lines[0]


def test_what_lies_on_the_bench_is_counted_once():
    play = Play()
    play.lines("~ zone tail LEFT\noff horn LEFT; 2 AN4-7A, 2 AN960-416\n? <bag horn, LEFT>")
    play("lost 1 AN960-416", None)
    play.lines("off arm LEFT; 1 AN4-7A, 1 AN960-416\n? <bag arm, LEFT>")
    play("lost 1 AN960-416", None)
    play("case L1 found: bench", None)
    assert "  1 AN960-416: arm, LEFT" in "\n".join(play("shortage", Tone.NOTE).lines)


def test_findings_that_are_listed_together_are_counted_both_ways_and_it_is_told_what_closes_them():
    play = Play()
    play.lines("~ zone tail LEFT\noff horn LEFT; critical; mark UP, arrow FWD; 2 AN3-5A; in hole")
    play.lines("? <tag horn, LEFT>\nup fwd")
    play("all in tight safe", None)
    lines = play("check", Tone.WRONG).lines
    found = reconcile(play.job.state).unanswered
    looks = [f for f in found if f.kind.value == "not-inspected"]
    assert len(looks) == 6
    assert lines[0] == f"{len(found)} FINDINGS in {len(found) - 5} entries"
    text = "\n".join(lines)
    assert "inspect horn LEFT; not available: REASON" in text
    play("inspect horn LEFT; not available: nobody else is here today", None)
    assert "not-inspected" not in {f.kind.value for f in reconcile(play.job.refresh()).unanswered}


def test_the_history_says_what_was_put_aboard_and_what_was_answered():
    play = Play()
    play.lines("~ zone tail LEFT\noff horn LEFT; 2 AN3-5A\nput 1 gust lock at horn LEFT\nclear tail LEFT: 9 of 9 tools")
    told = [steps.told(act, play.job.state) for act in play.job.acts]
    assert any("put on the aircraft (1 gust lock at horn, LEFT)" in each for each in told)
    assert "clear (9 of 9 tools): zone tail LEFT" in told


def test_a_tag_and_the_sheet_for_refit_say_what_number_it_is():
    play = Play()
    play.lines("~ zone tail LEFT\noff horn LEFT; 2 AN3-5A; pn 0432-7; sn 77\noff arm LEFT; 2 AN3-5A; sn 8")
    assert face_of(play.job.state, play.tag("horn, LEFT")).numbers == "P/N 0432-7, S/N 77"
    assert face_of(play.job.state, play.tag("arm, LEFT")).numbers == "S/N 8"
    sheet = refit_sheet(play.job.index(), play.job.head, printed="2026-03-02")
    notes = "\n".join(section.note for section in sheet.sections)
    assert "P/N 0432-7, S/N 77" in notes

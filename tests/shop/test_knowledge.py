"""The loop with the tables in hand: successors count, never is never silent, what is used once is known."""

from __future__ import annotations

import pytest
from builders import Play, job

from tagtrack.core.callout import Decoder
from tagtrack.core.reconcile import reconcile
from tagtrack.core.refit_sheet import refit_sheet
from tagtrack.core.tagcode import shown
from tagtrack.core.tagwords import face_of
from tagtrack.shop.lines.talk import Tone
from tagtrack.tables.loader import load


@pytest.fixture
def play():
    opened = job()
    opened.shop.knowledge = Decoder(load())
    playing = Play(opened)
    playing("zone tail LEFT", Tone.NOTE)
    return playing


def told(reply):
    return "\n".join(reply.lines)


def findings(play):
    play.close_out()
    return reconcile(play.job.refresh(), play.job.knowledge).unanswered


def test_a_cotter_pin_is_known_to_be_used_once(play):
    reply = play("off horn LEFT; 2x [AN3-5 AN960-10 | AN310-3 MS24665-132]; lock cotter")
    assert "throw away, new at refit: MS24665-132" in told(reply)
    play.lines("? <tag horn, LEFT>\non\n? <bag horn, LEFT>\nall in new tight safe")
    play.close()
    assert play.job.state.signed.catalogue == load().digest


def test_a_successor_counts_as_what_it_replaced_and_that_is_said(play):
    play.lines("off horn LEFT; 2x [AN3-5 AN960-10 | AN310-3]; lock none\n? <tag horn, LEFT>\non\n? <bag horn, LEFT>")
    play.lines("! in 2 AN3-5, 2 AN310-3")
    assert "NAS1149F0363P counts as AN960-10" in told(play("new 2 NAS1149F0363P"))
    assert {f.kind.value for f in findings(play)} == {"not-tight", "left-over", "still-aboard"}
    play.lines("tight\n? <bag horn, LEFT>\nstock 2 AN960-10 because new ones went in")
    play.close()


@pytest.mark.parametrize(
    ("found", "fitted", "advice"),
    [
        ("AN365-720C", "MS21044C7", "NEVER one for the other"),
        ("MS21044N3", "MS21042-3", "an alternate"),
        ("AN4-10A", "AN4-11A", "one grip longer"),
        ("AN4-10A", "AN970-4", "accept it by name and reason"),
    ],
)
def test_what_is_known_of_a_wrong_piece_is_told(play, found, fitted, advice):
    play.lines(f"off horn LEFT; 2 {found}\n? <tag horn, LEFT>\non\n! new 2 {fitted}")
    (wrong,) = [f for f in findings(play) if f.kind.value == "wrong-hardware"]
    assert advice in wrong.advice


def test_what_does_not_go_together_is_asked_when_it_is_typed(play):
    assert "is not drilled for a cotter pin" in told(play("off horn LEFT; [AN3-5A | AN310-3 MS24665-132]"))


def test_a_bag_that_this_one_is_taken_for_is_named(play):
    play("off horn LEFT; 2 AN3-5A")
    assert "LOOKS LIKE  AN3-5A in bag" in told(play("off weight LEFT; 2 AN3-6A"))
    assert "LOOKS LIKE" not in told(play("off cover LEFT; 4 AN525-10R8"))
    face = face_of(play.job.state, play.bag("horn, LEFT"), play.job.knowledge)
    assert face.hardware_note.endswith(": one grip longer")
    assert face.hardware_note.startswith(f"looks like bag {shown(play.bag('weight, LEFT'))}")


def test_the_small_hardware_of_a_connection_goes_into_its_bag_too(play):
    play.lines("disconnect rod LEFT; keyed; 1x [AN3-10 | AN310-3 MS24665-132]")
    blank = play.job.shop.issue(play.loop.bench.who(), 1)[0]
    play(shown(blank))
    assert play.bag("rod, LEFT") == blank
    assert [f.kind.value for f in findings(play)].count("short") == 0, "what is parted is told once"
    play.lines("<wire rod, LEFT keyed>\n? <bag rod, LEFT>\nall in new tight safe")
    play.close()


NUTS = """
off horn LEFT; 2x [AN3-5A | MS21044N3]; lock self-locking
? <tag horn, LEFT>
on
? <bag horn, LEFT>
"""


def test_self_locking_nuts_are_asked_for_once_and_go_back_if_they_hold(play):
    play.lines(NUTS)
    play("all in tight")
    assert [f.thing for f in findings(play) if f.kind.value == "not-looked-at"] == ["finger test of MS21044N3"]
    play("finger no")
    play.close()


def test_a_nut_that_runs_on_by_finger_must_be_new(play):
    play.lines(NUTS)
    play("all in finger yes tight")
    assert "reused" in [f.kind.value for f in findings(play)]
    assert "2 MS21044N3: horn, LEFT" in told(play("shortage", Tone.NOTE))
    play.lines("out 2 MS21044N3\nnew 2 MS21044N3\ntight\n? <bag horn, LEFT>\nscrap 2 MS21044N3 because they run on")
    play.close()


def test_what_must_be_had_new_is_listed_with_what_was_drawn(play):
    play.lines("off horn LEFT; 2x [AN3-5 AN960-10 | AN310-3 MS24665-132]\n? <bag horn, LEFT>\n! lost 1 AN960-10")
    listed = told(play("shortage", Tone.NOTE))
    assert "2 MS24665-132: horn, LEFT" in listed
    assert "1 AN960-10: horn, LEFT" in listed
    play.lines("~ at horn LEFT\n! new 1 MS24665-132")
    assert "1 MS24665-132: horn, LEFT   (1 drawn already)" in told(play("shortage", Tone.NOTE))
    assert "NOTHING" in told(Play()("shortage", Tone.NOTE))


def test_a_bolt_too_short_for_what_was_measured_is_asked(play):
    reply = play("off arm LEFT; 2x [AN4-10A AN960-416 | AN960-416 MS21044N4]; measured 9/16")
    assert "threads would bear in the parts?" in told(reply)
    play("zone tail RIGHT", Tone.NOTE)
    play("off arm RIGHT; 2x [AN4-11A AN960-416 | AN960-416 MS21044N4]; measured 9/16 in")


def test_a_thickness_that_is_none_is_refused_and_nothing_is_recorded(play):
    before = len(play.job.acts)
    for thickness in ("thick", "0", "-1/2", "40"):
        assert "is no thickness" in told(play(f"off arm LEFT; 2 AN4-10A; measured {thickness}", Tone.WRONG))
    assert len(play.job.acts) == before


def refit(play, **how):
    return refit_sheet(play.job.index(), play.job.head, printed="2026-03-02", **how)


def test_the_reinstallation_sheet_puts_what_is_covered_first(play):
    play.lines(
        "off cover LEFT; 4 AN525-10R8\n"
        "off arm LEFT; critical; mark UP, arrow FWD; 2x [AN7-12 AN960-716 | AN310-7 MS24665-283]; under cover LEFT\n"
        "disconnect strap LEFT; goes to stud\n"
        "setting stop bolt LEFT; as found 3 threads"
    )
    sheet = refit(play)
    headings = [section.heading for section in sheet.sections]
    assert headings[0] == "To be had new before the job can close"
    arm, cover = (next(n for n, h in enumerate(headings) if h.startswith(name)) for name in ("arm", "cover"))
    assert arm < cover
    told = sheet.sections[arm]
    assert "CRITICAL" in told.heading
    assert "It sat with mark UP, arrow FWD." in told.note
    assert "450-500 in-lb, at most 840 (AC 43.13-1B Table 7-1)" in told.note
    assert "cotter usually MS24665-283" in told.note
    assert told.picture is not None
    assert ("2", "MS24665-283", "cotter pin", "NEW", "", "") in told.table.rows
    assert any("goes to stud" in section.note for section in sheet.sections)
    assert any("As left: ________" in section.note for section in sheet.sections)
    assert any("maker's manual prevails" in caution for caution in sheet.cautions)


def test_what_is_back_is_left_out_of_the_sheet_unless_everything_is_asked_for(play):
    play.lines("off horn LEFT; 2 AN3-5A; in hole\n? <tag horn, LEFT>\non\nall in tight")
    assert refit(play).verdict == "All is back"
    assert refit(play, everything=True).verdict == "1 position to put back, in this order"

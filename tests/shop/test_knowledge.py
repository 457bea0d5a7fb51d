"""The loop with the tables in hand: successors count, never is never silent, what is used once is known."""

from __future__ import annotations

import pytest
from builders import Play, job

from tagtrack.core import places
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
    assert {f.kind.value for f in findings(play)} == {"not-tight", "left-over", "tags-out"}
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
    assert face.hardware_note.startswith(f"looks like AN3-6A in bag {shown(play.bag('weight, LEFT'))}")


def test_what_does_not_lie_in_the_bag_is_not_what_another_is_taken_for(play):
    play("off horn LEFT; 2x [AN3-10 | AN310-3 MS24665-132!]")
    answer = told(play("off weight LEFT; 2x [AN3-11 | AN310-3 MS24665-134!]"))
    assert "LOOKS LIKE  AN3-10 in bag" in answer
    assert "LOOKS LIKE  MS24665" not in answer, "the old pin was thrown away"
    play.lines("~ zone tail LEFT\n? <tag horn, LEFT>\non\n? <bag horn, LEFT>\nin 2 AN3-10, 2 AN310-3")
    answer = told(play("off arm LEFT; 2 AN3-12", None))
    assert "LOOKS LIKE  AN3-11 in bag" in answer
    assert "LOOKS LIKE  AN3-10" not in answer, "it is back in"


@pytest.mark.parametrize(
    ("first", "second"),
    [
        # a hexagon and a slot, a nylon insert and none, are told apart at a glance: common practice, no source
        ("2 AN3-11", "2 AN23-11"),
        ("2 MS21044N3", "2 MS21042-3"),
        ("2 AN310-3", "2 AN365-1032A"),
    ],
)
def test_what_a_glance_tells_apart_is_not_called_a_look_alike(play, first, second):
    play(f"off horn LEFT; {first}")
    assert "LOOKS LIKE" not in told(play(f"off weight LEFT; {second}", None))


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
    play.lines("out 2 MS21044N3\nnew 2 MS21044N3\ntight")
    assert places.held(play.job.state.holdings, places.SCRAP, places.used("MS21044N3")) == 2
    play.close()


def test_what_must_be_had_new_is_listed_with_what_was_drawn(play):
    play.lines("off horn LEFT; 2x [AN3-5 AN960-10 | AN310-3 MS24665-132]\n? <bag horn, LEFT>\n! lost 1 AN960-10")
    listed = told(play("shortage", Tone.NOTE))
    assert "2 MS24665-132: horn, LEFT" in listed
    assert "1 AN960-10: horn, LEFT" in listed
    play.lines("~ at horn LEFT\n? <tag horn, LEFT>\non\n! new 1 MS24665-132")
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
    verdict = "1 position to put back: last off first; covers after what they close"
    assert refit(play, everything=True).verdict == verdict


# AC 43.13-1B Table 7-1: a 10-32 bolt takes 40 in-lb at most, with a shear nut 25
@pytest.mark.parametrize(
    ("stack", "value"),
    [
        *(("[AN3-5A | MS21044N3]", said) for said in (
            "25 ft-lb", "28 Nm", "28 N·m", "250 in.lb", "250 inlb", "at 250 in-lb", "to 250 in-lb", "250 lbf in",
            "1 at 250 in-lb", "4 ft-lb", "5 N·m")),
        ("[AN3-5 | AN320-3 MS24665-132]", "26 in-lb"),
        ("[AN3-5 | AN320-3 MS24665-132]", "30 lb-in"),
    ],
)  # fmt: skip
def test_more_torque_than_the_table_ever_allows_is_asked_in_whatever_unit(play, stack, value):
    play.lines(f"off horn LEFT; 1x {stack}\n? <tag horn, LEFT>\non\n? <bag horn, LEFT>")
    before = len(play.job.acts)
    reply = play(f"all in new finger no tight {value}", Tone.ASK)
    assert "more than AC 43.13-1B Table 7-1 ever allows for 10-32" in told(reply)
    assert len(play.job.acts) == before


@pytest.mark.parametrize(
    ("stack", "value"),
    [
        ("[AN3-5A | MS21044N3]", "3 ft-lb"),
        ("[AN3-5A | MS21044N3]", "4.5 N·m"),
        ("[AN3-5A | MS21044N3]", "to 40 in-lb"),
        ("[AN3-5 | AN320-3 MS24665-132]", "25 in-lb"),
        ("[AN3-5A | MS21044N3]", "per data"),
        # the table has no figure for aluminium, nor for the 6-40 thread
        ("[AN3DD-5A | MS21044N3]", "100 in-lb"),
        ("[AN21-9A]", "100 in-lb"),
    ],
)
def test_torque_within_the_table_or_beside_it_is_taken(play, stack, value):
    play.lines(f"off horn LEFT; 1x {stack}\n? <tag horn, LEFT>\non\n? <bag horn, LEFT>")
    new = "new " if "MS24665" in stack else ""
    finger = "finger no " if "MS21044" in stack else ""
    play(f"all in {new}{finger}tight {value} safe")
    (joint,) = play.job.state.joints.values()
    assert (joint.tight, joint.torque) == (1, value)


@pytest.mark.parametrize(
    "value", ["24 lb-in", "24 in-lb", "24 Nm", "24 N·m", "24 inlb", "24 lbf in", "24 lbs", "20 - 24 in-lb"]
)
def test_a_number_with_its_unit_is_a_torque_not_a_count(play, value):
    play.lines("off cover LEFT; 24 AN525-10R8\n? <tag cover, LEFT>\non\n? <bag cover, LEFT>")
    play(f"all in tight {value}")
    (joint,) = play.job.state.joints.values()
    assert (joint.tight, joint.torque) == (24, value)


def test_a_count_before_a_torque_stays_a_count(play):
    play.lines("off cover LEFT; 24 AN525-10R8\n? <tag cover, LEFT>\non\n? <bag cover, LEFT>")
    play("all in tight 20 at 24 in-lb")
    (joint,) = play.job.state.joints.values()
    assert (joint.tight, joint.torque) == (20, "at 24 in-lb")


@pytest.mark.parametrize("rivets", ["14 MS20470AD4-4", "14 rivets"])
def test_new_rivets_need_no_lock(play, rivets):
    play.lines(f"drilled skin LEFT; {rivets}\nchips out skin LEFT: vacuum\n~ at skin LEFT\nnew {rivets}")
    assert "not-safetied" not in {f.kind.value for f in findings(play)}


@pytest.mark.parametrize("once", ["2 gaskets", "2 MS20470AD4-4"])
def test_a_piece_used_once_that_locks_nothing_asks_for_no_lock(play, once):
    play.lines(f"off cover LEFT; 4 AN525-10R8, {once}\n? <tag cover, LEFT>\non\n? <bag cover, LEFT>\nall in new tight")
    assert "not-safetied" not in {f.kind.value for f in findings(play)}


@pytest.mark.parametrize("pins", ["2 cotter pins", "2 MS24665-214", "2 split pins", "2 lockwashers", "1 safety wire"])
def test_a_lock_in_words_or_unlisted_is_thrown_away_and_must_be_new_and_told(play, pins):
    assert "throw away, new at refit" in told(play(f"off horn LEFT; 2 AN3-5, 2 AN310-3, {pins}"))
    play.lines("? <tag horn, LEFT>\non\n? <bag horn, LEFT>\nall in new tight")
    assert "not-safetied" in {f.kind.value for f in findings(play)}
    play("at horn LEFT", None)
    play("safe")
    play.close()


def test_a_nut_described_in_words_is_asked_for_by_finger_too(play):
    play.lines("off horn LEFT; 2 AN3-5A, 2 elastic stop nuts\n? <tag horn, LEFT>\non\n? <bag horn, LEFT>\nall in tight")
    assert "finger test of ELASTIC STOP NUTS" in [f.thing for f in findings(play)]


def test_of_several_bolts_the_torque_of_the_one_that_is_named_is_asked_about(play):
    play.lines("off horn LEFT; 4 AN3-5A, 2 AN6-10A\n? <tag horn, LEFT>\non\n? <bag horn, LEFT>\nall in")
    assert "ever allows for 10-32" in told(play("tight AN3-5A 160 in-lb", Tone.ASK))
    play("no", None)
    play("tight AN6-10A 160 in-lb")
    play("tight AN3-5A 25 in-lb")

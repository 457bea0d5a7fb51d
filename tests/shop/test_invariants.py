"""What must always hold: each test tries to break one of the rules of the ledger."""

from __future__ import annotations

import pytest
from builders import Play

from tagtrack.core.events import Reversed
from tagtrack.core.places import PlaceKind
from tagtrack.core.reconcile import reconcile

LOOK = "assembly: right; locking: pins in; travel: full; sense: not affected; tension: none; interaction: clear"
APART = """
~ zone tail LEFT
off trim rod LEFT; mark UP, arrow FWD; critical; 2x [AN3-5A AN960-10 | AN310-3 MS24665-132!]; lock cotter
"""
BACK = """
? <tag trim rod, LEFT>
up fwd
? <bag trim rod, LEFT>
all in new tight 22 in-lb safe
"""


@pytest.fixture
def play():
    playing = Play()
    playing.lines(APART)
    return playing


def acts(play):
    return len(play.job.acts)


def test_nobody_inspects_what_he_or_she_did(play):
    play.lines(BACK)
    before = acts(play)
    reply = play(f"inspect trim rod LEFT; {LOOK}", None)
    assert "cannot be its independent inspector" in reply.lines[0]
    assert acts(play) == before
    play.lines(f"~ by MB\ninspect trim rod LEFT; {LOOK}")
    assert "not-inspected" not in play.kinds()


def test_who_made_it_tight_may_not_inspect_although_another_took_it_off(play):
    play.lines(BACK.replace("all in new tight 22 in-lb safe", "all in new"))
    play.lines("~ by MB\ntight safe")
    assert "cannot be" in play(f"inspect trim rod LEFT; {LOOK}", None).lines[0]


def test_who_worked_in_an_earlier_cycle_may_inspect_the_later_one_once_none_of_that_work_is_left(play):
    play.lines(BACK)
    play.lines("~ by MB\noff trim rod LEFT; bag")
    play.lines(BACK)
    play.lines(f"~ by KT\ninspect trim rod LEFT; {LOOK}")


def test_taking_a_joint_apart_again_voids_the_checks_made_on_it(play):
    play.lines(BACK)
    play.lines(f"~ by MB\ninspect trim rod LEFT; {LOOK}\n~ by KT")
    play.lines("loosened trim rod LEFT")
    play.lines("tight safe")
    assert play.kinds().count("not-inspected") == 6


def test_a_piece_added_to_a_finished_joint_voids_its_checks_too(play):
    play.lines(BACK)
    play.lines(f"~ by MB\ninspect trim rod LEFT; {LOOK}\n~ by KT")
    play.lines("added 1 AN960-10L because it was loose")
    kinds = play.kinds()
    assert "not-tight" in kinds
    assert kinds.count("not-inspected") == 6


def test_tight_counts_only_what_is_in(play):
    play.lines("? <tag trim rod, LEFT>\nup fwd\n? <bag trim rod, LEFT>\n! in 1 AN3-5A, 2 AN960-10, 2 AN310-3")
    play.lines("tight")
    before = acts(play)
    assert "1 are in" in play("tight 2", None).lines[0]
    assert acts(play) == before
    play.lines("in 1 AN3-5A\nnew")
    assert "not-tight" in play.kinds(), "the bolt that came later was never made tight"


def test_a_line_is_taken_whole_or_not_at_all(play):
    play.lines("? <tag trim rod, LEFT>\nup fwd\n? <bag trim rod, LEFT>")
    before = acts(play)
    reply = play("all in tight 9 safe", None)
    assert reply.act is None
    assert acts(play) == before
    assert not play.job.state.joints["j1"].tight


def test_a_new_piece_never_clears_a_lost_one(play):
    play.lines("? <bag trim rod, LEFT>\n! lost 1 AN310-3")
    play.lines("? <tag trim rod, LEFT>\nup fwd\n? <bag trim rod, LEFT>\n! all in new\nnew 1 AN310-3\ntight safe")
    play.lines(f"~ by MB\ninspect trim rod LEFT; {LOOK}\n~ by KT\ntags back {len(play.job.open_tags())}")
    refused = play("complete tail LEFT; clear: 12 of 12 tools back; covers: none was off", None)
    assert "is lost there: case L1" in refused.lines[0], "what is lost freezes the close-out of its area"
    assert set(play.kinds()) == {"lost", "not-looked-at"}
    assert "without an answer" in play("sign off", None).lines[0]


def test_a_loss_is_accepted_only_with_a_second_name(play):
    play.lines("? <bag trim rod, LEFT>\n! lost 1 AN310-3")
    for name in ("", "by KT", "by Kari Testad", "by kt", "by ..."):
        assert "second person" in play(f"case L1 accepted {name}: searched the whole tail", None).lines[0]
    mark = next(f.short for f in reconcile(play.job.state).unanswered if f.kind.value == "lost")
    assert "searched" in play(f"answer {mark} because it is small", None).lines[0]
    play("case L1 accepted by Olga Owner: searched the whole tail with a mirror")
    assert "lost" not in play.kinds()


def test_a_missing_look_is_not_answered_away(play):
    play.lines(BACK)
    mark = next(f.short for f in reconcile(play.job.state).unanswered if f.kind.value == "not-inspected")
    assert "not answered away" in play(f"answer {mark} because I am sure", None).lines[0]


def test_no_second_person_is_said_with_its_reason_and_stays_visible(play):
    play.lines(BACK)
    play.lines("! inspect trim rod LEFT; not available: alone on the field until Friday")
    findings = [f for f in reconcile(play.job.state).findings if f.kind.value == "not-inspected"]
    assert len(findings) == 6
    assert {f.seen for f in findings} == {"no second person available"}
    assert all(f.answer for f in findings)


def test_the_same_person_once_more_is_told_apart_from_an_independent_look(play):
    play.lines(BACK)
    play.lines(f"inspect trim rod LEFT; again: yes; {LOOK}")
    seen = {f.seen for f in reconcile(play.job.state).findings if f.kind.value == "not-inspected"}
    assert seen == {"reinspected by the same person"}
    play("by MB", None)
    assert "did none of this work" in play(f"inspect trim rod LEFT; again: yes; {LOOK}", None).lines[0]


def test_nothing_is_erased_by_undoing(play):
    before = acts(play)
    play("undo")
    assert acts(play) == before + 1
    assert any(isinstance(e, Reversed) for e in play.job.acts[-1].events)
    assert play.job.state.parts == {}
    play("undo " + play.job.acts[-1].id, None)


def test_what_something_rests_on_is_not_undone(play):
    off = play.job.acts[-1].id
    play.lines("? <tag trim rod, LEFT>\nup fwd")
    reply = play(f"undo {off}", None)
    assert "a later step rests on that one" in reply.lines[0]
    play.lines("undo\nundo")
    assert play.job.state.parts == {}


def test_a_signed_job_takes_nothing_more_until_the_sign_off_is_taken_back_with_a_reason(play):
    play.lines(BACK)
    play.lines(f"~ by MB\ninspect trim rod LEFT; {LOOK}\n~ by KT")
    play.close()
    assert "is signed off" in play("put 1 rag at trim rod LEFT", None).lines[0]
    assert play("undo sign-off", None).act is None, "a reason is needed"
    play("undo sign-off because a tool is missing")
    play("put 1 rag at trim rod LEFT")
    assert "still-aboard" in play.kinds()


def test_installing_a_new_part_is_its_own_fact_and_the_old_one_keeps_its_fate(play):
    play.lines("? <tag trim rod, LEFT>\nreplace; pn 99-1; sn 5; up fwd\nsend to overhaul shop because worn")
    old, new = play.job.state.parts.values()
    assert (old.place.kind, new.place.kind) == (PlaceKind.SENT, PlaceKind.POSITION)
    assert new.marks == old.marks
    assert new.serial == "5"


def test_a_part_that_comes_off_again_keeps_its_tag_and_its_empty_bag(play):
    play.lines(BACK)
    tag, bag = play.tag("trim rod, LEFT"), play.bag("trim rod, LEFT")
    play("off trim rod LEFT; bag")
    assert (play.tag("trim rod, LEFT"), play.bag("trim rod, LEFT")) == (tag, bag)
    assert len(play.job.open_tags()) == 2
    assert not any(i.name == "MS24665-132" for i in play.job.state.holdings[play.job.state.joints["j1"].kept])

"""What stands in for what: another's part on, an old part in hand, a look or an answer from before the facts changed.

Each story is one in which the record once came out as reconciled, or named the wrong thing, and what it says now.
"""

from __future__ import annotations

import json

import pytest
from builders import Play

from tagtrack.core import places
from tagtrack.core.callout import Decoder
from tagtrack.core.findings import Kind
from tagtrack.core.leftover import report
from tagtrack.core.places import PlaceKind
from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import position
from tagtrack.shop.lines.loop import Loop
from tagtrack.shop.lines.talk import Tone
from tagtrack.tables.loader import load

KNOWLEDGE = Decoder(load())


@pytest.fixture
def play():
    made = Play()
    made.job.shop.knowledge = KNOWLEDGE
    made("zone tail LEFT", Tone.NOTE)
    return made


def told(reply):
    return "\n".join(reply.lines)


def findings(play, **how):
    return reconcile(play.job.refresh(), KNOWLEDGE, **how).unanswered


def of(play, kind, **how):
    return [f for f in findings(play, **how) if f.kind is kind]


def answer(play, *kinds):
    """Answer every finding of these kinds, as somebody in a hurry does."""
    for finding in findings(play):
        if finding.kind in kinds:
            play(f"answer {finding.short} because it was looked into")


def refit(where):
    return f"? <tag {where}>\non\n? <bag {where}>\n"


# -- another's part stands there ----------------------------------------------------------------------------------------

SWAPPED = """
off horn LEFT; 2 AN3-5A
~ zone tail RIGHT
off horn RIGHT; 2 AN3-5A
~ at horn RIGHT
! <tag horn, LEFT>
? on
! yes, because the left one fits here
~ at horn LEFT
! <tag horn, RIGHT>
? on
! yes, because the right one fits here
"""


def test_a_joint_around_anothers_part_is_asked(play):
    play.lines(SWAPPED)
    answer(play, Kind.SWAPPED)
    assert sorted(str(f.position) for f in of(play, Kind.SHORT)) == ["horn, LEFT", "horn, RIGHT"]
    for side in ("LEFT", "RIGHT"):
        play.lines(f"~ zone tail {side}\n? <bag horn, {side}>\nall in")
    assert not of(play, Kind.SHORT)
    assert len(of(play, Kind.NOT_TIGHT)) == 2
    play.lines("tight\n~ at horn LEFT\ntight")
    assert not {f.kind for f in findings(play)} & {Kind.SHORT, Kind.NOT_TIGHT, Kind.MISSING, Kind.SWAPPED}


def test_a_joint_around_nothing_asks_nothing_beside_the_part(play):
    play.lines("off horn LEFT; 2 AN3-5A")
    assert not of(play, Kind.SHORT)
    play.lines("? <tag horn, LEFT>\ntrial on")
    assert not of(play, Kind.SHORT)


EMPTY = """
off fairing LEFT; 2 AN525-10R8; closes up horn LEFT
off horn LEFT; none
~ zone tail RIGHT
off horn RIGHT; none
~ at horn RIGHT
! <tag horn, LEFT>
? on
! yes, because it was dark
~ zone tail LEFT
"""


def test_a_position_whose_part_sits_elsewhere_is_missing(play):
    play.lines(EMPTY)
    assert "horn, LEFT" in {str(f.position) for f in of(play, Kind.MISSING)}
    assert not reconcile(play.job.state, KNOWLEDGE, closing=position("fairing LEFT")).clean
    play.lines("? <tag fairing, LEFT>")
    assert "closes up what is not finished: horn, LEFT" in told(play("on", Tone.ASK))
    assert "horn, LEFT" in told(play("complete tail LEFT; clear: 9 of 9 tools back; covers: all on", Tone.WRONG))


def test_the_other_side_scrapped_leaves_this_side_missing(play):
    play.lines(SWAPPED.split("~ at horn LEFT")[0] + "~ zone tail RIGHT")
    play("<tag horn, RIGHT>", None)
    play("scrap because cracked")
    (left,) = [f for f in of(play, Kind.MISSING) if str(f.position) == "horn, LEFT"]
    assert "its part is at horn, RIGHT" in left.seen
    answer(play, Kind.SWAPPED)
    assert "horn, LEFT" in {str(f.position) for f in of(play, Kind.MISSING)}


def test_a_cover_does_not_go_on_over_anothers_part(play):
    play.lines(SWAPPED.split("~ at horn LEFT")[0] + "~ zone tail RIGHT\noff fairing RIGHT; none; closes up horn RIGHT")
    answer(play, Kind.MISSING)
    play("<tag fairing, RIGHT>", Tone.ASK)
    assert "not finished: horn, RIGHT" in told(play("on", Tone.ASK))


def test_parts_exchanged_and_both_on_are_missing_nowhere(play):
    play.lines(SWAPPED)
    assert not of(play, Kind.MISSING)


# -- an assembly is replaced, and what went on with the old one ---------------------------------------------------------

WITHIN = """
off elevator LEFT; 2 AN3-5A
off bearing LEFT; 1 AN3-7A; part of elevator LEFT; sn 77
? <tag bearing, LEFT>
on
? <bag bearing, LEFT>
all in tight
? <tag elevator, LEFT>
"""


def test_what_went_on_with_the_old_assembly_is_asked_once_for_the_new_one(play):
    play.lines(WITHIN + "replace; pn 5")
    tag = play.tag("bearing, LEFT")
    play.lines("scrap because cracked\n? <bag elevator, LEFT>\nall in tight")
    (bearing,) = of(play, Kind.MISSING)
    assert (str(bearing.position), "scrap" in bearing.seen) == ("bearing, LEFT", True)
    play(tag, Tone.ASK)
    play("on")
    assert not of(play, Kind.MISSING)
    (bolt,) = of(play, Kind.NOT_TIGHT)
    assert str(bolt.position) == "bearing, LEFT"
    play("tight")
    play.close()


def test_what_went_to_the_scrap_with_its_assembly_is_missing_until_a_new_one_is_on(play):
    play.lines(WITHIN)
    tag = play.tag("bearing, LEFT")
    play("scrap because cracked")
    assert [str(f.position) for f in of(play, Kind.MISSING)] == ["bearing, LEFT", "elevator, LEFT"]
    play(tag, Tone.ASK)
    play.lines("scrap because it sat in the cracked one\n! " + tag)
    play.lines("replace; pn 8")
    assert [str(f.position) for f in of(play, Kind.MISSING)] == ["bearing, LEFT", "elevator, LEFT"]


def test_nothing_is_asked_of_what_stayed_with_its_assembly(play):
    play.lines(WITHIN + "on\n? <bag elevator, LEFT>\nall in tight")
    assert not of(play, Kind.MISSING)
    play.close()


def test_what_went_out_and_came_back_with_its_assembly_is_on(play):
    play.lines(WITHIN + "send to the paint shop because it is to be painted")
    assert {str(f.position) for f in of(play, Kind.MISSING)} == {"bearing, LEFT", "elevator, LEFT"}
    play.lines("? <tag elevator, LEFT>\non\n? <bag elevator, LEFT>\nall in tight")
    play.close()


def test_what_goes_on_after_the_new_assembly_belongs_to_that(play):
    play.lines("off elevator LEFT; 2 AN3-5A\noff bearing LEFT; 1 AN3-7A; part of elevator LEFT\n? <tag elevator, LEFT>")
    play.lines("replace; pn 5\nscrap because cracked\n? <bag elevator, LEFT>\nall in tight")
    play.lines(refit("bearing, LEFT") + "all in tight")
    play.close()

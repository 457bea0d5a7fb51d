"""What a mechanic types who has read the README and nothing else, and what is answered."""

from __future__ import annotations

import pytest
from builders import Play

from tagtrack.core import leftover
from tagtrack.core.events import Head
from tagtrack.core.reconcile import reconcile
from tagtrack.shop.lines.talk import Tone


@pytest.fixture
def play():
    made = Play()
    made("zone tail LEFT", Tone.NOTE)
    return made


def told(reply):
    return "\n".join(reply.lines)


# -- lost, and out of which bag ----------------------------------------------------------------------------------------

TWO_BAGS = """
~ zone wing LEFT
off aileron LEFT; mark UP, arrow FWD; 2 AN960-10
~ zone tail LEFT
off weight LEFT; 4 AN960-10
"""


def bag_holds(play, position):
    return sum(
        count for place, lots in play.job.state.holdings.items() if place.name == play.bag(position)
        for count in lots.values()
    )  # fmt: skip


def test_what_is_lost_from_a_named_position_comes_out_of_its_bag(play):
    play.lines(TWO_BAGS)
    said = told(play("lost 1 AN960-10 from aileron LH", Tone.WRONG))
    code = play.bag("aileron, LEFT")
    assert f"taken from bag {code[:4]} {code[4:]} of aileron, LEFT; lost in wing LEFT" in said
    assert (bag_holds(play, "aileron, LEFT"), bag_holds(play, "weight, LEFT")) == (1, 4)
    (finding,) = [f for f in reconcile(play.job.state).unanswered if f.kind.value == "lost"]
    assert finding.area == "wing LEFT"


def test_a_bag_that_was_scanned_before_is_not_charged_for_another_position(play):
    play.lines(f"{TWO_BAGS}\n? <bag weight, LEFT>")
    play("lost 1 AN960-10 from aileron LH", Tone.WRONG)
    assert bag_holds(play, "weight, LEFT") == 4


def test_a_bag_that_was_scanned_before_something_else_came_off_is_not_charged(play):
    play.lines("off aileron LEFT; 2 AN960-10\n? <bag aileron, LEFT>\noff weight LEFT; 4 AN960-10")
    assert "of weight, LEFT" in told(play("lost 1 AN960-10", Tone.WRONG))


def test_where_nothing_is_named_the_one_in_hand_is_charged_and_named(play):
    play.lines(TWO_BAGS)
    assert "of weight, LEFT; lost in tail LEFT" in told(play("lost 1 AN960-10", Tone.WRONG))
    assert bag_holds(play, "weight, LEFT") == 3


def test_an_area_that_is_said_is_kept_before_and_behind_the_position(play):
    play.lines(TWO_BAGS)
    assert "of aileron, LEFT; lost in tail LEFT" in told(play("lost 1 AN960-10 from aileron LH in tail LEFT", Tone.WRONG))
    assert "of weight, LEFT; lost in wing LEFT" in told(play("lost 1 AN960-10 in wing LEFT from weight LH", Tone.WRONG))


def test_a_position_that_never_came_off_has_lost_nothing(play):
    play.lines(TWO_BAGS)
    assert "no 'rudder, CENTRE' came off" in told(play("lost 1 AN960-10 from rudder C", Tone.WRONG))
    assert not play.job.state.losses


# -- a loss that is given up needs two -----------------------------------------------------------------------------------

LOST = "off weight LEFT; 4 AN960-10\n! lost 1 AN960-10\n"


def lost_row(play):
    state = play.job.refresh()
    sections = leftover.report(state, reconcile(state), Head("test", 1, "0" * 64), printed="").sections
    (found,) = [each for each in sections if each.heading.startswith("Lost items")]
    return found.table.rows[0][-1]


def test_a_loss_nobody_searched_for_is_not_given_up_without_a_question(play):
    play.lines(LOST)
    for said in ("not aboard by Uncle Bob: found none", "accepted by Mo Beispiel: found none"):
        assert "no search for AN960-10 is recorded" in told(play(f"case L1 {said}", Tone.ASK))
        play("no", Tone.NOTE)
    play.lines("case L1 searched tail: mirror and lamp\ncase L1 not aboard by Uncle Bob: found none")


def test_a_search_that_is_told_with_it_is_enough(play):
    play.lines(f"{LOST}case L1 accepted by Olga Owner: searched the whole tail")


def test_who_is_no_person_of_the_shop_stands_there_as_named_by_the_one_who_typed(play):
    play.lines(f"{LOST}case L1 searched tail: mirror")
    said = told(play("case L1 accepted by Uncle Bob: found none"))
    assert "with Uncle Bob: named by Kari Testad (KT), not confirmed; nobody who works in this shop" in said
    assert "named by Kari Testad (KT), not confirmed" in lost_row(play)


@pytest.mark.parametrize("second", ["MB", "Mo Beispiel", "mo beispiel"])
def test_a_person_of_the_shop_says_it_too(play, second):
    play.lines(f"{LOST}case L1 searched tail: mirror")
    said = told(play(f"case L1 not aboard by {second}: found none"))
    assert "named by Kari Testad (KT), not confirmed" in said
    assert "Mo Beispiel says it too: by INITIALS, then: case L1 not aboard:" in said
    play("case L1 not aboard: once more", Tone.WRONG)
    play.lines("~ by MB\n! case L1 accepted: something else")
    said = told(play("case L1 not aboard: looked into the sump as well"))
    assert "with Mo Beispiel (MB), who said it too" in said
    assert "not confirmed" not in lost_row(play)
    assert "is closed" in told(play("case L1 not aboard: and again", Tone.WRONG))

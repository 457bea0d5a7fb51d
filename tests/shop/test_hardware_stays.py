"""Hardware that the record leaves in its joint, or books into another, while hands did something else."""

from __future__ import annotations

import pytest
from builders import Play

from tagtrack.core.callout import Decoder
from tagtrack.core.findings import Kind
from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import position
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
    """Return what a check finds, without the tags that hang about."""
    found = reconcile(play.job.refresh(), KNOWLEDGE, **how).unanswered
    return [f for f in found if f.kind is not Kind.TAGS_OUT and f.position]


def kinds(play, **how):
    return {f.kind for f in findings(play, **how)}


def refit(where):
    return f"? <tag {where}>\non\n? <bag {where}>\n"


def inside(play, where, number=0):
    """Return what is in a joint of a position, by spec."""
    state = play.job.refresh()
    joint = state.joints_of(position(where))[number]
    return {
        item.name: count
        for place, lots in state.holdings.items() if place.name == joint.identity and place.kind.value == "joint"
        for item, count in lots.items()
    }  # fmt: skip


# -- a connection parted again ----------------------------------------------------------------------------------------


def test_the_screws_of_a_connection_come_out_each_time_that_it_is_parted(play):
    play.lines("disconnect plug LEFT; keyed; 2 AN525-10R8\nconnect plug LEFT\n~ at plug LEFT\nall in tight")
    assert not findings(play)
    play("disconnect plug LEFT; keyed")
    assert not inside(play, "plug LEFT")
    play("connect plug LEFT")
    assert kinds(play) == {Kind.SHORT, Kind.LEFT_OVER}
    play("all in")
    assert kinds(play) == {Kind.NOT_TIGHT}
    play.lines("tight")
    assert not findings(play)


def test_a_plug_without_screws_is_parted_again_without_a_word(play):
    play.lines("disconnect plug LEFT; keyed\nconnect plug LEFT\ndisconnect plug LEFT; keyed\nconnect plug LEFT")
    assert not findings(play)


def test_a_plug_of_which_the_screws_stayed_is_asked_about(play):
    play.lines("disconnect plug LEFT; keyed; 2 AN525-10R8\nconnect plug LEFT\n~ at plug LEFT\nall in tight")
    assert "2 AN525-10R8" in told(play("disconnect plug LEFT; keyed; none", Tone.ASK))
    play("yes, because the shell was unlocked and the screws stayed in the bracket")
    play("connect plug LEFT")
    assert kinds(play) == {Kind.NOT_TIGHT}


# -- a part that leaves what holds it ---------------------------------------------------------------------------------


def test_none_is_asked_about_where_its_own_bolts_are_in(play):
    play.lines("off horn LEFT; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight")
    asked = told(play("off horn LEFT; none", Tone.ASK))
    assert "what holds the horn, LEFT is in" in asked
    assert "2 AN3-5A" in asked
    play.lines("off horn LEFT\n? <tag horn, LEFT>\non")
    assert kinds(play) == {Kind.SHORT, Kind.LEFT_OVER}


def test_bolts_that_stayed_in_around_a_part_that_came_off_are_loose(play):
    play.lines("off horn LEFT; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight\n? off horn LEFT; none")
    play.lines("yes, because it slid out from under them\n? <tag horn, LEFT>\non")
    assert kinds(play) == {Kind.NOT_TIGHT}


SHARED = """
off tube LEFT; 1x [AN3-12A AN960-10 | MS21044N3]; clamps horn LEFT + stop LEFT
? <tag tube, LEFT>
on
? <bag tube, LEFT>
all in finger no tight
"""


@pytest.mark.parametrize("said", ["off stop LEFT; none", "off stop LEFT; 2 AN3-5A"])
def test_a_shared_bolt_is_asked_about_when_what_it_clamps_comes_off(play, said):
    play.lines(SHARED)
    asked = told(play(said, Tone.ASK))
    assert "1 AN3-12A" in asked
    assert "tube, LEFT" in asked
    play.lines("~ at tube LEFT\nout 1 AN3-12A, 1 AN960-10, 1 MS21044N3\n~ at stop LEFT")
    play(said)
    play.lines("? <tag stop, LEFT>\non")
    if "2 AN3" in said:
        play.lines("? <bag stop, LEFT>\nall in tight")
    assert kinds(play) == {Kind.SHORT, Kind.LEFT_OVER}
    play.lines("~ at tube LEFT\n? <bag tube, LEFT>\nall in finger no tight")
    assert not findings(play)


def test_a_part_under_a_shared_bolt_that_lies_in_its_bag_comes_off_without_a_word(play):
    play.lines("off tube LEFT; 1 AN3-12A; clamps horn LEFT + stop LEFT\noff stop LEFT; none\noff horn LEFT; 2 AN3-5A")


@pytest.mark.parametrize("fate", ["scrap because cracked", "lost"])
def test_a_cover_held_by_a_few_screws_is_not_thrown_away_from_under_them(play, fate):
    play.lines("off fairing LEFT; 4 AN525-10R8\n" + refit("fairing, LEFT") + "all in tight")
    play.lines("temporarily fairing LEFT held by 2 screws\n? <tag fairing, LEFT>")
    assert "4 AN525-10R8" in told(play(fate, Tone.ASK))
    play.lines("off fairing LEFT\n? <tag fairing, LEFT>\nscrap because cracked\n! <tag fairing, LEFT>\nreplace; pn 5")
    assert kinds(play) == {Kind.SHORT, Kind.LEFT_OVER}


def test_a_trial_fit_without_hardware_is_thrown_away_without_a_word(play):
    play.lines("off horn LEFT; 2 AN3-5A\n? <tag horn, LEFT>\ntrial on\n? <tag horn, LEFT>\nscrap because cracked")


def test_hardware_and_none_in_one_line_are_not_taken(play):
    assert "the one or the other" in told(play("off horn LEFT; 2 AN3-5A; none", Tone.WRONG))


# -- nothing holds it -------------------------------------------------------------------------------------------------


def test_that_nothing_holds_a_part_is_said_once(play):
    play.lines("off horn LEFT; none\n? <tag horn, LEFT>\non\noff horn LEFT")
    assert not [tag for tag in play.job.state.tags.values() if tag.role.value == "bag"]
    play.lines("~ zone tail RIGHT\nsame horn RIGHT\n~ zone tail LEFT\n? <tag horn, LEFT>\non")
    play.lines("~ zone tail RIGHT\n? <tag horn, RIGHT>\non")
    assert not findings(play)

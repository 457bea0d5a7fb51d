"""What most likely happened: the exchange that was made is the one that is told, and one line mends it."""

from __future__ import annotations

import random

import networkx as nx
import pytest
from builders import Play, job

from tagtrack.core.callout import Decoder
from tagtrack.core.reconcile import reconcile
from tagtrack.shop import mending
from tagtrack.tables.loader import load

APART = """
~ zone wing LEFT
off arm LEFT; 2x [AN4-10A AN960-416 | AN960-416 MS21044N4]
off link LEFT; 2x [AN4-11A AN960-416 | AN960-416 MS21044N4]
off horn LEFT; 2x [AN4-10A AN960-416L | AN960-416 MS21044N4]
"""


def put_on(name):
    return f"? <tag {name}, LEFT>\non\n? <bag {name}, LEFT>\n"


@pytest.fixture
def play():
    opened = job()
    opened.shop.knowledge = Decoder(load())
    playing = Play(opened)
    playing.lines(APART)
    return playing


def told(play):
    return [str(exchange) for each in mending.explanations(play.job) for exchange in each.exchanges]


def swap_bolts(play):
    """The bolts of arm and link change places: each goes into the other's joint."""
    from tagtrack.core.events import HardwareInstalled
    from tagtrack.core.places import Move, Place, PlaceKind, used

    state = play.job.refresh()
    joints = {j.positions[0].name: j for j in state.joints.values()}
    bags = {name: joint.kept for name, joint in joints.items()}
    into = {name: Place(PlaceKind.JOINT, joint.identity) for name, joint in joints.items()}
    wrong = (
        HardwareInstalled(joints["arm"].identity, (Move(used("AN4-11A"), 1, bags["link"], into["arm"]),)),
        HardwareInstalled(joints["link"].identity, (Move(used("AN4-10A"), 1, bags["arm"], into["link"]),)),
    )
    play.job.commit(play.loop.bench.who(), lambda _: wrong)


def test_two_bolts_exchanged_are_told_as_one_exchange_and_mended_by_one_line(play):
    play.lines(put_on("arm"))
    play("in 1 AN4-10A, 4 AN960-416, 2 MS21044N4", None)
    play.lines(put_on("link"))
    play("in 1 AN4-11A, 4 AN960-416, 2 MS21044N4", None)
    swap_bolts(play)
    assert sorted(told(play)) == [
        "1 AN4-10A: from link, LEFT to arm, LEFT", "1 AN4-11A: from arm, LEFT to link, LEFT",
    ]  # fmt: skip
    (one,) = mending.explanations(play.job)
    assert not one.equally_good
    shown = play("check", None).lines
    assert any("WHAT MOST LIKELY HAPPENED" in line for line in shown)
    play(f"mend {one.short}")
    wrong = {f.kind.value for f in reconcile(play.job.refresh(), play.job.knowledge).unanswered}
    assert not wrong & {"short", "over", "wrong-hardware"}
    assert mending.explanations(play.job) == ()


def test_a_washer_left_in_its_bag_is_what_its_joint_lacks(play):
    play.lines(put_on("arm"))
    play("in 2 AN4-10A, 3 AN960-416, 2 MS21044N4", None)
    (one,) = mending.explanations(play.job)
    assert str(one.exchanges[0]).startswith("1 AN960-416: from bag ")
    play(f"mend {one.short}")
    assert "short" not in play.kinds()


def test_a_thin_washer_from_another_bag_is_only_a_look_alike_and_never_mended(play):
    """The horn's bag holds one thin washer more than it should, and the arm lacks a thick one."""
    play.lines(put_on("arm"))
    play("in 2 AN4-10A, 3 AN960-416, 2 MS21044N4", None)
    play.lines("? <bag arm, LEFT>\nscrap 1 AN960-416 because bent")
    play.lines(put_on("horn"))
    play("all in finger no tight", None)
    play("new 1 AN960-416L", None)
    (one,) = mending.explanations(play.job)
    assert "a look-alike: AN960-416 is lacking" in str(one.exchanges[0])
    assert not one.can_be_mended
    assert "not mended by moving pieces" in play(f"mend {one.short}", None).lines[0]


def test_what_is_lost_explains_what_is_short_and_is_searched_not_mended(play):
    play.lines(put_on("arm"))
    play("dropped 1 AN960-416", None)
    play("all in finger no tight", None)
    (one,) = mending.explanations(play.job)
    assert str(one.exchanges[0]) == "1 AN960-416: from what is lost, case L1 to arm, LEFT"
    assert not one.can_be_mended


def test_two_places_that_may_have_it_equally_are_both_told():
    opened = job()
    play = Play(opened)
    play.lines("~ zone wing LEFT\n" + "".join(f"off {n} LEFT; 4 AN525-10R8\n" for n in ("lid", "cap", "door")))
    for name in ("lid", "cap"):
        play.lines(put_on(name))
        play("in 4 AN525-10R8", None)
        play("new 1 AN525-10R8", None)
    play.lines(put_on("door"))
    play("in 3 AN525-10R8", None)
    play.lines("? <bag door, LEFT>\nscrap 1 AN525-10R8 because stripped")
    (one,) = mending.explanations(play.job)
    assert one.equally_good
    names = {one.exchanges[0].source_told, *one.exchanges[0].instead}
    assert names == {"lid, LEFT", "cap, LEFT"}


def test_nothing_is_explained_while_the_job_is_merely_open(play):
    assert mending.explanations(play.job) == ()


@pytest.mark.parametrize("seed", range(30))
def test_parts_exchanged_are_told_in_the_circles_that_networkx_finds(seed):
    chance = random.Random(seed)
    names = [f"panel {n}" for n in range(1, chance.randint(3, 8))]
    play = Play()
    play.lines("~ zone wing LEFT\n" + "".join(f"off {name} LEFT; none\n" for name in names))
    where = names[:]
    chance.shuffle(where)
    for name, at in zip(names, where, strict=True):
        play(f"<tag {name}, LEFT>", None)
        play(f"~ at {at} LEFT".removeprefix("~ "), None)
        play(f"<tag {name}, LEFT>", None)
        if play("on", None).act is None:
            play("yes, because nobody looked", None)
    graph = nx.DiGraph((name, at) for name, at in zip(names, where, strict=True) if name != at)
    circles = {frozenset(f"{name}, LEFT" for name in circle) for circle in nx.simple_cycles(graph)}
    mine = mending.explanations(play.job)
    assert {frozenset(e.target_told for e in each.exchanges) for each in mine} == circles
    for each in mine:
        play(f"mend {each.short}")
    assert "swapped" not in play.kinds()


def test_parts_held_by_their_hardware_are_not_exchanged_by_one_line():
    play = Play()
    play.lines("~ zone wing LEFT\noff lid LEFT; 4 AN525-10R8; in hole\noff cap LEFT; 4 AN525-10R8; in hole")
    for name, at in (("lid", "cap"), ("cap", "lid")):
        play(f"at {at} LEFT", None)
        play(f"<tag {name}, LEFT>", None)
        if play("on", None).act is None:
            play("yes, because nobody looked", None)
    play.lines("~ at lid LEFT")
    play("all in tight", None)
    (one,) = mending.explanations(play.job)
    refused = play(f"mend {one.short}", None)
    assert "is held by its hardware" in refused.lines[0]

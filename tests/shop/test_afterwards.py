"""What was not said when something came off is said afterwards, and counts from then on."""

from __future__ import annotations

import pytest
from builders import Play

from tagtrack.core.axes import Direction
from tagtrack.core.findings import Kind
from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import position
from tagtrack.shop.lines.talk import Tone

OFF = "~ zone tail LEFT\noff horn LEFT; mark UP, arrow FWD; 2 AN3-5A\n"


@pytest.fixture
def play():
    played = Play()
    played.lines(OFF)
    return played


def test_a_part_that_is_critical_after_all_wants_a_second_look(play):
    told = "\n".join(play("also horn LEFT; critical; mount FWD").lines)
    assert "horn, LEFT (CRITICAL)" in told
    assert "mount FWD" in told
    known = play.job.state.positions[position("horn LEFT")]
    assert (known.critical, known.mount) == (True, Direction.FWD)
    play.lines("? <tag horn, LEFT>\nup fwd\n? <bag horn, LEFT>\nall in tight safe")
    assert Kind.NOT_INSPECTED in {f.kind for f in reconcile(play.job.refresh()).unanswered}


def test_a_cover_that_was_not_named_is_held_up_from_then_on(play):
    play.lines("off lid LEFT; 4 AN525-10R8\nalso horn LEFT; under lid L\n? <tag lid, LEFT>")
    assert "it closes up what is not finished: horn, LEFT" in "\n".join(play("on", Tone.ASK).lines)


def test_a_circle_is_refused_also_afterwards(play):
    play.lines("off lid LEFT; 4 AN525-10R8; closes horn L")
    before = len(play.job.acts)
    play("also horn LEFT; closes lid L", Tone.WRONG)
    assert len(play.job.acts) == before


@pytest.mark.parametrize(
    ("said", "instead"),
    [("arrow UP", "marked POSITION SIDE"), ("3 AN3-5A", "undo"), ("pn 4711", "undo"), ("put shelf 2", "scan its tag"),
     ("mount INBD; critical; 2 AN3-5A", "undo"), ("", "also POSITION SIDE; critical")],
)  # fmt: skip
def test_what_belongs_to_the_part_or_its_hardware_has_another_word(play, said, instead):
    before = len(play.job.acts)
    assert instead in "\n".join(play(f"also horn LEFT; {said}", Tone.WRONG).lines)
    assert len(play.job.acts) == before


def test_a_position_that_is_not_known_is_offered_the_nearest(play):
    assert "did you mean horn, LEFT?" in "\n".join(play("also hron LEFT; critical", Tone.WRONG).lines)

"""Where looks, covers, wires, names and counts meet: what slipped between them, and the honest job beside each."""

from __future__ import annotations

import pytest
from stories import findings, refit, told

from tagtrack.core.findings import Kind
from tagtrack.core.records import position
from tagtrack.shop.lines.talk import Tone


def of_kind(play, kind):
    """Return what a check finds of one kind, and nobody has answered."""
    return [f for f in findings(play) if f.kind is kind]


def standing(play):
    """Return how many steps the record holds."""
    return play.job.refresh().step


# -- a part that is looked at while its assembly is off ---------------------------------------------------------------

TAB = (
    """
off elevator LEFT; 2 AN3-5A; critical; lock none
off trim tab LEFT; 1 AN525-10R8; part of elevator LEFT; critical; lock none
"""
    + refit("trim tab, LEFT")
    + "all in tight\n~ by MB\n"
)


@pytest.mark.parametrize("row", ["travel: full", "tension: 20 lb on the gauge", "interaction: clear of the skin"])
def test_how_a_part_moves_is_not_seen_while_its_assembly_is_off(play, row):
    play.lines(TAB)
    before = standing(play)
    assert "the elevator, LEFT is not finished: missing" in told(play(f"inspect trim tab LEFT; {row}", Tone.WRONG))
    assert standing(play) == before


def test_how_a_part_moves_is_not_seen_before_its_assembly_is_tight(play):
    play.lines(TAB + "~ by KT\n? <tag elevator, LEFT>\non\n~ by MB")
    assert "the elevator, LEFT is not finished" in told(play("inspect trim tab LEFT; travel: full", Tone.WRONG))
    play.lines("~ by KT\n? <bag elevator, LEFT>\nall in tight\n~ by MB\ninspect trim tab LEFT; travel: full")


def test_how_a_part_sits_in_its_assembly_is_seen_at_the_bench(play):
    play.lines(TAB + "inspect trim tab LEFT; assembly: as drawn; locking: none by design")
    play.lines("~ by KT\n" + refit("elevator, LEFT") + "all in tight\n~ by MB")
    play.lines("inspect trim tab LEFT; travel: full; sense: not affected; tension: none; interaction: clear")
    assert not [f for f in of_kind(play, Kind.NOT_INSPECTED) if f.position == position("trim tab LEFT")]

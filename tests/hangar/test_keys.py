"""Which presses a record holds: read on as it grows, and anew where another was put in its place."""

from __future__ import annotations

from dataclasses import dataclass

from tagtrack.hangar.keys import Recorded

ONE, OTHER = "1" * 24, "2" * 24


@dataclass(frozen=True)
class _Act:
    id: str


def test_the_acts_of_a_press_are_found_by_its_key_as_the_record_grows():
    acts, recorded = [_Act("0af3"), _Act(ONE)], Recorded()
    assert recorded.of(acts, ONE) == [_Act(ONE)]
    assert recorded.of(acts, OTHER) == ()
    acts += [_Act(f"{ONE}-2"), _Act(OTHER)]
    assert recorded.of(acts, ONE) == [_Act(ONE), _Act(f"{ONE}-2")]
    assert recorded.of(acts, OTHER) == [_Act(OTHER)]


def test_of_another_record_in_its_place_nothing_of_the_first_is_known():
    recorded = Recorded()
    assert recorded.of([_Act("0af3"), _Act(ONE)], ONE)
    assert recorded.of([_Act("0af3"), _Act("77aa")], ONE) == ()
    # a shorter one as well, and an empty one
    assert recorded.of([_Act(OTHER)], OTHER) == [_Act(OTHER)]
    assert recorded.of([], OTHER) == ()

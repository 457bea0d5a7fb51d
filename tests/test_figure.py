"""The figure, small: every fault that the records make visible is found, nothing is cried for nothing.

`python tests/figure.py` plays ten thousand jobs; its table stands in DEVELOPERS.md.
"""

from __future__ import annotations

import pytest
from simulation import AROUND, FAULTS, simulate

from tagtrack.core import check_joints, reconcile
from tagtrack.core.findings import Finding, Kind


@pytest.mark.parametrize("seed", range(50_000, 50_060))
def test_every_visible_fault_is_found_and_nothing_else(seed):
    played = simulate(seed, most=60)
    assert played.missed == set(), played.faults
    assert played.false == set(), played.faults
    assert played.asked_twice == []


@pytest.mark.parametrize("fault", [*FAULTS, *AROUND])
def test_every_kind_of_fault_is_found_alone(fault):
    committed = 0
    for seed in range(60_000, 60_040):
        played = simulate(seed, most=30, faults=1, only=fault)
        assert played.missed == set()
        assert played.false == set()
        committed += len(played.faults)
        if committed >= 4:
            return
    assert committed, "the fault was never committed"


@pytest.mark.parametrize("seed", range(70_000, 70_030))
def test_an_ordinary_job_with_its_interruptions_ends_in_silence(seed):
    played = simulate(seed, most=80, faults=0)
    assert not played.found
    assert played.asked_twice == []


def test_a_check_that_is_blind_would_show(monkeypatch):
    """The figure can fail: without the check of one kind, its faults are missed."""
    checks = tuple(check for check in reconcile.PER_POSITION if check is not check_joints.joints)
    monkeypatch.setattr(reconcile, "PER_POSITION", checks)
    assert any(simulate(seed, most=20, faults=2, only="a piece left in its bag").missed for seed in range(5))


def test_a_check_that_cries_wolf_would_show(monkeypatch):
    def wolf(_, known):
        kind = Kind.DIFFERS_FROM_DATA
        return [Finding(kind=kind, position=known.position, thing="?", expected="?", seen="?", advice="?")]

    monkeypatch.setattr(reconcile, "PER_POSITION", (*reconcile.PER_POSITION, wolf))
    assert any(simulate(seed, most=20, faults=0).false for seed in range(5))

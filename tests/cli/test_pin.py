"""A PIN given at the shop's own computer: asked for, never shown, never in the record."""

from __future__ import annotations

import pytest

from tagtrack.cli import pinning
from tagtrack.core.errors import Refusal
from tagtrack.hangar.pins import Pins


def test_a_pin_from_a_pipe_is_taken_and_stands_in_no_record(job):
    said = job("pin", "kt", typed="480513\n").out
    assert "Kari Testad (KT) has a PIN now" in said
    assert "480513" not in said
    Pins(job.root / "secrets").check("KT", "480513")
    assert "480513" not in (job.root / "shop.jsonl").read_text()


def test_a_pin_is_taken_away(job):
    job("pin", "KT", typed="480513\n")
    assert "no PIN any more" in job("pin", "KT", "--forget").out
    assert not Pins(job.root / "secrets").has("KT")


@pytest.mark.parametrize(("initials", "typed"), [("KT", ""), ("KT", "123\n"), ("XX", "480513\n")])
def test_no_pin_a_short_one_or_a_strangers_is_refused(job, initials, typed):
    assert "REFUSED" in job("pin", initials, typed=typed, code=4).err
    assert not (job.root / "secrets").exists()


@pytest.mark.parametrize("second", ["480513", "480514"])
def test_at_the_terminal_it_is_asked_for_twice_and_not_shown(monkeypatch, second):
    answers = iter(["480513", second])

    def asked(_, *, hide_input):
        assert hide_input
        return next(answers)

    monkeypatch.setattr(pinning, "interactive", lambda: True)
    monkeypatch.setattr(pinning.click, "prompt", asked)
    if second == "480513":
        assert pinning.asked("Kari Testad (KT)") == "480513"
    else:
        with pytest.raises(Refusal, match="not the same"):
            pinning.asked("Kari Testad (KT)")

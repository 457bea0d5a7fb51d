"""What https needs, made at the shop's computer."""

from __future__ import annotations

import pytest

from tagtrack.cli import certifying


def test_it_is_made_for_this_computers_own_names_and_then_is_good_as_it_is(job, monkeypatch):
    monkeypatch.setattr(certifying.socket, "gethostname", lambda: "Hangar-PC.shop.example")
    monkeypatch.setattr(certifying, "address_of_this_computer", lambda: "192.168.1.20")
    first = job("certificate").out
    assert first.startswith("made: for 192.168.1.20, hangar-pc, hangar-pc.local, localhost, 127.0.0.1; until 20")
    assert "authority.crt" in first
    assert job("certificate").out.startswith("good as it is")
    assert {path.name for path in (job.root / "certificate").iterdir()} == {
        "authority.crt", "authority.key", "server.pem", "server.key",
    }  # fmt: skip


def test_names_may_be_given(job):
    assert "shop.local" in job("certificate", "shop.local", "10.1.2.3").out
    assert "own network" in job("certificate", "shop.example", code=4).err


@pytest.mark.parametrize("name", ["", "имя", "a_b"])
def test_a_computer_of_no_plain_name_goes_by_its_address(monkeypatch, name):
    monkeypatch.setattr(certifying.socket, "gethostname", lambda: name)
    monkeypatch.setattr(certifying, "address_of_this_computer", lambda: "192.168.1.20")
    assert certifying.own_names() == ("192.168.1.20",)

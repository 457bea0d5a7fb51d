"""A shop folder that lies badly is told where the shop is made, where a work order is opened, and on verify."""

from __future__ import annotations

import pytest
from cli.console import Console

from tagtrack.journal import whereabouts


@pytest.fixture
def badly_placed(tmp_path, monkeypatch):
    monkeypatch.setattr(whereabouts, "network_kind", lambda _: "nfs4")
    return Console(tmp_path / "hangar")


def test_it_is_told_at_setup_open_and_verify_and_not_in_between(badly_placed):
    console = badly_placed
    assert "lies on another machine (nfs4)" in console("setup", str(console.root)).err
    assert console("person", "KT", "Kari Testad").err == ""
    assert "lies on another machine" in console("open", "WO-1", "X-TEST").err
    assert console("status").err == ""
    ran = console("verify")
    assert "lies on another machine" in ran.err
    assert "lies on" not in ran.out

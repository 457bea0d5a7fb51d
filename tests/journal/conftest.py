"""Fixtures for journals on disk."""

from __future__ import annotations

import pytest

from tagtrack.journal.store import AppendFile


@pytest.fixture
def path(tmp_path):
    """Where a journal may be created."""
    return tmp_path / "journal.jsonl"


@pytest.fixture
def journal(path):
    """A new journal, open."""
    with AppendFile.create(path, "job", "N1234") as opened:
        yield opened

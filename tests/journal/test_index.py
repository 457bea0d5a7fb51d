"""The index of a shop: quick, and of no weight: it can be thrown away, be old, or be rubbish."""

from __future__ import annotations

import pytest

from tagtrack.journal.index import FILE, Index, Summary

ONE = Summary(signed=False, still_open=3, wrong=1)


@pytest.fixture
def journal(tmp_path):
    path = tmp_path / "journal.jsonl"
    path.write_text("line\n")
    return path


def test_what_was_noted_is_known_the_next_time(tmp_path, journal):
    index = Index(tmp_path)
    assert index.known("WO-1", journal) is None
    index.note("WO-1", journal, ONE)
    index.save()
    assert Index(tmp_path).known("WO-1", journal) == ONE


def test_a_journal_that_was_written_since_is_read_anew(tmp_path, journal):
    index = Index(tmp_path)
    index.note("WO-1", journal, ONE)
    journal.write_text("line\nline\n")
    assert index.known("WO-1", journal) is None


@pytest.mark.parametrize("text", ["", "{", "[]", '{"version": 9}', '{"version": 1, "jobs": 3}',
                                  '{"version": 1, "jobs": {"WO-1": {"of": 1}}}'])  # fmt: skip
def test_rubbish_is_no_trouble(tmp_path, journal, text):
    (tmp_path / FILE).write_text(text)
    assert Index(tmp_path).known("WO-1", journal) is None


def test_where_it_cannot_be_written_nothing_is_lost(tmp_path, journal):
    index = Index(tmp_path / "not there")
    index.note("WO-1", journal, ONE)
    index.save()
    assert index.known("WO-1", journal) == ONE

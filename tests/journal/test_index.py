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


def test_an_index_that_the_disk_has_no_room_for_leaves_nothing_and_the_old_one_stays(tmp_path, journal):
    resource = pytest.importorskip("resource", reason="file sizes cannot be limited there")
    index = Index(tmp_path)
    index.note("WO-1", journal, ONE)
    index.save()
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    for number in range(200):
        index.note(f"WO-{number}", journal, ONE)
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1_000, hard))
    try:
        index.save()
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_where_no_file_can_be_made_the_index_is_not_kept_and_nothing_is_said(tmp_path, journal):
    index = Index(tmp_path / "gone")
    index.note("WO-1", journal, ONE)
    index.save()
    assert not (tmp_path / "gone").exists()

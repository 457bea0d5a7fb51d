"""A journal as its callers see it."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from journal.samples import act, written

from tagtrack.core.errors import Conflict, Damaged, Fault, Full, Refusal
from tagtrack.journal.store import AppendFile


def test_a_new_journal_has_its_header_and_no_documents(journal):
    assert (journal.kind, journal.name) == ("job", "N1234")
    assert journal.head().seq == 1
    assert journal.documents() == ()


def test_documents_come_back_in_order_in_another_instance(path):
    written(path, 5)
    with AppendFile.open(path) as journal:
        assert journal.documents() == tuple(act(number) for number in range(5))


def test_append_returns_the_line_number_and_the_bytes_are_there(journal, path):
    assert journal.append(act(1), expected=1) == 2
    assert json.loads(path.read_bytes().splitlines()[1])["doc"] == act(1)


def test_what_the_caller_does_to_a_document_later_changes_nothing(journal):
    doc = act(1)
    journal.append(doc, expected=1)
    doc["events"].clear()
    assert journal.documents() == (act(1),)


def test_a_document_handed_out_cannot_be_changed(journal):
    journal.append(act(1), expected=1)
    with pytest.raises(TypeError):
        journal.documents()[0]["by"] = "somebody else"


@pytest.mark.parametrize(("seq", "expected"), [(0, 3), (1, 3), (2, 2), (4, 0), (9, 0)])
def test_since_gives_the_documents_behind_a_line(path, seq, expected):
    written(path, 3)
    with AppendFile.open(path) as journal:
        behind = journal.since(seq)
    assert behind == tuple(act(number) for number in range(3))[3 - expected :]


def test_documents_are_not_made_anew_while_nothing_is_new(journal):
    journal.append(act(1), expected=1)
    assert journal.documents() is journal.documents()


def test_another_instance_sees_what_was_appended_at_once(journal, path):
    with AppendFile.open(path) as other:
        assert other.documents() == ()
        journal.append(act(1), expected=1)
        assert other.documents() == (act(1),)
        assert other.head() == journal.head()


def test_an_append_that_did_not_see_the_last_line_is_a_conflict_and_writes_nothing(journal, path):
    with AppendFile.open(path) as other:
        other.append(act(1), expected=1)
        before = path.read_bytes()
        with pytest.raises(Conflict):
            journal.append(act(2), expected=1)
        assert path.read_bytes() == before
        assert journal.append(act(2), expected=2) == 3


def test_an_append_that_saw_more_than_there_is_is_a_conflict(journal):
    with pytest.raises(Conflict) as caught:
        journal.append(act(1), expected=5)
    assert "older copy" in caught.value.todo


def test_an_append_may_leave_open_where_the_journal_ends(journal):
    assert [journal.append(act(number), expected=None) for number in range(3)] == [2, 3, 4]


@pytest.mark.parametrize("same_instance", [True, False])
def test_asking_again_with_the_same_id_returns_the_line_and_writes_nothing(journal, path, same_instance):
    journal.append(act(1), expected=1)
    journal.append(act(2), expected=2)
    before = path.read_bytes()
    again = journal if same_instance else AppendFile.open(path)
    # The answer was lost, so the caller still expects line 1 to be the last.
    assert again.append(act(1), expected=1) == 2
    assert path.read_bytes() == before


@pytest.mark.parametrize("doc", [{}, {"id": ""}, {"id": 7}, {"id": None}])
def test_a_document_without_an_id_is_refused(journal, doc):
    with pytest.raises(Refusal):
        journal.append(doc, expected=1)


def test_a_document_that_cannot_be_stored_exactly_is_refused_and_writes_nothing(journal, path):
    before = path.read_bytes()
    with pytest.raises(Refusal):
        journal.append({"id": "a", "torque": 1.5}, expected=1)
    assert path.read_bytes() == before
    assert journal.append(act(1), expected=1) == 2


def test_the_printed_head_is_the_line_number_and_eight_digits_of_its_check(path):
    raw = written(path, 40).splitlines(keepends=True)
    with AppendFile.open(path) as journal:
        assert journal.head().short == f"41-{hashlib.sha256(raw[40][:-75]).hexdigest()[:8]}"
        assert journal.at(41) == journal.head().sha
        assert journal.at(17) == hashlib.sha256(raw[16][:-75]).hexdigest()


@pytest.mark.parametrize("seq", [-1, 0, 2])
def test_a_printed_number_that_the_journal_does_not_have_is_refused(journal, seq):
    with pytest.raises(Refusal):
        journal.at(seq)


def test_a_snapshot_holds_the_head_that_its_documents_end_in(path):
    written(path, 3)
    with AppendFile.open(path) as journal:
        seen = journal.snapshot()
        assert (seen.head.seq, len(seen.documents)) == (4, 3)
        journal.append(act(9), expected=seen.head.seq)
        assert journal.snapshot().head.seq == 5


def test_verify_counts_the_lines_of_a_good_journal(path):
    written(path, 3)
    with AppendFile.open(path) as journal:
        report = journal.verify()
        assert (report.good, report.damage, report.unfinished) == (4, None, 0)
        assert report.head == journal.head()


def test_a_second_journal_in_the_same_place_is_refused(path):
    before = written(path, 1)
    with pytest.raises(Refusal):
        AppendFile.create(path, "job", "another")
    assert path.read_bytes() == before


def test_what_a_crash_left_of_a_creation_does_not_stand_in_its_way(path):
    path.with_name("journal.jsonl.new").write_bytes(b"{half a head")
    with AppendFile.create(path, "job", "N1234") as journal:
        assert journal.verify().good == 1
    assert sorted(file.name for file in path.parent.iterdir()) == ["journal.jsonl", "journal.jsonl.lock"]


def test_a_journal_that_does_not_exist_is_told_and_not_created(path):
    with pytest.raises(Fault) as caught:
        AppendFile.open(path)
    assert str(path) in caught.value.what
    assert not path.exists()


def test_a_journal_cannot_be_created_in_a_folder_that_does_not_exist(tmp_path):
    with pytest.raises(Full) as caught:
        AppendFile.create(tmp_path / "nowhere" / "journal.jsonl", "job", "N1234")
    assert caught.value.what.startswith("not recorded")


def test_a_journal_of_a_later_version_is_not_called_damaged(path):
    path.write_bytes(written(path, 0).replace(b'"version":1', b'"version":2'))
    raw = path.read_bytes()
    path.write_bytes(raw[:-67] + hashlib.sha256(raw[:-75]).hexdigest().encode() + raw[-3:])
    with AppendFile.open(path) as journal, pytest.raises(Fault) as caught:
        journal.documents()
    assert not isinstance(caught.value, Damaged)
    assert "version 2" in caught.value.came


def test_a_closed_journal_says_so(path):
    written(path, 1)
    journal = AppendFile.open(path)
    journal.close()
    journal.close()
    for ask in (journal.documents, journal.head, journal.verify, journal.readable):
        with pytest.raises(Fault):
            ask()


def test_a_relative_path_is_kept_when_the_program_changes_its_folder(path, monkeypatch, tmp_path):
    written(path, 1)
    monkeypatch.chdir(tmp_path)
    with AppendFile.open(path.name) as journal:
        (tmp_path / "below").mkdir()
        monkeypatch.chdir(tmp_path / "below")
        assert journal.append(act(5), expected=2) == 3


def test_the_journal_can_be_imported_without_its_query_face():
    # A scan starts a program of its own: what it does not need, it does not load.
    code = "import sys, tagtrack.journal.store; sys.exit('tinydb' in sys.modules)"
    root = os.path.dirname(os.path.dirname(os.path.dirname(__file__)))  # noqa: PTH120 - no path to build
    assert subprocess.run([sys.executable, "-c", code], cwd=root, check=False).returncode == 0


@pytest.mark.skipif(not Path("/proc/self/fd").is_dir(), reason="this system does not list open files")
def test_a_journal_that_was_created_and_closed_leaves_no_file_open(path):
    before = len(list(Path("/proc/self/fd").iterdir()))
    for number in range(5):
        AppendFile.create(path.with_name(f"{number}.jsonl"), "job", "N1234").close()
    assert len(list(Path("/proc/self/fd").iterdir())) == before

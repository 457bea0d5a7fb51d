"""What happens to a journal behind the program's back: other writers, restores, forks, deleted locks."""

from __future__ import annotations

import gc
import os
import shutil
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from journal.samples import act, ids, lines_of, written

from tagtrack.core.errors import Conflict, Damaged, Fault
from tagtrack.journal.lock import FileLock
from tagtrack.journal.store import AppendFile

ROOT = Path(__file__).parents[2]


def test_a_copy_restored_under_the_name_is_read_anew_and_written_to(path, tmp_path):
    shorter = written(path, 2)
    with AppendFile.open(path) as journal:
        for number in (2, 3, 4):
            journal.append(act(number), expected=number + 1)
        (tmp_path / "copy").write_bytes(shorter)
        (tmp_path / "copy").replace(path)
        with pytest.raises(Conflict):
            journal.append(act(5), expected=6)
        assert len(journal.documents()) == 2
        assert journal.append(act(6), expected=3) == 4
    assert path.read_bytes().count(b"\n") == 4


def test_a_journal_that_became_shorter_is_refused_and_stays_as_it_is(path):
    whole = written(path, 5)
    shorter = b"".join(lines_of([act(number) for number in range(3)]))
    assert whole.startswith(shorter)
    with AppendFile.open(path) as journal:
        assert len(journal.documents()) == 5
        path.write_bytes(shorter)
        for attempt in (journal.documents, lambda: journal.append(act(9), expected=6)):
            with pytest.raises(Damaged) as caught:
                attempt()
            assert "shorter" in caught.value.what
        assert len(journal.readable()) == 5
    assert path.read_bytes() == shorter


def test_an_edit_that_keeps_the_length_is_noticed(path):
    whole = written(path, 5)
    with AppendFile.open(path) as journal:
        journal.documents()
        path.write_bytes(whole.replace(b"bag 7", b"bag 8", 1))
        touch_later(path)
        with pytest.raises(Damaged) as caught:
            journal.append(act(9), expected=6)
        assert ", line 2, " in caught.value.what


def test_a_whole_rewrite_of_the_same_length_is_noticed(path):
    written(path, 3)
    other = b"".join(lines_of([act(number) for number in (7, 8, 9)]))
    with AppendFile.open(path) as journal:
        journal.documents()
        path.write_bytes(other)
        touch_later(path)
        with pytest.raises(Damaged) as caught:
            journal.documents()
        assert "another history" in caught.value.what
        assert ids(journal.readable()) == ids(act(number) for number in range(3))


def test_a_file_that_was_only_touched_is_still_good(path):
    written(path, 3)
    with AppendFile.open(path) as journal:
        journal.documents()
        touch_later(path)
        assert journal.append(act(9), expected=4) == 5


def touch_later(path):
    # Some systems' clocks for files tick slowly: make sure that the time is another.
    status = path.stat()
    os.utime(path, ns=(status.st_atime_ns, status.st_mtime_ns + 1_000_000_000))


def test_a_journal_that_is_gone_is_told_and_not_created_again(path):
    written(path, 3)
    with AppendFile.open(path) as journal:
        journal.documents()
        path.unlink()
        for attempt in (journal.documents, journal.verify, lambda: journal.append(act(9), expected=4)):
            with pytest.raises(Fault):
                attempt()
        assert len(journal.readable()) == 3
    assert not path.exists()


def test_four_threads_lose_nothing_and_double_nothing(journal, path):
    def work(prefix):
        for number in range(50):
            while True:
                try:
                    journal.append({"id": f"{prefix}-{number}"}, expected=journal.head().seq)
                except Conflict:
                    continue
                break

    threads = [threading.Thread(target=work, args=(name,)) for name in "abcd"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with AppendFile.open(path) as fresh:
        assert sorted(ids(fresh.documents())) == sorted(f"{p}-{n}" for p in "abcd" for n in range(50))
        assert fresh.verify().damage is None


def test_two_instances_in_two_threads_keep_each_other_out(path):
    written(path, 0)

    def work(prefix):
        with AppendFile.open(path) as own:
            for number in range(50):
                own.append({"id": f"{prefix}-{number}"}, expected=None)

    threads = [threading.Thread(target=work, args=(name,)) for name in "ab"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with AppendFile.open(path) as fresh:
        assert (fresh.verify().good, fresh.verify().damage) == (101, None)


def test_a_lock_that_is_held_for_too_long_is_told(tmp_path):
    place = tmp_path / "journal.jsonl.lock"
    with FileLock(place), pytest.raises(Fault) as caught, FileLock(place, patience_s=0.01):
        pass
    assert "another program" in caught.value.what


def test_a_lock_file_deleted_by_a_tidy_person_does_not_let_two_writers_in(tmp_path):
    place = tmp_path / "journal.jsonl.lock"
    first = FileLock(place, patience_s=0.01)
    with first:
        pass
    place.unlink()
    # The first one still has the deleted file open; a lock on that would keep nobody out.
    with FileLock(place), pytest.raises(Fault), first:
        pass


def test_appending_goes_on_when_the_lock_file_was_deleted_in_between(journal, path):
    journal.append(act(1), expected=1)
    path.with_name("journal.jsonl.lock").unlink()
    assert journal.append(act(2), expected=2) == 3
    assert path.with_name("journal.jsonl.lock").exists()


def test_a_long_load_leaves_the_garbage_collector_as_it_was(path):
    path.write_bytes(b"".join(lines_of([{"id": str(number), "note": "x" * 5000} for number in range(220)])))
    for on in (False, True):
        (gc.enable if on else gc.disable)()
        with AppendFile.open(path) as journal:
            assert journal.head().seq == 221
        assert gc.isenabled() is on


FORKING = """
import os, sys
from tagtrack.core.errors import Conflict
from tagtrack.journal.store import AppendFile
journal = AppendFile.create(sys.argv[1], "job", "N1234")
journal.append({"id": "parent"}, expected=1)
with journal._alone, journal._lock:  # a fork at the worst moment, in the middle of an append
    children = [os.fork() for _ in range(1)]
if 0 not in children:
    children.append(os.fork())
name = f"child-{children.index(0)}" if 0 in children else "mother"
for number in range(60):
    journal.append({"id": f"{name}-{number}"}, expected=None)
if 0 in children:
    os._exit(0)
sys.exit(sum(os.waitpid(child, 0)[1] for child in children))
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system does not fork")
def test_forked_children_open_the_journal_anew(path):
    done = subprocess.run([sys.executable, "-c", FORKING, path], cwd=ROOT, timeout=60, check=False)
    assert done.returncode == 0
    with AppendFile.open(path) as journal:
        expected = ["parent"] + [f"{n}-{i}" for n in ("child-0", "child-1", "mother") for i in range(60)]
        assert sorted(ids(journal.documents())) == sorted(expected)


def test_a_plain_copy_taken_at_any_moment_opens(path, tmp_path):
    written(path, 0)
    copy = tmp_path / "copy.jsonl"
    with AppendFile.open(path) as journal:
        for number in range(20):
            journal.append(act(number), expected=number + 1)
            shutil.copyfile(path, copy)
            with AppendFile.open(copy) as copied:
                assert copied.documents() == journal.documents()

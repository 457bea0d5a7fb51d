"""Disks that are full, failing, or not ours to write: one clear error, and the file as it was."""

from __future__ import annotations

import errno
import os
import shutil
import stat
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from journal.samples import act, ids, written

from tagtrack.core.errors import Fault, Full
from tagtrack.journal import disk
from tagtrack.journal.store import AppendFile

ROOT = Path(__file__).parents[2]

FILLING = """
import resource, sys
from tagtrack.core.errors import Full
from tagtrack.journal.store import AppendFile
path = sys.argv[1]
journal = AppendFile.create(path, "job", "N1234")
resource.setrlimit(resource.RLIMIT_FSIZE, (5000, resource.RLIM_INFINITY))
number = 0
try:
    while True:
        before = open(path, "rb").read()
        journal.append({"id": f"act-{number}", "note": "x" * 100}, expected=number + 1)
        number += 1
except Full as full:
    assert full.what == f"not recorded: no room on the disk for {path}", full.what
assert open(path, "rb").read() == before
resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
assert journal.append({"id": f"act-{number}"}, expected=number + 1) == number + 2
assert journal.verify().good == number + 2 > 10
"""


@pytest.mark.skipif(sys.platform == "win32", reason="file sizes cannot be limited there")
def test_a_full_disk_is_one_clear_error_and_recording_goes_on_when_there_is_room(path):
    done = subprocess.run([sys.executable, "-c", FILLING, path], cwd=ROOT, timeout=60, check=False)
    assert done.returncode == 0


@pytest.fixture
def started(path):
    """A journal of three documents, open, and its bytes."""
    whole = written(path, 3)
    with AppendFile.open(path) as journal:
        yield journal, whole


@pytest.mark.parametrize("taken", [0, 1, 200, 400])
def test_a_short_write_is_taken_back_to_the_byte(started, path, monkeypatch, taken):
    journal, whole = started
    write = os.write
    with monkeypatch.context() as patch:
        patch.setattr(disk.os, "write", lambda handle, data: write(handle, data[:taken]))
        with pytest.raises(Full) as caught:
            journal.append(act(9), expected=4)
    assert f"{taken} of " in caught.value.came
    assert path.read_bytes() == whole
    assert journal.append(act(9), expected=4) == 5


@pytest.mark.parametrize("moment", ["write_whole", "sync"])
def test_an_interrupt_before_the_record_is_on_disk_takes_it_back(started, path, monkeypatch, moment):
    journal, whole = started
    real = getattr(disk, moment)

    def interrupted(*arguments):
        real(*arguments)
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(disk, moment, interrupted)
        with pytest.raises(KeyboardInterrupt):
            journal.append(act(9), expected=4)
    assert path.read_bytes() == whole
    assert journal.append(act(9), expected=4) == 5


@pytest.mark.parametrize("number", [9, 1], ids=["a new record", "one asked for again"])
def test_a_failed_flush_is_not_tried_again_and_closes_the_journal(started, path, monkeypatch, number):
    journal, whole = started
    calls = []

    def failing(handle):
        calls.append(handle)
        raise OSError(errno.EIO, "Input/output error")

    with monkeypatch.context() as patch:
        patch.setattr(disk, "sync", failing)
        with pytest.raises(Full) as caught:
            journal.append(act(number), expected=4)
    assert "Input/output error" in caught.value.came
    assert len(calls) == 1
    with pytest.raises(Fault) as closed:
        journal.documents()
    assert "failed to keep a record" in closed.value.what
    assert path.read_bytes() == whole
    with AppendFile.open(path) as again:
        assert again.append(act(9), expected=4) == 5


def test_an_end_that_cannot_be_put_right_is_not_called_unrecorded(started, path, monkeypatch):
    journal, _ = started

    def failing(*_):
        raise OSError(errno.EIO, "Input/output error")

    with monkeypatch.context() as patch:
        patch.setattr(disk, "sync", failing)
        patch.setattr(os, "ftruncate", failing)
        with pytest.raises(Fault) as caught:
            journal.append(act(9), expected=4)
    assert not isinstance(caught.value, Full)
    assert "may or may not" in caught.value.what
    with AppendFile.open(path) as again:
        # The record is there after all, and asking again does not double it.
        assert again.append(act(9), expected=4) == 5
        assert ids(again.documents()) == ids(act(number) for number in (0, 1, 2, 9))


@pytest.mark.parametrize(
    ("number", "sentence"),
    [
        (errno.EACCES, "not recorded: no right to write "),
        (errno.EROFS, "not recorded: no right to write "),
    ],
)
def test_a_journal_that_may_not_be_written_is_readable_and_says_so(path, monkeypatch, number, sentence):
    written(path, 3)
    real = os.open

    def guarded(name, flags, *rest):
        if Path(name) == path and flags & (os.O_WRONLY | os.O_RDWR):
            raise OSError(number, os.strerror(number))
        return real(name, flags, *rest)

    with monkeypatch.context() as patch:
        patch.setattr(os, "open", guarded)
        journal = AppendFile.open(path)
        assert len(journal.documents()) == 3
        with pytest.raises(Full) as caught:
            journal.append(act(9), expected=4)
        assert caught.value.what.startswith(sentence + str(path))
    # The right was given since.
    assert journal.append(act(9), expected=4) == 5
    journal.close()


@pytest.fixture
def forbidden():
    """A folder that may be looked into but not written to; whoever may write everywhere gives that up meanwhile."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o555)
    almighty = hasattr(os, "geteuid") and os.geteuid() == 0
    if almighty:
        os.seteuid(65534)
    yield folder
    if almighty:
        os.seteuid(0)
    folder.chmod(0o755)
    shutil.rmtree(folder)


@pytest.mark.skipif(sys.platform == "win32", reason="rights to a folder are another matter there")
def test_a_folder_that_may_not_be_written_says_so(forbidden):
    with pytest.raises(Full):
        AppendFile.create(forbidden / "journal.jsonl", "job", "N1234")
    assert list(forbidden.iterdir()) == []


def test_an_unfinished_line_stays_where_it_is_when_it_cannot_be_kept(started, path, monkeypatch):
    journal, whole = started
    path.write_bytes(whole + b"torn")

    def failing(*_):
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(disk.os, "write", failing)
        with pytest.raises(Full) as caught:
            journal.append(act(9), expected=4)
    assert "torn-1" in caught.value.what
    assert path.read_bytes() == whole + b"torn"
    assert not path.with_name("journal.jsonl.torn-1").exists()
    assert journal.append(act(9), expected=4) == 5


def test_a_creation_that_fails_leaves_no_journal(path, monkeypatch):
    def failing(*_):
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(disk, "write_whole", failing)
        with pytest.raises(Full):
            AppendFile.create(path, "job", "N1234")
    assert [file.name for file in path.parent.iterdir()] == ["journal.jsonl.lock"]
    AppendFile.create(path, "job", "N1234").close()


@pytest.mark.parametrize("answer", [errno.EINVAL, errno.ENOTSUP])
def test_a_file_system_that_cannot_flush_folders_is_put_up_with(path, monkeypatch, answer):
    real = os.fsync

    def unable(handle):
        if stat.S_ISDIR(os.fstat(handle).st_mode):
            raise OSError(answer, os.strerror(answer))
        real(handle)

    monkeypatch.setattr(disk.os, "fsync", unable)
    AppendFile.create(path, "job", "N1234").close()


@pytest.fixture
def calls(path, monkeypatch):
    """The calls that change a file or make it last, in order, each with the name of its file."""
    seen = []

    def follow(name):
        real = getattr(os, name)

        def followed(handle, *rest):
            places = [path.parent.parent, path.parent, *path.parent.iterdir()]
            seen.append((name, next(it.name for it in places if os.path.samestat(it.stat(), os.fstat(handle)))))
            return real(handle, *rest)

        monkeypatch.setattr(os, name, followed)

    for name in ("write", "fsync", "ftruncate"):
        follow(name)
    return seen


only_here = pytest.mark.skipif(sys.platform in {"win32", "darwin"}, reason="flushes are other calls there")


@only_here
def test_a_record_is_flushed_before_append_returns(started, path, calls):
    journal, _ = started
    journal.append(act(9), expected=4)
    assert calls == [("write", path.name), ("fsync", path.name)]


@only_here
def test_a_record_asked_for_again_is_flushed_before_it_is_confirmed(started, path, calls):
    # Whoever wrote it may have died between writing and flushing.
    journal, _ = started
    assert journal.append(act(1), expected=2) == 3
    assert calls == [("fsync", path.name)]


@only_here
def test_an_unfinished_line_is_flushed_into_its_file_and_folder_before_it_is_cut_off(started, path, calls):
    journal, whole = started
    path.write_bytes(whole + b"torn")
    journal.append(act(9), expected=4)
    assert calls == [
        ("write", "journal.jsonl.torn-1"),
        ("fsync", "journal.jsonl.torn-1"),
        ("fsync", path.parent.name),
        ("ftruncate", path.name),
        ("fsync", path.name),
        ("write", path.name),
        ("fsync", path.name),
    ]


@only_here
def test_a_new_journal_is_flushed_before_it_gets_its_name_and_its_folders_after(path, calls):
    AppendFile.create(path, "job", "N1234").close()
    assert calls == [
        ("write", "journal.jsonl.new"),
        ("fsync", "journal.jsonl.new"),
        ("fsync", path.parent.name),
        ("fsync", path.parent.name),
        ("fsync", path.parent.parent.name),
    ]

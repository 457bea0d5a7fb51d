"""A shop copied as a folder: opened as they lie, taken while others write, never half, never the shop by accident."""

from __future__ import annotations

import errno
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from cli.console import Console
from journal.test_backup import WRITER

from tagtrack.core.errors import Damaged, Fault, Full, Refusal
from tagtrack.core.events import Act, PersonNoted
from tagtrack.core.records import Person, Via
from tagtrack.journal import unpacked
from tagtrack.journal.acts import Folder
from tagtrack.journal.contents import MARK
from tagtrack.journal.generations import generations
from tagtrack.journal.restore import restore
from tagtrack.journal.tiny import JournalDB
from tagtrack.journal.unpacked import copy_out

ROOT = Path(__file__).parents[2]


@pytest.fixture
def console(tmp_path, monkeypatch):
    """A shop with one work order in which a panel is off, and the commands on it."""
    monkeypatch.chdir(tmp_path)
    shop = Console(tmp_path / "hangar")
    shop("setup", str(shop.root), "--name", "Invented shop")
    shop("person", "KT", "Kari Testad")
    shop("open", "WO-1", "N0INV", "--by", "KT")
    shop("say", "--by", "KT", "zone tail LEFT")
    shop("say", "--by", "KT", "off panel 1 LEFT; 12 AN525-10R8")
    return shop


def off(console, what):
    return console("say", "--by", "KT", "--job", "WO-1", f"off {what} LEFT; none")


def copy_of(console, keep, stamp="1", generations=14):
    copied, rotated = copy_out(console.root, keep, stamp=stamp, keep=generations)
    return copied.path, rotated


def tree(folder):
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_copy_opens_as_it_lies_and_says_that_it_is_one(console, tmp_path):
    told = console("backup", "--unpacked", str(tmp_path / "keep")).out
    (copy,) = generations(tmp_path / "keep", "")
    assert str(copy) in told.replace("\n", "")
    looking = Console(copy)
    listed = looking("jobs")
    assert listed.out == console("jobs").out
    assert "is a copy of a shop" in listed.err
    assert "good" in looking("verify").out
    assert "panel 1" in looking("status").out


def test_what_is_copied_is_the_record_and_everything_of_the_shop_but_secrets_and_locks(console, tmp_path):
    (console.root / "secrets").write_text("hashes of PINs")
    (console.root / "signed-out.json").write_text("who went")
    (console.root / "certificate").mkdir()
    (console.root / "certificate" / "authority.key").write_text("a key that vouches")
    (console.root / "labels" / "own.toml").write_text("our label")
    copy, _ = copy_of(console, tmp_path / "keep")
    copied = tree(copy)
    private = {"secrets", "signed-out.json", "certificate/authority.key", "index.json", "shop.jsonl.lock"}
    assert not private & copied.keys()
    assert {MARK, "shop.jsonl", "settings.toml", "labels/own.toml", "jobs/WO-1/journal.jsonl"} <= copied.keys()
    for name in copied.keys() - {MARK}:
        assert copied[name] == (console.root / name).read_bytes()


@pytest.mark.parametrize("words", [
    ("say", "--by", "KT", "off panel 2 LEFT; none"), ("person", "MB", "Mo Bench"),
    ("open", "WO-2", "N1INV", "--by", "KT"),
    ("blanks", "3", "--by", "KT", "-o", "blanks.pdf"), ("zone", "tail", "LEFT", "--by", "KT", "-o", "zone.pdf"),
])
def test_nothing_is_recorded_in_a_copy(console, tmp_path, words):
    copy, _ = copy_of(console, tmp_path / "keep")
    before = tree(copy)
    code, ran = Console(copy).ends(*words)
    assert code == (5 if words[0] == "open" else 4)
    assert "nothing is recorded in it" in (ran.out + ran.err).replace("\n", " ")
    after = tree(copy)
    assert {name: data for name, data in after.items() if name in before} == before
    assert {name for name in after if name not in before and not name.endswith((".lock", "index.json"))} == set()


@pytest.mark.parametrize("below", ["", "jobs/WO-1"])
def test_a_copy_is_not_taken_for_the_shop_because_somebody_stands_in_it(console, tmp_path, monkeypatch, below):
    """Neither where it lies beside the shop nor inside of it: what it says was true once."""
    for keep in (tmp_path / "keep", console.root / "backups"):
        copy, _ = copy_of(console, keep)
        monkeypatch.chdir(copy / below)
        console.shop = None
        for words in (("jobs",), ("check",), ("say", "--by", "KT", "status")):
            assert "is a copy of a shop" in console(*words, code=4).err.replace("\n", " ")
        monkeypatch.chdir(console.root)
        assert "WO-1" in console("jobs").out


def test_a_copy_becomes_a_shop_again_by_restore_and_work_goes_on(console, tmp_path):
    copy, _ = copy_of(console, tmp_path / "keep")
    console("restore", str(copy), str(tmp_path / "again"))
    again = Console(tmp_path / "again")
    assert off(again, "panel 2").out
    assert again("jobs").err == ""
    assert not (tmp_path / "again" / MARK).exists()
    assert "panel 2" not in Console(copy)("status").out


def test_without_its_mark_a_copy_is_a_shop_so_that_it_is_of_use_without_this_program(console, tmp_path):
    copy, _ = copy_of(console, tmp_path / "keep")
    (copy / MARK).unlink()
    off(Console(copy), "panel 2")
    # and then it is somebody's work: no rotation takes it away
    for number in range(2, 6):
        copy_of(console, tmp_path / "keep", str(number), 1)
    assert generations(tmp_path / "keep", "")[0] == copy
    assert "panel 2" in Console(copy)("status").out


def test_a_folder_that_was_copied_by_hand_is_restored_too_as_far_as_it_was_confirmed(console, tmp_path):
    shutil.copytree(console.root, tmp_path / "by hand")
    with (tmp_path / "by hand/jobs/WO-1/journal.jsonl").open("ab") as file:
        file.write(b'{"doc":{"id":"half')
    restore(tmp_path / "by hand", tmp_path / "again")
    assert tree(tmp_path / "again")["jobs/WO-1/journal.jsonl"] == tree(console.root)["jobs/WO-1/journal.jsonl"]


@pytest.mark.parametrize("name", ["jobs/WO-1/journal.jsonl", "settings.toml", "labels/own.toml"])
@pytest.mark.parametrize("how", ["changed", "gone"])
def test_a_copy_in_which_a_file_is_not_what_was_copied_is_not_restored_and_leaves_nothing(console, tmp_path, name, how):
    (console.root / "labels" / "own.toml").write_text("our label")
    copy, _ = copy_of(console, tmp_path / "keep")
    if how == "changed":
        (copy / name).write_bytes((copy / name).read_bytes().replace(b"o", b"e", 1))
    else:
        (copy / name).unlink()
    with pytest.raises(Damaged, match="is not what was copied"):
        restore(copy, tmp_path / "again")
    assert tree(tmp_path / "again") == {}


@pytest.mark.parametrize("text", ["", "{", "[]", "3", '{"format": "tagtrack-copy"}', '{"format": "tagtrack-copy", '
                                  '"version": 1, "files": {"shop.jsonl": 3}}'])  # fmt: skip
def test_a_copy_whose_list_is_rubbish_is_told_still_looked_at_and_never_dropped(console, tmp_path, text):
    copy, _ = copy_of(console, tmp_path / "keep")
    (copy / MARK).write_text(text)
    assert "WO-1" in Console(copy)("jobs").out
    with pytest.raises(Damaged, match="is no backup that can be read"):
        restore(copy, tmp_path / "again")
    copy_of(console, tmp_path / "keep", "2", 1)
    copy_of(console, tmp_path / "keep", "3", 1)
    assert [path.name[-1] for path in generations(tmp_path / "keep", "")] == ["1", "3"]


def test_a_copy_is_not_restored_into_itself(console, tmp_path):
    copy, _ = copy_of(console, tmp_path / "keep")
    with pytest.raises(Refusal, match="lies in"):
        restore(copy, copy / "again")


def test_copies_under_full_writing_are_each_a_true_earlier_state(console, tmp_path):
    journal = console.root / "jobs" / "WO-1" / "journal.jsonl"
    writer = subprocess.Popen([sys.executable, "-c", WRITER, str(journal)], env={**os.environ, "PYTHONPATH": str(ROOT)})
    try:
        before = journal.stat().st_size
        while journal.stat().st_size == before:
            time.sleep(0.01)
        made = [copy_of(console, tmp_path / "keep", f"{n:03}", 99)[0] for n in range(30)]
    finally:
        writer.kill()
        writer.wait()
    whole = journal.read_bytes()
    copies = [(path / "jobs/WO-1/journal.jsonl").read_bytes() for path in made]
    assert all(whole.startswith(data) and data.endswith(b"\n") for data in copies)
    assert [len(data) for data in copies] == sorted(len(data) for data in copies)
    assert len(copies[-1]) > len(copies[0])


def test_a_damaged_record_is_told_and_the_copies_of_before_stay(console, tmp_path):
    copy, _ = copy_of(console, tmp_path / "keep", "1", 1)
    journal = console.root / "jobs" / "WO-1" / "journal.jsonl"
    journal.write_bytes(journal.read_bytes().replace(b"AN525", b"AN526", 1))
    with pytest.raises(Damaged, match="no backup was made"):
        copy_out(console.root, tmp_path / "keep", stamp="2", keep=1)
    assert list((tmp_path / "keep").iterdir()) == [copy]


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0 or sys.platform != "linux",
                    reason="only the administrator of a Linux system can make a small disk")  # fmt: skip
def test_a_disk_that_is_full_keeps_no_half_copy_and_the_good_one_stays(console, tmp_path):
    small = tmp_path / "small"
    small.mkdir()
    done = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=300k", "none", small], capture_output=True, check=False)
    if done.returncode:
        pytest.skip("no disk can be made here")
    try:
        copy, _ = copy_of(console, small, "1", 1)
        (console.root / "jobs" / "WO-1" / "photos").mkdir()
        (console.root / "jobs" / "WO-1" / "photos" / "large.jpg").write_bytes(os.urandom(400_000))
        for words in (("backup", "--unpacked", str(small)), ("backup", str(small))):
            said = console(*words, code=5).err
            assert "no room" in said.replace("\n", " ")
            assert list(small.iterdir()) == [copy]
        assert "WO-1" in Console(copy)("jobs").out
        # nor a half shop where it is put back
        whole, _ = copy_of(console, tmp_path / "keep")
        with pytest.raises(Full, match="no room"):
            restore(whole, small / "again")
        assert tree(small / "again") == {}
    finally:
        subprocess.run(["umount", small], check=True)


def test_a_write_that_fails_at_any_file_leaves_nothing(console, tmp_path, monkeypatch):
    whole = tree(console.root)
    write = unpacked.write_flushed
    for number in range(3):
        left = iter(range(number))

        def failing(target, pieces, left=left):
            if next(left, None) is None:
                raise OSError(errno.ENOSPC, "No space left on device")
            return write(target, pieces)

        monkeypatch.setattr(unpacked, "write_flushed", failing)
        with pytest.raises(Full, match="no room"):
            copy_of(console, tmp_path / "keep")
        assert list((tmp_path / "keep").iterdir()) == []
    assert tree(console.root) == whole


def test_a_copy_that_the_disk_did_not_keep_is_told_and_is_no_generation(console, tmp_path, monkeypatch):
    """One byte of what was just written is another."""
    read_back = unpacked._check  # noqa: SLF001 - the disk fails between writing and reading back

    def failing(part, files):
        file = part / "settings.toml"
        file.write_bytes(file.read_bytes().replace(b"o", b"e", 1))
        read_back(part, files)

    monkeypatch.setattr(unpacked, "_check", failing)
    with pytest.raises(Full, match="was not written whole"):
        copy_of(console, tmp_path / "keep")
    assert list((tmp_path / "keep").iterdir()) == []


SLOW = """
import sys, time
from pathlib import Path
from tagtrack.core.events import Act, PersonNoted
from tagtrack.core.records import Person, Via
from tagtrack.journal import unpacked
from tagtrack.journal.acts import Folder
write = unpacked.write_flushed
def slow(target, pieces):
    held = write(target, pieces)
    print(target.name, flush=True)
    time.sleep(60 if target.name == sys.argv[3] else 0)
    return held
unpacked.write_flushed = slow
unpacked.copy_out(Path(sys.argv[1]), Path(sys.argv[2]), stamp="9", keep=1)
"""


@pytest.mark.parametrize("after", ["journal.jsonl", "settings.toml", "shop.jsonl"])
def test_one_that_is_killed_leaves_nothing_under_its_final_name_and_what_is_left_is_told(console, tmp_path, after):
    copy, _ = copy_of(console, tmp_path / "keep", "1", 1)
    killed = subprocess.Popen([sys.executable, "-c", SLOW, str(console.root), str(tmp_path / "keep"), after],
                              stdout=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(ROOT)})  # fmt: skip
    while killed.stdout.readline() != f"{after}\n".encode():
        pass
    killed.send_signal(signal.SIGKILL)
    killed.communicate()
    assert generations(tmp_path / "keep", "") == [copy]
    fresh, rotated = copy_of(console, tmp_path / "keep", "9", 1)
    assert generations(tmp_path / "keep", "") == [fresh]
    assert any("broken off" in note and ".part" in note for note in rotated.notes)


ONCE = """
import sys
from pathlib import Path
from tagtrack.journal.unpacked import copy_out
copy_out(Path(sys.argv[1]), Path(sys.argv[2]), stamp="5", keep=9)
"""


def test_two_that_begin_in_the_same_second_are_two(console, tmp_path):
    running = [subprocess.Popen([sys.executable, "-c", ONCE, str(console.root), str(tmp_path / "keep")],
                                env={**os.environ, "PYTHONPATH": str(ROOT)}) for _ in range(3)]  # fmt: skip
    assert [one.wait() for one in running] == [0, 0, 0]
    made = generations(tmp_path / "keep", "")
    assert len(made) == 3
    for copy in made:
        assert "WO-1" in Console(copy)("jobs").out


def test_the_list_of_a_copy_is_for_a_person_too(console, tmp_path):
    copy, _ = copy_of(console, tmp_path / "keep")
    said = json.loads((copy / MARK).read_text())
    assert "tagtrack restore" in said["what"]
    assert said["files"].keys() == tree(copy).keys() - {MARK}


def test_a_journal_in_a_copy_refuses_by_itself(console, tmp_path):
    """Also where no command stands before it."""
    copy, _ = copy_of(console, tmp_path / "keep")
    folder = Folder(copy, "home")
    act = Act(id="x", site="home", by="KT", at="2026-01-01T00:00:00Z", via=Via.TYPED, version="0",
              events=(PersonNoted(Person("MB", "Mo Bench")),))  # fmt: skip
    for journal in (folder.shop(), folder.job("WO-1")):
        with pytest.raises(Refusal, match="nothing is recorded in it"):
            journal.append(act, journal.head().seq)
    with pytest.raises(Fault, match="nothing is recorded in it"):
        folder.create_job("WO-2")
    folder.close()


def test_a_shop_that_lies_over_a_copy_of_the_shop_folder_is_not_stopped_by_a_name_alone(tmp_path):
    """A folder of the name of a copy, made by hand, is no copy and stops nobody."""
    (tmp_path / "tagtrack-backup-mine").mkdir()
    JournalDB.create(tmp_path / "tagtrack-backup-mine" / "shop.jsonl", "shop", "Mine").close()
    assert "no work order yet" in Console(tmp_path / "tagtrack-backup-mine")("jobs").out


def test_what_holds_no_shop_is_told(tmp_path):
    (tmp_path / "some").mkdir()
    (tmp_path / "some" / "notes.txt").write_text("not a shop")
    with pytest.raises(Fault, match="holds no shop"):
        restore(tmp_path / "some", tmp_path / "again")
    assert not tree(tmp_path / "again")


SLOW_BACK = """
import sys, time
from pathlib import Path
from tagtrack.journal import restore
write = restore.write_flushed
def slow(target, pieces):
    write(target, pieces)
    print(target.name, flush=True)
    time.sleep(60 if target.name == sys.argv[3] else 0)
restore.write_flushed = slow
restore.restore(Path(sys.argv[1]), Path(sys.argv[2]))
"""


@pytest.mark.parametrize("after", ["journal.jsonl", "settings.toml", "shop.jsonl.part"])
def test_a_restore_that_is_killed_leaves_no_shop_and_nothing_is_put_on_top_of_it(console, tmp_path, after):
    copy, _ = copy_of(console, tmp_path / "keep")
    again = tmp_path / "again"
    killed = subprocess.Popen([sys.executable, "-c", SLOW_BACK, str(copy), str(again), after],
                              stdout=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(ROOT)})  # fmt: skip
    while killed.stdout.readline() != f"{after}\n".encode():
        pass
    killed.send_signal(signal.SIGKILL)
    killed.communicate()
    assert "is no shop folder" in Console(again)("jobs", code=4).err
    assert "is not empty" in console("restore", str(copy), str(again), code=4).err

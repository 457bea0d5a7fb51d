"""Backups: taken while others write, checked, restored whole; an archive of a stranger writes nothing elsewhere."""

from __future__ import annotations

import shutil
import subprocess
import sys
import time
import zipfile

import pytest

from tagtrack.core.errors import Damaged, Fault, Full, Refusal, Trouble
from tagtrack.journal import backup, contents
from tagtrack.journal.generations import ARCHIVE, generations
from tagtrack.journal.restore import restore
from tagtrack.journal.tiny import JournalDB


@pytest.fixture
def shop(tmp_path):
    root = tmp_path / "shop"
    (root / "jobs" / "WO-1").mkdir(parents=True)
    JournalDB.create(root / "shop.jsonl", "shop", "Test").close()
    job = JournalDB.create(root / "jobs" / "WO-1" / "journal.jsonl", "job", "WO-1")
    for number in range(20):
        job.append({"id": f"a{number}", "by": "KT"}, expected=None)
    job.close()
    (root / "settings.toml").write_text("name = 'Test'")
    (root / "shop.jsonl.lock").write_text("")
    return root


def test_what_is_secret_stays_where_it_is_and_photos_come_along(shop, tmp_path):
    (shop / "secrets").write_text("hashes of PINs")
    (shop / "certificate").mkdir()
    (shop / "certificate" / "authority.key").write_text("a key that vouches")
    (shop / "jobs" / "WO-1" / "photos").mkdir()
    (shop / "jobs" / "WO-1" / "photos" / "ab.jpg").write_bytes(b"a photo")
    copied, _ = backup.back_up(shop, tmp_path / "keep", stamp="1", keep=3)
    restore(copied.path, tmp_path / "again")
    assert not (tmp_path / "again" / "secrets").exists()
    assert not (tmp_path / "again" / "certificate").exists()
    assert (tmp_path / "again/jobs/WO-1/photos/ab.jpg").read_bytes() == b"a photo"


def test_a_backup_is_restored_line_by_line(shop, tmp_path):
    copied, _ = backup.back_up(shop, tmp_path / "keep", stamp="1", keep=3)
    assert (copied.journals, copied.lines, copied.others) == (2, 22, 1)
    back = restore(copied.path, tmp_path / "again")
    assert (back.journals, back.lines) == (2, 22)
    for name in ("shop.jsonl", "jobs/WO-1/journal.jsonl", "settings.toml"):
        assert (tmp_path / "again" / name).read_bytes() == (shop / name).read_bytes()
    assert not (tmp_path / "again" / "shop.jsonl.lock").exists()


def test_only_so_many_generations_are_kept_and_the_newest_ones(shop, tmp_path):
    made = [backup.back_up(shop, tmp_path / "keep", stamp=str(n), keep=3)[0].path for n in range(5)]
    assert generations(tmp_path / "keep", ARCHIVE) == made[-3:]


def test_two_backups_in_one_second_are_two_archives(shop, tmp_path):
    one, two = (backup.back_up(shop, tmp_path / "keep", stamp="x", keep=3)[0].path for _ in range(2))
    assert one != two


def test_archives_kept_in_the_shop_are_not_archived_again(shop):
    first, _ = backup.back_up(shop, shop / "backups", stamp="1", keep=3)
    second, _ = backup.back_up(shop, shop / "backups", stamp="2", keep=3)
    assert second.others == first.others


WRITER = """
import sys, time
from tagtrack.journal.tiny import JournalDB
job = JournalDB(sys.argv[1])
# so fast, and no longer: a backup on a slow machine must not chase a file that outgrows it
for number in range(1000, 9000):
    job.append({"id": f"w{number}", "by": "KT"}, expected=None)
    time.sleep(0.001)
"""


def test_fifty_backups_under_full_writing_are_each_a_true_earlier_state(shop, tmp_path):
    journal = shop / "jobs" / "WO-1" / "journal.jsonl"
    writer = subprocess.Popen([sys.executable, "-c", WRITER, str(journal)])
    try:
        time.sleep(0.5)
        made = [backup.back_up(shop, tmp_path / "keep", stamp=f"{n:03}", keep=99)[0].path for n in range(50)]
    finally:
        writer.kill()
        writer.wait()
    whole = journal.read_bytes()
    lines = []
    for path in made:
        with zipfile.ZipFile(path) as archive:
            data = archive.read("jobs/WO-1/journal.jsonl")
        assert whole.startswith(data)
        lines.append(data.count(b"\n"))
    assert lines == sorted(lines)
    assert lines[-1] > lines[0]


def test_a_damaged_record_is_told_and_no_archive_is_made(shop, tmp_path):
    journal = shop / "jobs" / "WO-1" / "journal.jsonl"
    data = bytearray(journal.read_bytes())
    data[300] ^= 1
    journal.write_bytes(bytes(data))
    with pytest.raises(Damaged, match="no backup was made"):
        backup.back_up(shop, tmp_path / "keep", stamp="1", keep=3)
    assert generations(tmp_path / "keep", ARCHIVE) == []


def test_a_torn_last_line_is_left_out(shop, tmp_path):
    journal = shop / "jobs" / "WO-1" / "journal.jsonl"
    with journal.open("ab") as file:
        file.write(b'{"doc":{"id":"half')
    assert backup.back_up(shop, tmp_path / "keep", stamp="1", keep=3)[0].lines == 22


def test_a_folder_with_files_in_it_is_never_written_over(shop, tmp_path):
    made = backup.back_up(shop, tmp_path / "keep", stamp="1", keep=3)[0].path
    with pytest.raises(Refusal, match="is not empty"):
        restore(made, shop)


@pytest.mark.parametrize("name", ["../outside.txt", "/etc/passwd", "a/../../b", "C:/x", "..\\up.txt"])
def test_an_archive_that_points_elsewhere_writes_nothing_there(tmp_path, name):
    path = tmp_path / "bad.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr(name, "x")
    with pytest.raises(Fault, match="which backup never writes"):
        restore(path, tmp_path / "here")
    assert not (tmp_path / "outside.txt").exists()


@pytest.mark.parametrize("data", [b"", b"no archive at all", b"PK\x03\x04"])
def test_what_is_no_archive_is_told(tmp_path, data):
    (tmp_path / "x.zip").write_bytes(data)
    with pytest.raises(Fault, match="no archive that can be read"):
        restore(tmp_path / "x.zip", tmp_path / "here")


def test_an_archive_that_was_changed_is_told(shop, tmp_path):
    made = backup.back_up(shop, tmp_path / "keep", stamp="1", keep=3)[0].path
    changed = tmp_path / "changed.zip"
    with zipfile.ZipFile(made) as old, zipfile.ZipFile(changed, "w") as new:
        for name in old.namelist():
            new.writestr(name, old.read(name).replace(b"a7", b"a8"))
    with pytest.raises(Damaged, match="came out of the backup damaged"):
        restore(changed, tmp_path / "here")


def test_an_archive_without_a_shop_is_told(tmp_path):
    path = tmp_path / "x.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("settings.toml", "x")
    with pytest.raises(Fault, match="holds no shop"):
        restore(path, tmp_path / "here")


def test_an_archive_that_the_disk_did_not_keep_is_told_and_is_no_generation(shop, tmp_path, monkeypatch):
    """One byte of what was just written is another; the archive of before stays the newest."""
    good, _ = backup.back_up(shop, tmp_path / "keep", stamp="1", keep=3)
    check = backup._check  # noqa: SLF001 - the disk fails between writing and reading back

    def failing(part, copied):
        data = bytearray(part.read_bytes())
        data[len(data) // 3] ^= 1
        part.write_bytes(data)
        check(part, copied)

    monkeypatch.setattr(backup, "_check", failing)
    with pytest.raises(Full, match="was not written whole"):
        backup.back_up(shop, tmp_path / "keep", stamp="2", keep=3)
    assert generations(tmp_path / "keep", ARCHIVE) == [good.path]
    assert [path.name for path in (tmp_path / "keep").iterdir()] == [good.path.name]


def test_what_is_recorded_while_a_backup_is_made_leaves_no_work_order_ahead_of_its_shop(shop, tmp_path, monkeypatch):
    """The shop gives out a tag, the work order uses it, and another one is opened, all while it is copied."""
    read = contents._whole_lines  # noqa: SLF001 - others write while this reads
    seen = []

    def meanwhile(_, file):
        seen.append(file.parent.name)
        if len(seen) == 1:
            for path, act in ((shop / "shop.jsonl", "tag given out"), (file, "tag used")):
                with JournalDB(path) as journal:
                    journal.append({"id": act}, expected=None)
            (shop / "jobs" / "WO-2").mkdir()
            JournalDB.create(shop / "jobs" / "WO-2" / "journal.jsonl", "job", "WO-2").close()
            with JournalDB(shop / "shop.jsonl") as journal:
                journal.append({"id": "WO-2 opened"}, expected=None)
        return read(file.read_bytes(), file)

    monkeypatch.setattr(contents, "_whole_lines", meanwhile)
    copied, _ = backup.back_up(shop, tmp_path / "keep", stamp="1", keep=3)
    restore(copied.path, tmp_path / "again")
    assert seen == ["WO-1", "shop", "WO-2"]
    with JournalDB(tmp_path / "again" / "shop.jsonl") as journal:
        assert [doc["id"] for doc in journal.documents()] == ["tag given out", "WO-2 opened"]
    assert (tmp_path / "again" / "jobs" / "WO-2" / "journal.jsonl").exists()


def test_a_backup_that_fails_leaves_no_half_archive(shop, tmp_path):
    journal = shop / "jobs" / "WO-1" / "journal.jsonl"
    journal.write_bytes(journal.read_bytes().replace(b"KT", b"KX", 1))
    with pytest.raises(Damaged):
        backup.back_up(shop, tmp_path / "keep", stamp="1", keep=3)
    assert list((tmp_path / "keep").iterdir()) == []


def test_an_archive_in_which_any_byte_is_another_is_told_or_gives_back_what_was_copied(shop, tmp_path):
    """Never a shop that is half of it, never one with other lines, and never a program that fails."""
    whole = backup.back_up(shop, tmp_path / "keep", stamp="1", keep=3)[0].path.read_bytes()
    told = 0
    for place in range(0, len(whole), 7):
        hurt = bytearray(whole)
        hurt[place] ^= 1 << place % 8
        (tmp_path / "hurt.zip").write_bytes(hurt)
        try:
            restore(tmp_path / "hurt.zip", tmp_path / "again")
        except Trouble:
            told += 1
            assert not [path for path in (tmp_path / "again").rglob("*") if path.is_file()]
        else:
            for name in ("shop.jsonl", "jobs/WO-1/journal.jsonl"):
                assert (tmp_path / "again" / name).read_bytes() == (shop / name).read_bytes()
        shutil.rmtree(tmp_path / "again", ignore_errors=True)
    assert told > len(whole) / 7 / 2

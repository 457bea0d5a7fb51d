"""Which copies go and which stay: only those of this shop, and only where the newest one holds all that they hold."""

from __future__ import annotations

import os
import shutil
import zipfile

import pytest
from journal.test_backup import shop  # noqa: F401 - a fixture

from tagtrack.journal.backup import back_up
from tagtrack.journal.generations import ARCHIVE, generations
from tagtrack.journal.tiny import JournalDB
from tagtrack.journal.unpacked import copy_out

KINDS = pytest.mark.parametrize(("ending", "copy"), [(ARCHIVE, back_up), ("", copy_out)])


def record(root, what, name="jobs/WO-1/journal.jsonl"):
    with JournalDB(root / name) as journal:
        journal.append({"id": what}, expected=None)


def made(copy, root, into, stamps, keep):
    """Make a copy for each stamp, with something recorded before each; return what was told of the last."""
    for stamp in stamps:
        record(root, f"before {stamp}")
        copied, rotated = copy(root, into, stamp=stamp, keep=keep)
    return copied.path, rotated


def names(into, ending):
    return [path.name.removeprefix("tagtrack-backup-").removesuffix(ARCHIVE) for path in generations(into, ending)]


@KINDS
def test_the_newest_are_kept(shop, tmp_path, ending, copy):  # noqa: F811
    _, rotated = made(copy, shop, tmp_path / "keep", "12345", 3)
    assert names(tmp_path / "keep", ending) == ["3", "4", "5"]
    assert (rotated.kept, rotated.notes) == (3, ())


@KINDS
def test_of_copies_of_one_second_the_oldest_goes_and_never_the_one_just_made(shop, tmp_path, ending, copy):  # noqa: F811
    for _ in range(12):
        last, _ = made(copy, shop, tmp_path / "keep", "1", 2)
        assert last.exists()
    assert names(tmp_path / "keep", ending) == ["1-11", "1-12"]


@KINDS
def test_where_the_clock_went_back_the_new_copy_stays_and_it_is_told(shop, tmp_path, ending, copy):  # noqa: F811
    made(copy, shop, tmp_path / "keep", ["20360101T000000Z", "20360102T000000Z"], 2)
    last, rotated = made(copy, shop, tmp_path / "keep", ["20260101T000000Z"], 2)
    assert last.exists()
    assert names(tmp_path / "keep", ending) == ["20260101T000000Z", "20360102T000000Z"]
    assert any("the clock" in note for note in rotated.notes)


@KINDS
def test_two_shops_in_one_folder_do_not_rotate_each_other(shop, tmp_path, ending, copy):  # noqa: F811
    other = tmp_path / "other"
    (other / "jobs" / "WO-1").mkdir(parents=True)
    for name, kind, called in (("shop.jsonl", "shop", "Test"), ("jobs/WO-1/journal.jsonl", "job", "WO-1")):
        JournalDB.create(other / name, kind, called).close()
    record(shop, "ours", "shop.jsonl")
    record(other, "theirs", "shop.jsonl")
    made(copy, other, tmp_path / "keep", ["01", "02"], 2)
    _, rotated = made(copy, shop, tmp_path / "keep", ["11", "12", "13"], 2)
    assert names(tmp_path / "keep", ending) == ["01", "02", "12", "13"]
    assert rotated.kept == 2


@KINDS
def test_a_new_shop_of_the_same_name_is_another_shop(shop, tmp_path, ending, copy):  # noqa: F811
    """Both records begin with the same first line; nothing else was ever recorded in the one that was copied first."""
    made(copy, shop, tmp_path / "keep", "1", 1)
    record(shop, "the first act", "shop.jsonl")
    made(copy, shop, tmp_path / "keep", "23", 1)
    assert names(tmp_path / "keep", ending) == ["1", "3"]


@KINDS
def test_the_copies_that_hold_a_work_order_which_was_deleted_since_stay_and_it_is_told(shop, tmp_path, ending, copy):  # noqa: F811
    (shop / "jobs" / "WO-2").mkdir()
    JournalDB.create(shop / "jobs" / "WO-2" / "journal.jsonl", "job", "WO-2").close()
    made(copy, shop, tmp_path / "keep", "12", 2)
    shutil.rmtree(shop / "jobs" / "WO-2")
    _, rotated = made(copy, shop, tmp_path / "keep", "3456", 2)
    assert names(tmp_path / "keep", ending) == ["1", "2", "5", "6"]
    assert [note for note in rotated.notes if "jobs/WO-2/journal.jsonl" in note and "is kept" in note]


@KINDS
def test_the_copies_of_a_record_that_was_put_back_to_an_older_state_stay(shop, tmp_path, ending, copy):  # noqa: F811
    older = (shop / "jobs/WO-1/journal.jsonl").read_bytes()
    made(copy, shop, tmp_path / "keep", "12", 1)
    (shop / "jobs/WO-1/journal.jsonl").write_bytes(older)
    made(copy, shop, tmp_path / "keep", "34", 1)
    # the first had its own line, and the second holds that and more
    assert names(tmp_path / "keep", ending) == ["2", "4"]


@KINDS
def test_the_copies_of_a_photo_that_is_gone_stay(shop, tmp_path, ending, copy):  # noqa: F811
    photo = shop / "jobs/WO-1/photos/ab.jpg"
    photo.parent.mkdir()
    photo.write_bytes(b"a photo")
    made(copy, shop, tmp_path / "keep", "1", 1)
    photo.unlink()
    made(copy, shop, tmp_path / "keep", "23", 1)
    assert names(tmp_path / "keep", ending) == ["1", "3"]


@KINDS
def test_papers_and_settings_that_changed_keep_no_copy(shop, tmp_path, ending, copy):  # noqa: F811
    for number in range(4):
        (shop / "settings.toml").write_text(f"name = 'Test {number}'")
        (shop / "jobs/WO-1/report.pdf").write_bytes(b"%PDF " * number)
        made(copy, shop, tmp_path / "keep", [str(number)], 1)
    assert names(tmp_path / "keep", ending) == ["3"]


@KINDS
def test_what_only_bears_such_a_name_is_never_touched(shop, tmp_path, ending, copy):  # noqa: F811
    keep = tmp_path / "keep"
    keep.mkdir()
    strange = keep / f"tagtrack-backup-0{ending}"
    strange.write_bytes(b"no archive") if ending else strange.mkdir()
    (keep / "tagtrack-backup-00").mkdir(exist_ok=True)
    (keep / "tagtrack-backup-00" / "thesis.txt").write_text("somebody's")
    (keep / "tagtrack-backup-000.zip").mkdir()
    with zipfile.ZipFile(keep / "tagtrack-backup-0000.zip", "w") as archive:
        archive.writestr("thesis.txt", "somebody's")
    (keep / "tagtrack-backup-of-my-thesis").mkdir()
    (keep / f"other{ending}").write_text("somebody's")
    elsewhere, _ = copy(shop, tmp_path / "elsewhere", stamp="1", keep=1)
    (keep / f"tagtrack-backup-00000{ending}").symlink_to(elsewhere.path)
    before = sorted(keep.iterdir())
    made(copy, shop, keep, "123", 1)
    assert sorted(set(keep.iterdir()) - set(before)) == [keep / f"tagtrack-backup-3{ending}"]
    assert set(before) <= set(keep.iterdir())
    assert elsewhere.path.exists()


@pytest.mark.parametrize("what", ["a new file", "a file that was there, longer now", "a link"])
def test_an_unpacked_copy_in_which_somebody_left_a_file_stays_whole_and_it_is_told(shop, tmp_path, what):  # noqa: F811
    first, _ = made(copy_out, shop, tmp_path / "keep", "1", 1)
    if what == "a link":
        (first / "jobs" / "photos").symlink_to(tmp_path)
    else:
        with (first / ("notes.txt" if what == "a new file" else "settings.toml")).open("a") as file:
            file.write("# torque seal is in the red cupboard")
    before = {path: path.lstat().st_size for path in first.rglob("*")}
    _, rotated = made(copy_out, shop, tmp_path / "keep", "2", 1)
    assert {path: path.lstat().st_size for path in first.rglob("*")} == before
    assert any("is a file in it" in note for note in rotated.notes)


def test_what_looking_at_a_copy_leaves_in_it_does_not_keep_it(shop, tmp_path):  # noqa: F811
    first, _ = made(copy_out, shop, tmp_path / "keep", "1", 1)
    for name in ("index.json", "shop.jsonl.lock", "jobs/WO-1/journal.jsonl.lock"):
        (first / name).write_text("")
    made(copy_out, shop, tmp_path / "keep", "2", 1)
    assert names(tmp_path / "keep", "") == ["2"]


def test_archives_and_unpacked_copies_are_counted_apart(shop, tmp_path):  # noqa: F811
    for stamp in "1234":
        for copy in (back_up, copy_out):
            made(copy, shop, tmp_path / "keep", [stamp], 2)
    assert names(tmp_path / "keep", ARCHIVE) == ["3", "4"]
    assert names(tmp_path / "keep", "") == ["3", "4"]
    assert len(os.listdir(tmp_path / "keep")) == 4  # noqa: PTH208 - every file, also hidden ones

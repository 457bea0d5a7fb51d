"""Shops in odd places, on disks that are full or not ours to write, with files that somebody exchanged."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading

import pytest
from cli.console import Console
from journal.test_unpacked import console, off, tree  # noqa: F401 - a fixture

from tagtrack.cli import wiring
from tagtrack.core.errors import Damaged
from tagtrack.journal.acts import Folder
from tagtrack.journal.backup import back_up
from tagtrack.journal.index import FILE
from tagtrack.journal.mirror import chain_of
from tagtrack.journal.photos import Photos
from tagtrack.journal.unpacked import copy_out
from tagtrack.shop.desk import Shop
from tagtrack.shop.lines.loop import Loop


@pytest.mark.parametrize("name", [
    "a shop with blanks", "Werft Müller & Söhne", "u\u0308mlaut apart", "-dash", "#1; rm", "'quoted' \"twice\"",
    "飛行機", "x" * 200, "/".join(["deep"] * 60),
])  # fmt: skip
def test_a_shop_folder_of_any_name_is_worked_in_copied_and_put_back(tmp_path, name):
    shop = Console(tmp_path / name)
    shop("setup", "--", str(shop.root))
    shop("person", "KT", "Kari Testad")
    shop("open", "WO-1", "N0INV", "--by", "KT")
    off(shop, "panel 1")
    for how in ((), ("--unpacked",)):
        shop("backup", *how)
    shop("report")
    for number, copy in enumerate((shop.root.parent / f"{shop.root.name}-backups").iterdir()):
        shop("restore", str(copy), str(tmp_path / str(number)))
        assert "panel 1" in Console(tmp_path / str(number))("status").out
    assert "good" in shop("verify").out


def test_a_folder_name_that_no_disk_takes_is_told(tmp_path):
    said = Console(tmp_path / ("x" * 300)).ends("setup", str(tmp_path / ("x" * 300)))
    assert said[0] == 5
    assert "File name too long" in said[1].err


def test_a_shop_that_is_reached_by_a_link_is_one_shop(console, tmp_path):  # noqa: F811
    """Two people, one by the folder and one by the link, lock the same file and see each other."""
    (tmp_path / "linked").symlink_to(console.root)
    threads = [threading.Thread(target=points, args=(root,)) for root in (console.root, tmp_path / "linked")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert "good" in console("verify").out
    listed = console("log").out
    assert [listed.count(f"by {name} {n}, LEFT") for name in ("hangar", "linked") for n in range(20)] == [1] * 40


def points(root):
    folder = Folder(root, "home")
    loop = Loop(Shop(folder, wiring.means()).open("WO-1"), "KT")
    for number in range(20):
        assert loop.line(f"point by {root.name} {number} LEFT").act is not None
    folder.close()


@pytest.fixture
def small_disk(tmp_path):
    """A disk of 600 kB in memory, and a way to make it read-only."""
    if sys.platform != "linux" or os.geteuid() != 0:
        pytest.skip("only the administrator of a Linux system can make a small disk")
    place = tmp_path / "small"
    place.mkdir()

    def mount(*options):
        return subprocess.run(["mount", *options, place], capture_output=True, check=False).returncode

    if mount("-t", "tmpfs", "-o", "size=600k", "none"):
        pytest.skip("no disk can be made here")
    yield place, mount
    subprocess.run(["umount", place], check=True)


def on_small_disk(place):
    shop = Console(place / "hangar")
    shop("setup", str(shop.root))
    shop("person", "KT", "Kari Testad")
    shop("open", "WO-1", "N0INV", "--by", "KT")
    off(shop, "panel 1")
    return shop


@pytest.mark.parametrize("words", [
    ("report",), ("refit",), ("export",), ("labels", "--job", "WO-1"), ("controls",), ("backup",),
    ("backup", "--unpacked"), ("open", "WO-2", "N1INV", "--by", "KT"),
])  # fmt: skip
def test_on_a_full_disk_a_command_says_so_and_leaves_no_half_file(small_disk, words):
    shop = on_small_disk(small_disk[0])
    before = tree(small_disk[0])
    free = os.statvfs(small_disk[0])
    (small_disk[0] / "filler").write_bytes(b"x" * (free.f_bavail * free.f_frsize))
    said = shop(*words, code=5).err
    assert "No space left" in said or "no room" in said.replace("\n", " ")
    after = tree(small_disk[0])
    # a lock holds nothing, and a work order's folder may be there before its record
    new = {name for name in after.keys() - before.keys() if not name.endswith(".lock")} - {"filler"}
    assert new == set()
    assert {name: data for name, data in after.items() if name in before} == before
    (small_disk[0] / "filler").unlink()
    assert "good" in shop("verify").out
    shop(*words)


def test_a_disk_that_is_not_ours_to_write_is_read_and_nothing_else(small_disk):
    place, mount = small_disk
    shop = on_small_disk(place)
    assert mount("-o", "remount,ro") == 0
    before = tree(place)
    for words in (("jobs",), ("status",), ("log",), ("verify",)):
        shop(*words)
    said = shop("say", "--by", "KT", "off panel 2 LEFT; none", code=5).err
    assert "no right to write" in said.replace("\n", " ")
    shop("report", code=5)
    shop("report", "-o", str(place.parent / "elsewhere.pdf"))
    shop("backup", str(place.parent / "keep"))
    assert tree(place) == before
    assert mount("-o", "remount,rw") == 0
    off(shop, "panel 2")


HOSTILE = {
    "deep": "[" * 100_000, "number": "9" * 100_000, "null": "null", "text": '"jobs"', "bytes": b"\xff\xfe\x00",
    "jobs a list": '{"version": 1, "jobs": [1, 2]}', "an entry a number": '{"version": 1, "jobs": {"WO-1": 7}}',
    "an entry a list": '{"version": 1, "jobs": {"WO-1": [["of", 1]]}}', "huge": b" " * 60_000_000,
    "a folder": None, "a pipe": ...,
    "not a number": '{"version": 1, "jobs": {"WO-1": {"of": "@", "signed": 1, "still_open": "many", "wrong": []}}}',
    "endless": '{"version": 1, "jobs": {"WO-1": {"of": "@", "still_open": 1e999}}}',
}  # fmt: skip


@pytest.mark.parametrize("content", HOSTILE.values(), ids=HOSTILE.keys())
def test_whatever_lies_where_the_index_should_be_the_list_is_the_same(console, content):  # noqa: F811
    good = console("jobs").out
    index = console.root / FILE
    mark = json.loads(index.read_text())["jobs"]["WO-1"]["of"]
    index.unlink()
    if content is None:
        index.mkdir()
    elif content is ...:
        os.mkfifo(index)
    elif isinstance(content, bytes):
        index.write_bytes(content)
    else:
        index.write_text(content.replace("@", mark))
    assert console("jobs").out == good
    assert console("jobs").out == good


def test_a_photo_that_was_hurt_or_exchanged_is_told_and_mended_when_it_comes_again(tmp_path):
    photos = Photos(tmp_path / "photos")
    name = photos.put(b"a large photo", b"a small one")
    for hurt in (b"", b"another photo", b"a large phot"):
        photos.large(name).write_bytes(hurt)
        with pytest.raises(Damaged, match="was changed"):
            photos.check(name)
        assert photos.put(b"a large photo", b"a small one") == name
        photos.check(name)
    place = photos.large(name)
    place.unlink()
    place.mkdir()
    with pytest.raises(Damaged, match="cannot be read"):
        photos.check(name)


def test_what_is_exported_while_others_write_ends_with_a_whole_line(console, tmp_path):  # noqa: F811
    """A writer that was killed in the middle of a line has left its beginning."""
    path = console.root / "jobs/WO-1/journal.jsonl"
    whole = path.read_bytes()
    with path.open("ab") as file:
        file.write(b'{"doc":{"id":"half')
    console("export", "-o", str(tmp_path / "out"))
    assert (tmp_path / "out" / "record.jsonl").read_bytes() == whole


def test_a_clock_that_goes_back_changes_nothing_of_what_is_true(console, monkeypatch):  # noqa: F811
    off(console, "panel 2")
    real = wiring.means

    def years_ago(site):
        return wiring.replace(real(site), clock=lambda: "1999-12-31T23:59:59Z")

    monkeypatch.setattr(wiring, "means", years_ago)
    off(console, "panel 3")
    monkeypatch.setattr(wiring, "means", real)
    off(console, "panel 4")
    assert [f"panel {n}" for n in (1, 2, 3, 4) if f"panel {n}" in console("status").out] == [
        f"panel {n}" for n in (1, 2, 3, 4)
    ]
    assert "good" in console("verify").out
    console("report")


def test_a_report_inside_the_shop_and_an_export_are_copied_and_never_taken_for_a_record(console, tmp_path):  # noqa: F811
    """An export holds a raw record; another work order's, or an older one, must not stop or confuse a backup."""
    console("export")
    raw = console.root / "jobs/WO-1/export/record.jsonl"
    raw.write_bytes(raw.read_bytes()[:100])
    (console.root / "notes.jsonl").write_text("not ours")
    for copy in (back_up, copy_out):
        copied, _ = copy(console.root, tmp_path / "keep", stamp="1", keep=1)
        assert copied.journals == 2
        console("restore", str(copied.path), str(tmp_path / copy.__name__))
        restored = tree(tmp_path / copy.__name__)
        assert restored["notes.jsonl"] == b"not ours"
        assert chain_of(restored["jobs/WO-1/journal.jsonl"]).damage is None

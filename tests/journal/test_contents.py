"""What goes into a copy of a shop: everything that belongs to it, wherever it lies, and nothing that never ends."""

from __future__ import annotations

import os
import shutil

import pytest
from cli.console import Console
from journal.test_backup import shop  # noqa: F401 - a fixture
from journal.test_unpacked import console, tree  # noqa: F401 - a fixture

from tagtrack.core.errors import Fault
from tagtrack.journal.backup import back_up
from tagtrack.journal.restore import restore
from tagtrack.journal.unpacked import copy_out

KINDS = pytest.mark.parametrize("copy", [back_up, copy_out])


@KINDS
def test_a_work_order_that_lies_elsewhere_by_a_link_is_copied_too(shop, tmp_path, copy):  # noqa: F811
    (shop / "jobs" / "WO-1").rename(tmp_path / "large disk")
    (shop / "jobs" / "WO-1").symlink_to(tmp_path / "large disk")
    copied, _ = copy(shop, tmp_path / "keep", stamp="1", keep=3)
    restore(copied.path, tmp_path / "again")
    assert not (tmp_path / "again/jobs/WO-1").is_symlink()
    assert tree(tmp_path / "again")["jobs/WO-1/journal.jsonl"] == (tmp_path / "large disk/journal.jsonl").read_bytes()


@KINDS
def test_a_shop_that_is_reached_by_a_link_is_copied_whole(shop, tmp_path, copy):  # noqa: F811
    (tmp_path / "linked").symlink_to(shop)
    assert copy(tmp_path / "linked", tmp_path / "keep", stamp="1", keep=3)[0].lines == 22


@KINDS
def test_links_that_lead_back_or_nowhere_and_pipes_stop_nothing(shop, tmp_path, copy):  # noqa: F811
    before = copy(shop, tmp_path / "keep", stamp="1", keep=3)[0]
    (shop / "jobs" / "round").symlink_to(shop)
    (shop / "jobs" / "up").symlink_to(tmp_path)
    (shop / "labels").symlink_to(shop / "labels")
    (shop / "gone.txt").symlink_to(tmp_path / "not there")
    os.mkfifo(shop / "pipe")
    after = copy(shop, tmp_path / "keep", stamp="2", keep=3)[0]
    assert (after.journals, after.lines, after.others) == (before.journals, before.lines, before.others)


@KINDS
def test_a_file_that_vanishes_while_the_shop_is_copied_is_none_and_stops_nothing(shop, tmp_path, copy, monkeypatch):  # noqa: F811
    from tagtrack.journal import contents

    listed = contents._files  # noqa: SLF001 - somebody deletes what was just listed

    def vanishing(root, into):
        found = list(listed(root, into))
        (shop / "settings.toml").unlink(missing_ok=True)
        return iter(found)

    monkeypatch.setattr(contents, "_files", vanishing)
    copied, _ = copy(shop, tmp_path / "keep", stamp="1", keep=3)
    assert (copied.journals, copied.others) == (2, 0)


def test_a_name_that_an_archive_cannot_hold_is_told_and_an_unpacked_copy_holds_it(shop, tmp_path):  # noqa: F811
    name = os.fsdecode(b"note \xff.txt")
    try:
        (shop / name).write_text("from an old disk")
    except OSError:
        pytest.skip("this disk takes no such name")
    with pytest.raises(Fault, match="cannot stand in an archive"):
        back_up(shop, tmp_path / "keep", stamp="1", keep=3)
    assert list((tmp_path / "keep").iterdir()) == []
    copied, _ = copy_out(shop, tmp_path / "keep", stamp="1", keep=3)
    assert (copied.path / name).read_text() == "from an old disk"
    restore(copied.path, tmp_path / "again")


@KINDS
def test_a_clock_that_begins_in_1970_does_not_stop_a_copy(shop, tmp_path, copy):  # noqa: F811
    os.utime(shop / "settings.toml", (0, 0))
    assert copy(shop, tmp_path / "keep", stamp="19700101T000000Z", keep=3)[0].lines == 22


@pytest.mark.parametrize("how", [(), ("--unpacked",)])
def test_a_work_order_whose_record_is_gone_is_told_and_the_others_are_copied(console, tmp_path, how):  # noqa: F811
    console("open", "WO-2", "N1INV", "--by", "KT")
    shutil.rmtree(console.root / "jobs" / "WO-2")
    ran = console("backup", *how, str(tmp_path / "keep"), code=5)
    assert "the record of WO-2 is not there" in ran.err
    (copy,) = (tmp_path / "keep").iterdir()
    console("restore", str(copy), str(tmp_path / "again"))
    assert "panel 1" in Console(tmp_path / "again")("status", "--job", "WO-1").out


def test_a_shop_that_is_named_by_a_dot_has_its_backups_beside_it(console, monkeypatch):  # noqa: F811
    monkeypatch.chdir(console.root)
    for named in (".", "jobs/.."):
        console.shop = named
        console("backup")
    assert len(list((console.root.parent / "hangar-backups").iterdir())) == 2
    assert not list(console.root.glob("*backups*"))

"""Where a shop folder lies badly, it is said; and where nothing is seen, nothing is said."""

from __future__ import annotations

import sys
from pathlib import Path, PureWindowsPath
from types import SimpleNamespace

import pytest

from tagtrack.journal import whereabouts
from tagtrack.journal.whereabouts import doubts, is_cloud_tag, kind_of_mount

# as proc(5) shows them; the last two lie over each other
MOUNTS = """\
/dev/sda2 / ext4 rw,relatime 0 0
proc /proc proc rw,nosuid 0 0
server:/export /mnt/shop nfs4 rw,vers=4.2 0 0
//server/share /mnt/two\\040words cifs rw 0 0
tmpfs /mnt/shop/local tmpfs rw 0 0
/dev/sdb1 /media/disk fuseblk rw 0 0
kim@bench:/ /home/kim/bench fuse.sshfs rw 0 0
server:/old /srv nfs rw 0 0
/dev/sdc1 /srv xfs rw 0 0
"""

linux = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="mounts are told elsewhere there")


@pytest.mark.parametrize(
    ("place", "kind"),
    [
        ("/home/kim/hangar", "ext4"),
        ("/mnt/shop/hangar", "nfs4"),
        ("/mnt/shop", "nfs4"),
        ("/mnt/shopping", "ext4"),
        ("/mnt/two words/hangar", "cifs"),
        ("/mnt/shop/local/hangar", "tmpfs"),
        ("/media/disk/hangar", "fuseblk"),
        ("/home/kim/bench/hangar", "fuse.sshfs"),
        ("/srv/hangar", "xfs"),
    ],
)
def test_the_file_system_of_a_folder_is_that_of_the_mount_nearest_above_it(place, kind):
    assert kind_of_mount(Path(place), MOUNTS) == kind


def test_lines_that_are_no_mounts_are_passed_over():
    assert kind_of_mount(Path("/hangar"), "\nnothing\n") == ""


@pytest.fixture
def home(tmp_path, monkeypatch):
    """A home folder of its own, and mounts as in the list above but with that folder on this computer."""
    mounts = tmp_path / "mounts"
    mounts.write_text(MOUNTS, encoding="utf-8")
    monkeypatch.setattr(whereabouts, "_MOUNTS", mounts)
    monkeypatch.setattr(Path, "home", lambda: tmp_path / "kim")
    (tmp_path / "kim" / "hangar").mkdir(parents=True)
    return tmp_path / "kim"


@linux
def test_of_an_ordinary_folder_nothing_is_said(home):
    assert doubts(home / "hangar") == ()


@linux
@pytest.mark.parametrize("place", ["/mnt/shop/hangar", "/home/kim/bench/x"])
@pytest.mark.usefixtures("home")
def test_a_network_mount_is_told_with_its_kind(place):
    (told,) = doubts(Path(place))
    assert "lies on another machine" in told
    assert kind_of_mount(Path(place), MOUNTS) in told


@linux
@pytest.mark.usefixtures("home")
def test_a_disk_that_is_plugged_in_is_no_network():
    assert doubts(Path("/media/disk/hangar")) == ()


@linux
def test_where_the_system_tells_no_mounts_nothing_is_said(home, monkeypatch):
    monkeypatch.setattr(whereabouts, "_MOUNTS", home / "no such file")
    assert doubts(home / "hangar") == ()


@linux
@pytest.mark.parametrize("sign", [".stfolder", "._sync_0a1b.db", ".somecloudsync.log", ".somebox.cache"])
def test_what_a_program_leaves_in_a_folder_that_it_keeps_in_step_is_seen_from_any_folder_below(home, sign):
    (home / "shared").mkdir()
    (home / "shared" / sign).write_text("")
    inner = home / "shared" / "a" / "hangar"
    inner.mkdir(parents=True)
    (told,) = doubts(inner)
    assert "kept in step" in told
    assert sign in told


@linux
@pytest.mark.parametrize("name", [".rsync.log", ".cache", ".sync", "sync.db", ".git"])
def test_names_that_only_look_like_it_are_no_sign(home, name):
    (home / "shared" / "hangar").mkdir(parents=True)
    (home / "shared" / name).write_text("")
    assert doubts(home / "shared" / "hangar") == ()


@linux
def test_in_the_home_folder_such_a_name_is_only_a_setting(home):
    (home / ".stfolder").mkdir()
    assert doubts(home / "hangar") == ()


@linux
def test_below_the_folders_that_macos_keeps_in_step_it_is_told(home, monkeypatch):
    monkeypatch.setattr(whereabouts.sys, "platform", "darwin")
    (told,) = doubts(home / "Library" / "CloudStorage" / "hangar")
    assert "kept in step" in told
    assert doubts(home / "Library" / "hangar") == ()


@pytest.mark.parametrize("tag", [0x9000001A, 0x9000101A, 0x9000F01A])
def test_the_reparse_tags_of_folders_that_are_kept_in_step_are_known(tag):
    assert is_cloud_tag(tag)


# a junction and a symbolic link are none; nor is an ordinary folder (ntifs.h)
@pytest.mark.parametrize("tag", [0, 0xA0000003, 0xA000000C, 0x9000001B])
def test_other_reparse_tags_are_not(tag):
    assert not is_cloud_tag(tag)


@linux
def test_a_folder_that_the_system_calls_kept_in_step_is_told(home, monkeypatch):
    monkeypatch.setattr(Path, "lstat", lambda _: SimpleNamespace(st_reparse_tag=0x9000301A))
    (told,) = doubts(home / "hangar")
    assert "the system says so" in told


@pytest.mark.parametrize(
    ("place", "kind", "told"),
    [(r"\\server\share\hangar", 3, "a network share"), (r"Z:\hangar", 4, "a network drive"), (r"C:\hangar", 3, "")],
)
def test_on_windows_a_share_and_a_drive_from_elsewhere_are_told(monkeypatch, place, kind, told):
    import ctypes

    kernel = SimpleNamespace(GetDriveTypeW=lambda root: kind if root == f"{place[0]}:\\" else 1)
    monkeypatch.setattr(ctypes, "windll", SimpleNamespace(kernel32=kernel), raising=False)
    monkeypatch.setattr(whereabouts.sys, "platform", "win32")
    assert whereabouts.network_kind(PureWindowsPath(place)) == told

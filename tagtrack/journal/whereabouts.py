"""Where a shop folder lies, as far as the system tells: what is no place for a record that two programs may write.

Two kinds of folder lose what one disk of one computer does not. On a *network* mount, locks and flushes are what the
server makes of them. In a folder *kept in step* by another program, two machines may write at once without knowing,
and a copy may be put over the record while it is open. Said are only signs that are hardly ever wrong; a folder
without a sign may still be such a folder.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

# file systems that Linux, or a program on its behalf, has from another machine; names as in mount(8)
_NETWORK = frozenset({
    "nfs", "nfs4", "cifs", "smb3", "smbfs", "ncpfs", "afs", "coda", "ceph", "lustre", "gpfs", "beegfs", "ocfs2", "gfs2",
    "davfs", "fuse.sshfs", "fuse.davfs2", "fuse.glusterfs", "fuse.ceph", "fuse.cephfs", "fuse.s3fs", "fuse.curlftpfs",
    "fuse.gvfsd-fuse", "fuse.smbnetfs",
})  # fmt: skip
_MOUNTS = Path("/proc/self/mounts")
# in that file a blank, a tab, a newline and a backslash stand as three octal digits
_OCTAL = re.compile(r"\\([0-7]{3})")

# what programs that keep folders in step leave in the folder they keep, as far as known; from memory, no source
_LEFT_BY_SYNC = (".stfolder", ".*box.cache", ".*cloudsync.log", "._sync_*.db", ".sync_*.db")
# where macOS keeps such folders: below the home folder
_MAC_KEPT = (("Library", "CloudStorage"), ("Library", "Mobile Documents"))
# reparse tags of Windows' own interface for such folders: IO_REPARSE_TAG_CLOUD and _CLOUD_1 to _CLOUD_F (ntifs.h)
_CLOUD_TAG, _CLOUD_MASK = 0x9000001A, 0xFFFF0FFF
_REMOTE_DRIVE = 4

_ADVICE = "better a folder on a disk of this computer alone, and backups: tagtrack backup"


def doubts(folder: Path) -> tuple[str, ...]:
    """Return what speaks against keeping a shop in this folder, a sentence each; nothing where no sign is seen."""
    place = folder.absolute()
    found = []
    network = network_kind(place)
    if network:
        found.append(
            f"{folder} lies on another machine ({network}): whether a record is on disk when it is confirmed, and "
            f"whether two writers keep out of each other's way, is up to that machine; {_ADVICE}"
        )
    kept = _kept_in_step(place)
    if kept:
        found.append(
            f"{folder} seems to be kept in step with other machines by another program ({kept}): two that write at "
            f"once make two records, and one of them loses; {_ADVICE}"
        )
    return tuple(found)


def network_kind(place: Path) -> str:
    """Return the kind of network mount that a folder lies on, or an empty text."""
    if sys.platform == "win32":
        return _network_drive(place)
    try:
        mounts = _MOUNTS.read_text(encoding="utf-8", errors="surrogateescape")
    except OSError:
        # another system than Linux does not tell it here
        return ""
    kind = kind_of_mount(place.resolve(), mounts)
    return kind if kind in _NETWORK else ""


def kind_of_mount(place: Path, mounts: str) -> str:
    """Return the type of the file system that a folder lies on, by the lines of /proc/mounts (proc(5), fstab(5))."""
    best, kind = -1, ""
    for line in mounts.splitlines():
        fields = line.split(" ")
        if len(fields) < 3:
            continue
        point = Path(_OCTAL.sub(lambda found: chr(int(found[1], 8)), fields[1]))
        # of two on the same place the later one covers the earlier
        if place.is_relative_to(point) and len(point.parts) >= best:
            best, kind = len(point.parts), fields[2]
    return kind


def _network_drive(place: Path) -> str:
    if place.drive.startswith("\\\\"):
        return "a network share"
    import ctypes  # noqa: PLC0415 - there only on Windows is it needed

    kernel = getattr(ctypes, "windll").kernel32  # noqa: B009 - the type checker of another system does not know it
    return "a network drive" if kernel.GetDriveTypeW(f"{place.drive}\\") == _REMOTE_DRIVE else ""


def _kept_in_step(place: Path) -> str:
    """Return the sign by which a folder, or one above it, is known to be kept in step; an empty text without one."""
    home = Path.home()
    for parts in _MAC_KEPT:
        kept = home.joinpath(*parts)
        if sys.platform == "darwin" and place.is_relative_to(kept):
            return str(kept)
    return next(_signs(place, home), "")


def _signs(place: Path, home: Path) -> Iterator[str]:
    for above in (place, *place.parents):
        # in a home folder, and at the top, such names are those of a program's settings
        if above in (home, Path(above.anchor)):
            continue
        # a folder that cannot be looked into says nothing
        with suppress(OSError):
            for pattern in _LEFT_BY_SYNC:
                yield from (str(sign) for sign in above.glob(pattern))
            if is_cloud_tag(getattr(above.lstat(), "st_reparse_tag", 0)):
                yield f"{above}: the system says so"


def is_cloud_tag(tag: int) -> bool:
    """Return whether a reparse tag is one of those for folders that a program keeps in step with other machines."""
    return tag & _CLOUD_MASK == _CLOUD_TAG

"""What a journal asks of the operating system, each promise in one place.

`fsync` on a file makes its bytes last, on its folder makes its name last. A short write is how a full
disk announces itself, so counts are always looked at. Reading the file position and moving it is safe
here because the caller holds a threading lock; `pread` does not exist on Windows.
"""

from __future__ import annotations

import errno
import os
import sys
from contextlib import suppress
from pathlib import Path

from tagtrack.core.errors import Full

if sys.platform == "darwin":
    import fcntl

# Windows turns \n into \r\n without it.
_BINARY = getattr(os, "O_BINARY", 0)
_NO_ROOM = {errno.ENOSPC, errno.EFBIG, getattr(errno, "EDQUOT", errno.ENOSPC)}
_NO_RIGHT = {errno.EACCES, errno.EPERM, errno.EROFS}
# What network and simple file systems answer when they cannot flush in the way asked.
_CANNOT_FLUSH = {errno.EINVAL, errno.ENOTSUP, errno.ENOTTY}


def open_for_append(path: Path) -> tuple[int, bool]:
    """Open an existing file and say whether it can be written; raise OSError if it cannot be read."""
    try:
        return os.open(path, os.O_RDWR | os.O_APPEND | _BINARY), True
    except OSError as error:
        if error.errno not in _NO_RIGHT:
            raise
    return os.open(path, os.O_RDONLY | _BINARY), False


def read_from(handle: int, offset: int) -> bytes:
    """Return the bytes from the offset to the end of the file as it is now."""
    os.lseek(handle, offset, os.SEEK_SET)
    pieces = []
    while piece := os.read(handle, max(os.fstat(handle).st_size - offset, 1)):
        pieces.append(piece)
        offset += len(piece)
    return b"".join(pieces)


def write_whole(handle: int, data: bytes) -> None:
    """Write all of the data with one call; raise OSError when less of it was taken."""
    written = os.write(handle, data)
    if written != len(data):
        raise OSError(errno.ENOSPC, f"only {written} of {len(data)} bytes were taken")


def sync(handle: int) -> None:
    """Return when the file's bytes are on the disk itself; raise OSError when that failed."""
    if sys.platform == "darwin":
        # There, fsync stops at the drive's own memory.
        try:
            fcntl.fcntl(handle, fcntl.F_FULLFSYNC)
        except OSError as error:
            if error.errno not in _CANNOT_FLUSH:
                raise
        else:
            return
    os.fsync(handle)


def sync_folder(folder: Path) -> None:
    """Return when the names in the folder are on the disk, as far as this system can promise it."""
    # Windows does not open folders.
    if sys.platform != "win32":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        except OSError as error:
            if error.errno not in _CANNOT_FLUSH:
                raise
        finally:
            os.close(handle)


def write_new(path: Path, data: bytes, *, replacing: bool = False) -> None:
    """Write a new file with this content, on disk under its name on return; on any failure none is left."""
    flags = os.O_WRONLY | os.O_CREAT | _BINARY | (os.O_TRUNC if replacing else os.O_EXCL)
    handle = os.open(path, flags, 0o666)
    try:
        try:
            write_whole(handle, data)
            sync(handle)
        finally:
            os.close(handle)
        sync_folder(path.parent)
    except BaseException:
        with suppress(OSError):
            path.unlink()
        raise


def full(error: OSError, path: Path, *, todo: str = "") -> Full:
    """Return the one sentence a person needs when this error kept something from being recorded."""
    if error.errno in _NO_ROOM:
        return Full(
            f"not recorded: no room on the disk for {path}",
            came=error.strerror or str(error),
            todo=todo or "make room on the disk, then record it again",
        )
    if error.errno in _NO_RIGHT:
        return Full(
            f"not recorded: no right to write {path}",
            came=error.strerror or str(error),
            todo=todo or "ask whoever looks after this computer for the right to write there",
        )
    return Full(
        f"not recorded: {path} could not be written",
        came=error.strerror or str(error),
        todo=todo or "check that the disk is connected and healthy, then record it again",
    )

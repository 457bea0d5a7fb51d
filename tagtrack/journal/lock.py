"""One writer at a time, between processes: a lock on a file that stands beside the journal.

The lock sits on a sidecar, never on the journal itself: a restore gives the journal another inode, and
on Windows a locked range also keeps readers out. The operating system lets go of the lock when its
holder ends, however it ends, so a lock is never left behind and the sidecar is never deleted by us.

The lock does not keep threads of one process apart that share it, nor a forked child from its parent:
whoever uses it holds a threading lock as well, and calls `abandon` after a fork.
"""

from __future__ import annotations

import os
import sys
import time
from contextlib import suppress
from pathlib import Path

from tagtrack.core.errors import Fault
from tagtrack.journal.disk import full

if sys.platform == "win32":
    import msvcrt

    def _try(handle: int) -> bool:
        os.lseek(handle, 0, os.SEEK_SET)  # the range begins at the file position
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except PermissionError:
            return False
        return True

    def _let_go(handle: int) -> None:
        os.lseek(handle, 0, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_UNLCK, 1)
else:
    import fcntl

    # flock, not lockf: lockf is dropped when anything in the process closes the same file.
    def _try(handle: int) -> bool:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True

    def _let_go(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_UN)


# An append holds the lock for milliseconds. Longer than this is a stuck program, and is told.
PATIENCE_S = 30.0
_PAUSE_S = 0.001


def lock_beside(path: Path) -> Path:
    """Return where the lock file of this journal is."""
    return path.with_name(path.name + ".lock")


class FileLock:
    """A lock on a file, held between `with` and its end.

    Waits `patience_s` seconds, then raises Fault. Raises Full where no lock file can be made.
    """

    def __init__(self, path: Path, *, patience_s: float = PATIENCE_S) -> None:
        # as text: it is asked for at every record
        self._path = os.fspath(path)
        self._patience_s = patience_s
        self._handle: int | None = None

    def __enter__(self) -> None:
        limit = time.monotonic() + self._patience_s
        while not self._taken():
            if time.monotonic() > limit:
                raise Fault(
                    f"another program has been writing for {self._patience_s:.0f} seconds",
                    expected=f"{self._path} to be free",
                    came="it is locked",
                    todo="nothing was recorded; close the other program and record it again",
                )
            time.sleep(_PAUSE_S)

    def __exit__(self, *_: object) -> None:
        if self._handle is not None:
            _let_go(self._handle)

    def abandon(self) -> None:
        """Close the file without letting go of the lock for another process that shares the handle."""
        if self._handle is not None:
            with suppress(OSError):
                os.close(self._handle)
            self._handle = None

    def _taken(self) -> bool:
        if self._handle is None:
            try:
                self._handle = os.open(self._path, os.O_RDWR | os.O_CREAT, 0o666)
            except OSError as error:
                raise full(error, Path(self._path)) from error
        if not _try(self._handle):
            return False
        # A lock on a file that a tidy person deleted keeps nobody out: take the one that is there now.
        try:
            same = os.path.samestat(os.fstat(self._handle), os.stat(self._path))  # noqa: PTH116 - a Path costs as much again
        except FileNotFoundError:
            same = False
        if not same:
            self.abandon()
        return same

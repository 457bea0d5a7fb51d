"""A journal file held open, and the verified lines of it in memory, kept true to each other.

Memory is only ever extended by verifying bytes from the file. When nothing is new, looking costs one
`stat`. What a `stat` can tell is acted on: another file under the name (a restored copy) is read
anew; a file shorter than what was verified is refused; one of the same length but another time is verified
from its start, and must still hold what was read from it before.

No lock is taken here: any length of the file that a reader may see begins with true lines.
The caller keeps other threads out.
"""

from __future__ import annotations

import gc
import os
from contextlib import suppress
from pathlib import Path
from typing import NoReturn

from tagtrack.core.errors import Damaged, Fault
from tagtrack.journal import disk
from tagtrack.journal.chain import Chain, Damage
from tagtrack.journal.line import Line

# From about here on, the garbage collector's passes over a growing heap cost a fifth of a load.
_LONG_LOAD_BYTES = 1_000_000
_RESTORE = "record nothing more here; keep this file as it is, and restore a copy beside it"


class Mirror:
    """An open journal file and its verified lines (`chain`), as of the last `refresh`."""

    def __init__(self, path: Path) -> None:
        self.path = path
        # as text: it is asked for at every look
        self._name = os.fspath(path)
        self._open()

    def _open(self) -> None:
        try:
            self.handle, self.writable = disk.open_for_append(self.path)
        except OSError as error:
            raise unreadable(self.path, error) from error
        self.chain = Chain()
        self._status = os.fstat(self.handle)
        self._seen = (-1, -1)
        self._settled = False

    def reopen(self) -> None:
        """Open the file that now bears the name, and forget what was known."""
        handle = self.handle
        self._open()
        with suppress(OSError):
            os.close(handle)

    def close(self) -> None:
        """Let go of the file."""
        with suppress(OSError):
            os.close(self.handle)

    def refresh(self) -> None:
        """Bring memory up to the file as it is now; raise Damaged if a line, or the whole, is not true."""
        try:
            status = os.stat(self._name)  # noqa: PTH116 - a Path costs as much again
        except OSError as error:
            raise unreadable(self.path, error) from error
        if not os.path.samestat(status, self._status):
            self.reopen()
        if not self._settled:
            self._load()
        elif (status.st_size, status.st_mtime_ns) != self._seen:
            self._follow(status.st_size)
        if self.chain.damage:
            _tell(self.path, self.chain.damage)

    def is_there(self) -> bool:
        """Return whether the open file is still the one that bears the name."""
        try:
            return os.path.samestat(os.stat(self._name), self._status)  # noqa: PTH116 - a Path costs as much again
        except OSError:
            return False

    def take(self, data: bytes) -> None:
        """Verify the bytes behind the last line, and remember them."""
        # An interrupt in the middle leaves this false, and the next look reads everything anew.
        self._settled = False
        stop = self.chain.end + len(data)
        self.chain.take(data)
        self._note(stop)

    def add(self, line: Line, width: int) -> None:
        """Remember a line that was just written at the end, so many bytes wide."""
        self._settled = False
        self.chain.add(line, width)
        self._note(self.chain.end)

    def _follow(self, size: int) -> None:
        """Go after a file that is not as it was when last seen."""
        if size < self.chain.end:
            raise Damaged(
                f"{self.path} became shorter after it was read",
                expected=f"at least {self.chain.end} bytes, {self.chain.head.seq} lines",
                came=f"{size} bytes",
                todo=_RESTORE,
            )
        if size != self._seen[0] and not self.chain.damage:
            self.take(disk.read_from(self.handle, self.chain.end))
            if not self.chain.damage:
                return
            # A reader may meet a writer that is just replacing an unfinished end: look once more.
        self._load()

    def _load(self) -> None:
        """Verify the whole file; what was read from it before must still be part of it."""
        before = self.chain.head
        data = disk.read_from(self.handle, 0)
        chain = chain_of(data)
        if self._settled and not chain.damage and not chain.passes_through(before):
            raise Damaged(
                f"{self.path} was written over with another history",
                expected=f"line {before.seq} with check {before.sha}",
                todo=_RESTORE,
            )
        self.chain = chain
        self._note(len(data))

    def _note(self, size: int) -> None:
        # Asked after the read: a time from before it would make another's append look like tampering.
        self._seen = (size, os.fstat(self.handle).st_mtime_ns)
        self._settled = True


def chain_of(data: bytes) -> Chain:
    """Return the verified lines of a whole file. An empty one is damaged: creation leaves a header or no file."""
    chain = Chain()
    resting = len(data) > _LONG_LOAD_BYTES and gc.isenabled()
    if resting:
        gc.disable()
    try:
        chain.take(data)
    finally:
        if resting:
            gc.enable()
    if not data:
        chain.damage = Damage(1, 0, Damaged("line 1 is not there: the file is empty", expected="a header"))
    return chain


def unreadable(path: Path, error: OSError) -> Fault:
    """Return what to tell a person whose journal the system does not let us read."""
    return Fault(
        f"the journal {path} cannot be read",
        came=error.strerror or str(error),
        todo="check that the shop folder is there and its disk is connected",
    )


def _tell(path: Path, damage: Damage) -> NoReturn:
    trouble = damage.trouble
    raise type(trouble)(
        f"{path}, line {damage.line}, byte {damage.byte}: {trouble.what}",
        expected=trouble.expected,
        came=trouble.came,
        todo=trouble.todo or _RESTORE,
    )

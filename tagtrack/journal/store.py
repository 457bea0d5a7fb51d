"""An append-only journal file: what was acknowledged is on disk, and what is read was verified.

An append, in this order: threading lock, lock between processes, take in what others wrote, look
whether this id is there already, compare what the caller had read, one write at the end of the file,
look at the count, fsync, take the line into memory, return. Anything that fails before the fsync is
done puts the file back to the byte. A failed fsync is never tried again, because the system may have
thrown the bytes away and report success the next time: the journal closes itself.

The order and the guards come from measured losses of simpler stores: two writers, threads, forks, kills,
full disks, cut-off tails, restored copies. `tests/journal` repeats those trials.
"""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import Self

from tagtrack.core.errors import Conflict, Damaged, Fault, Full, Refusal
from tagtrack.journal import disk
from tagtrack.journal.alone import Alone
from tagtrack.journal.chain import Chain, Damage, Head, Report, Snapshot
from tagtrack.journal.line import NO_LINE, Document, Line, check_in, encode, header
from tagtrack.journal.lock import FileLock, lock_beside
from tagtrack.journal.mirror import Mirror, chain_of, unreadable

_AGAIN = "look after the disk, open the journal again and record it again; asking twice is safe"


class AppendFile:
    """One journal file. Safe to share between threads, and to have open in many processes."""

    def __init__(self, path: Path, kind: str | None = None, name: str | None = None) -> None:
        self._path = path
        self._told = {key: value for key, value in (("kind", kind), ("name", name)) if value is not None}
        self._mirror = Mirror(path)
        # the lines whose header was looked at
        self._right: Chain | None = None
        self._lock = FileLock(lock_beside(path))
        self._pid = os.getpid()
        self._alone = Alone(self._ready)
        self._snapshot: Snapshot | None = None
        self._notices: tuple[str, ...] = ()
        self._closed = ""

    @classmethod
    def open(cls, path: str | os.PathLike[str], *, kind: str | None = None, name: str | None = None) -> Self:
        """Open an existing journal; raise Fault if there is none. Its lines are read when first asked for.

        One whose header tells of another kind or name than is given here is damaged: another file was put in its place.
        """
        return cls(Path(path).absolute(), kind, name)

    @classmethod
    def create(cls, path: str | os.PathLike[str], kind: str, name: str) -> Self:
        """Create a journal in an existing folder, on disk; raise Refusal if there is one, Full if it fails.

        It is written beside and then renamed, so that no crash and no second creator meets half a header.
        """
        place = Path(path).absolute()
        first = encode(1, NO_LINE, header(kind, name))
        beside = place.with_name(place.name + ".new")
        lock = FileLock(lock_beside(place))
        try:
            with lock:
                if place.exists():
                    raise Refusal(
                        f"there is already a journal at {place}",
                        expected="a name that is not taken",
                        todo="open it, or choose another name",
                    )
                disk.write_new(beside, first, replacing=True)
                beside.replace(place)
                disk.sync_folder(place.parent)
        except OSError as error:
            raise disk.full(error, place) from error
        finally:
            lock.abandon()
        # The caller may just have made the folder; where we may not read the one above, it was there before.
        with suppress(OSError):
            disk.sync_folder(place.parent.parent)
        return cls(place)

    @property
    def path(self) -> Path:
        """Where the journal is."""
        return self._path

    @property
    def notices(self) -> tuple[str, ...]:
        """What was mended without asking since this journal was opened, in sentences for a person."""
        return self._notices

    @property
    def kind(self) -> str:
        """The kind of journal, from its header."""
        with self._alone:
            return str(self._current().header["kind"])

    @property
    def name(self) -> str:
        """The name of the journal, from its header."""
        with self._alone:
            return str(self._current().header["name"])

    def documents(self) -> tuple[Document, ...]:
        """Return all documents, verified, in order; the first is line 2. Raise Damaged if any line is."""
        return self.snapshot().documents

    def since(self, seq: int) -> tuple[Document, ...]:
        """Return the documents behind line `seq`, in order. Raise Damaged if any line is."""
        with self._alone:
            return tuple(self._current().documents[max(seq - 1, 0) :])

    def head(self) -> Head:
        """Return the last line's number and check, as they are now.

        What is decided on documents read earlier must expect the head of their snapshot, not this one.
        """
        with self._alone:
            return self._current().head

    def snapshot(self) -> Snapshot:
        """Return the documents and the head of one and the same moment. Raise Damaged if any line is."""
        with self._alone:
            chain = self._current()
            known = self._snapshot
            if known is None or known.head != chain.head:
                known = self._snapshot = Snapshot(chain.head, tuple(chain.documents))
            return known

    def at(self, seq: int) -> str:
        """Return the check (64 hex digits) of line `seq`, to hold a printed one against; Refusal if none."""
        with self._alone:
            chain = self._current()
            if not 1 <= seq <= chain.head.seq:
                raise Refusal(
                    f"the journal has no line {seq}",
                    expected=f"a line from 1 to {chain.head.seq}",
                    came=str(seq),
                    todo="look whether the sheet is of this job, and newer than this copy of the journal",
                )
            return chain.checks[seq - 1]

    def goes_through(self, head: Head) -> bool:
        """Return whether this line, with this check, is one of the journal's as it is now; number 0 always is."""
        with self._alone:
            return self._current().passes_through(head)

    def readable(self) -> tuple[Document, ...]:
        """Return the documents before the first damage, if there is any. A damaged journal raises nothing."""
        with self._alone:
            with suppress(Fault):
                self._mirror.refresh()
            return tuple(self._mirror.chain.documents)

    def raw(self) -> bytes:
        """Return the bytes of all whole lines, as they are in the file now. Raise Damaged if any line is."""
        with self._alone:
            end = self._current().end
            return disk.read_from(self._mirror.handle, 0)[:end]

    def verify(self) -> Report:
        """Read the whole file again, apart from memory; tell what is good and where it first is not."""
        with self._alone:
            try:
                chain = chain_of(self._path.read_bytes())
            except OSError as error:
                raise unreadable(self._path, error) from error
            return Report(chain.head, chain.damage or self._another(chain), len(chain.unfinished))

    def append(self, doc: Document, *, expected: int | None) -> int:
        """Record the document and return its line number, once it is on disk; see `record`."""
        return self.record(doc, expected=expected).seq

    def record(self, doc: Document, *, expected: int | None, given_away: bool = False) -> Head:
        """Record the document and return its line's number and check, once it is on disk.

        `expected` is the last line that the caller has read; if there are newer ones, Conflict is raised.
        None means: wherever the journal now ends. If the document's id is already recorded, its line
        is returned, whatever else the document holds, so that asking again is always safe. Nothing
        was recorded when Conflict, Refusal, Damaged or Full is raised.

        `given_away`: the caller has made the document for this, with checked types, and keeps no part of it, so that it
        is remembered as it is, and not read back from its line.
        """
        identity = doc.get("id")
        if not isinstance(identity, str) or not identity:
            raise Refusal("this cannot be recorded: it has no id", expected="an id, as text", came=repr(identity))
        with self._alone, self._lock:
            self._be_writable()
            chain = self._current()
            known = chain.seq_of.get(identity)
            if known is not None:
                self._flush()  # whoever wrote it may have died before doing so
                return Head(known, chain.checks[known - 1])
            head = chain.head
            if expected is not None and expected != head.seq:
                raise _conflict(expected, head.seq)
            raw = encode(head.seq + 1, head.sha, doc, exact=given_away)
            if chain.unfinished:
                self._set_aside(chain.unfinished)
            self._write(raw)
            if given_away and not chain.unfinished:
                self._mirror.add(Line(head.seq + 1, head.sha, dict(doc), check_in(raw)), len(raw))
            else:
                self._mirror.take(raw)
            return self._mirror.chain.head

    def close(self) -> None:
        """Let go of the file. Further calls raise Fault."""
        self._shut("it was closed")

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _ready(self, pid: int) -> None:
        """Look that the file is open; in a forked child, which shares locks and position, open everything anew."""
        if self._closed:
            raise Fault(f"{self._path} is not open: {self._closed}", todo="open the journal again to go on")
        if pid != self._pid:
            self._lock.abandon()
            self._mirror.reopen()
            self._pid = pid

    def _current(self) -> Chain:
        """Return the verified lines as the file is now; the caller keeps other threads out."""
        self._mirror.refresh()
        chain = self._mirror.chain
        if chain is not self._right:
            if another := self._another(chain):
                raise another.trouble
            self._right = chain
        return chain

    def _another(self, chain: Chain) -> Damage | None:
        """Return what is wrong with a journal that is whole, and not the one that should lie there."""
        came = {key: chain.header.get(key) for key in self._told}
        if came == self._told:
            return None
        return Damage(1, 0, Damaged(
            f"{self._path} is another record than the one that belongs there",
            expected=" ".join(self._told.values()), came=" ".join(map(str, came.values())),
            todo="put the right file in its place: look for it in a backup; nothing is recorded meanwhile",
        ))  # fmt: skip

    def _be_writable(self) -> None:
        if self._mirror.writable:
            return
        try:
            os.close(os.open(self._path, os.O_WRONLY))
        except OSError as error:
            raise disk.full(error, self._path) from error
        self._mirror.reopen()  # the right to write was given since

    def _write(self, raw: bytes) -> None:
        end = self._mirror.chain.end
        try:
            disk.write_whole(self._mirror.handle, raw)
        except BaseException as error:
            self._cut(end)
            if isinstance(error, OSError):
                raise disk.full(error, self._path) from error
            raise
        try:
            disk.sync(self._mirror.handle)
        except BaseException as error:
            self._cut(end, flush=False)
            if isinstance(error, OSError):
                raise self._failed(error) from error
            raise
        if not self._mirror.is_there():
            raise Conflict(
                "another file was put in the place of the record in this moment; nothing was recorded in that",
                expected=f"the file that was read, at {self._path}", came="another, or none",
                todo="look at what is there, then record it again",
            )  # fmt: skip

    def _flush(self) -> None:
        try:
            disk.sync(self._mirror.handle)
        except OSError as error:
            raise self._failed(error) from error

    def _failed(self, error: OSError) -> Full:
        """Close the journal after a failed flush, and return what to tell."""
        self._shut(f"the disk failed to keep a record ({error.strerror})")
        return disk.full(error, self._path, todo=_AGAIN)

    def _cut(self, end: int, *, flush: bool = True) -> None:
        """Put the file back to this many bytes; if even that fails, close the journal and say so."""
        try:
            os.ftruncate(self._mirror.handle, end)
            if flush:
                # Else a power cut during the next record could leave it mixed with what was cut off here.
                disk.sync(self._mirror.handle)
        except OSError as error:
            self._shut("its end could not be put right")
            raise Fault(
                f"the end of {self._path} could not be put right: a record may or may not be in it",
                came=error.strerror or str(error),
                todo=_AGAIN,
            ) from error

    def _set_aside(self, torn: bytes) -> None:
        """Keep the unfinished end in a file of its own, on disk before it is cut off here."""
        number = 1
        while (side := self._path.with_name(f"{self._path.name}.torn-{number}")).exists():
            number += 1
        try:
            disk.write_new(side, torn)
        except OSError as error:
            raise disk.full(error, side) from error
        self._cut(self._mirror.chain.end)
        self._notices += (
            f"A record cut off while it was being written ({len(torn)} bytes, never confirmed to anybody) "
            f"was moved from the end of {self._path.name} to {side.name}.",
        )

    def _shut(self, reason: str) -> None:
        if not self._closed:
            self._closed = reason
            self._lock.abandon()
            self._mirror.close()


def _conflict(expected: int, seq: int) -> Conflict:
    if expected < seq:
        return Conflict(
            "somebody else recorded something in between; nothing was written",
            expected=f"line {expected} to be the last",
            came=f"line {seq}",
            todo="look at what is new, then record it again",
        )
    return Conflict(
        "the journal ends before what was read from it; nothing was written",
        expected=f"line {expected}",
        came=f"line {seq} is the last",
        todo="look whether an older copy was put in its place",
    )

"""What has been verified of a journal so far: its lines in order, each holding the check of the one before.

A chain is fed the bytes behind those it has already taken. It stops at the first line that does not fit,
keeps what came before, and tells two cases apart:

- *unfinished*: the last line has no newline, or a hole of NUL bytes. A write that was cut off leaves
  this, nobody was told it was recorded, and the next writer may set it aside.
- *damaged*: anything else. Only a person can decide, so nothing is changed.

A single NUL byte inside a line that has its newline is one flipped bit, not a hole left by a lost
block; so is a last line whole in every way but with another byte for its newline. Both may have been
acknowledged, so both are damage.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from types import MappingProxyType

from tagtrack.core.errors import Damaged, Fault
from tagtrack.journal.line import NO_LINE, Document, Line, check_header, decode

_HOLE = b"\0\0"


@dataclass(frozen=True, slots=True)
class Head:
    """Where a journal ends: the number of its last line and that line's check (64 hex digits)."""

    seq: int
    sha: str

    @property
    def short(self) -> str:
        """The number that is printed on sheets, for example `41-9f3a22c1`."""
        return f"{self.seq}-{self.sha[:8]}"


# where a journal of which nothing was read ends
NOTHING = Head(0, NO_LINE)


@dataclass(frozen=True, slots=True)
class Damage:
    """The first place where a journal is not what was written: line from 1, byte from 0, and why."""

    line: int
    byte: int
    trouble: Fault


@dataclass(frozen=True, slots=True)
class Snapshot:
    """The documents of one moment, in order, and the head that an append based on them must expect."""

    head: Head
    documents: tuple[Document, ...]


@dataclass(frozen=True, slots=True)
class Report:
    """What a full verification found: the last good line, the first damage, an unfinished end in bytes."""

    head: Head
    damage: Damage | None
    unfinished: int

    @property
    def good(self) -> int:
        """The number of lines, header included, that are exactly what was written."""
        return self.head.seq


class Chain:
    """The verified lines of one journal, in memory. Grows only through `take` and `add`."""

    def __init__(self) -> None:
        self.header: Document = {}
        self.documents: list[Document] = []
        self.checks: list[str] = []
        self._head = NOTHING
        self.seq_of: dict[str, int] = {}
        self.end = 0
        self.unfinished = b""
        self.damage: Damage | None = None

    @property
    def head(self) -> Head:
        """The last verified line; number 0 while there is none. The very same value until a line more is kept."""
        if self._head.seq != len(self.checks):
            self._head = Head(len(self.checks), self.checks[-1])
        return self._head

    def take(self, data: bytes) -> None:
        """Verify the bytes behind `end` and keep their lines, up to the first that does not fit."""
        self.unfinished = b""
        stop = self.end + len(data)
        for raw in io.BytesIO(data):
            last = self.end + len(raw) == stop
            try:
                self._add(decode(raw, len(self.checks) + 1), len(raw))
            except Fault as trouble:
                if last and self.checks and self._is_cut_off(raw):
                    self.unfinished = raw
                else:
                    self.damage = Damage(len(self.checks) + 1, self.end, trouble)
                return

    def add(self, line: Line, width: int) -> None:
        """Keep a line that was just encoded and written here, so many bytes wide, without reading it again."""
        self.unfinished = b""
        self._add(line, width)

    def passes_through(self, head: Head) -> bool:
        """Tell whether this line, with this check, is one of the verified lines."""
        return head.seq == 0 or (head.seq <= len(self.checks) and self.checks[head.seq - 1] == head.sha)

    def _add(self, line: Line, width: int) -> None:
        before = self.checks[-1] if self.checks else NO_LINE
        if line.prev != before:
            raise Damaged(
                f"line {line.seq} does not follow the line before it",
                expected=f"the check of line {line.seq - 1}, {before}",
                came=line.prev,
            )
        if line.seq == 1:
            check_header(line)
            self.header = MappingProxyType(line.doc)
        else:
            self._index(line)
            self.documents.append(MappingProxyType(line.doc))
        self.checks.append(line.sha)
        self.end += width

    def _index(self, line: Line) -> None:
        identity = line.doc.get("id")
        if not isinstance(identity, str):
            raise Damaged(f"line {line.seq} has no id", expected="an id in every document")
        if identity in self.seq_of:
            raise Damaged(
                f"line {line.seq} repeats line {self.seq_of[identity]}",
                expected="every id once",
                came=f"id {identity} twice",
            )
        self.seq_of[identity] = line.seq

    def _is_cut_off(self, raw: bytes) -> bool:
        if raw.endswith(b"\n"):
            return _HOLE in raw
        try:
            decode(raw[:-1] + b"\n", len(self.checks) + 1)
        except Fault:
            return True
        return raw.endswith(b"\0")

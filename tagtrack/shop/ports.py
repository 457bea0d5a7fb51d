"""What the shop is handed from outside: records, a clock, a source of codes; and who is at work."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from tagtrack.core.errors import Objection
from tagtrack.core.events import Act, Head
from tagtrack.core.records import Via


class Record(Protocol):
    """One append-only record: the shop's own, or one job's."""

    def acts(self) -> Sequence[Act]:
        """Return every act, oldest first; a Fault tells of damage."""
        ...

    def append(self, act: Act, expected: int) -> Head:
        """Put one act on disk and return how far the record goes with it; Conflict if others wrote after `expected`.

        An act whose id is already there is not written again: its line is returned.
        """
        ...

    def head(self) -> Head:
        """Return how far the record goes."""
        ...

    def goes_through(self, head: Head) -> bool:
        """Return whether a head that was read before is still part of the record.

        It is not where an older copy, or another record, was put in its place.
        """
        ...


class Records(Protocol):
    """All records of one shop."""

    def shop(self) -> Record:
        """Return the shop's own record."""
        ...

    def job(self, name: str) -> Record:
        """Return the record of a job; refuse a job that has none."""
        ...

    def create_job(self, name: str) -> Record:
        """Make the record of a new job; refuse one that exists."""
        ...

    def photos(self, name: str) -> Photos:
        """Return the photos of a job."""
        ...


class Photos(Protocol):
    """The photos of one work order, each under the SHA-256 of its bytes."""

    def put(self, large: bytes, small: bytes) -> str:
        """Keep a photo and its small copy, on disk, and return its name."""
        ...

    def has(self, name: str) -> bool:
        """Return whether there is a photo of that name."""
        ...

    def large(self, name: str) -> Path:
        """Return where a photo is; refuse a name that none has."""
        ...

    def small(self, name: str) -> Path:
        """Return where a photo's small copy is; refuse a name that none has."""
        ...


@dataclass(frozen=True, slots=True)
class Means:
    """Where time, identities and codes come from, and what this site and program are called."""

    # UTC now, as 2026-03-02T14:05:09Z
    clock: Callable[[], str]
    # a fresh identity for an act
    new_id: Callable[[], str]
    # a fresh seven-character body of a tag code, issuable or not
    new_body: Callable[[], str]
    site: str
    version: str
    # looks at an act before it is written, with all those before it; raises a Refusal where more is asked for
    allow: Callable[[Act, Sequence[Act]], None] = lambda _act, _before: None


@dataclass(frozen=True, slots=True)
class Who:
    """Who does it, how it came in, and the reason where it is done although it was told to be wrong."""

    initials: str
    via: Via = Via.TYPED
    despite: str = ""
    device_at: str = ""
    # what was told before the reason was given; None: all of it, where nobody was asked line by line
    heard: frozenset[str] | None = None
    # the initials of those whose own PIN came with it
    vouched: frozenset[str] = frozenset()

    def object(self, objection: Objection) -> None:
        """Raise an objection, unless a reason was given to this very one."""
        if not self.despite or (self.heard is not None and objection.asked not in self.heard):
            raise objection

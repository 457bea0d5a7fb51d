"""What the page is handed: the shop, its PINs, its papers' settings; and one way in for all threads."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from threading import RLock
from typing import Protocol

from tagtrack.core.errors import Refusal
from tagtrack.core.events import Head
from tagtrack.core.reconcile import Reconciliation, reconcile
from tagtrack.hangar.pins import Pins
from tagtrack.shop.desk import Job, Shop


class Summary(Protocol):
    """A work order in a line."""

    @property
    def signed(self) -> bool:
        """Whether it is signed off."""
        ...

    @property
    def still_open(self) -> int:
        """How much is off or not finished."""
        ...

    @property
    def wrong(self) -> int:
        """How much is wrong now and unanswered."""
        ...


def _nothing_else(_host: str) -> bool:
    return False


@dataclass(slots=True, kw_only=True)
class Floor:
    """Everything that the page stands on. What reads or writes the record does so under `lock`, one at a time.

    A step at the bench takes milliseconds, so a queue of one serves a shop; hashing a PIN and reading a photo take
    longer, and are done outside of it.
    """

    shop: Shop
    pins: Pins
    name: str
    # where sign-outs are kept
    signed_out: Path
    # letter or a4
    paper: str = "letter"
    # what stands before a code in printed symbols, for a phone's own camera app; empty: the bare code
    address: str = ""
    # the shop's own label templates
    labels: Path | None = None
    # host names, without ports, under which this page is asked for
    hosts: frozenset[str] = frozenset({"127.0.0.1", "localhost"})
    # whether a further host is this computer too; asked for hosts that are not among those
    also: Callable[[str], bool] = _nothing_else
    https: bool = False
    # the authority's certificate, for the phones that are to trust it; None over plain http
    authority: Path | None = None
    # whether a work order is signed off, and how much is open and wrong; from an index, so that none is opened for it
    summary: Callable[[str], Summary]
    # seconds since 1970, for sign-ins
    now: Callable[[], float] = time.time
    lock: RLock = field(default_factory=RLock)
    _jobs: dict[str, Job] = field(default_factory=dict)
    _exchanged: dict[str, tuple[str, ...]] = field(default_factory=dict)
    _checked: dict[tuple[str, bool], tuple[Head, Reconciliation]] = field(default_factory=dict)

    def job(self, name: str) -> Job:
        """Return the work order of that name with what others have written since; refuse an unknown one."""
        wanted = name.strip().upper()
        if wanted not in self._jobs:
            self._jobs[wanted] = self.shop.open(wanted)
        job = self._jobs[wanted]
        try:
            job.refresh()
        except Refusal as refusal:
            # told once by the work order itself, and by the page until every device has shown it
            self._exchanged[wanted] = refusal.lines()
            raise
        return job

    def exchanged(self, name: str) -> tuple[str, ...]:
        """Return what is to be told where another record was put in the place of this work order's; else nothing."""
        return self._exchanged.get(name.strip().upper(), ())

    def checked(self, job: Job, *, asked: bool) -> Reconciliation:
        """Return the reconciliation of a work order, made once for each state of its record."""
        known = self._checked.get((job.name, asked))
        if known is None or known[0] != job.head:
            known = (job.head, reconcile(job.state, job.knowledge, asked=asked))
            self._checked[job.name, asked] = known
        return known[1]

    def job_of(self, code: str) -> str:
        """Return the work order that a tag belongs to; refuse a tag that nobody uses yet, or that is not ours."""
        owner = self.shop.state.job_of(code)
        if not owner:
            raise Refusal("that tag is blank, and not in use yet", expected="a tag of a work order", came=code,
                          todo="open the work order, then scan it there")  # fmt: skip
        return owner

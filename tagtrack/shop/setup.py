"""Setting up: people, and opening a work order."""

from __future__ import annotations

import re
from collections.abc import Sequence

from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, Event, JobOpened, PersonNoted, Ruled
from tagtrack.core.records import Person, Ruling
from tagtrack.core.shopbook import type_of
from tagtrack.core.spelling import clean, name
from tagtrack.core.state import State
from tagtrack.shop.desk import RESERVE, Job, Shop
from tagtrack.shop.ports import Record, Who

# a job's name becomes a folder on any system, also one that ignores case or dislikes punctuation
_JOB = re.compile(r"^[A-Z0-9][A-Z0-9._-]{0,39}$")
_RESERVED = frozenset({"CON", "PRN", "AUX", "NUL", *(f"COM{i}" for i in range(10)), *(f"LPT{i}" for i in range(10))})


def note_person(
    shop: Shop, who: Who, *, initials: str, full_name: str, certificate: str = "", certificate_kind: str = ""
) -> Person:
    """Record somebody who works here, or a changed fact about him or her; initials are unique in the shop."""
    short = clean(initials).upper()
    if not (1 <= len(short) <= 4 and short.isalpha()):
        raise Refusal(
            f"'{initials}' are no initials", expected="one to four letters", came=initials or "nothing",
            todo="choose initials that nobody else here has",
        )  # fmt: skip
    person = Person(short, name(full_name, what="name"), clean(certificate), clean(certificate_kind))
    before = shop.state.people.get(short)
    if before is not None and before.name != person.name:
        raise Refusal(
            f"the initials {short} belong to {before.name}", expected="initials that nobody else here has",
            came=person.name, todo="choose others: a third letter will do",
        )  # fmt: skip
    if before != person:
        shop.commit(who, lambda _: (PersonNoted(person),))
    return person


def open_job(
    shop: Shop, who: Who, *, job: str, registration: str, make: str = "", model: str = "", serial: str = "",
    task: str = "", kind: str = "", data: tuple[str, ...] = (),
) -> Job:  # fmt: skip
    """Open a work order: its own record, its people copied in so that it stands alone, codes set aside for its tags."""
    named = clean(job).upper().replace(" ", "-")
    if not _JOB.match(named) or named.split(".")[0] in _RESERVED or named.endswith("."):
        raise Refusal(
            f"'{job}' cannot name a work order", expected="up to 40 letters, figures, dots and hyphens",
            came=job or "nothing", todo="for example WO-2026-014",
        )  # fmt: skip
    person = shop.state.person(who.initials)
    if named in shop.state.jobs:
        raise _taken(named)
    opened = JobOpened(
        named, name(registration, what="registration", longest=20).upper(), clean(make), clean(model), clean(serial),
        clean(task), clean(kind), tuple(clean(d) for d in data if clean(d)),
    )  # fmt: skip
    work_order = Job(shop, named, _record(shop, named))
    people = tuple(PersonNoted(p) for p in shop.state.people.values())
    # what was answered as the design of this type is copied in too: it is not asked again
    known = tuple(Ruled(key, Ruling.BY_DESIGN, why)
                  for key, why in shop.state.by_design.get(type_of(opened.make, opened.model), {}).items())

    def beginning(state: State) -> Sequence[Event]:
        if state.job is not None:
            raise _taken(named)
        return opened, *people, *known

    if not _half_opened(work_order, opened):
        work_order.commit(Who(person.initials, who.via), beginning)
    # told to the shop last: what a crash before this leaves is taken up when the same is opened again
    shop.commit(who, lambda _: (opened,))
    shop.issue(who, RESERVE, named)
    return work_order


def _record(shop: Shop, named: str) -> Record:
    """Return the record of a new work order: one made now, or what the crash of an earlier opening left."""
    try:
        return shop.records.create_job(named)
    except Refusal:
        return shop.records.job(named)


def _half_opened(job: Job, opened: JobOpened) -> bool:
    """Return whether the record was begun before a crash, with the same words and nothing after; refuse any other."""
    if not job.acts:
        return False
    if len(job.acts) > 1 or job.state.job != opened:
        begun = job.state.job
        what = f" for {begun.registration}" if begun else ""
        raise Refusal(
            f"the shop does not know {job.name}, but there is a record of it",
            expected="a name without a record; or the same words again, where an opening broke off",
            came=f"a record{what}",
            todo=f"look at it: tagtrack verify --job {job.name}; then choose another name",
        )
    return True


def _taken(named: str) -> Refusal:
    return Refusal(f"work order {named} exists already", expected="a new name", came=named,
                   todo=f"go on with it: --job {named}; or choose another name")  # fmt: skip


def join(job: Job, who: Who, initials: str) -> Act | None:
    """Make sure that a person of the shop is known in the job's own record; None where he or she was already."""
    person = job.shop.state.person(initials)
    if job.refresh().people.get(person.initials) == person:
        return None
    return job.commit(who, lambda _: (PersonNoted(person),))

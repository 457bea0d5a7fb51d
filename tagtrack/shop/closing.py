"""Closing up: areas declared complete, answers to findings, what can go on next, the sign-off."""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core.axes import area_among, area_name
from tagtrack.core.callout import Decoder
from tagtrack.core.check_rest import AREA_ROWS
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, Checked, Event, Ruled, SignedOff, TypeRuled
from tagtrack.core.findings import BY_DESIGN, Finding, Kind
from tagtrack.core.order import Next, next_on
from tagtrack.core.reconcile import Reconciliation, all_of, holding_up, reconcile
from tagtrack.core.records import CheckRole, Ruling
from tagtrack.core.shopbook import type_of
from tagtrack.core.spelling import clean, how_many, nearest, reason
from tagtrack.core.state import State, zone
from tagtrack.shop.another import another
from tagtrack.shop.desk import Job
from tagtrack.shop.looks import seen_by
from tagtrack.shop.ports import Who


def next_steps(job: Job) -> Next:
    """Return what can go on now and what waits for what."""
    job.refresh()
    index = job.index()
    found = all_of(index)
    return next_on(index, lambda cover: holding_up(index.state, found, cover))


def area_of(state: State, typed: str) -> str:
    """Return the area as the job spells it; refuse an unknown one, offering the nearest."""
    wanted = area_name(clean(typed))
    known = area_among(clean(typed), state.areas())
    if known:
        return known
    near = nearest(wanted, state.areas())
    raise Refusal(
        f"no area '{wanted}' in this job", expected="; ".join(state.areas()) or "no area was named yet",
        came=wanted or "nothing", todo=f"did you mean {near[0]}?" if near else "name one of them",
    )  # fmt: skip


def declare_complete(
    job: Job, who: Who, area: str, rows: Sequence[tuple[str, str]] = ()
) -> tuple[Act, Reconciliation]:
    """Record that the work in an area is declared complete; what is still open there is a finding from now on.

    `rows` are what is asked of an area, with what was seen: `clear`, `covers`.
    """
    named = area_of(job.refresh(), area)
    told = [(_area_row(row), seen_by(who, row, seen)) for row, seen in rows]

    def make(state: State) -> Sequence[Event]:
        _refuse_lost(state, named)
        said = (("complete", "declared complete"), *told)
        return tuple(Checked(zone(named), row, seen, CheckRole.PERFORMER) for row, seen in said)

    act = job.commit(who, make)
    return act, reconcile(job.state, job.knowledge, area=named)


def answer_area(job: Job, who: Who, area: str, row: str, seen: str) -> Act:
    """Record what was seen where an area was looked over before closing it out: `clear` or `covers`; return the act."""
    state = job.refresh()
    asked = _area_row(row)
    # a job in which no area was ever named has one: the aircraft
    whole = clean(area).casefold() in ("aircraft", "") and "" in {p.area for p in state.positions.values()}
    named = "" if whole else area_of(state, area)
    told = seen_by(who, row, seen)

    def make(now: State) -> Sequence[Event]:
        _refuse_lost(now, named)
        return (Checked(zone(named), asked, told, CheckRole.PERFORMER),)

    return job.commit(who, make)


def _area_row(row: str) -> str:
    known = [name for name, _ in AREA_ROWS]
    if row not in known:
        raise Refusal(f"'{row}' is not asked of an area", expected=", ".join(known), came=row or "nothing",
                      todo="complete AREA; clear: what was counted; covers: which are on")  # fmt: skip
    return row


def _refuse_lost(state: State, area: str) -> None:
    """Refuse to close out an area in which something is lost, or may be."""
    for loss in state.losses.values():
        if loss.stands and loss.may_be_in(area):
            raise Refusal(
                f"{loss.still} {loss.what} is lost there: case {loss.case}",
                expected="found, proved not aboard, or accepted by a second person, before the area is closed out",
                came=f"closing out {area or 'the aircraft'}",
                todo=f"case {loss.case} searched {area or 'WHERE'}: how",
            )


def find(state: State, knowledge: Decoder, short: str) -> Finding:
    """Return the finding of that six-character mark; refuse an unknown one."""
    wanted = clean(short).upper()
    outcome = reconcile(state, knowledge)
    for finding in outcome.findings:
        if finding.short == wanted:
            return finding
    marks = [f.short for f in outcome.unanswered]
    raise Refusal(
        f"no finding '{short}' stands", expected=", ".join(marks[:12]) or "no finding stands",
        came=short or "nothing", todo="run the check again: facts that change make the mark change too",
    )  # fmt: skip


def rule(job: Job, who: Who, short: str, why: str, *, by_design: bool = False, second: str = "") -> Act:
    """Record a named person's answer to a finding. A loss cannot be answered this way; return the act."""
    told = reason(why)

    def make(state: State) -> Sequence[Event]:
        finding = find(state, job.knowledge, short)
        if finding.kind is Kind.LOST:
            raise Refusal(
                "a loss is not answered, it is searched", expected="found, not aboard, or accepted by a second person",
                came="an answer", todo=finding.advice,
            )  # fmt: skip
        if finding.kind is Kind.NOT_INSPECTED:
            raise Refusal(
                "a second look is not answered away", expected="an inspection, or 'not available' with its reason",
                came="an answer", todo="inspect POSITION; not available: REASON",
            )  # fmt: skip
        if by_design and finding.kind not in BY_DESIGN:
            raise Refusal(
                f"no design makes this so: {finding.kind.value}, {finding.thing}",
                expected="'design' for a pair whose sides differ by the type's design", came="design",
                todo=f"{finding.advice};   or answer it by name: answer {finding.short} because ...",
            )  # fmt: skip
        ruling = Ruling.BY_DESIGN if by_design else Ruling.ACCEPTED
        return (Ruled(finding.key, ruling, told, clean(second)),)

    act = job.commit(who, make)
    if by_design:
        remember(job, who, act)
    return act


def remember(job: Job, who: Who, act: Act) -> None:
    """Keep the answers of an act with the type of the aircraft, so that none of its kind is asked again."""
    opened = job.opened()
    ruled = [event for event in act.events if isinstance(event, Ruled) and event.ruling is Ruling.BY_DESIGN]
    known = job.shop.state.by_design.get(type_of(opened.make, opened.model), {})
    fresh = [event for event in ruled if event.key not in known]
    if type_of(opened.make, opened.model) and fresh:
        job.shop.commit(who, lambda _: [
            TypeRuled(opened.make, opened.model, event.key, event.reason) for event in fresh
        ])  # fmt: skip


def sign_off(job: Job, who: Who, second: str = "") -> Act:
    """Close the work order as reconciled; refused while a finding stands without an answer. Return the act."""

    def make(state: State) -> Sequence[Event]:
        outcome = reconcile(state, job.knowledge)
        if not outcome.clean:
            first = outcome.unanswered[0]
            raise Refusal(
                f"{how_many(len(outcome.unanswered), 'finding stands', 'findings stand')} without an answer",
                expected="every finding mended, or answered by a named person",
                came=f"first: {first.kind.value}, {first.position or first.area}: {first.thing}: {first.seen}",
                todo="look at the list: check",
            )
        named = another(state, who, second) if clean(second) else ""
        return (SignedOff((job.head,), job.knowledge.catalogue.digest, named),)

    return job.commit(who, make)

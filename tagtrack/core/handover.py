"""The handover sheet: what whoever takes over in the middle must know before going on.

The most dangerous moment of a job is that in which the hand changes: what is on looks finished, and is in by hand.
Common practice is to tell what is half done, to go back a few steps, and to look at them before going on.
"""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core import cautions, steps, still_open
from tagtrack.core import events as e
from tagtrack.core.accounts import named
from tagtrack.core.events import Act, Head
from tagtrack.core.findings import QUESTIONS, Finding, Kind
from tagtrack.core.fold import standing
from tagtrack.core.half_done import HalfDone, Interruption, interruption, looks_owed
from tagtrack.core.index import Index
from tagtrack.core.order import Next, next_on
from tagtrack.core.reconcile import Reconciliation, holding_up
from tagtrack.core.records import Position
from tagtrack.core.sheets import NAME, Section, Sheet, Signature, Table
from tagtrack.core.state import State

# so many steps are told, and so many of them are to be looked at again: common practice says "a few"
STEPS, TO_LOOK_AT = 8, 3
GO_BACK = "Go back a few steps before going on: look at the last three with your own eyes"
_TO_FILL_IN = "__________"
# more positions than these are named by the words of the loop, not on this sheet
_NAMED = 10

# what is said about the work, and not done at the aircraft
_AT_THE_DESK = (e.JobOpened, e.PersonNoted, e.TagsIssued, e.TagClaimed, e.Planned)
_BY_HAND = (
    e.TakenOff, e.Installed, e.HardwareInstalled, e.Moved, e.ConnectionSet, e.JointSet, e.SettingNoted, e.AccessSet,
)  # fmt: skip


def handover(index: Index, outcome: Reconciliation, acts: Sequence[Act], head: Head, *, printed: str) -> Sheet:
    """Return the handover sheet. `outcome` is that of the whole job, with nothing asked; `acts` are all, oldest first.

    `printed` is the day of printing. Of a job that is signed off it says that, and who did what last.
    """
    state, job = index.state, index.state.job
    left = interruption(index, outcome, acts)
    last = _last_steps(state, acts)
    facts = (
        ("Aircraft", " ".join(filter(None, (job.registration, job.make, job.model, job.serial))) if job else ""),
        ("Task", job.task if job else ""),
        ("Work order", job.job if job else ""),
        ("Record check", f"number {head}"),
    )
    sections = (
        _half(left), _wrong(left), _off(left), _asked(left), _aboard(state, left), _kept(left), last,
        _next(next_of(index, outcome)),
    )  # fmt: skip
    return Sheet(
        title="Handover sheet",
        verdict=verdict(state, left),
        facts=tuple((label, value) for label, value in facts if value),
        sections=tuple(filter(None, (last,) if state.signed else sections)),
        cautions=cautions.IN_BETWEEN,
        signatures=() if state.signed else _SIGNATURES,
        dense=True,
        foot=f"{job.job if job else ''}   record check number {head}   printed {printed}",
    )


def verdict(state: State, left: Interruption) -> str:
    """Return in one line what is left; or that the job is signed off."""
    if state.signed:
        return f"SIGNED OFF {state.signed_at[:10]} by {named(state, state.signed_by)}: nothing to hand over"
    count = sum(each.critical for each in left.half)
    critical = f" ({count} CRITICAL)" if count else ""
    told = [f"{len(left.half)} HALF DONE{critical}" if left.half else "Nothing is half done"]
    told += [f"{len(left.wrong)} WRONG NOW"] if left.wrong else []
    told += [f"{len(left.off)} off"] if left.off else []
    return "; ".join(told)


def next_of(index: Index, outcome: Reconciliation) -> Next:
    """Return what can go on next, by the findings of the whole job."""
    found = (*outcome.findings, *outcome.open)
    return next_on(index, lambda cover: holding_up(index.state, found, cover))


_SIGNATURES = (
    Signature(
        role="Hands over",
        statement="I showed what is half done, at the aircraft.",
        blanks=("Signature", NAME, "Date and time"),
    ),
    Signature(
        role="Takes over",
        statement="I looked at it, and at the last three steps.",
        blanks=("Signature", NAME, "Date and time"),
    ),
)  # fmt: skip


def _when(act: Act) -> str:
    return act.at[:16].replace("T", " ")


def named_critical(position: Position, *, critical: bool) -> str:
    """Return a position, with whether it is critical before it."""
    return f"CRITICAL: {position}" if critical else str(position)


def _half(left: Interruption) -> Section:
    if not left.half:
        return Section(heading="Half done", note="Nothing is half done, by the record.")
    return Section(
        heading="Half done",
        table=Table(
            columns=("Position", "How it stands (last step, UTC)", "Lacks, and where that lies"),
            rows=tuple(
                (named_critical(each.position, critical=each.critical),
                 f"{'; '.join(each.stands)}\n({last_step(each)})", "\n".join(each.lacks))
                for each in left.half
            ),
            widths=(6, 9, 14),
        ),
        loud=True,
    )  # fmt: skip


def last_step(each: HalfDone) -> str:
    """Return who did the last step at a position, and when; a dash in a record that names none."""
    return f"{each.last.by}, {_when(each.last)}" if each.last is not None else "-"


def _wrong(left: Interruption) -> Section | None:
    if not left.wrong:
        return None
    rows = tuple(
        (f"{f.kind.value.upper()}  {where_and_what(f)}", f"expected {f.expected}; seen {f.seen}{frozen(f)}",
         f"{f.advice} ({f.short})")
        for f in left.wrong
    )  # fmt: skip
    return Section(
        heading="Wrong now",
        table=Table(columns=("What and where", "Expected and seen", "To do (mark)"), rows=rows, widths=(3, 5, 6)),
        loud=True,
    )


def where_and_what(finding: Finding) -> str:
    """Return where a finding is, and what it is about, without saying the name twice."""
    named_so = f" of {finding.position.name}" if finding.position else ""
    where = finding.position or finding.area or "the whole job"
    return f"{where}{still_open.what(finding).removesuffix(named_so)}"


def frozen(finding: Finding) -> str:
    """Return which areas a loss keeps from being closed out; nothing of any other finding."""
    if finding.kind is not Kind.LOST:
        return ""
    return f". Not to be closed out: {'; '.join(finding.may_be or ()) or 'any area'}"


def _off(left: Interruption) -> Section | None:
    rows = tuple(
        (each.area or "no zone said", named_critical(each.position, critical=each.critical), each.lies,
         "; ".join(each.besides) or "-")
        for each in left.off
    )  # fmt: skip
    if not rows:
        return None
    return Section(
        heading="Off",
        table=Table(columns=("Area", "What", "It is", "Its hardware, and what else"), rows=rows,
                    widths=(2, 4, 3, 5)),
    )  # fmt: skip


def _asked(left: Interruption) -> Section | None:
    looks: dict[str, list[Finding]] = {}
    told: list[str] = []
    for f in left.asked:
        if still_open.waits_for_a_look(f):
            looks.setdefault(str(f.position), []).append(f)
        elif f.kind in QUESTIONS:
            told.append(f"{where_and_what(f)}: expected {f.expected}; seen {f.seen}")
        else:
            told.append(f"{where_and_what(f)}: {f.seen}")
    told = [f"CRITICAL: {where}: finished; {looks_owed(mine)}" for where, mine in looks.items()] + told
    return Section(heading="To be looked at, or answered", note="\n".join(told)) if told else None


def _aboard(state: State, left: Interruption) -> Section | None:
    told: dict[str, list[str]] = {}
    for f in left.aboard:
        where = str(f.position or f.area)
        now = f.seen.removesuffix(f" at {where}")
        by = ", ".join(put_by(state, f))
        told.setdefault(where, []).append((now if f.thing in now else f"{f.thing}: {now}") + (f" ({by})" if by else ""))
    note = "\n".join(f"{where}: {', '.join(items)}" for where, items in told.items())
    return Section(heading="Aboard, to come off again", note=note) if told else None


def put_by(state: State, finding: Finding) -> tuple[str, ...]:
    """Return the initials of who put aboard what a finding says is still there."""
    known = state.aboard.get((str(finding.position or finding.area), finding.thing))
    return known.put_by if known else ()


def _kept(left: Interruption) -> Section | None:
    told = [f"{f.thing}: {f.seen}, of {f.position or 'nothing that is known'}" for f in left.kept]
    return Section(heading="Lies in the shop beside", note="\n".join(told)) if told else None


def last_steps(state: State, acts: Sequence[Act]) -> tuple[tuple[Act, str, bool], ...]:
    """Return the last steps, the latest first: each in words, and whether it is one of those to be looked at again.

    What was undone is told as such, and is nothing to look at.
    """
    alive = {act.id for act in standing(acts)}
    by_id = {act.id: act for act in acts}
    told: list[tuple[Act, str, bool]] = []
    to_look = TO_LOOK_AT
    for act in reversed(acts):
        if len(told) == STEPS:
            break
        if all(isinstance(event, _AT_THE_DESK) for event in act.events):
            continue
        back = next((event for event in act.events if isinstance(event, e.Reversed)), None)
        words = steps.told(act, state)
        if back is not None and back.act in by_id:
            target = by_id[back.act]
            words = f"undone: step of {_when(target)} by {target.by} ({steps.told(target, state)})"
            words += f", because {back.reason}" if back.reason else ""
        look = to_look > 0 and act.id in alive and any(isinstance(event, _BY_HAND) for event in act.events)
        to_look -= look
        words += f". DESPITE: {act.despite}" if act.despite else ""
        told.append((act, words if act.id in alive else f"UNDONE SINCE: {words}", look))
    return tuple(told)


def _last_steps(state: State, acts: Sequence[Act]) -> Section | None:
    rows = tuple(
        (_when(act), act.by, words, _TO_FILL_IN if look and not state.signed else "")
        for act, words, look in last_steps(state, acts)
    )
    if not rows:
        return None
    return Section(
        heading="The last steps" if state.signed else GO_BACK,
        table=Table(columns=("When (UTC)", "Who", "The last steps, the latest first", "Seen, by"), rows=rows,
                    widths=(3, 1, 10, 2)),
    )  # fmt: skip


def _next(steps_on: Next) -> Section | None:
    now = [str(p) for p in steps_on.now if p not in steps_on.off_too]
    off_too = [(p, steps_on.off_too[p]) for p in steps_on.now if p in steps_on.off_too]
    with_them = [f"{p} (with {'; '.join(map(str, others))})" for p, others in off_too]
    waits = [f"{p} (for {'; '.join(map(str, below))})" for p, below in steps_on.waiting]
    rows = [(label, _listed(each)) for label, each in (
        ("Can go on now", now), ("Goes with what is off too", with_them), ("Waits", waits)) if each]  # fmt: skip
    if not rows:
        return None
    return Section(
        heading="What can go on next, last off first",
        note="\n".join(f"{label}: {told}." for label, told in rows),
    )


def _listed(every: list[str]) -> str:
    more = f"; and {len(every) - _NAMED} more: tagtrack next" if len(every) > _NAMED else ""
    return "; ".join(every[:_NAMED]) + more

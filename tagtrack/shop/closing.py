"""Closing up: checks, answers, second looks, zones declared complete, sign-off, and undoing."""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core.callout import Decoder
from tagtrack.core.check_rest import ROWS
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, Checked, Event, Reversed, Ruled, SignedOff
from tagtrack.core.findings import Finding, Kind
from tagtrack.core.fold import standing
from tagtrack.core.index import Index
from tagtrack.core.order import Next, next_on
from tagtrack.core.reconcile import Reconciliation, all_of, of_position, reconcile, unfinished
from tagtrack.core.records import CheckRole, Position, Ruling
from tagtrack.core.reversal import refuse_if_rested_on
from tagtrack.core.spelling import clean, nearest, observation, reason
from tagtrack.core.state import State, zone
from tagtrack.shop.desk import Job
from tagtrack.shop.naming import existing
from tagtrack.shop.ports import Who

# what may stand while somebody inspects: the inspection itself, and questions answered at the desk
_AFTER_THE_WORK = frozenset({Kind.NOT_INSPECTED, Kind.PAIR_DIFFERS, Kind.DIFFERS_FROM_DATA, Kind.LEFT_OVER})


def next_steps(job: Job) -> Next:
    """Return what can go on now and what waits for what."""
    job.refresh()
    index = job.index()
    return next_on(index, unfinished(all_of(index)))


def area_of(state: State, typed: str) -> str:
    """Return the area as the job spells it; refuse an unknown one, offering the nearest."""
    wanted = clean(typed)
    for area in state.areas():
        if area.casefold() == wanted.casefold():
            return area
    near = nearest(wanted, state.areas())
    raise Refusal(
        f"no area '{wanted}' in this job", expected="; ".join(state.areas()) or "no area was named yet",
        came=wanted or "nothing", todo=f"did you mean {near[0]}?" if near else "name one of them",
    )  # fmt: skip


def declare_complete(job: Job, who: Who, area: str) -> tuple[Act, Reconciliation]:
    """Record that the work in an area is declared complete; what is still open there is a finding from now on."""
    named = area_of(job.refresh(), area)
    act = job.commit(who, lambda _: (Checked(zone(named), "complete", "declared complete", CheckRole.PERFORMER),))
    return act, reconcile(job.state, job.knowledge, area=named)


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
        ruling = Ruling.BY_DESIGN if by_design else Ruling.ACCEPTED
        return (Ruled(finding.key, ruling, told, clean(second)),)

    return job.commit(who, make)


def inspect(
    job: Job, who: Who, position: Position, rows: Sequence[tuple[str, str]], role: CheckRole = CheckRole.INDEPENDENT
) -> Act:
    """Record what a second person saw, row by row. Nobody inspects what he or she did; return the act."""
    names = [row for row, _ in ROWS]
    for row, _ in rows:
        if row not in names:
            near = nearest(row, names)
            raise Refusal(f"'{row}' is no row of the inspection", expected=", ".join(names), came=row,
                          todo=f"did you mean {near[0]}?" if near else "use one of these words")  # fmt: skip
    answers = [(row, observation(seen)) for row, seen in rows]

    def make(state: State) -> Sequence[Event]:
        known = existing(state, position)
        performers = state.performers(known.position)
        if role is CheckRole.INDEPENDENT and who.initials in performers:
            raise Refusal(
                f"{who.initials} worked on {known.position} and cannot be its independent inspector",
                expected=f"somebody other than {', '.join(sorted(performers))}",
                came=who.initials,
                todo="have somebody else look; if nobody is to be had: inspect POSITION; not available: REASON",
            )
        if role is CheckRole.REINSPECTED and who.initials not in performers:
            raise Refusal(f"{who.initials} did none of this work", expected="an independent inspection",
                          came="a re-inspection by the same person", todo="inspect POSITION; ...")  # fmt: skip
        _refuse_unfinished(Index.of(state, job.knowledge), known.position)
        return tuple(Checked(str(known.position), row, seen, role) for row, seen in answers)

    return job.commit(who, make)


def _refuse_unfinished(index: Index, position: Position) -> None:
    """Refuse to have a look recorded at what is not finished: what is done afterwards nobody would have seen."""
    owing = [f for f in of_position(index, position) if f.answer is None and f.kind not in _AFTER_THE_WORK]
    if owing:
        raise Refusal(
            f"the {position} is not finished: {owing[0].kind.value}, {owing[0].thing}: {owing[0].seen}",
            expected="finished work to look at", came="an inspection", todo=owing[0].advice,
        )  # fmt: skip


def not_available(job: Job, who: Who, position: Position, why: str) -> Act:
    """Record that no second person was to be had, and why; it is printed large. Return the act."""
    rows = [(row, why) for row, _ in ROWS]
    return inspect(job, who, position, rows, CheckRole.NOT_AVAILABLE)


def sign_off(job: Job, who: Who, second: str = "") -> Act:
    """Close the work order as reconciled; refused while a finding stands without an answer. Return the act."""

    def make(state: State) -> Sequence[Event]:
        outcome = reconcile(state, job.knowledge)
        if not outcome.clean:
            first = outcome.unanswered[0]
            raise Refusal(
                f"{len(outcome.unanswered)} findings stand without an answer",
                expected="every finding mended, or answered by a named person",
                came=f"first: {first.kind.value}, {first.position or first.area}: {first.thing}: {first.seen}",
                todo="look at the list: check",
            )
        return (SignedOff((job.head,), job.knowledge.catalogue.digest, clean(second)),)

    return job.commit(who, make)


def sign_off_act(job: Job) -> str:
    """Return the id of the act that signed the work order off; refuse where it is not signed off."""
    job.refresh()
    for act in reversed(standing(job.acts)):
        if any(isinstance(event, SignedOff) for event in act.events):
            return act.id
    raise Refusal(f"{job.name} is not signed off", expected="a sign-off", came="undo sign-off", todo="nothing to do")


def undo(job: Job, who: Who, act_id: str = "", why: str = "") -> tuple[Act, Act]:
    """Undo an act, by default the last one of this person; refused while a later one rests on it.

    Returns the act that undoes and the one that is undone.
    """
    job.refresh()
    acts = job.acts
    gone = {e.act for act in acts for e in act.events if isinstance(e, Reversed)}
    if act_id:
        target = next((a for a in acts if a.id == act_id), None)
    else:
        mine = [a for a in acts if a.by == who.initials and a.id not in gone]
        target = next((a for a in reversed(mine) if not any(isinstance(e, Reversed) for e in a.events)), None)
    if target is None or target.id in gone or target is acts[0]:
        raise Refusal(
            "there is nothing to undo", expected="a step of this job that was not undone yet",
            came=act_id or "no step of yours", todo="look at the history: log",
        )  # fmt: skip
    wanted = target

    def make(state: State) -> Sequence[Event]:
        del state
        refuse_if_rested_on(job.acts, wanted)
        signed = any(isinstance(event, SignedOff) for event in wanted.events)
        # a sign-off that is taken back has been printed and shown: the reason belongs to the record
        return (Reversed(wanted.id, reason(why) if signed or why else ""),)

    return job.commit(who, make, after_sign_off=True), wanted

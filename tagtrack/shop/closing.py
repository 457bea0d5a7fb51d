"""Closing up: checks, answers, second looks, zones declared complete, sign-off, and undoing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from tagtrack.core.axes import area_among, area_name
from tagtrack.core.callout import Decoder
from tagtrack.core.check_rest import AREA_ROWS, ROWS, of_sense
from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.events import Act, Checked, Event, Reversed, Ruled, SignedOff, TypeRuled
from tagtrack.core.findings import BY_DESIGN, QUESTIONS, Finding, Kind
from tagtrack.core.fold import standing
from tagtrack.core.index import Index
from tagtrack.core.observations import said_not_right
from tagtrack.core.order import Next, next_on
from tagtrack.core.reconcile import Reconciliation, all_of, holding_up, of_position, reconcile
from tagtrack.core.records import CheckRole, Position, Ruling
from tagtrack.core.reversal import refuse_if_rested_on, taken_back, undoes
from tagtrack.core.sense import COMMAND, SENSE, directions, expected, moves, reversed_sense
from tagtrack.core.shopbook import type_of
from tagtrack.core.spelling import clean, how_many, nearest, observation, reason
from tagtrack.core.state import CheckState, State, answered, members, seen_since, zone
from tagtrack.shop.another import another
from tagtrack.shop.desk import Job
from tagtrack.shop.looks import seen_by
from tagtrack.shop.naming import existing
from tagtrack.shop.ports import Who

# what may stand while somebody inspects: the inspection itself, and questions answered at the desk
_AFTER_THE_WORK = frozenset({*QUESTIONS, Kind.NOT_INSPECTED, Kind.LEFT_OVER})


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
        _remember(job, who, act)
    return act


def _remember(job: Job, who: Who, act: Act) -> None:
    """Keep the answers of an act with the type of the aircraft, so that none of its kind is asked again."""
    opened = job.opened()
    ruled = [event for event in act.events if isinstance(event, Ruled) and event.ruling is Ruling.BY_DESIGN]
    known = job.shop.state.by_design.get(type_of(opened.make, opened.model), {})
    fresh = [event for event in ruled if event.key not in known]
    if type_of(opened.make, opened.model) and fresh:
        job.shop.commit(who, lambda _: [
            TypeRuled(opened.make, opened.model, event.key, event.reason) for event in fresh
        ])  # fmt: skip


def inspect(
    job: Job, who: Who, position: Position, rows: Sequence[tuple[str, str]],
    role: CheckRole = CheckRole.INDEPENDENT, *, unseen: Sequence[tuple[str, str]] = (),
) -> Act:  # fmt: skip
    """Record what a second person saw, row by row, and what could not be seen. Nobody inspects what he or she did.

    Returns the act.
    """
    names = [row for row, _ in ROWS]
    if not rows and not unseen:
        raise Refusal("what was seen?", expected=f"rows: {', '.join(names)}", came="none",
                      todo=f"inspect {position.name} {position.side.value}; {names[0]}: what was seen")  # fmt: skip
    for row, _ in (*rows, *unseen):
        if row not in names:
            near = nearest(row, names)
            raise Refusal(f"'{row}' is no row of the inspection", expected=", ".join(names), came=row,
                          todo=f"did you mean {near[0]}?" if near else "use one of these words")  # fmt: skip
    answers = [(row, seen_by(who, row, seen) if role is not CheckRole.NOT_AVAILABLE else observation(seen))
               for row, seen in rows]  # fmt: skip

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
        for row, seen in answers if role is CheckRole.INDEPENDENT else ():
            if row == SENSE:
                _look_at_sense(state, who, known.position, seen)
        said = [Checked(str(known.position), row, seen, role) for row, seen in answers]
        said += [Checked(str(known.position), row, observation(why), CheckRole.NOT_AVAILABLE) for row, why in unseen]
        for each in said:
            _refuse_to_cover(seen_since(state, known.position, each.row), each, who)
        return said

    return job.commit(who, make)


def _refuse_to_cover(before: CheckState | None, said: Checked, who: Who) -> None:
    """Refuse to put 'not available', or the worker's own second look, over what somebody saw there since the work."""
    if before is None or said.role is CheckRole.INDEPENDENT or before.role is not CheckRole.INDEPENDENT:
        return
    wrong = said_not_right(before.observation)
    raise Refusal(
        f"{before.by} looked at the {said.row}: {before.observation}",
        expected="somebody who looks again, or the answer to what was seen" if wrong else "that look, as it stands",
        came=f"{said.role.value}, by {who.initials}",
        todo="mend it first: work on it ends that look; then a second person looks" if wrong
        else f"leave the {said.row} out; what is to be added to it, {before.by} says",
    )  # fmt: skip


def command(job: Job, who: Who, position: Position, said: str) -> Act:
    """Record what was commanded in the cockpit while somebody else watches the surface; return the act."""
    told = observation(said)

    def make(state: State) -> Sequence[Event]:
        known = existing(state, position)
        return (Checked(str(known.position), COMMAND, told, CheckRole.PERFORMER),)

    return job.commit(who, make)


def _look_at_sense(state: State, who: Who, position: Position, seen: str) -> None:
    """Refuse a sense check that says no direction or was made alone; ask where the control moved the wrong way."""
    if not moves(seen):
        return
    if not directions(seen):
        raise Refusal("which way did it move?", expected="a direction: UP, DOWN, LEFT, RIGHT; or 'not affected'",
                      came=seen, todo="sense: UP;  or where nothing moves: sense: not affected")  # fmt: skip
    command = _command_by_another(state, who, position)
    wanted = reversed_sense(position, command.observation, seen)
    right = expected(position, command.observation)
    if wanted is None and right is not None and right.opposite in directions(seen):
        who.object(Objection(
            f"STOP: {right.opposite.value} is said of {position} too", kind=Kind.TURNED.value,
            expected=f"{command.observation}: {right.value}, and nothing else", came=seen,
            todo="say which way it moved for this one command; the other way is another command",
        ))  # fmt: skip
    if wanted is not None:
        who.object(Objection(
            f"STOP: {position} MOVES THE WRONG WAY", kind=Kind.TURNED.value,
            expected=f"{command.observation}: {wanted.value}", came=seen,
            todo="the control is reversed, or the entry is wrong: find out which before anything else",
        ))  # fmt: skip


def _command_by_another(state: State, who: Who, position: Position) -> CheckState:
    """Return what was commanded; refuse a check by one person: one commands, another one watches what it does."""
    commanded = answered(state, str(position), COMMAND)
    if commanded is None or commanded.by == who.initials:
        raise Refusal(
            f"which way the {position.name} moves is seen by two people",
            expected="the command, entered by whoever gave it",
            came="nothing commanded" if commanded is None else f"{who.initials} twice",
            todo=f"the other one says: command {position.name} {position.side.value}: what was moved;   then again",
        )
    return commanded


def _refuse_unfinished(index: Index, position: Position) -> None:
    """Refuse to have a look recorded at what is not finished: what is done afterwards nobody would have seen."""
    # a control seen to move the wrong way is looked at again until it moves right; what is part of it is looked at too
    owing = [
        f for each in (position, *members(index.state, position)) for f in of_position(index, each)
        if f.answer is None and f.kind not in _AFTER_THE_WORK and not of_sense(f)
    ]  # fmt: skip
    if owing:
        first = owing[0]
        raise Refusal(
            f"the {first.position or position} is not finished: {first.kind.value}, {first.thing}: {first.seen}",
            expected="finished work to look at", came="an inspection", todo=first.advice,
        )  # fmt: skip


def not_available(job: Job, who: Who, position: Position, why: str) -> Act:
    """Record that no second person was to be had, and why; it is printed large. Return the act."""
    looked = (seen_since(job.refresh(), position, row) for row, _ in ROWS)
    kept = {row for (row, _), check in zip(ROWS, looked, strict=True)
            if check is not None and check.role is CheckRole.INDEPENDENT}  # fmt: skip
    rows = [(row, why) for row, _ in ROWS if row not in kept]
    return inspect(job, who, position, rows or [(row, why) for row, _ in ROWS], CheckRole.NOT_AVAILABLE)


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


def sign_off_act(job: Job) -> str:
    """Return the id of the act that signed the work order off; refuse where it is not signed off."""
    job.refresh()
    for act in reversed(standing(job.acts)):
        if any(isinstance(event, SignedOff) for event in act.events):
            return act.id
    raise Refusal(f"{job.name} is not signed off", expected="a sign-off", came="undo sign-off", todo="nothing to do")


def _undone_by(job: Job, who: Who, act_id: str = "") -> Act | None:
    """Return the act that an undoing would take back: the one named, or this person's last; None: there is none."""
    job.refresh()
    acts = job.acts
    stands = {act.id for act in standing(acts)}
    if act_id:
        target = next((a for a in acts if a.id == act_id), None)
    else:
        target = next((a for a in reversed(acts) if a.by == who.initials and a.id in stands and not undoes(a)), None)
    return None if target is None or target.id not in stands or target is acts[0] else target


def minutes_since(job: Job, act: Act) -> float:
    """Return how many minutes ago an act was recorded, by the clock of this computer."""
    return (datetime.fromisoformat(job.shop.means.clock()) - datetime.fromisoformat(act.at)).total_seconds() / 60


def undo(
    job: Job, who: Who, act_id: str = "", why: str = "", *, doubt: Callable[[Act], None] = lambda _: None
) -> tuple[Act, Act]:
    """Undo an act, by default the last one of this person; refused while a later one rests on it.

    `doubt` may object to the act that would be taken back, once it is known that it can be.
    Returns the act that undoes and the one that is undone.
    """
    target = _undone_by(job, who, act_id)
    acts = job.acts
    if target is None:
        raise Refusal(
            "there is nothing to undo", expected="a step of this job that was not undone yet",
            came=act_id or "no step of yours", todo="look at the history: tagtrack log",
        )  # fmt: skip
    wanted = target
    signs = any(isinstance(event, SignedOff) for event in wanted.events)
    if undoes(wanted) and any(isinstance(event, SignedOff) for event in taken_back(acts, wanted).events):
        raise Refusal("a sign-off that was taken back does not come back by itself", expected="a new sign-off",
                      came=f"undo {wanted.id}", todo="check again, then: sign off")  # fmt: skip

    looks = [e for e in wanted.events if isinstance(e, Checked) and e.role is CheckRole.INDEPENDENT]
    if looks and wanted.by != who.initials:
        raise Refusal(
            f"{wanted.by} saw that: {looks[0].observation}", expected=f"{wanted.by}, who takes it back, or looks again",
            came=f"undo by {who.initials}", todo=f"by {wanted.by}: undo {wanted.id}",
        )  # fmt: skip

    refuse_if_rested_on(acts, wanted)
    doubt(wanted)

    def make(state: State) -> Sequence[Event]:
        del state
        refuse_if_rested_on(job.acts, wanted)
        # a sign-off that is taken back has been printed and shown: the reason belongs to the record
        return (Reversed(wanted.id, reason(why) if signs or why else ""),)

    # with a sign-off standing, nothing but the sign-off itself is taken back
    act = job.commit(who, make, after_sign_off=signs)
    _remember_as_it_stands(job, who, wanted)
    return act, wanted


def _remember_as_it_stands(job: Job, who: Who, about: Act) -> None:
    """Keep with the type, or forget, what an act that was undone, or brought back, had ruled by design."""
    root = taken_back(job.acts, about)
    ruled = [e for e in root.events if isinstance(e, Ruled) and e.ruling is Ruling.BY_DESIGN]
    if not ruled:
        return
    opened = job.opened()
    known = job.shop.state.by_design.get(type_of(opened.make, opened.model), {})
    if root in standing(job.acts):
        _remember(job, who, root)
    elif gone := [e for e in ruled if known.get(e.key) == e.reason]:
        job.shop.commit(who, lambda _: [
            TypeRuled(opened.make, opened.model, e.key, e.reason, withdrawn=True) for e in gone
        ])  # fmt: skip

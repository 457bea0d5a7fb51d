"""The second person's look, row by row, and the sense check of two: one commands, another one watches."""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core.check_rest import ROWS, of_sense
from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.events import Act, Checked, Event
from tagtrack.core.findings import QUESTIONS, Kind
from tagtrack.core.index import Index
from tagtrack.core.observations import said_not_right
from tagtrack.core.reconcile import of_position
from tagtrack.core.records import CheckRole, Position
from tagtrack.core.sense import COMMAND, SENSE, directions, expected, moves, reversed_sense
from tagtrack.core.spelling import nearest, observation
from tagtrack.core.state import IN_ITSELF, State, ancestors, answered, members, seen_since
from tagtrack.core.things import CheckState
from tagtrack.shop.deciding import Decide
from tagtrack.shop.desk import Job
from tagtrack.shop.looks import seen_by
from tagtrack.shop.naming import existing
from tagtrack.shop.ports import Who

# what is seen of a whole control when it is moved, whichever of its parts was worked on; common practice, no source
OF_THE_WHOLE = ("travel", SENSE, "tension")
# what may stand while somebody inspects: the inspection itself, and questions answered at the desk
_AFTER_THE_WORK = frozenset({*QUESTIONS, Kind.NOT_INSPECTED, Kind.LEFT_OVER})


def inspect(
    job: Job, who: Who, position: Position, rows: Sequence[tuple[str, str]],
    role: CheckRole = CheckRole.INDEPENDENT, *, unseen: Sequence[tuple[str, str]] = (),
) -> Act:  # fmt: skip
    """Record what a second person saw, row by row, and what could not be seen. Nobody inspects what he or she did.

    Returns the act.
    """
    return job.commit(who, _seen(job, who, position, rows, role, unseen))


def inspect_together(job: Job, who: Who, positions: Sequence[Position], rows: Sequence[tuple[str, str]]) -> Act:
    """Record what a second person saw of one control as a whole, of each part of it, as one act; return that.

    Only of what the whole control shows when it is moved: what is looked at on each part is said of each.
    """
    for row, seen in rows:
        nobody = row in OF_THE_WHOLE and seen.casefold().startswith("not available")
        if row not in OF_THE_WHOLE or nobody:
            raise Refusal(
                f"'{'not available' if nobody else row}' is said of each part by itself", came=f"{row}: {seen}",
                expected=f"of several parts together: {', '.join(OF_THE_WHOLE)}, and what was seen of them",
                todo=f"a line for each: inspect {positions[0].name} {positions[0].side.value}; {row}: "
                f"{'not available: REASON' if nobody else '...'}",
            )  # fmt: skip
    return job.commit(who, *(_seen(job, who, each, rows, CheckRole.INDEPENDENT, ()) for each in positions))


def _seen(
    job: Job, who: Who, position: Position, rows: Sequence[tuple[str, str]], role: CheckRole,
    unseen: Sequence[tuple[str, str]],
) -> Decide:  # fmt: skip
    """Decide what was seen of one position, row by row, and what could not be."""
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
        _refuse_unfinished(Index.of(state, job.knowledge), known.position, [row for row, _ in (*answers, *unseen)])
        for row, seen in answers if role is CheckRole.INDEPENDENT else ():
            if row == SENSE:
                _look_at_sense(state, who, known.position, seen)
        said = [Checked(str(known.position), row, seen, role) for row, seen in answers]
        said += [Checked(str(known.position), row, observation(why), CheckRole.NOT_AVAILABLE) for row, why in unseen]
        for each in said:
            _refuse_to_cover(seen_since(state, known.position, each.row), each, who)
        return said

    return make


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


def command(job: Job, who: Who, positions: Sequence[Position], said: str) -> Act:
    """Record what was commanded in the cockpit while somebody else watches what moves; return the act.

    `positions`: the parts of the one control that is moved.
    """
    told = observation(said)

    def make(state: State) -> Sequence[Event]:
        known = [existing(state, each).position for each in positions]
        return [Checked(str(each), COMMAND, told, CheckRole.PERFORMER) for each in known]

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
            expected=f"{command.observation}: {wanted.value}, said of its trailing edge", came=seen,
            todo="the control is reversed, or the entry is wrong: find out which before anything else",
        ))  # fmt: skip


def _command_by_another(state: State, who: Who, position: Position) -> CheckState:
    """Return what was commanded; refuse a check by one person: one commands, another one watches what it does."""
    commanded = answered(state, str(position), COMMAND)
    linked = (position, *members(state, position), *ancestors(state, position))
    fitted = max(known.fitted for each in linked if (known := state.positions.get(each)) is not None)
    if commanded is not None and commanded.step < fitted:
        # nothing moved by a command that was given before the part, or what it is linked with, was on
        commanded = None
    if commanded is None or commanded.by == who.initials:
        raise Refusal(
            f"which way the {position.name} moves is seen by two people",
            expected="the command, entered by whoever gave it",
            came="nothing commanded" if commanded is None else f"{who.initials} twice",
            todo=f"the other one says: command {position.name} {position.side.value}: what was moved;   then again",
        )
    return commanded


def _refuse_unfinished(index: Index, position: Position, rows: Sequence[str]) -> None:
    """Refuse to have a look recorded at what is not finished: what is done afterwards nobody would have seen."""
    # how it moves is seen once what it is part of is on and tight, as well; how it sits in it may be seen at the bench
    around = () if IN_ITSELF.issuperset(rows) else ancestors(index.state, position)
    # a control seen to move the wrong way is looked at again until it moves right; what is part of it is looked at too
    owing = [
        f for each in (position, *members(index.state, position), *around) for f in of_position(index, each)
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

"""Words for closing up: complete, clear, covers, answer, inspect, look, mend, undo, sign off."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import NoReturn

from tagtrack.core.check_rest import ROWS
from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.events import Act, TagBound
from tagtrack.core.observations import said_not_right
from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import CheckRole, Position, position
from tagtrack.core.reversal import undoes
from tagtrack.core.spelling import how_many, nearest
from tagtrack.core.steps import told
from tagtrack.core.tagcode import BODY, shown
from tagtrack.shop import closing, inspecting, looks, mending, opening, undoing
from tagtrack.shop.lines import listing
from tagtrack.shop.lines.clauses import because, clauses, positions
from tagtrack.shop.lines.looking import printed_ahead
from tagtrack.shop.lines.talk import Bench, Reply, Tone, done, wrong
from tagtrack.shop.naming import existing, known_as
from tagtrack.shop.ports import Who


def mend(bench: Bench, who: Who, text: str) -> Reply:
    """`mend 4B7A21`: it was so, and the pieces were moved to where they belong."""
    act = mending.mend(bench.job, who, text)
    return done(act, f"MENDED  {text.upper()}", "     what was moved is to be made tight and safetied again")


def complete(bench: Bench, who: Who, text: str) -> Reply:
    """`complete AREA; clear: SEEN; covers: SEEN`: the work there is finished; what is still open counts from now on."""
    area, *rest = text.split(";") if text else [bench.area]
    area = area.strip() or bench.area
    act, outcome = closing.declare_complete(bench.job, who, area, _rows(clauses(";".join(rest))))
    if outcome.clean:
        return done(act, f"COMPLETE  {area}: clean")
    return wrong(act, f"COMPLETE  {area}: {how_many(len(outcome.unanswered), 'finding')}",
                 *listing.finding_lines(outcome.unanswered))  # fmt: skip


def _rows(said: Sequence[str]) -> list[tuple[str, str]]:
    """Return clauses such as `locking: pins in` as row and what was seen."""
    return [(row.strip().casefold(), seen.strip()) for row, _, seen in (clause.partition(":") for clause in said)]


def clear(bench: Bench, who: Who, text: str, *, row: str = "clear") -> Reply:
    """`clear AREA: SEEN`: it is clear of parts, tools, rags and chips, and what was counted."""
    where, _, seen = text.partition(":")
    act = closing.answer_area(bench.job, who, where.strip() or bench.area, row, seen)
    return done(act, f"{row.upper()}  {where.strip() or bench.area}: {seen.strip()}")


def covers(bench: Bench, who: Who, text: str) -> Reply:
    """`covers AREA: SEEN`: every cover and panel there is on."""
    return clear(bench, who, text, row="covers")


def command(bench: Bench, who: Who, text: str) -> Reply:
    """`command POSITION SIDE: stick back`: what is commanded in the cockpit; somebody else says which way it moved."""
    where, _, said = text.partition(":")
    moved = _together(bench, where)
    act = inspecting.command(bench.job, who, moved, said)
    listed = " + ".join(f"{here.name} {here.side.value}" for here in moved)
    return done(act, f"COMMANDED  {' + '.join(map(str, moved))}: {said.strip()}",
                f"     the one who watches says which way it moved: inspect {listed}; sense: ...")


def _together(bench: Bench, where: str) -> tuple[Position, ...]:
    """Return the positions of a list with plus signs, each as the job spells it; refuse none."""
    listed = positions(where)
    if not listed:
        raise Refusal("of what?", expected="the position with its side", came=where or "nothing",
                      todo="for example: command elevator LEFT: stick back")  # fmt: skip
    return tuple(dict.fromkeys(existing(bench.job.state, each).position for each in listed))


def answer(bench: Bench, who: Who, text: str, *, by_design: bool = False) -> Reply:
    """`answer 3F9A2C because one was missing as found`: a named person's answer to a finding."""
    said, why = because(text)
    mark, _, rest = said.partition(" ")
    act = closing.rule(bench.job, who, mark, why or rest, by_design=by_design)
    return done(act, f"ANSWERED  {mark.upper()}: {why or rest}")


def design(bench: Bench, who: Who, text: str) -> Reply:
    """`design 3F9A2C because the right fairing has a lamp`: it is so by the design of the type."""
    return answer(bench, who, text, by_design=True)


def inspect(bench: Bench, who: Who, text: str) -> Reply:
    """`inspect POSITION SIDE; assembly: SEEN; locking: SEEN` or `; not available: REASON`: the second person's look."""
    parts = clauses(text)
    if len(parts) < 2:
        raise Refusal(
            "what was seen?", expected=f"inspect POSITION SIDE; {ROWS[0][0]}: what was seen; {ROWS[1][0]}: ...",
            came=text or "nothing", todo=f"rows: {', '.join(row for row, _ in ROWS)}",
        )  # fmt: skip
    rows = _rows(parts[1:])
    if "+" in parts[0]:
        return _inspect_together(bench, who, _together(bench, parts[0]), rows)
    here = existing(bench.job.state, position(parts[0])).position
    role = CheckRole.INDEPENDENT
    if rows[0][0] == "not available":
        act = inspecting.not_available(bench.job, who, here, rows[0][1])
        return wrong(act, f"NO SECOND PERSON  {here}: {rows[0][1]}", "     printed large on the report")
    if rows[0][0] == "again":
        role, rows = CheckRole.REINSPECTED, rows[1:]
    unseen = [(row, seen) for row, seen in rows if seen.casefold().startswith("not available")]
    if unseen and role is CheckRole.INDEPENDENT:
        # what could not be seen was not inspected: it stays visible, row by row
        rows = [row for row in rows if row not in unseen]
        act = inspecting.inspect(bench.job, who, here, rows, unseen=unseen)
        if not rows:
            return wrong(act, f"NOT SEEN  {here}: {', '.join(row for row, _ in unseen)}",
                         "     printed large on the report")  # fmt: skip
    else:
        act = inspecting.inspect(bench.job, who, here, rows, role)
    return done(act, f"INSPECTED  {here}: {', '.join(row for row, _ in rows)}" + _rows_left(bench, here))


def _inspect_together(bench: Bench, who: Who, parts: Sequence[Position], rows: Sequence[tuple[str, str]]) -> Reply:
    act = inspecting.inspect_together(bench.job, who, parts, rows)
    told = [f"     {here}{_rows_left(bench, here)}" for here in parts]
    seen = ", ".join(row for row, _ in rows)
    return done(act, f"INSPECTED  {seen} of {how_many(len(parts), 'part')} together", *told)


def _rows_left(bench: Bench, here: Position) -> str:
    left = [f.thing.split(" of ")[0] for f in reconcile(bench.job.state, bench.job.knowledge).unanswered
            if f.position == here and f.kind.value == "not-inspected"]  # fmt: skip
    return f"; still to answer: {', '.join(left)}" if left else ""


_ANSWERED = {"look": "LOOKED", "function": "FUNCTION"}


def look(bench: Bench, who: Who, text: str, *, row: str = "look") -> Reply:
    """`look POSITION SIDE: what you saw`, `look POSITION SIDE: not opened, because sealed`."""
    where, _, seen = text.partition(":")
    here = position(where)
    if known_as(bench.job.state, here) not in bench.job.state.positions:
        _refuse_unnamed(bench, here)
    here = existing(bench.job.state, here).position
    act = looks.answer_row(bench.job, who, here, row, seen)
    return done(act, f"{_ANSWERED[row]}  {here}: {seen.strip()}")


def _refuse_unnamed(bench: Bench, here: Position) -> NoReturn:
    """Refuse a look at what nobody named before: a place to look at does not come off, it is named as such."""
    near = nearest(str(here), map(str, bench.job.state.positions))
    raise Refusal(
        f"nobody asked to look at '{here}'", expected="a place that was named to be looked at", came=str(here),
        todo=f"name it first: point {here.name} {here.side.value}, then the look"
        + (f";   or did you mean {near[0]}?" if near else ""),
    )  # fmt: skip


def function(bench: Bench, who: Who, text: str) -> Reply:
    """`function POSITION SIDE: what it did`."""
    return look(bench, who, text, row="function")


def chips(bench: Bench, who: Who, text: str) -> Reply:
    """`chips out POSITION SIDE: how`: chips and stems recovered."""
    where, _, how = text.removeprefix("out ").partition(":")
    here = existing(bench.job.state, position(where)).position
    act = opening.chips_out(bench.job, who, here, how.strip() or "recovered")
    if said_not_right(how):
        told = f"     it stands until they are out: chips out {here.name} {here.side.value}: how"
        return wrong(act, f"NOT RIGHT  {here}: {how.strip()}", told)
    return done(act, f"CHIPS OUT  {here}")


def undo(bench: Bench, who: Who, text: str) -> Reply:
    """`undo`: your last step; `undo ID`: that one, while nothing rests on it; `undo sign-off because ...`."""
    wanted, why = because(text)
    if wanted.casefold() in ("sign-off", "sign off"):
        wanted = undoing.sign_off_act(bench.job)

    def doubt(target: Act) -> None:
        if not why:
            _object_to_undoing(bench, who, wanted, target)

    # the reason belongs to the undoing; nothing was done that the program holds to be wrong
    before = bench.job.state
    act, gone = undoing.undo(bench.job, replace(who, despite=""), wanted, why or who.despite, doubt=doubt)
    bench.part, bench.bag, bench.loose = "", None, None
    codes = [event.tag for event in gone.events if isinstance(event, TagBound)]
    # a blank tag, and one that was printed ahead, may be used once more; any other would hang on what it was not for
    again = [code for code in codes if code in bench.job.state.planned or code[:BODY] in bench.job.shop.state.claimed]
    spoilt = [code for code in codes if code not in again]
    bench.to_print = max(0, bench.to_print - len(spoilt))
    destroy = f"     printed already? destroy {', '.join(map(shown, spoilt))}" if spoilt else ""
    keep = f"     still good, to be scanned once more: {', '.join(map(shown, again))}" if again else ""
    return done(act, f"UNDONE  step {gone.id} of {gone.by}: {told(gone, before)}", destroy, keep)


# an older step than that is hardly meant by a bare "undo"; our own choice, no source
_MINUTES = 10


def _object_to_undoing(bench: Bench, who: Who, wanted: str, target: Act) -> None:
    """Ask where somebody may mean another step than the one that would be taken back."""
    if wanted and target.by == who.initials:
        return
    latest = next((act for act in reversed(bench.job.acts) if act.id == bench.latest), None)
    step = f"step {target.id}, {target.at[11:16]} UTC: {told(target, bench.job.state)}"
    if wanted:
        what = f"that is a step of {target.by}, {step}"
    elif bench.missed:
        what = f"the line before ({bench.missed}) was not recorded: there is nothing of it to undo"
    elif latest is not None and latest is not target and not undoes(latest):
        what = f"the last step here was by {latest.by}: {told(latest, bench.job.state)}"
    elif undoing.minutes_since(bench.job, target) >= _MINUTES:
        what = f"your last step is more than {_MINUTES} minutes old"
    else:
        return
    who.object(Objection(
        what, kind="undo", expected="the step that is to be taken back" if wanted else "undo right after that step",
        came=f"undo {wanted}".strip() if wanted else f"undo, and your last step is {step}",
        todo=f"say why: undo {target.id} because ..." if wanted else f"that one is meant? undo {target.id}",
    ))  # fmt: skip


def sign(bench: Bench, who: Who, text: str) -> Reply:
    """`sign off`: closes the work order as reconciled; refused while a finding stands."""
    second = re.sub(r"(?i)^off ?(with )?", "", text)
    act = closing.sign_off(bench.job, who, second)
    head = f"RECONCILED  {bench.job.name}, record check number {bench.job.head}"
    return Reply(Tone.DONE, (head, *printed_ahead(bench)), act, ends=True)

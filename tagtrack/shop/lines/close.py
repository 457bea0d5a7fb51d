"""Words for closing up: complete, check, next, status, answer, inspect, look, tags back, void, undo, sign off."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from tagtrack.core import ahead
from tagtrack.core.check_rest import ROWS
from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.events import Act, TagBound
from tagtrack.core.observations import said_not_right
from tagtrack.core.reconcile import Reconciliation, reconcile
from tagtrack.core.records import CheckRole, Position, position
from tagtrack.core.reversal import undoes
from tagtrack.core.shortage import needs
from tagtrack.core.spelling import how_many
from tagtrack.core.tagcode import BODY, looks_like_code, read, shown
from tagtrack.core.tagwords import owner_of
from tagtrack.shop import closing, mending, opening, tagging
from tagtrack.shop.lines import listing
from tagtrack.shop.lines.clauses import because, clauses, cut
from tagtrack.shop.lines.steps import told
from tagtrack.shop.lines.talk import Bench, Reply, Tone, done, note, wrong
from tagtrack.shop.naming import existing
from tagtrack.shop.ports import Who


def check(bench: Bench, who: Who, text: str) -> Reply:
    """`check`, or `check AREA`: what is still open counts as a finding."""
    del who
    state = bench.job.refresh()
    area = closing.area_of(state, text) if text else ""
    outcome = reconcile(state, bench.job.knowledge, area=area)
    if outcome.clean:
        answered = listing.finding_lines(outcome.findings)
        clean = f"CLEAN  {area or 'the whole job'}: no finding stands without an answer"
        return Reply(Tone.DONE, (clean, *answered, *_printed_ahead(bench, area)))
    told = (how_many(len(outcome.unanswered), "FINDING", "FINDINGS"), *listing.finding_lines(outcome.findings),
            *_printed_ahead(bench, area))  # fmt: skip
    return Reply(Tone.WRONG, (*told, *_explained(bench, outcome)), found=len(outcome.unanswered))


def _printed_ahead(bench: Bench, area: str = "") -> list[str]:
    """Return what is to be done with tags that were printed ahead and never used; of one area nothing is asked."""
    told = "" if area else ahead.told_unused(bench.job.state)
    return [f"     {told}"] if told else []


def _explained(bench: Bench, outcome: Reconciliation) -> list[str]:
    if not mending.worth_explaining(outcome):
        return []
    return listing.explanation_lines(mending.explanations(bench.job))


def why(bench: Bench, who: Who, text: str) -> Reply:
    """`why`: what most likely happened where counts do not add up or parts are exchanged."""
    del who, text
    told = listing.explanation_lines(mending.explanations(bench.job))
    return note(*(told or ["nothing has to be explained, or nothing in the record explains it"]))


def mend(bench: Bench, who: Who, text: str) -> Reply:
    """`mend 4B7A21`: it was so, and the pieces were moved to where they belong."""
    act = mending.mend(bench.job, who, text)
    return done(act, f"MENDED  {text.upper()}", "     what was moved is to be made tight and safetied again")


def status(bench: Bench, who: Who, text: str) -> Reply:
    """`status`: what is off, and what is wrong already; nothing is asked of what is still being worked."""
    del who, text
    outcome = reconcile(bench.job.refresh(), bench.job.knowledge, asked=False)
    planned = ahead.still_on(bench.job.state)
    wrong_now = [f"WRONG NOW: {len(outcome.unanswered)}", *listing.finding_lines(outcome.unanswered)]
    return Reply(
        Tone.WRONG if outcome.unanswered else Tone.NOTE,
        (*(wrong_now if outcome.unanswered else ()), f"OPEN: {len(outcome.open)}", *listing.open_lines(outcome.open),
         *listing.planned_lines(planned)),
        found=len(outcome.unanswered),
    )


def next_steps(bench: Bench, who: Who, text: str) -> Reply:
    """`next`: what can go on now, and what waits for what."""
    del who, text
    steps = closing.next_steps(bench.job)
    told = ["CAN GO ON NOW", *(f"  {p}" for p in steps.now or ("nothing",))]
    if steps.waiting:
        told += ["WAITS", *(f"  {p}: for {'; '.join(map(str, below))}" for p, below in steps.waiting)]
    return note(*told)


def shortage(bench: Bench, who: Who, text: str) -> Reply:
    """`shortage`: what must be had new before the job can close."""
    del who, text
    bench.job.refresh()
    lacking = needs(bench.job.index())
    if not lacking:
        return note("NOTHING more has to be had new, by the record")
    return note("TO BE HAD NEW", *(
        f"  {need.lacking} {need.text}: {'; '.join(map(str, need.where))}"
        + (f"   ({need.drawn} drawn already)" if need.drawn else "")
        for need in lacking
    ))  # fmt: skip


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
    here = existing(bench.job.refresh(), position(where)).position
    act = closing.command(bench.job, who, here, said)
    return done(act, f"COMMANDED  {here}: {said.strip()}",
                f"     the one who watches says which way it moved: inspect {here.name} {here.side.value}; sense: ...")


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
    here = existing(bench.job.refresh(), position(parts[0])).position
    rows = _rows(parts[1:])
    role = CheckRole.INDEPENDENT
    if rows[0][0] == "not available":
        act = closing.not_available(bench.job, who, here, rows[0][1])
        return wrong(act, f"NO SECOND PERSON  {here}: {rows[0][1]}", "     printed large on the report")
    if rows[0][0] == "again":
        role, rows = CheckRole.REINSPECTED, rows[1:]
    unseen = [(row, seen) for row, seen in rows if seen.casefold().startswith("not available")]
    if unseen and role is CheckRole.INDEPENDENT:
        # what could not be seen was not inspected: it stays visible, row by row
        rows = [row for row in rows if row not in unseen]
        act = closing.inspect(bench.job, who, here, rows, unseen=unseen)
        if not rows:
            return wrong(act, f"NOT SEEN  {here}: {', '.join(row for row, _ in unseen)}",
                         "     printed large on the report")  # fmt: skip
    else:
        act = closing.inspect(bench.job, who, here, rows, role)
    return done(act, f"INSPECTED  {here}: {', '.join(row for row, _ in rows)}" + _rows_left(bench, here))


def _rows_left(bench: Bench, here: Position) -> str:
    left = [f.thing.split(" of ")[0] for f in reconcile(bench.job.state, bench.job.knowledge).unanswered
            if f.position == here and f.kind.value == "not-inspected"]  # fmt: skip
    return f"; still to answer: {', '.join(left)}" if left else ""


_ANSWERED = {"look": "LOOKED", "function": "FUNCTION"}


def look(bench: Bench, who: Who, text: str, *, row: str = "look") -> Reply:
    """`look POSITION SIDE: what you saw`, `look POSITION SIDE: not opened, because sealed`."""
    where, _, seen = text.partition(":")
    here = existing(bench.job.refresh(), position(where)).position
    act = opening.answer_row(bench.job, who, here, row, seen)
    return done(act, f"{_ANSWERED[row]}  {here}: {seen.strip()}")


def function(bench: Bench, who: Who, text: str) -> Reply:
    """`function POSITION SIDE: what it did`."""
    return look(bench, who, text, row="function")


def chips(bench: Bench, who: Who, text: str) -> Reply:
    """`chips out POSITION SIDE: how`: chips and stems recovered."""
    where, _, how = text.removeprefix("out ").partition(":")
    here = existing(bench.job.refresh(), position(where)).position
    act = opening.chips_out(bench.job, who, here, how.strip() or "recovered")
    if said_not_right(how):
        told = f"     it stands until they are out: chips out {here.name} {here.side.value}: how"
        return wrong(act, f"NOT RIGHT  {here}: {how.strip()}", told)
    return done(act, f"CHIPS OUT  {here}")


def tags(bench: Bench, who: Who, text: str) -> Reply:
    """`tags`, `tags back 4`, `tags back CODE CODE`: which are out; they came back, counted or scanned."""
    bench.job.refresh()
    out = bench.job.open_tags()
    rest = re.sub(r"(?i)^back ?", "", text)
    if not rest and not text:
        listed = (f"  {shown(code)}  {_on(bench, code)}" for code in out)
        return note(f"{how_many(len(out), 'TAG', 'TAGS')} OUT", *listed, *_printed_ahead(bench))
    if rest.strip().isdecimal() and len(rest.strip()) <= 4:
        act = tagging.all_back(bench.job, who, int(rest))
        return done(act, f"TAGS BACK  {int(rest)}, all of them")
    codes = _codes(rest)
    act = tagging.back(bench.job, who, codes)
    return done(act, f"TAGS BACK  {len(codes)}; still out: {len(bench.job.open_tags())}")


def _codes(text: str) -> list[str]:
    words = text.replace(",", " ").split()
    found: list[str] = []
    while words:
        for size in (3, 2, 1):
            candidate = " ".join(words[:size])
            if looks_like_code(candidate):
                found.append(read(candidate))
                words = words[size:]
                break
        else:
            raise Refusal(f"'{words[0]}' is no tag code", expected="tags back 52, or tags back CODE CODE", came=text,
                          todo="scan or type the codes")  # fmt: skip
    return found


def _on(bench: Bench, code: str) -> str:
    tag = bench.job.state.tags[code]
    return f"{tag.role.value}: {owner_of(bench.job.state, tag.thing)}"


def void(bench: Bench, who: Who, text: str, *, by_tag: bool = False) -> Reply:
    """`void CODE because torn off`, `void bag of POSITION because ...`: the tag means nothing from now on."""
    said, why = because(text)
    code = _code_of(bench, said)
    about = _on(bench, code) if code in bench.job.state.tags else ""
    act = tagging.void(bench.job, who, code, why, by_tag=by_tag)
    fresh = [event.tag for event in act.events if isinstance(event, TagBound)]
    bench.to_print += len(fresh)
    told = [f"     new tag {shown(new)}: print it" for new in fresh]
    if fresh and not looks_like_code(said):
        told.append("     hang it only on what you know it to be: hold it against its marks, number and place")
    return done(act, f"VOID  {shown(code)}" + (f"  {about}" if about else ""), *told)


def _code_of(bench: Bench, said: str) -> str:
    """Return the code of a tag that is named: by itself, or by what it hangs on, where nobody can read it any more."""
    if looks_like_code(said):
        return read(said)
    state = bench.job.refresh()
    bag = re.match(r"(?i)bag (?:of )?(?=.)", said)
    end = re.search(r"(?i)[ ,;]+(?:end )?([AB])$", said)
    where = said[bag.end() if bag else 0 : end.start() if end else len(said)]
    here = existing(state, position(where)).position
    return tagging.hanging_at(state, here, bag=bag is not None, end=end[1].upper() if end else "")


def reprint(bench: Bench, who: Who, text: str) -> Reply:
    """`reprint CODE because oily`, `reprint POSITION because lost`, `reprint bag of POSITION because lost`: new tag."""
    return void(bench, who, text, by_tag=True)


def seen(bench: Bench, who: Who, text: str) -> Reply:
    """`seen CODE at POSITION`: a tag of another job really is on this aircraft."""
    code, _, where = cut(text, "at")
    act = tagging.stranger(bench.job, who, code, where or bench.area or "not said")
    return wrong(act, f"SEEN  {shown(read(code))}: not this job")


def undo(bench: Bench, who: Who, text: str) -> Reply:
    """`undo`: your last step; `undo ID`: that one, while nothing rests on it; `undo sign-off because ...`."""
    wanted, why = because(text)
    if wanted.casefold() in ("sign-off", "sign off"):
        wanted = closing.sign_off_act(bench.job)

    def doubt(target: Act) -> None:
        if not why:
            _object_to_undoing(bench, who, wanted, target)

    # the reason belongs to the undoing; nothing was done that the program holds to be wrong
    before = bench.job.refresh()
    act, gone = closing.undo(bench.job, replace(who, despite=""), wanted, why or who.despite, doubt=doubt)
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
    elif closing.minutes_since(bench.job, target) >= _MINUTES:
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
    return Reply(Tone.DONE, (head, *_printed_ahead(bench)), act, ends=True)

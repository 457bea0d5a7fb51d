"""The leftover-hardware report: what came off, what went back, and everything in between, as a `Sheet`.

The dates are those of the record; the day of printing is given by the caller.
"""

from __future__ import annotations

from collections.abc import Callable

from tagtrack.core import cautions
from tagtrack.core.accounts import (
    answer_to,
    connections,
    hardware,
    left_over,
    named,
    parts,
    printed_ahead,
    replaced,
    with_second,
)  # fmt: skip
from tagtrack.core.events import Head
from tagtrack.core.findings import GROUPS, Kind
from tagtrack.core.index import Index
from tagtrack.core.looked_at import aboard, closed_out, looked_at
from tagtrack.core.reconcile import Reconciliation
from tagtrack.core.records import CheckRole
from tagtrack.core.sense import COMMAND
from tagtrack.core.sheets import Section, Sheet, Signature, Table
from tagtrack.core.spelling import how_many
from tagtrack.core.state import State
from tagtrack.core.things import DespiteState


def report(state: State, outcome: Reconciliation, head: Head, *, printed: str) -> Sheet:
    """Return the whole report. `printed` is the day of printing, as it is to stand on the page."""
    index = Index.of(state)
    job = state.job
    facts = (
        ("Aircraft", " ".join(filter(None, (job.registration, job.make, job.model, job.serial))) if job else ""),
        ("Work order", job.job if job else ""),
        ("Task", job.task if job else ""),
        ("Data used", "; ".join(job.data) if job else ""),
        ("Opened", f"{state.opened_at[:10]} by {named(state, state.opened_by)}"),
        ("Signed off", f"{state.signed_at[:10]} by {named(state, state.signed_by)}" if state.signed else ""),
        ("Printed", printed),
        ("Record check number", str(head)),
    )
    sections = [section for make in _SECTIONS if (section := make(index, outcome)) is not None]
    return Sheet(
        title="Leftover hardware and reconciliation report",
        verdict=_verdict(state, outcome),
        facts=tuple((label, value) for label, value in facts if value),
        sections=tuple(sections),
        cautions=cautions.SHEET + (cautions.CONTROLS if any(p.critical and p.cycle for p in state.positions.values())
                                   else ()),
        signatures=_signatures(state),
        foot=f"{job.job if job else ''}   record check number {head}   printed {printed}",
    )


def _verdict(state: State, outcome: Reconciliation) -> str:
    if outcome.unanswered:
        return f"NOT RECONCILED: {how_many(len(outcome.unanswered), 'finding')} without an answer"
    answered = len(outcome.findings)
    with_answers = f", with {how_many(answered, 'answered finding')}" if answered else ""
    if state.signed is None:
        return f"NO OPEN FINDING{with_answers}; not signed off"
    return f"RECONCILED{with_answers}"


def _second_looks(index: Index, outcome: Reconciliation) -> Section | None:
    """Critical positions and who looked at them; what nobody looked at stands large."""
    state = index.state
    critical = [p for p in state.positions.values() if p.critical and p.cycle]
    if not critical:
        return None
    rows: list[tuple[str, ...]] = []
    absent = False
    for known in critical:
        for (subject, row), check in state.checks.items():
            if subject == str(known.position) and check.cycle == known.cycle:
                # the command is given by whoever does the work; what moved is the second person's
                absent = absent or (row != COMMAND and check.role is not CheckRole.INDEPENDENT)
                rows.append((subject, row, check.observation, named(state, check.by), check.role.value))
    missing = [f for f in outcome.unanswered if f.kind is Kind.NOT_INSPECTED]
    rows += [(str(f.position), f.thing.split(" of ")[0], "", "", "NOBODY HAS LOOKED") for f in missing]
    gap = absent or bool(missing)
    note = "Not every critical position had its independent inspection." if gap else "Every row by a second person."
    return Section(
        heading="INDEPENDENT INSPECTION NOT COMPLETE" if gap else "Independent inspection of critical positions",
        note=note,
        table=Table(columns=("Position", "Row", "Observed", "By", "In what role"), rows=tuple(rows),
                    widths=(4, 2, 5, 3, 3)),
        loud=gap,
    )  # fmt: skip


def _findings(index: Index, outcome: Reconciliation) -> Section | None:
    state = index.state
    rank = {kind: heading for heading, kinds in GROUPS for kind in kinds}
    rows = tuple(
        (f.short, f.kind.value, f"{f.position or f.area}: {f.thing}", f"expected {f.expected}; seen {f.seen}",
         answer_to(state, f))
        for f in sorted(outcome.findings, key=lambda f: [h for h, _ in GROUPS].index(rank[f.kind]))
    )  # fmt: skip
    if not rows:
        return Section(heading="Findings", note="None.")
    return Section(
        heading="Findings and their answers",
        table=Table(columns=("Mark", "Kind", "Where and what", "Expected and seen", "Answer"), rows=rows,
                    widths=(2, 3, 5, 5, 5)),
        loud=bool(outcome.unanswered),
    )  # fmt: skip


def _losses(index: Index, outcome: Reconciliation) -> Section | None:
    del outcome
    rows = []
    for loss in index.state.losses.values():
        search = "; ".join(f"{named(index.state, by)}: {step}" for by, step in loss.search) or "no search recorded"
        ended = loss.outcome.value if loss.outcome and not loss.stands else "NOT FOUND"
        second = f", {told}" if (told := with_second(index.state, loss)) else ""
        rows.append((loss.case, f"{loss.count} {loss.what}", "; ".join(loss.areas), search, ended + second))
    if not rows:
        return None
    return Section(
        heading="Lost items and the search",
        table=Table(columns=("Case", "What", "Areas", "Search", "Outcome"), rows=tuple(rows), widths=(1, 3, 3, 6, 3)),
        loud=any(loss.stands for loss in index.state.losses.values()),
    )


def _despite(index: Index, outcome: Reconciliation) -> Section | None:
    """What was done against a word of the program, as it was then: no answer to what is found now."""
    del outcome
    rows = tuple(
        (each.about or "-", "; ".join(told) or "-", f"{named(index.state, each.by)}, {each.at}", each.reason, act)
        for act, each in index.state.despite.items()
        if (told := _against(each)) or not each.objected
    )
    if not rows:
        return None
    return Section(
        heading="Recorded although the program objected",
        note="As it was then. What of it still stands is a finding; a reason given here is no answer to one.",
        table=Table(columns=("Position", "What the program said", "By, when (UTC)", "Reason given", "Step"), rows=rows,
                    widths=(3, 4, 3, 4, 2)),
    )  # fmt: skip


# how a name is spelled, and where one stands, was asked to have the record right; nothing was done against advice
_OF_THE_RECORD = ("near-miss", "side")


def _against(despite: DespiteState) -> list[str]:
    asked = (each.partition(": ") for each in despite.objected)
    return [said.removeprefix("STOP: ") for kind, _, said in asked if kind not in _OF_THE_RECORD]


def _photos(index: Index, outcome: Reconciliation) -> Section | None:
    del outcome
    rows = tuple(
        (subject if subject != "job" else "the whole job", str(len(names)), ", ".join(name[:12] for name in names))
        for subject, names in index.state.pictures.items()
    )
    if not rows:
        return None
    return Section(
        heading="Photos",
        note="Kept beside the record, each under the SHA-256 of its bytes; here the first twelve figures of it.",
        table=Table(columns=("Of", "Count", "Names begin"), rows=rows, widths=(4, 1, 8)),
    )


_SECTIONS: tuple[Callable[[Index, Reconciliation], Section | None], ...] = (
    _findings,
    left_over,
    _losses,
    _second_looks,
    looked_at,
    closed_out,
    aboard,
    replaced,
    parts,
    hardware,
    connections,
    printed_ahead,
    _photos,
    _despite,
)


def _signatures(state: State) -> tuple[Signature, ...]:
    signed = named(state, state.signed.second) if state.signed and state.signed.second else ""
    return (
        Signature(
            role="Work done by",
            statement="I did or supervised the work recorded here, and every item above is accounted for.",
        ),
        Signature(
            role="Looked at by a second person", statement="I looked at the critical positions above.", name=signed
        ),
        Signature(
            role="Accepted by the certificated person responsible",
            statement="I have read this report. The maintenance record entry is made separately.",
        ),
    )

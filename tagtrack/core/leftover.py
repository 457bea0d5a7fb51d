"""The leftover-hardware report: what came off, what went back, and everything in between, as a `Sheet`.

The dates are those of the record; the day of printing is given by the caller.
"""

from __future__ import annotations

from collections.abc import Callable

from tagtrack.core import cautions
from tagtrack.core.ahead import unused, what_it_is_for
from tagtrack.core.check_joints import inside, to_go_back, told_tight
from tagtrack.core.events import Head
from tagtrack.core.findings import GROUPS, Finding, Kind
from tagtrack.core.hardware import text_of
from tagtrack.core.index import Index
from tagtrack.core.owners import by_owner
from tagtrack.core.places import KEPT, SCRAP, ItemKind, Place, PlaceKind, told
from tagtrack.core.reconcile import Reconciliation
from tagtrack.core.records import CheckRole
from tagtrack.core.sense import COMMAND
from tagtrack.core.sheets import Section, Sheet, Signature, Table
from tagtrack.core.spelling import how_many
from tagtrack.core.state import DespiteState, JointState, PartState, State
from tagtrack.core.tagcode import shown


def report(state: State, outcome: Reconciliation, head: Head, *, printed: str) -> Sheet:
    """Return the whole report. `printed` is the day of printing, as it is to stand on the page."""
    index = Index.of(state)
    job = state.job
    facts = (
        ("Aircraft", " ".join(filter(None, (job.registration, job.make, job.model, job.serial))) if job else ""),
        ("Work order", job.job if job else ""),
        ("Task", job.task if job else ""),
        ("Data used", "; ".join(job.data) if job else ""),
        ("Opened", f"{state.opened_at[:10]} by {_name(state, state.opened_by)}"),
        ("Signed off", f"{state.signed_at[:10]} by {_name(state, state.signed_by)}" if state.signed else ""),
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


def _name(state: State, initials: str) -> str:
    person = state.people.get(initials)
    return str(person) if person else initials


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
                rows.append((subject, row, check.observation, _name(state, check.by), check.role.value))
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
         _answer(state, f))
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


def _answer(state: State, finding: Finding) -> str:
    if finding.answer is None:
        return "NO ANSWER"
    answer = finding.answer
    second = f"; with {answer.second}" if answer.second else ""
    return f"{answer.ruling.value}: {answer.reason} ({_name(state, answer.by)}, {answer.at[:10]}{second})"


def _left_over(index: Index, outcome: Reconciliation) -> Section:
    """Everything of this job that still lies in the shop, by bag, with where it came from and why it is left."""
    reasons = {(f.thing, f.position): _answer(index.state, f) for f in outcome.findings if f.answer}
    rows: list[tuple[str, ...]] = []
    for place, joint, lots in by_owner(index, [place for place in index.state.holdings if place.kind in KEPT]):
        home = joint.positions[0] if joint else None
        origin = str(home or "not known")
        for item, count in lots.items():
            if item.kind in (ItemKind.USED, ItemKind.NEW):
                new = "new " if item.kind is ItemKind.NEW else ""
                rows.append((told(place), str(count), f"{new}{item.name}", origin,
                             reasons.get((told(place), home), "UNEXPLAINED")))  # fmt: skip
    if not rows:
        return Section(heading="Left over", note="No hardware of this job lies in a bag, on the bench or on a shelf.")
    return Section(
        heading="Left over",
        table=Table(columns=("Where", "Count", "Spec", "Came from", "Reason"), rows=tuple(rows),
                    widths=(3, 1, 3, 4, 4)),
        loud=any(row[-1] == "UNEXPLAINED" for row in rows),
    )


def _losses(index: Index, outcome: Reconciliation) -> Section | None:
    del outcome
    rows = []
    for loss in index.state.losses.values():
        search = "; ".join(f"{_name(index.state, by)}: {step}" for by, step in loss.search) or "no search recorded"
        ended = loss.outcome.value if loss.outcome and not loss.stands else "NOT FOUND"
        second = f", accepted with {loss.second}" if loss.second else ""
        rows.append((loss.case, f"{loss.count} {loss.what}", "; ".join(loss.areas), search, ended + second))
    if not rows:
        return None
    return Section(
        heading="Lost items and the search",
        table=Table(columns=("Case", "What", "Areas", "Search", "Outcome"), rows=tuple(rows), widths=(1, 3, 3, 6, 3)),
        loud=any(loss.stands for loss in index.state.losses.values()),
    )


def _replaced(index: Index, outcome: Reconciliation) -> Section | None:
    del outcome
    rows: list[tuple[str, ...]] = []
    for part in index.state.parts.values():
        if part.replaced_by or part.condition.value != "serviceable":
            new = index.state.parts.get(part.replaced_by)
            by = " ".join(filter(None, ("new", new.number, new.serial))) if new else "not replaced"
            rows.append((str(part.home), _numbers(part), by, told(part.place),
                         f"{part.condition.value} {part.condition_reason}".strip()))  # fmt: skip
    rows += _renewed(index.state)
    if not rows:
        return None
    return Section(
        heading="Replaced and scrapped",
        table=Table(columns=("What", "Old", "New", "Old one is", "Condition"), rows=tuple(rows),
                    widths=(4, 3, 3, 3, 4)),
    )  # fmt: skip


def _renewed(state: State) -> list[tuple[str, ...]]:
    """Return the hardware that was thrown away, with what went in new for it, and what went in new besides."""
    old = {item.name: n for item, n in state.holdings.get(SCRAP, {}).items() if item.kind is ItemKind.USED}
    fresh: dict[str, int] = {}
    for joint in state.joints.values():
        for item, count in state.holdings.get(Place(PlaceKind.JOINT, joint.identity), {}).items():
            if item.kind is ItemKind.NEW:
                fresh[item.name] = fresh.get(item.name, 0) + count
    return [
        ("hardware", f"{old[spec]} {spec}" if spec in old else "-", f"{fresh[spec]} {spec}" if spec in fresh else "-",
         "scrap" if spec in old else "-", "")
        for spec in {**old, **fresh}
    ]  # fmt: skip


def _parts(index: Index, outcome: Reconciliation) -> Section | None:
    """What came off and where it is now."""
    del outcome
    rows = tuple(
        (str(part.home), _numbers(part), str(part.marks), told(part.place), str(part.seen) or "-",
         shown(part.tag) if part.tag else "no tag")
        for part in index.state.parts.values()
        if not part.replaces
    )  # fmt: skip
    if not rows:
        return None
    return Section(
        heading="Parts that came off, and where they are",
        table=Table(columns=("Came off", "P/N, S/N", "Marks then", "Is now", "Marks at refit", "Tag"), rows=rows,
                    widths=(4, 3, 3, 4, 3, 2)),
    )  # fmt: skip


def _numbers(part: PartState) -> str:
    return " ".join(filter(None, (part.number, f"S/N {part.serial}" if part.serial else "", part.life))) or "-"


def _hardware(index: Index, outcome: Reconciliation) -> Section | None:
    """Every joint: found, to go back, gone back."""
    del outcome
    rows = tuple(_joint_row(index, joint) for joint in index.state.joints.values())
    if not rows:
        return None
    return Section(
        heading="Hardware: found, to go back, gone back",
        table=Table(columns=("Joint", "Found", "To go back", "In it now", "Tight", "Lock"), rows=rows,
                    widths=(4, 4, 4, 4, 2, 2)),
    )  # fmt: skip


def _joint_row(index: Index, joint: JointState) -> tuple[str, ...]:
    every, _ = inside(index.state.holdings, joint)
    back = text_of(to_go_back(joint)) + (f" ({joint.back_reason})" if joint.back_reason else "")
    tight = told_tight(joint) + (f", {joint.torque}" if joint.torque else "")
    lock = ("safetied" if joint.safe else "") or joint.lock or "-"
    found = text_of({line.spec: line.count for line in joint.found})
    return ("; ".join(map(str, joint.positions)), found, back, text_of(every), tight, lock)


def _connections(index: Index, outcome: Reconciliation) -> Section | None:
    del outcome
    rows = tuple(
        (str(end.position), end.end or "keyed", end.as_found or "-", "made" if end.made else "OFF", end.terminal or "-")
        for end in index.state.ends.values()
    )
    rows += tuple(
        (str(s.position), "setting", f"as found {s.as_found}", f"as left {s.as_left or 'NOT READ'}", s.reason or "-")
        for s in index.state.settings.values()
    )
    if not rows:
        return None
    return Section(
        heading="Connections and settings",
        table=Table(columns=("What", "End", "As found", "Now", "Where, why"), rows=rows, widths=(4, 2, 3, 3, 4)),
    )


def _despite(index: Index, outcome: Reconciliation) -> Section | None:
    """What was done against a word of the program, as it was then: no answer to what is found now."""
    del outcome
    rows = tuple(
        (each.about or "-", "; ".join(told) or "-", f"{_name(index.state, each.by)}, {each.at}", each.reason, act)
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


def _printed_ahead(index: Index, outcome: Reconciliation) -> Section | None:
    """Tags that were printed from a list and never used: they lie about, and are to be destroyed."""
    del outcome
    left = unused(index.state)
    if not left:
        return None
    return Section(
        heading="Tags printed ahead, never used",
        note=f"Destroy {'it' if len(left) == 1 else 'them'}, so that none ever hangs on anything else.",
        table=Table(columns=("Tag", "Printed for"), widths=(2, 8),
                    rows=tuple((shown(code), what_it_is_for(plan, code)) for code, plan in left.items())),
    )  # fmt: skip


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
    _left_over,
    _losses,
    _second_looks,
    _replaced,
    _parts,
    _hardware,
    _connections,
    _printed_ahead,
    _photos,
    _despite,
)


def _signatures(state: State) -> tuple[Signature, ...]:
    signed = _name(state, state.signed.second) if state.signed and state.signed.second else ""
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

"""The reconciliation: everything that came off, against everything that went back.

`reconcile` is pure: the same State and the same question give the same findings, whatever the order of the acts was.
While an area is being worked, what is off there is *open*, not wrong; declaring the area complete, or asking for a
check, turns it into findings. What is wrong at the moment of the act is a finding at once.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from tagtrack.core import check_joints, check_pairs, check_parts, check_rest
from tagtrack.core.axes import area_words
from tagtrack.core.callout import NOTHING_KNOWN, Decoder
from tagtrack.core.findings import AT_ONCE, QUESTIONS, Finding, Kind, in_order
from tagtrack.core.index import Index
from tagtrack.core.order import closed_in, held_with, hidden_since, out_of_reach, riveted_shut, under
from tagtrack.core.records import Access, CheckRole, Position
from tagtrack.core.state import State, answered, zone
from tagtrack.core.things import PositionState

PerPosition = Callable[[Index, PositionState], list[Finding]]
PerJob = Callable[[Index], list[Finding]]

PER_POSITION: tuple[PerPosition, ...] = (
    check_parts.parts,
    check_parts.per_data,
    check_joints.joints,
    check_rest.connections,
    check_rest.questions,
    check_rest.settings,
    check_rest.uncounted,
    check_rest.aboard,
    check_rest.inspections,
    check_rest.senses,
)
PER_JOB: tuple[PerJob, ...] = (
    check_pairs.pairs,
    check_rest.left_over,
    check_rest.aboard_elsewhere,
    check_rest.losses,
    check_rest.strangers,
)
# asked only of the whole job: while work goes on, tags and zone cards hang where they belong
AT_THE_END: tuple[PerJob, ...] = (check_rest.tags,)

# what a position may still owe and yet be covered: a question that a person answers at the desk
_DO_NOT_HOLD_UP = frozenset({*QUESTIONS, Kind.LEFT_OVER})


@dataclass(frozen=True, slots=True)
class Reconciliation:
    """The outcome of a check."""

    findings: tuple[Finding, ...]
    # what is off, or not finished, where work still goes on
    open: tuple[Finding, ...]
    # of other areas, where one was asked for
    elsewhere: tuple[Finding, ...] = ()

    @property
    def unanswered(self) -> tuple[Finding, ...]:
        """The findings that nobody has answered."""
        return tuple(f for f in self.findings if f.answer is None)

    @property
    def clean(self) -> bool:
        """Whether no finding stands without an answer."""
        return not self.unanswered


def of_position(index: Index, position: Position) -> tuple[Finding, ...]:
    """Return what is not as it should be at one position, each with its answer, without asking the whole job.

    A joint that is shared with another position counts at each of them.
    """
    known = index.state.positions.get(position)
    if known is None:
        return ()
    checks = (*PER_POSITION, check_parts.standing, check_joints.shared)
    return in_order([_answered(index.state, f) for check in checks for f in check(index, known)])


def all_of(index: Index) -> tuple[Finding, ...]:
    """Return everything that is not as it should be, open or not, each with its answer."""
    found = [f for known in index.state.positions.values() for check in PER_POSITION for f in check(index, known)]
    found += [f for job_check in PER_JOB for f in job_check(index)]
    found = [_answered(index.state, f) for f in found]
    found += _closed_before_complete(index, found)
    return in_order(found)


def _answered(state: State, finding: Finding) -> Finding:
    ruling = state.rulings.get(finding.key)
    # a loss is answered only by its own steps: found, proved not aboard, accepted with a second name
    if ruling is None or finding.kind is Kind.LOST:
        return finding
    known = state.positions.get(finding.position) if finding.position else None
    if known is not None and finding.kind not in QUESTIONS and ruling.cycle != known.cycle:
        # it was mended, or taken apart, since: what comes up again is asked again
        return finding
    if ruling.step < finding.since:
        return finding
    return replace(finding, answer=ruling)


def holding_up(state: State, findings: tuple[Finding, ...] | list[Finding], cover: Position) -> frozenset[Position]:
    """Return the positions of which something unanswered stands that the cover must not go on over.

    Its own hardware may hold what lies under it as well: that is finished, and looked at, once the cover is on.
    """
    held = held_with(state, cover)
    return frozenset(
        p for f in _owing(findings) if f.position != cover and not _looked_at_later(f, held)
        for p in (f.position, *f.also) if p is not None
    )  # fmt: skip


def _looked_at_later(finding: Finding, held: frozenset[Position]) -> bool:
    return finding.kind is Kind.NOT_INSPECTED and finding.position in held


def _owing(findings: tuple[Finding, ...] | list[Finding]) -> list[Finding]:
    return [
        f for f in findings
        if f.answer is None and f.kind not in _DO_NOT_HOLD_UP and not check_rest.from_outside(f)
    ]  # fmt: skip


def _behind_closed_covers(index: Index) -> set[Position]:
    """Return what was worked on, or looked at, when every way to it was closed already."""
    state = index.state
    hidden = hidden_since(state)
    late = {position for position, step in hidden.items() if state.positions[position].worked > step}
    subjects = {str(position): position for position in hidden}
    subjects |= {joint.identity: p for p in hidden for joint in state.joints_of(p) if joint.positions[0] == p}
    reach = out_of_reach(state, hidden)
    for (subject, row), check in state.checks.items():
        there = subjects.get(subject) if row not in check_rest.FROM_OUTSIDE else None
        if there is None or check.role is CheckRole.NOT_AVAILABLE:
            continue
        second = check.role is not CheckRole.PERFORMER
        if check.step > (reach if second else hidden)[there]:
            late.add(there)
    for position, step in hidden.items():
        setting = state.settings.get(position)
        read = setting is not None and setting.step > step
        if read or state.aboard_since.get(str(position), 0) > step:
            late.add(position)
    return late


def _shut(index: Index, cover: Position) -> bool:
    known = index.state.positions[cover]
    if not known.cycle:
        return False
    if index.belonging(cover) is None:
        return riveted_shut(index.state, cover)
    return known.access is Access.CLOSED and index.is_back(cover)


def _closed_before_complete(index: Index, found: list[Finding]) -> list[Finding]:
    owing = _owing(found)
    late = _behind_closed_covers(index)
    result: list[Finding] = []
    for cover, known in index.state.positions.items():
        below = closed_in(index.state, cover) if known.closes_up and _shut(index, cover) else ()
        if not below:
            continue
        held_up = holding_up(index.state, owing, cover)
        # what is part of what lies under it may be reached from elsewhere
        touched = [p for p in under(index.state, cover) if p in late]
        told = [
            f"{what}: {'; '.join(map(str, sorted(which)))}"
            for what, which in (("on over", [p for p in below if p in held_up]),
                                ("worked on or looked at after it was closed", touched))
            if which
        ]  # fmt: skip
        if told:
            result.append(
                _answered(index.state, Finding(
                    kind=Kind.CLOSED_BEFORE_COMPLETE, position=cover, area=known.area, thing=cover.name,
                    expected="all it closes up finished first", seen=". ".join(told),
                    advice="open it again and finish what lies under it", acts=known.acts,
                    since=max((index.state.positions[p].worked for p in touched), default=0),
                ))
            )  # fmt: skip
    return result


def reconcile(
    state: State, knowledge: Decoder = NOTHING_KNOWN, *, area: str = "", asked: bool = True,
    closing: Position | None = None,
) -> Reconciliation:  # fmt: skip
    """Return the findings, and what is merely open.

    `asked`: a person asks for a check, so that what is open counts. `area` limits the question to one area;
    `closing` limits it to what one cover closes up. Without them the whole job is asked, its tags included.
    `knowledge` of standard hardware lets a successor count as what it replaced, and names look-alikes.
    """
    index = Index.of(state, knowledge)
    if closing is not None:
        return _what_it_closes_up(index, closing)
    everything = list(all_of(index))
    whole_job = asked and not area
    complete = {a for a in state.areas() if answered(state, zone(a), "complete")}
    if whole_job:
        everything += [_answered(state, f) for job_check in AT_THE_END for f in job_check(index)]
    # asked when an area is closed out, never while it is being worked
    everything += [_answered(state, f) for f in check_rest.close_out(index)
                   if whole_job or f.area in complete or (asked and f.area == area)]  # fmt: skip
    findings: list[Finding] = []
    still_open: list[Finding] = []
    elsewhere: list[Finding] = []
    for finding in everything:
        if area and not _lies_in(index, finding, area):
            elsewhere.append(finding)
        elif asked or finding.kind in AT_ONCE or any(_lies_in(index, finding, each) for each in complete):
            findings.append(finding)
        else:
            still_open.append(finding)
    return Reconciliation(in_order(findings), in_order(still_open), in_order(elsewhere))


def _what_it_closes_up(index: Index, cover: Position) -> Reconciliation:
    """Return what stands of all that one cover closes up, of itself once it is shut, and of what was lost there."""
    below = frozenset(closed_in(index.state, cover))
    behind = {index.area(p) for p in (cover, *below)}
    everything = all_of(index)
    if not _shut(index, cover):
        # what its own hardware holds as well is finished, and looked at, once it is on
        held = held_with(index.state, cover)
        everything = tuple(f for f in everything if f.position != cover and not _looked_at_later(f, held))
    return Reconciliation(in_order([f for f in everything if below & {f.position, *f.also}
                                    or (f.kind is Kind.LOST and any(map(f.lies_in, behind)))]), ())  # fmt: skip


def _lies_in(index: Index, finding: Finding, area: str) -> bool:
    # a joint shared between areas counts in each of them
    return finding.lies_in(area) or any(area_words(index.area(p)) == area_words(area) for p in finding.also)

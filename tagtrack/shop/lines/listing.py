"""Findings, and what is merely open, as lines for a screen: the most dangerous first, or position by position."""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core import still_open
from tagtrack.core.check_rest import ROWS
from tagtrack.core.events import Planned
from tagtrack.core.exchanges import Explanation
from tagtrack.core.findings import GROUPS, Finding, Kind
from tagtrack.core.spelling import how_many
from tagtrack.core.tagcode import shown
from tagtrack.shop.inspecting import OF_THE_WHOLE


def finding_lines(findings: Sequence[Finding]) -> list[str]:
    """Return findings as lines for a screen, grouped by what to do, the most dangerous first."""
    told: list[str] = []
    kept = _kept_beside(findings)
    for heading, kinds in GROUPS:
        mine = [f for f in findings if f.kind in kinds and f.key not in kept]
        if mine:
            told.append(f"{heading.upper()}")
        told += _not_looked_at(mine)
        for f in (f for f in mine if not still_open.waits_for_a_look(f)):
            told.append(f"  {f.short}  {f.kind.value:<22} {_where(f)}{still_open.what(f)}")
            told.append(f"          expected {f.expected}; seen {f.seen}")
            told += [f"          {bag.thing}: {bag.seen}" for bag in kept.values() if _waits_for(f, bag)]
            if f.answer:
                told.append(f"          answered by {f.answer.by}: {f.answer.reason}")
            else:
                told.append(f"          -> {f.advice}")
    return told


def _kept_beside(findings: Sequence[Finding]) -> dict[str, Finding]:
    """Return, by their keys, the bags that wait for a part which is missing: they are told with it, once."""
    missing = [f for f in findings if f.kind is Kind.MISSING]
    return {f.key: f for f in findings if any(_waits_for(part, f) for part in missing)}


def _waits_for(part: Finding, bag: Finding) -> bool:
    """Return whether a bag, or a hole, holds what goes in with a part that is not back on."""
    return (part.kind is Kind.MISSING and bag.kind is Kind.LEFT_OVER and part.position == bag.position
            and part.answer is None and bag.answer is None and bag.thing in part.advice)


def explanation_lines(explanations: Sequence[Explanation]) -> list[str]:
    """Return what most likely happened as lines for a screen, each with its mark and what to do."""
    told = ["WHAT MOST LIKELY HAPPENED (worked out from the record; nobody saw it)"] if explanations else []
    for each in explanations:
        for number, exchange in enumerate(each.exchanges):
            told.append(f"  {each.short if not number else '      '}  move {exchange}")
            told += [f"          just as well from {other}" for other in exchange.instead]
        if not each.can_be_mended:
            told.append("          -> search for it; what only looks alike is never fitted instead")
        else:
            told.append(f"          -> look first; when it is so and moved: mend {each.short}")
        told.append(f"          steps to look at: {', '.join(list(dict.fromkeys(each.acts))[:6])}")
    return told


def _not_looked_at(findings: Sequence[Finding]) -> list[str]:
    """Return the rows that nobody has looked at, position by position, and once what each of them means."""
    owed = [(_where(f), f.thing.split(" of ")[0]) for f in findings if still_open.waits_for_a_look(f)]
    waits = {where: [row for row, _ in ROWS if (where, row) in owed] for where in dict.fromkeys(w for w, _ in owed)}
    if not waits:
        return []
    # answered away by its mark it cannot be, so it shows none
    told = [f"          {Kind.NOT_INSPECTED.value:<22} {where}: {', '.join(rows)}" for where, rows in waits.items()]
    told += [f"          {row:<12} {meaning}" for row, meaning in ROWS if any(row in rows for rows in waits.values())]
    first = next(iter(waits))
    said = first.replace(", ", " ")
    told.append(f"          -> somebody who did none of this work: inspect {said}; {waits[first][0]}: what was seen")
    if sum(bool(set(rows) & set(OF_THE_WHOLE)) for rows in waits.values()) > 1:
        told.append(f"             {', '.join(OF_THE_WHOLE)} of parts of one control, together: "
                    f"inspect POSITION + POSITION; {OF_THE_WHOLE[0]}: what was seen")  # fmt: skip
    told.append(f"             nobody there: inspect {said}; not available: REASON")
    return told


def how_many_found(findings: Sequence[Finding]) -> str:
    """Return how many findings stand without an answer, and in how many entries they are listed where that differs."""
    standing = [f for f in findings if f.answer is None]
    together = {_where(f) for f in standing if still_open.waits_for_a_look(f)}
    kept = _kept_beside(standing)
    entries = len(together) + sum(not still_open.waits_for_a_look(f) and f.key not in kept for f in standing)
    counted = how_many(len(standing), "FINDING", "FINDINGS")
    return counted if entries == len(standing) else f"{counted} in {how_many(entries, 'entry', 'entries')}"


def _where(finding: Finding) -> str:
    return str(finding.position) if finding.position else finding.area or "the whole job"


def planned_lines(planned: Sequence[Planned]) -> list[str]:
    """Return what is planned by a list and not off yet, each with its tags; nothing where nothing is."""
    told = [f"PLANNED, not off yet: {len(planned)}"] if planned else []
    for each in planned:
        bag = f", bag tag {shown(each.bag)}" if each.bag else ""
        told.append(f"  {each.position}: tag {shown(each.tag)}{bag}")
    return told


def open_lines(findings: Sequence[Finding]) -> list[str]:
    """Return what is open, position by position."""
    by_place: dict[str, list[Finding]] = {}
    for finding in findings:
        by_place.setdefault(_where(finding), []).append(finding)
    told: list[str] = []
    for where, mine in sorted(by_place.items()):
        told.append(f"  {where}")
        told += [f"      {line}" for line in still_open.lines(mine)]
    return told

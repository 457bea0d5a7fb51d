"""What is open, in shop words. It is not wrong while work goes on, so it is called by other words than a finding."""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core.findings import Finding, Kind

_STILL = {
    Kind.MISSING: "off", Kind.LEFT_OVER: "kept", Kind.STILL_ABOARD: "aboard", Kind.STILL_DISCONNECTED: "disconnected",
    Kind.NOT_TIGHT: "to be made tight", Kind.NOT_SAFETIED: "to be safetied",
    Kind.SETTING: "to be read again", Kind.NOT_LOOKED_AT: "to be looked at", Kind.PAIR_DIFFERS: "say why",
    Kind.PAIR_LOOKS_ALIKE: "to be marked",
    Kind.DIFFERS_FROM_DATA: "say why",
}  # fmt: skip


def what(finding: Finding) -> str:
    """Return the thing that a finding is about, as it follows its position; nothing where that is called after it."""
    named = finding.position is not None and finding.thing == finding.position.name
    return "" if named else f": {finding.thing}"


def short(finding: Finding) -> str:
    """Return how many of how many pieces are still to go in, where that is what is open; else an empty text."""
    return f"{finding.lacks} of {finding.expected} still to go in" if finding.lacks else ""


def told(finding: Finding) -> str:
    """Return one thing that is open, as it is told at its position."""
    return short(finding) or f"{_STILL.get(finding.kind, finding.kind.value)}{what(finding)}: {finding.seen}"


def waits_for_a_look(finding: Finding) -> bool:
    """Return whether a finding is a row that a second person has still to look at."""
    return finding.kind is Kind.NOT_INSPECTED and finding.answer is None


def looks(findings: Sequence[Finding]) -> str:
    """Return the rows among findings that wait for a second person, on one line; an empty text where none does."""
    rows = [f.thing.split(" of ")[0] for f in findings if waits_for_a_look(f)]
    return f"to be looked at by a second person: {', '.join(rows)}" if rows else ""


def lines(findings: Sequence[Finding]) -> list[str]:
    """Return what is open at one position, a line each, with the looks of a second person together at the end."""
    rest = [told(f) for f in findings if not waits_for_a_look(f)]
    owed = looks(findings)
    return [*rest, *([owed] if owed else [])]

"""What was looked at, how each area was closed out, and what was aboard for a while, as tables of the leftover report.

What somebody saw stands in his own words, with who and when: a report that is signed has to show it.
"""

from __future__ import annotations

from tagtrack.core.accounts import named
from tagtrack.core.check_rest import AREA_ROWS, ROWS
from tagtrack.core.index import Index
from tagtrack.core.places import Item, ItemKind, Place, PlaceKind
from tagtrack.core.reconcile import Reconciliation
from tagtrack.core.sense import COMMAND
from tagtrack.core.sheets import Section, Table
from tagtrack.core.state import State, answered, known_by_text, told_not_right, zone
from tagtrack.core.things import CheckState

_OF_A_SECOND_PERSON = frozenset({COMMAND, *(row for row, _ in ROWS)})
_AREA = frozenset(row for row, _ in AREA_ROWS)


def looked_at(index: Index, outcome: Reconciliation) -> Section | None:
    """Points, functions, chips and whatever else was looked at, besides the inspection of critical positions."""
    del outcome
    state = index.state
    rows: list[tuple[str, ...]] = []
    loud = False
    for (subject, row), check in state.checks.items():
        known = known_by_text(state, subject)
        of_inspection = known is not None and known.critical and row in _OF_A_SECOND_PERSON
        if row in _AREA or of_inspection or (known is None and subject not in state.joints):
            continue
        where = "; ".join(map(str, state.joints[subject].positions)) if known is None else str(known.position)
        loud = loud or bool(told_not_right(check))
        rows.append((where, row, _seen(state, subject, row, check), _by(state, check)))
    rows += [(str(known.position), row, "NOBODY HAS LOOKED", "") for known in state.positions.values()
             for row in known.asks if (str(known.position), row) not in state.checks]  # fmt: skip
    if not rows:
        return None
    return Section(
        heading="Looked at",
        table=Table(columns=("Where", "What", "Observed", "By, when (UTC)"), rows=tuple(rows), widths=(4, 2, 6, 4)),
        loud=loud or any(row[2] == "NOBODY HAS LOOKED" for row in rows),
    )


def closed_out(index: Index, outcome: Reconciliation) -> Section | None:
    """Each area that was worked in: what was counted, and which covers are on, in the words of who looked."""
    del outcome
    state = index.state
    areas = dict.fromkeys(known.area for known in state.positions.values() if known.cycle)
    rows: list[tuple[str, ...]] = []
    for area in areas:
        for row, _ in AREA_ROWS:
            check = state.checks.get((zone(area), row))
            seen = "NOT SAID" if check is None else _seen(state, zone(area), row, check)
            rows.append((area or "the aircraft", row, seen, _by(state, check) if check else ""))
    if not rows:
        return None
    return Section(
        heading="Areas closed out",
        table=Table(columns=("Area", "What", "Observed", "By, when (UTC)"), rows=tuple(rows), widths=(4, 2, 6, 4)),
        loud=any(row[2] == "NOT SAID" for row in rows),
    )


def aboard(index: Index, outcome: Reconciliation) -> Section | None:
    """Caps, plugs, gust locks, tools: what was put on the aircraft for a while, and what of it came off again."""
    del outcome
    state = index.state
    rows: list[tuple[str, ...]] = []
    for (where, what), each in state.aboard.items():
        still = state.holdings.get(Place(PlaceKind.ABOARD, where), {}).get(Item(ItemKind.TEMPORARY, what), 0)
        # what is in neither was lost aboard, and has a case
        lost = each.put - each.taken - still
        now = ", ".join(filter(None, (f"{still} STILL ABOARD" if still else "", f"{lost} lost" if lost > 0 else "")))
        rows.append((what, where, f"{each.put} by {_names(state, each.put_by)}",
                     f"{each.taken} by {_names(state, each.taken_by)}" if each.taken else "0",
                     now or "all off"))  # fmt: skip
    if not rows:
        return None
    return Section(
        heading="Put aboard and taken off again",
        table=Table(columns=("What", "Where", "Put aboard", "Taken off", "Now"), rows=tuple(rows),
                    widths=(3, 4, 4, 4, 2)),
        loud=any(row[-1] != "all off" for row in rows),
    )  # fmt: skip


def _seen(state: State, subject: str, row: str, check: CheckState) -> str:
    """Return what was seen, in the words of who looked; and that it was taken apart since, where it was."""
    since = "" if answered(state, subject, row) is check else " (taken apart since)"
    return check.observation + since


def _by(state: State, check: CheckState) -> str:
    return f"{named(state, check.by)}, {check.at[:16].replace('T', ' ')}"


def _names(state: State, initials: tuple[str, ...]) -> str:
    return ", ".join(named(state, each) for each in initials)

"""Where everything is by the record, as tables of the leftover report: parts, hardware, wires, tags, leftovers."""

from __future__ import annotations

from collections.abc import Iterable

from tagtrack.core.ahead import unused, what_it_is_for
from tagtrack.core.check_joints import inside, to_go_back, told_tight
from tagtrack.core.findings import Finding
from tagtrack.core.hardware import text_of
from tagtrack.core.index import Index
from tagtrack.core.owners import by_owner
from tagtrack.core.places import KEPT, SCRAP, ItemKind, Place, PlaceKind, told
from tagtrack.core.reconcile import Reconciliation
from tagtrack.core.records import GIVEN_UP
from tagtrack.core.sheets import Section, Table
from tagtrack.core.spelling import same
from tagtrack.core.state import State
from tagtrack.core.tagcode import shown
from tagtrack.core.things import JointState, LossState, PartState


def named(state: State, initials: str) -> str:
    """Return a person's name and initials; the initials alone where nobody of them is known."""
    person = state.people.get(initials)
    return str(person) if person else initials


def with_second(state: State, loss: LossState) -> str:
    """Return with whom a loss was given up, who named that person, and whether he or she said it too."""
    if not loss.second or loss.outcome not in GIVEN_UP:
        return ""
    who = next((p for p in state.people.values() if same(loss.second) in map(same, (p.initials, p.name))), None)
    told = f"with {who or loss.second}"
    if who is not None and who.initials in loss.said_by:
        return f"{told}, who said it too"
    by = named(state, loss.said_by[0]) if loss.said_by else "nobody known"
    return f"{told}: named by {by}, not confirmed" + ("" if who or loss.of_shop else "; nobody who works in this shop")


def answer_to(state: State, finding: Finding) -> str:
    """Return who answered a finding, and what; or that nobody did."""
    if finding.answer is None:
        return "NO ANSWER"
    answer = finding.answer
    second = f"; with {answer.second}" if answer.second else ""
    return f"{answer.ruling.value}: {answer.reason} ({named(state, answer.by)}, {answer.at[:10]}{second})"


def left_over(index: Index, outcome: Reconciliation) -> Section:
    """Everything of this job that still lies in the shop, by bag, with where it came from and why it is left."""
    reasons = {(f.thing, f.position): answer_to(index.state, f) for f in outcome.findings if f.answer}
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


def replaced(index: Index, outcome: Reconciliation) -> Section | None:
    """Parts that were replaced or condemned, and hardware thrown away, each with what is new instead."""
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
    where: dict[str, dict[str, None]] = {}
    came: dict[str, dict[str, None]] = {}
    for joint in state.joints.values():
        home = "; ".join(map(str, joint.positions))
        for line in joint.found:
            came.setdefault(line.spec, {})[home] = None
        for item, count in state.holdings.get(Place(PlaceKind.JOINT, joint.identity), {}).items():
            if item.kind is ItemKind.NEW:
                fresh[item.name] = fresh.get(item.name, 0) + count
                where.setdefault(item.name, {})[home] = None
    return [
        (_hardware_of(where.get(spec) or came.get(spec, {})), f"{old[spec]} {spec}" if spec in old else "-",
         f"{fresh[spec]} {spec}" if spec in fresh else "-", "scrap" if spec in old else "-", "")
        for spec in {**old, **fresh}
    ]  # fmt: skip


# beyond which a list of positions says no more than that it is hardware of the job
_MOST_POSITIONS = 6


def _hardware_of(positions: Iterable[str]) -> str:
    """Return the first column of hardware: the positions that it is of, as many as still tell something."""
    told = list(positions)
    more = f"; and {len(told) - _MOST_POSITIONS} more" if len(told) > _MOST_POSITIONS else ""
    return f"hardware of {'; '.join(told[:_MOST_POSITIONS])}{more}" if told else "hardware"


def parts(index: Index, outcome: Reconciliation) -> Section | None:
    """What came off and where it is now."""
    del outcome
    rows = tuple(
        (str(part.home), _numbers(part), str(part.marks), _is_now(index.state, part), str(part.seen) or "-",
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


def _is_now(state: State, part: PartState) -> str:
    """Return where a part is; of one that was replaced also where its replacement is: the position is not empty."""
    last = part
    while last.replaced_by in state.parts:
        last = state.parts[last.replaced_by]
    if last is part:
        return told(part.place)
    number = _numbers(last)
    new = "the new one" + (f" ({number})" if number != "-" else "")
    return f"{told(part.place)}; replaced: {new} is {told(last.place)}"


def _numbers(part: PartState) -> str:
    return " ".join(filter(None, (part.number, f"S/N {part.serial}" if part.serial else "", part.life))) or "-"


def hardware(index: Index, outcome: Reconciliation) -> Section | None:
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


def connections(index: Index, outcome: Reconciliation) -> Section | None:
    """The ends of wires and the settings, as found and as they are now."""
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


def printed_ahead(index: Index, outcome: Reconciliation) -> Section | None:
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

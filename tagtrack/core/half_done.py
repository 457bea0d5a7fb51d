"""What somebody leaves who stops in the middle: what is half done, what is off, aboard, to be looked at, kept.

It has no checks of its own. What the reconciliation finds is sorted by how far the work at each position went.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tagtrack.core import still_open
from tagtrack.core.check_joints import inside, is_used_once, to_go_back, told_tight
from tagtrack.core.check_rest import ROWS
from tagtrack.core.counting import goes_as
from tagtrack.core.events import Act
from tagtrack.core.findings import AT_ONCE, QUESTIONS, Finding, Kind, Severity, in_order
from tagtrack.core.fold import standing
from tagtrack.core.hardware import text_of
from tagtrack.core.index import Index
from tagtrack.core.places import KEPT, ItemKind, Place, PlaceKind, told, whereabouts
from tagtrack.core.reconcile import Reconciliation
from tagtrack.core.records import Access, Position, Role
from tagtrack.core.state import State
from tagtrack.core.things import JointState


@dataclass(frozen=True, slots=True, kw_only=True)
class HalfDone:
    """One position where something is on, and not finished."""

    position: Position
    critical: bool
    # how it stands: what is on, what is in and how far it is
    stands: tuple[str, ...]
    # what it still lacks, each with where that lies
    lacks: tuple[str, ...]
    findings: tuple[Finding, ...]
    # the last step there; None in a record that names none
    last: Act | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Off:
    """One position of which nothing is on."""

    position: Position
    critical: bool
    area: str
    # where the part lies, or where the ends of a wire go
    lies: str
    # where its hardware lies, and whatever else is to be said of it
    besides: tuple[str, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Interruption:
    """A work order as it stands when somebody stops. Together it names every finding that nobody has answered."""

    # the most dangerous first
    half: tuple[HalfDone, ...]
    # what `status` calls wrong now
    wrong: tuple[Finding, ...]
    # by area
    off: tuple[Off, ...]
    aboard: tuple[Finding, ...]
    # to be looked at by somebody, at what is finished but for that, or to be answered at the desk
    asked: tuple[Finding, ...]
    # hardware and parts that lie in the shop, of what is on and finished, or of nobody
    kept: tuple[Finding, ...]


def interruption(index: Index, outcome: Reconciliation, acts: Sequence[Act]) -> Interruption:
    """Return what is left by whoever stops now. `outcome` is that of the whole job, with nothing asked."""
    state = index.state
    unfinished = in_order([f for f in (*outcome.findings, *outcome.open) if f.answer is None and f.kind not in AT_ONCE])
    at: dict[Position, list[Finding]] = {}
    kept: list[Finding] = []
    aboard: list[Finding] = []
    asked: list[Finding] = []
    for finding in unfinished:
        if finding.kind is Kind.STILL_ABOARD:
            aboard.append(finding)
        elif finding.kind is Kind.LEFT_OVER:
            kept.append(finding)
        elif finding.position is None or finding.kind in QUESTIONS or _only_looked_at(state, finding.position):
            asked.append(finding)
        else:
            at.setdefault(finding.position, []).append(finding)
    for position in [p for p, found in at.items() if all(map(still_open.waits_for_a_look, found))]:
        # the work is done; half done is what somebody has to go on with
        asked += at.pop(position)
    left_over: dict[Position, list[Finding]] = {}
    for finding in kept:
        if finding.position in at:
            left_over.setdefault(finding.position, []).append(finding)
    stands = standing(acts)
    half: list[HalfDone] = []
    off: list[Off] = []
    # what lies ready for one position is not told as waiting for another as well
    drawn: dict[tuple[Place, str], int] = {}
    for position, found in at.items():
        mine = left_over.get(position, [])
        if _begun(index, position):
            half.append(_half_done(index, position, found, mine, drawn, stands))
        else:
            off.append(_off(index, position, found, mine))
    return Interruption(
        half=tuple(sorted(half, key=_by_danger)), wrong=outcome.unanswered,
        off=tuple(sorted(off, key=lambda each: (each.area, each.position))), aboard=tuple(aboard), asked=tuple(asked),
        kept=tuple(finding for finding in kept if finding.position not in at),
    )  # fmt: skip


def _by_danger(each: HalfDone) -> tuple[bool, bool]:
    """Return the sorting key: what could hurt somebody, critical before the rest; else the findings' own order."""
    return not any(f.severity is Severity.DANGER for f in each.findings), not each.critical


def _only_looked_at(state: State, position: Position) -> bool:
    known = state.positions.get(position)
    return known is not None and known.role is Role.POINT and position not in state.settings


def _begun(index: Index, position: Position) -> bool:
    """Return whether something is on, in or made at a position; true as well where no part of it ever came off."""
    state = index.state
    if any(Place(PlaceKind.JOINT, joint.identity) in state.holdings for joint in state.joints_of(position)):
        return True
    ends = state.ends_of(position)
    if ends and not any(end.made for end in ends):
        return False
    return index.belonging(position) is None or state.part_at(position) is not None


def _half_done(
    index: Index, position: Position, found: list[Finding], left_over: list[Finding],
    drawn: dict[tuple[Place, str], int], acts: Sequence[Act],
) -> HalfDone:  # fmt: skip
    state = index.state
    known = state.positions[position]
    # a function is looked at once all is made
    in_turn = sorted(found, key=lambda f: bool(_row_asked(index, f)))
    lacks = [_lacking(index, position, f, drawn) for f in in_turn if not still_open.waits_for_a_look(f)]
    lacks += [_kept(index, f) for f in left_over if not _all_drawn(index, f, drawn)]
    owed = looks_owed(found)
    return HalfDone(
        position=position, critical=known.critical, stands=tuple(_stands(index, position, found)),
        lacks=(*lacks, *([owed] if owed else [])), findings=(*found, *left_over), last=_last(state, position, acts),
    )  # fmt: skip


def looks_owed(found: Sequence[Finding]) -> str:
    """Return which looks of a second person a position waits for, on one line; an empty text where for none."""
    every = sum(map(still_open.waits_for_a_look, found)) == len(ROWS)
    return "then a second person looks, at every row" if every else still_open.looks(found)


def _lacking(index: Index, position: Position, finding: Finding, drawn: dict[tuple[Place, str], int]) -> str:
    """Return one thing that a position lacks, and of pieces where they lie."""
    if finding.kind is Kind.SHORT:
        return f"{still_open.short(finding)}: {_waits_in(index, position, finding, drawn)}"
    if finding.kind is Kind.MISSING:
        # that it is off, or on to try its fit, is how it stands
        here = index.state.part_at(position)
        told_so = here is None or here.home != position or here.trial
        told_so = told_so or index.state.positions[position].access is Access.TEMPORARILY_ON
        return f"to be {finding.expected}" + ("" if told_so else f": {finding.seen}")
    if finding.kind is Kind.STILL_DISCONNECTED and not _row_asked(index, finding):
        end = finding.thing.removeprefix(position.name).lstrip(", ")
        return f"{f'{end}: ' if end else ''}{finding.seen}, to be {finding.expected}"
    asked = _row_asked(index, finding)
    return f"then {asked}, and what was seen: {finding.seen}" if asked else still_open.told(finding)


def _off(index: Index, position: Position, found: list[Finding], left_over: list[Finding]) -> Off:
    known = index.state.positions[position]
    gone = next((f for f in found if f.kind is Kind.MISSING), None)
    ends = [f"{end.end} goes to {end.as_found}".strip() for end in index.state.ends_of(position) if end.as_found]
    besides = [_kept(index, f) for f in left_over]
    besides += [
        _lacking(index, position, f, {}) for f in found
        if f is not gone and not (ends and f.kind is Kind.STILL_DISCONNECTED and not _row_asked(index, f))
    ]  # fmt: skip
    lies = gone.seen if gone else "; ".join(ends) or "disconnected"
    return Off(position=position, critical=known.critical, area=known.area, lies=lies, besides=tuple(besides),
               findings=(*found, *left_over))  # fmt: skip


def _row_asked(index: Index, finding: Finding) -> str:
    """Return which question of its position a finding says to be open, such as `function`; an empty text: none."""
    known = index.state.positions.get(finding.position) if finding.position else None
    row = finding.thing.partition(" of ")[0]
    return row if known is not None and row in known.asks else ""


def _stands(index: Index, position: Position, found: list[Finding]) -> list[str]:
    """Return what is on at a position, what is in its joints and how far that is, and which ends are made."""
    state = index.state
    known, here, own = state.positions[position], state.part_at(position), index.belonging(position)
    if here is None and own is not None:
        stands = [f"the part itself is off, {whereabouts(own.place)}"]
    elif here is not None and here.home != position:
        stands = [f"the {here.home} is on here" + (f", its own part is {whereabouts(own.place)}" if own else "")]
    elif known.access is Access.TEMPORARILY_ON and known.held_by:
        stands = [f"on temporarily, held by {known.held_by}"]
    elif known.access is Access.TEMPORARILY_ON or (here is not None and here.trial):
        stands = ["on temporarily, or to try its fit"]
    else:
        stands = ["on"] if here is not None else []
    stands += [_in_joint(index, joint, position, found) for joint in state.joints_of(position)]
    for end in state.ends_of(position):
        made = ", ".join(filter(None, ("made", end.terminal)))
        stands.append(f"{end.end or 'the plug'}: {made if end.made else 'OFF'}")
    setting = state.settings.get(position)
    stands += [f"setting as found {setting.as_found}"] if setting and setting.as_found else []
    return stands or ["nothing of it came off"]


def _in_joint(index: Index, joint: JointState, position: Position, found: list[Finding]) -> str:
    every, _ = inside(index.state.holdings, joint)
    joints = index.state.joints_of(position)
    whose = f" (bolts of {joint.positions[0]})" if joint.positions[0] != position else ""
    whose = whose or (f" (with the {joint.stack.lines[0].text})" if len(joints) > 1 else "")
    held = [other for other in joint.positions[1:] if joint.positions[0] == position]
    others = f"; holds {' + '.join(map(str, held))} as well" if held else ""
    if not every:
        return f"nothing is in, by the record{whose}{others}"
    about = "" if joint == joints[0] else joint.identity
    if not joint.tight and any(f.kind is Kind.NOT_TIGHT and f.about == about for f in found):
        return f"in by hand{whose}: {text_of(every)}{others}"
    far = [told_tight(joint)] if joint.tight else []
    far += [f"{joint.torque}"] if joint.torque else []
    far += ["safetied"] if joint.safe else []
    return f"in{whose}: {text_of(every)}" + (f"; {', '.join(far)}" if far else "") + others


def _waits_in(index: Index, position: Position, finding: Finding, drawn: dict[tuple[Place, str], int]) -> str:
    """Return where what a joint is short of lies, by the record; what is drawn for it is noted, so it counts once."""
    joints = index.state.joints_of(position)
    joint = next((j for j in joints if j.identity == finding.about), joints[0])
    spec, left = finding.thing, finding.lacks
    once = is_used_once(index.knowledge, joint, spec)
    loose = [place for place in index.state.holdings if place.kind is PlaceKind.SPOT and place != joint.kept]
    places: list[str] = []
    for place in (joint.kept, *loose):
        lots = index.state.holdings.get(place, {}) if place.kind in KEPT else {}
        for item, count in lots.items():
            fits = item.kind is ItemKind.NEW or (item.kind is ItemKind.USED and not once)
            if fits and goes_as(index.knowledge, to_go_back(joint), item.name) == spec:
                share = min(left, count - drawn.get((place, str(item)), 0))
                if share > 0:
                    drawn[place, str(item)] = drawn.get((place, str(item)), 0) + share
                    left -= share
                    where = index.lies(place)
                    places.append(where if share == finding.lacks else f"{share} in {where}")
    if left:
        short = "" if left == finding.lacks else f"{left} "
        places.append(f"{short}NEW, from stock" if once else f"{short}{_nowhere(index, spec)}")
    return "; ".join(places)


def _nowhere(index: Index, spec: str) -> str:
    cases = [loss.case for loss in index.state.losses.values() if loss.stands and loss.item.name == spec]
    return f"lost, case {', '.join(cases)}" if cases else "not where it was kept. Find it; never fit a guess"


def _all_drawn(index: Index, finding: Finding, drawn: dict[tuple[Place, str], int]) -> bool:
    """Return whether all that a left-over finding tells lies ready for what its position lacks, and was told there."""
    there = [(place, str(item), count) for place, lots in index.state.holdings.items()
             if place.kind in KEPT and told(place) == finding.thing
             for item, count in lots.items() if item.kind in (ItemKind.USED, ItemKind.NEW)]  # fmt: skip
    return bool(there) and all(drawn.get((place, item), 0) == count for place, item, count in there)


def _kept(index: Index, finding: Finding) -> str:
    """Return what lies where in the shop, with the place where its bag was put."""
    place = next((p for p in index.state.holdings if p.kind in KEPT and told(p) == finding.thing), None)
    return f"{index.lies(place) if place else finding.thing}: {finding.seen}"


def _last(state: State, position: Position, acts: Sequence[Act]) -> Act | None:
    """Return the last step at a position: at itself, its parts, joints, ends, setting, or what was looked at there."""
    setting = state.settings.get(position)
    things = (
        state.positions[position], *state.parts_of(position), *state.joints_of(position), *state.ends_of(position),
        *((setting,) if setting else ()),
    )  # fmt: skip
    ids = {act for thing in things for act in thing.acts}
    subjects = {str(position), *(joint.identity for joint in state.joints_of(position))}
    ids |= {check.act for (subject, _), check in state.checks.items() if subject in subjects}
    return next((act for act in reversed(acts) if act.id in ids), None)

"""Checks of joints: the right hardware, in the count that is to go back, new where it must be, tight and safetied."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tagtrack.core.callout import Decoder
from tagtrack.core.catalogue import Kin
from tagtrack.core.counting import standing_for, too_many
from tagtrack.core.findings import Finding, Kind
from tagtrack.core.hardware import text_of
from tagtrack.core.index import Index
from tagtrack.core.kinship import (
    counts_as,
    finger_test,
    goes_last,
    holds_itself,
    is_nut,
    is_pin,
    locks,
    look_alike,
    relation,
    threaded,
)
from tagtrack.core.places import Holdings, ItemKind, Place, PlaceKind
from tagtrack.core.state import answered, told_not_right
from tagtrack.core.things import JointState, PositionState

# how a joint may be locked without a further act
_LOCKS_ITSELF = frozenset({"none", "self-locking"})


def inside(holdings: Holdings, joint: JointState) -> tuple[dict[str, int], dict[str, int]]:
    """Return what is in the joint by spec: all of it, and the part of it that came off (not new)."""
    every: dict[str, int] = {}
    old: dict[str, int] = {}
    for item, count in holdings.get(Place(PlaceKind.JOINT, joint.identity), {}).items():
        every[item.name] = every.get(item.name, 0) + count
        if item.kind is ItemKind.USED:
            old[item.name] = count
    return every, old


def to_go_back(joint: JointState) -> dict[str, int]:
    """Return the counts that are to go back, by spec."""
    return {line.spec: line.count for line in joint.back}


def needs_safety(index: Index, joint: JointState) -> bool:
    """Return whether the joint's lock must be recorded: said so, a pin or wire in it, or a critical position."""
    if joint.lock:
        return joint.lock not in _LOCKS_ITSELF
    if any(line.once and goes_last(index.knowledge, line.text) for line in joint.back):
        # whatever is beside it: a pin or a wire that is not bent locks nothing
        return True
    if by_pins(index, joint) and not _held_by_itself(index, joint):
        return True
    self_locking = sum(line.count for line in joint.back if finger_test(index.knowledge, line.spec))
    if self_locking and (joint.is_set or self_locking >= joint.fasteners):
        # a self-locking nut is its own lock, and no lock of the bolt beside it
        return False
    critical = any(p in index.state.positions and index.state.positions[p].critical for p in joint.positions)
    return critical or any(
        line.once and line.spec not in joint.tightened and _may_lock(index.knowledge, line.text) for line in joint.back
    )


def _may_lock(knowledge: Decoder, text: str) -> bool:
    # without tables nobody can tell a cotter pin from a gasket, and it is asked rather than passed over
    return locks(knowledge, text) or not knowledge.catalogue.families


def by_pins(index: Index, joint: JointState) -> bool:
    """Return whether pins alone hold the joint: nothing in it is made tight, and its lock holds it.

    With a nut on it a pin is a threaded one, and is made tight.
    """
    known = index.knowledge
    pieces = [line.text for line in (*joint.stack.lines, *joint.back)]
    heads = joint.tightened or {joint.stack.lines[0].spec}
    return all(is_pin(known, spec) for spec in heads) and not any(is_nut(known, text) for text in pieces)


def _held_by_itself(index: Index, joint: JointState) -> bool:
    return all(holds_itself(index.knowledge, spec) for spec in joint.tightened or {joint.stack.lines[0].spec})


def told_tight(joint: JointState) -> str:
    """Return how much of the joint is tight, in shop words."""
    fasteners = joint.fasteners
    if fasteners == 1:
        return "tight" if joint.tight else "not tight"
    return f"{joint.tight} of {fasteners} tight"


def joints(index: Index, known: PositionState) -> list[Finding]:
    """Return what is wrong with the joints that belong to this position; a shared joint is told at its first."""
    found: list[Finding] = []
    for joint in index.state.joints_of(known.position):
        if joint.positions[0] == known.position:
            found += _joint(index, joint, known)
    return found


def shared(index: Index, known: PositionState) -> list[Finding]:
    """Return what is wrong with the joints that clamp something here and are told at another position."""
    found: list[Finding] = []
    for joint in index.state.joints_of(known.position):
        first = index.state.positions[joint.positions[0]]
        if first.position != known.position:
            found += _joint(index, joint, first)
    return found


def _joint(index: Index, joint: JointState, known: PositionState) -> list[Finding]:
    """Return what is wrong with one joint. Of several at one position each is answered for itself."""
    found = _wrong(index, joint, known)
    first = index.state.joints_at[known.position][0] == joint.identity
    return found if first else [replace(each, about=joint.identity) for each in found]


def _wrong(index: Index, joint: JointState, known: PositionState) -> list[Finding]:
    every, old = inside(index.state.holdings, joint)
    wanted = to_go_back(joint)
    if not every and wanted and not any(index.stands(position) for position in joint.positions):
        # the parts are told as missing, the hardware as lying where it lies; the empty joint adds nothing
        return _chips(index, joint, known)
    found = [_lying_near(index, joint, f) for f in _counts(index.knowledge, joint, known, wanted, every)]
    found += _reused(index, joint, known, old)
    if every or not wanted:
        found += _finish(index, joint, known)
    return found + _chips(index, joint, known)


def _lying_near(index: Index, joint: JointState, finding: Finding) -> Finding:
    """Return a finding of what is short, with where so many lie that belong here; any other as it is."""
    lots = index.state.holdings.get(joint.kept, {})
    there = sum(count for item, count in lots.items() if item.name == finding.thing)
    if finding.kind is not Kind.SHORT or there < finding.lacks:
        return finding
    lies, piece = index.lies(joint.kept), f"{finding.lacks} {finding.thing}"
    here = f"{joint.positions[0].name} {joint.positions[0].side.value}"
    put = f"it lies: {lies}: put it in, and say so: at {here}, then: in {piece}"
    return replace(finding, advice=f"scan {lies}, and put in {piece}" if joint.kept.kind is PlaceKind.BAG else put)


def _tell(
    joint: JointState, known: PositionState, kind: Kind, *, thing: str, expected: str, seen: str, advice: str,
    lacks: int = 0,
) -> Finding:  # fmt: skip
    return Finding(
        kind=kind, position=known.position, area=known.area, acts=joint.acts, thing=thing, expected=expected,
        seen=seen, advice=advice, also=joint.positions[1:], lacks=lacks,
    )  # fmt: skip


def _standing(knowledge: Decoder, spec: str, instead: str) -> str:
    """Return what is known of a piece in place of the one that belongs there, as the advice that it leads to."""
    known = relation(knowledge, spec, instead)
    alike = look_alike(knowledge, instead, spec)
    told = f"it looks like {instead}, but {alike.words}; " if alike else ""
    if known is not None and known.kin is Kin.NEVER:
        return f"{told}NEVER one for the other ({known.why}): take it out and fit what belongs there"
    if known is not None and known.kin is Kin.ALTERNATE:
        return f"{told}an alternate ({known.why}): accept it by name and reason, by the maker's data, or take it out"
    return f"{told}take it out and fit what belongs there; if it may stand in, accept it by name and reason"


def _counts(
    knowledge: Decoder, joint: JointState, known: PositionState, wanted: Mapping[str, int], inside: Mapping[str, int]
) -> list[Finding]:
    standing = standing_for(knowledge, wanted, inside)
    every = {spec: sum(pieces.values()) for spec, pieces in standing.items()}
    less = {spec: count - every.get(spec, 0) for spec, count in wanted.items() if every.get(spec, 0) < count}
    more = {spec: count - wanted[spec] for spec, count in every.items() if spec in wanted and count > wanted[spec]}
    strange = {spec: count for spec, count in every.items() if spec not in wanted}
    found: list[Finding] = []
    for spec, count in strange.items():
        # one short spec explains one strange spec; more than that is left to the explanation of the whole job
        instead = next(iter(less)) if len(less) == 1 and len(strange) == 1 else ""
        missing = less[instead] if instead else 0
        expected = f"{missing} {instead}" if instead else text_of(wanted)
        found.append(
            _tell(joint, known, Kind.WRONG_HARDWARE, thing=spec, expected=expected, seen=f"{count} {spec}",
                  advice=_standing(knowledge, spec, instead or _likeliest(knowledge, spec, wanted)))
        )  # fmt: skip
        if instead and count >= missing:
            less = {}
        elif instead:
            less = {instead: missing - count}
    found += [
        _tell(joint, known, Kind.SHORT, thing=spec, expected=f"{wanted[spec]} {spec}",
              seen=f"{every.get(spec, 0)} {spec}", advice=f"find and fit {count} {spec}; never fit a guess",
              lacks=count)
        for spec, count in less.items()
    ]  # fmt: skip
    for spec in more:
        others = "" if standing[spec].keys() == {spec} else f", counted as {spec}"
        out = too_many(knowledge, {spec: wanted[spec]}, standing[spec])
        found.append(
            _tell(joint, known, Kind.OVER, thing=spec, expected=f"{wanted[spec]} {spec}",
                  seen=text_of(standing[spec]) + others, advice=f"take {text_of(out)} out; see which joint lacks it")
        )  # fmt: skip
    return found


def _likeliest(knowledge: Decoder, spec: str, wanted: Mapping[str, int]) -> str:
    """Return the wanted spec that a strange piece was most probably taken for."""
    return next((w for w in wanted if look_alike(knowledge, w, spec)), next(iter(wanted), spec))


FINGER = "finger"


def finger_tested(index: Index, joint: JointState) -> bool | None:
    """Return whether a self-locking nut of the joint ran on by finger; None where nobody has said so this time."""
    check = answered(index.state, joint.identity, FINGER)
    return None if check is None else check.observation.startswith("yes")


def must_be_renewed(index: Index, joint: JointState, spec: str) -> bool:
    """Return whether a self-locking nut ran on by finger, and is to be thrown away."""
    return bool(finger_tested(index, joint)) and finger_test(index.knowledge, spec)


def _reused(index: Index, joint: JointState, known: PositionState, old: Mapping[str, int]) -> list[Finding]:
    again = {**old}
    for spec, count in joint.worn:
        # bent or tightened before it was opened, it is used a second time once it is said to be right again
        if joint.safe if spec in joint.locks else joint.tight:
            again[spec] = again.get(spec, 0) + count
    untested = [spec for spec in old if finger_tested(index, joint) is None and finger_test(index.knowledge, spec)]
    asked = [
        _tell(joint, known, Kind.NOT_LOOKED_AT, thing=f"finger test of {spec}", expected="does it run on by finger?",
              seen="not said", advice=f"try it, and say: at {known.position.name} {known.position.side.value}, then: "
              "finger no;   it does run on: finger yes, and fit new ones")
        for spec in untested
    ]  # fmt: skip
    said = answered(index.state, joint.identity, FINGER)
    reused = [
        _tell(joint, known, Kind.REUSED, thing=spec, expected=f"new {spec}", seen=f"{count} used {spec} put back",
              advice="take it out, throw it away, fit a new one")
        for spec, count in again.items()
        if is_used_once(index.knowledge, joint, spec) or (spec in old and must_be_renewed(index, joint, spec))
    ]  # fmt: skip
    return asked + [replace(finding, since=said.step if said is not None else 0) for finding in reused]


def to_renew(knowledge: Decoder, joint: JointState) -> dict[str, int]:
    """Return the pieces that are used once, and were bent or tightened before the joint was opened: new ones go in."""
    return {spec: count for spec, count in joint.worn if is_used_once(knowledge, joint, spec)}


def is_used_once(knowledge: Decoder, joint: JointState, spec: str) -> bool:
    """Return whether a piece of the joint is used once: marked so, or counted as one that is."""
    once = joint.used_once
    if spec in once or not once:
        return spec in once
    known = {line.spec for line in (*joint.back, *joint.stack.lines)}
    return spec not in known and any(counts_as(knowledge, spec, each) for each in once)


def _finish(index: Index, joint: JointState, known: PositionState) -> list[Finding]:
    found: list[Finding] = []
    thing = joint.stack.lines[0].text
    fasteners = joint.fasteners
    # of a joint destroyed by removal, rivets and sealant have nothing to tighten, bolts and screws have
    tightened = not joint.destroyed or any(threaded(index.knowledge, spec) for spec in joint.tightened)
    # and nobody tightens a pin
    tightened = tightened and not by_pins(index, joint)
    if joint.tight < fasteners and tightened:
        found.append(
            _tell(joint, known, Kind.NOT_TIGHT, thing=thing, expected="tight", seen=told_tight(joint),
                  advice="tighten per the data and say so: tight")
        )  # fmt: skip
    if not joint.safe and needs_safety(index, joint):
        found.append(
            _tell(joint, known, Kind.NOT_SAFETIED, thing=thing, expected=joint.lock or "its lock recorded",
                  seen="no lock recorded", advice="fit its lock and say so: safe")
        )  # fmt: skip
    return found


def _chips(index: Index, joint: JointState, known: PositionState) -> list[Finding]:
    """Return what destroyed fasteners left in the aircraft, until somebody says that it is out."""
    said = index.state.checks.get((joint.identity, "chips"))
    # what was said of an earlier time is nothing of this one
    said = said if said is not None and said.step >= joint.destroyed_at else None
    wrong = told_not_right(said)
    if not joint.destroyed or (said is not None and not wrong):
        return []
    finding = _tell(
        joint, known, Kind.STILL_ABOARD, thing=f"chips and stems of {joint.stack.lines[0].text}",
        expected="out of the aircraft", seen=wrong or "not said", advice="recover them and say so: chips out",
    )  # fmt: skip
    return [replace(finding, since=said.step if said is not None else joint.destroyed_at)]

"""Words for taking apart: off, same, hole, loosened, aside, drilled, found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tagtrack.core import stack_sense
from tagtrack.core.ahead import printed_for
from tagtrack.core.axes import Side
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, TagBound, TakenOff
from tagtrack.core.frozen import changed
from tagtrack.core.hardware import Line, Stack
from tagtrack.core.mixups import taken_for
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.records import JointStep, Position, TagRole, position
from tagtrack.core.state import State
from tagtrack.core.tagcode import shown
from tagtrack.shop import bagging, other_side, planning, removing, tightening, unfastening
from tagtrack.shop.lines import echo
from tagtrack.shop.lines.clauses import clauses, removal
from tagtrack.shop.lines.pairs import asked_of
from tagtrack.shop.lines.standing import area_across, object_to_side, planned_in_hand
from tagtrack.shop.lines.talk import Bench, Reply, done
from tagtrack.shop.lines.wires import same_connection
from tagtrack.shop.naming import existing, known_as
from tagtrack.shop.ports import Who
from tagtrack.shop.removal import Keep, Removal, found_otherwise, tray

# so many bags are named that hold the same
_BAGS = 3


def off(bench: Bench, who: Who, text: str) -> Reply:
    """`off POSITION SIDE; mark UP, arrow FWD; 2x [AN3-5A AN960-10 | AN960-10 MS21044N3]; in hole`."""
    plan = planned_in_hand(bench)
    # of a planned tag in hand nothing has to be named: what differs is enough
    if plan is not None and (not text or text[0] in ";[" or text[0].isdigit()):
        said = planning.as_found(plan, text)
    else:
        said = removal(text, keep=_usual(bench))
    object_to_side(bench, who, said.position)
    return _taken(bench, who, said)


def _usual(bench: Bench) -> Keep:
    # who scans blank tags will scan one for the bag too; else both codes are set aside and printed later
    plan = planned_in_hand(bench)
    return Keep.TRAY if bench.blank and not (plan is not None and plan.bag) else Keep.BAG


def _taken(bench: Bench, who: Who, said: Removal) -> Reply:
    plan = planned_in_hand(bench)
    if plan is None and not bench.blank and not said.tag:
        # its tag is printed and lies ready, though nobody scanned it
        plan = printed_for(bench.job.state, known_as(bench.job.state, said.position))
    said = changed(said, area=said.area or bench.area, tag=said.tag or bench.blank)
    said = planning.with_its_tags(plan, said) if plan is not None else said
    before = bench.job.state.positions.get(known_as(bench.job.state, said.position))
    # a pair is asked about when it has come off, and not again each time that one of it does: only what is new is told
    once_more = before is not None and before.cycle > 0
    told_before = [] if before is None or not once_more or said.marks.is_empty() else asked_of(bench, before.position)
    here = bench.job.state.part_at(before.position) or bench.job.state.part_from(before.position) if before else None
    written = (here.numbers, here.life) if here is not None else None
    act = removing.take_off(bench.job, who, said)
    taken = next(e for e in act.events if isinstance(e, TakenOff))
    off_at = taken.position
    pair_now = [] if once_more and said.marks.is_empty() else asked_of(bench, off_at)
    pair_asked = [asked for asked in pair_now if asked not in told_before]
    # what is used once was thrown away as it came out: of nothing but cotter pins, nothing lies there
    loose = said.keep is Keep.TRAY and tray(off_at) in bench.job.state.holdings
    # something else is in hand now than what was scanned before
    bench.blank, bench.last_off, bench.subject, bench.part = "", off_at, off_at, ""
    bench.loose = off_at if loose else None
    state = bench.job.state
    told = [*_whose(bench, act), *echo.understood(state, act), *echo.hardware(state, taken)]
    told += _tags(bench, act, {said.tag, said.bag})
    told += ["     scan the bag's tag, or say: hole"] if loose else []
    told += echo.critical(state, off_at, first=not once_more)
    part = state.parts.get(taken.part.identity) if taken.part else None
    if part is not None and written not in (None, (part.numbers, part.life)):
        told.append("     its tag was printed before and does not say so: print it again, or write it on it")
    return done(act, echo.headline(state, taken), *told, *_asked(bench, act), *pair_asked)


def _hardware_off(bench: Bench, act: Act) -> list[str]:
    return echo.hardware(bench.job.state, next(event for event in act.events if isinstance(event, TakenOff)))


def _whose(bench: Bench, act: Act) -> list[str]:
    """Return that what came off belongs elsewhere, where it does."""
    off = next(event for event in act.events if isinstance(event, TakenOff))
    part = bench.job.state.parts.get(off.part.identity) if off.part else None
    return [] if part is None or part.home == off.position else [f"     it is the {part.home}: put it there"]


def _asked(bench: Bench, act: Act) -> list[str]:
    """Return what the tables make one ask of the hardware: what does not go together, and what it is taken for."""
    index = bench.job.index()
    told: list[str] = []
    for found in (found for event in act.events if isinstance(event, TakenOff) for found in event.found):
        asks = stack_sense.questions(index.knowledge, found.stack, found.lock, found.span)
        told += [f"     ? {asked}" for asked in asks]
        lies: dict[tuple[str, str], list[str]] = {}
        for other in taken_for(index, index.state.joints[found.identity]):
            lies.setdefault((other.text, other.words), []).append(index.lies(other.place))
        # the same piece in several bags is one thing to beware of
        told += [f"     LOOKS LIKE  {text} in {_listed(where)}: {words}" for (text, words), where in lies.items()]
    return list(dict.fromkeys(told))[:6]


def _listed(where: Sequence[str]) -> str:
    """Return places as one list: `bag H39A A9HW, KYY9 53GH`, and how many more there are."""
    shown = [each if not at else each.removeprefix("bag ") for at, each in enumerate(where[:_BAGS])]
    return ", ".join(shown) + (f" and {len(where) - _BAGS} more" if len(where) > _BAGS else "")


def _tags(bench: Bench, act: Act, hanging: set[str]) -> list[str]:
    """Return the tags that an act gave a meaning; those that do not hang on it already are to be printed."""
    told: list[str] = []
    for event in act.events:
        if isinstance(event, TagBound):
            bench.to_print += event.tag not in hanging
            what = "bag tag" if event.role is TagRole.BAG else "tag"
            ahead = " (printed ahead)" if event.tag in bench.job.state.planned else ""
            told.append(f"     {what} {shown(event.tag)}{ahead}")
    return told


def _same_but(state: State, where: Position, parts: Sequence[str]) -> Removal:
    """Return what came off as the other side's record has it, with what the clauses say is otherwise."""
    text = f"{where.name} {where.side.value}; {'; '.join(parts)}"
    said = removal(text, keep=Keep.TRAY).hardware
    whole = any(stack.grip is not None for stack in said)
    counts = () if whole else tuple(line for stack in said for line in stack.lines)
    listed = other_side.like_other_side(state, where, counts)
    return found_otherwise(listed, removal(text, keep=listed.keep), said if whole else listed.hardware)


def same(bench: Bench, who: Who, text: str) -> Reply:
    """`same`, `same POSITION SIDE`, `same POSITION SIDE; 11 AN525-10R8; pn 99-2`: like the other side, mirrored."""
    parts = clauses(text)
    if text and text[0] not in ";[" and not text[0].isdigit():
        where, parts = known_as(bench.job.state, position(parts[0])), parts[1:]
    else:
        if bench.last_off is None or bench.last_off.side is Side.CENTRE:
            raise Refusal("same as what?", expected="something taken off the other side just before",
                          came="same", todo="same POSITION SIDE")  # fmt: skip
        where = bench.last_off.mirrored
    said = _same_but(bench.job.state, where, parts)
    object_to_side(bench, who, where, same=True)
    said = replace(said, area=area_across(bench, where))
    if bench.job.state.ends_of(where.mirrored):
        return same_connection(bench, who, said)
    if said.keep is Keep.STAYS and said.hardware:
        return _loosened(bench, who, said)
    if said.keep is Keep.SCRAP and said.hardware_only:
        return _drilled(bench, who, said)
    keep = _usual(bench) if said.keep is Keep.BAG and not said.bag else said.keep
    twin = bench.job.state.part_from(where.mirrored)
    reply = _taken(bench, who, replace(said, keep=keep))
    if twin is None or not twin.number or said.number:
        return reply
    own = f"     its part number is not taken from the other side ({twin.number}): say it behind same: pn ..."
    return replace(reply, lines=(*reply.lines, own))


def hole(bench: Bench, who: Who, text: str) -> Reply:
    """`hole`: the hardware just taken off was put back into its own hole."""
    if bench.loose is None or text:
        raise Refusal("no loose hardware waits for a place", expected="something just taken off", came="hole",
                      todo="say it with the removal: off POSITION; 4 AN525-10R8; in hole")  # fmt: skip
    act = bagging.into_hole(bench.job, who, tray(bench.loose), bench.loose)
    bench.loose = None
    return done(act, "     kept in its hole")


def loosened(bench: Bench, who: Who, text: str) -> Reply:
    """`loosened POSITION SIDE; 2 AN3-5A`: backed off or slackened, nothing came off."""
    said = replace(removal(text, keep=Keep.STAYS), keep=Keep.STAYS, hardware_only=True, area=bench.area)
    state = bench.job.state
    here = known_as(state, said.position)
    if not said.hardware and not state.joints_of(here):
        # what was slackened is the fastening itself: a hose clamp, a lock nut
        said = replace(said, hardware=(Stack((Line(1, here.name),)),))
    return _loosened(bench, who, said)


def _loosened(bench: Bench, who: Who, said: Removal) -> Reply:
    here = known_as(bench.job.state, said.position)
    object_to_side(bench, who, here)
    first = _is_first(bench.job.state, here)
    loosening = tightening.stepping(here, JointStep.LOOSENED)
    act = bench.job.commit(who, removing.coming_off(bench.job, who, said), loosening)
    bench.subject = here
    beside = dict.fromkeys(j.positions[0] for j in bench.job.state.joints_of(here) if j.positions[0] != here)
    told = [f"     and the bolt of {p} through it: at {p.name} {p.side.value}, then tight" for p in beside]
    told += [*_hardware_off(bench, act), *echo.to_renew(bench.job.index(), here)]
    told += echo.critical(bench.job.state, here, first=first)
    return done(act, f"LOOSENED  {here}: open until it is tight again", *told)


def aside(bench: Bench, who: Who, text: str) -> Reply:
    """`aside POSITION SIDE; 2 AN3-5A; in hole`: moved out of the way, still on the aircraft, no tag."""
    said = replace(removal(text, keep=Keep.TRAY), aside=True, area=bench.area)
    object_to_side(bench, who, said.position)
    first = _is_first(bench.job.state, said.position)
    act = removing.take_off(bench.job, who, said)
    here = next(e.position for e in act.events if isinstance(e, TakenOff))
    loose = said.keep is Keep.TRAY and tray(here) in bench.job.state.holdings
    bench.subject, bench.loose, bench.part = here, here if loose else None, ""
    state = bench.job.state
    asked = ["     scan the bag's tag, or say: hole"] if loose else []
    asked += echo.critical(state, here, first=first)
    return done(act, f"ASIDE  {here}: open until it is back", *echo.understood(state, act), *_hardware_off(bench, act),
                *asked)  # fmt: skip


def _is_first(state: State, here: Position) -> bool:
    """Return whether nothing was ever disturbed at a position."""
    known = state.positions.get(known_as(state, here))
    return known is None or not known.cycle


def drilled(bench: Bench, who: Who, text: str) -> Reply:
    """`drilled POSITION SIDE; 14 MS20470AD4-4`: destroyed by removal; a new count goes in, chips come out."""
    said = replace(removal(text, keep=Keep.SCRAP), keep=Keep.SCRAP, hardware_only=True, area=bench.area)
    state = bench.job.state
    joints = state.joints_of(known_as(state, said.position))
    inside = any(Place(PlaceKind.JOINT, joint.identity) in state.holdings for joint in joints)
    if not said.hardware and not inside:
        raise Refusal("what was drilled out?", expected="a count and callout", came=text,
                      todo="drilled POSITION SIDE; 14 MS20470AD4-4")  # fmt: skip
    return _drilled(bench, who, said)


def _drilled(bench: Bench, who: Who, said: Removal) -> Reply:
    object_to_side(bench, who, said.position)
    act = removing.take_off(bench.job, who, said)
    here = next(e.position for e in act.events if isinstance(e, TakenOff))
    bench.subject = here
    return done(act, f"DESTROYED  {here}: recover chips and stems, then say: chips out {here.name} {here.side.value}",
                *_hardware_off(bench, act))  # fmt: skip


def found(bench: Bench, who: Who, text: str) -> Reply:
    """`found POSITION SIDE; 2x [...]`: hardware to be counted at the bench; also its lock, what it clamps."""
    parts = clauses(text)
    said = removal(text, keep=Keep.BAG) if parts else None
    if said is None or not said.hardware:
        raise Refusal("what was counted?", expected="found POSITION SIDE; 4 AN525-10R8", came=text or "nothing",
                      todo="type position and count")  # fmt: skip
    here = existing(bench.job.state, said.position).position
    counted = Removal(position=here, hardware=said.hardware, keep=Keep.BAG, lock=said.lock, span=said.span,
                      clamps=said.clamps)  # fmt: skip
    if counted != replace(said, position=here):
        raise Refusal("a count says nothing but hardware", expected="found POSITION SIDE; 4 AN525-10R8; lock cotter; "
                      "clamps X; measured 5/8", came=text, todo="the rest: also POSITION SIDE; ...")  # fmt: skip
    act = unfastening.counted_at_bench(bench.job, who, counted)
    return done(act, f"COUNTED  {here}: {'; '.join(parts[1:])}")

"""Taking things off: parts with their hardware, whole or moved aside; counting at the bench; same as the other side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum, unique

from tagtrack.core import places
from tagtrack.core.axes import Direction, Side
from tagtrack.core.callout import Decoder
from tagtrack.core.check_joints import is_used_once
from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.events import Act, Event, MarksNoted, PerData, PositionNamed, TagBound, TakenOff
from tagtrack.core.hardware import Line, Stack, total_lines, totals
from tagtrack.core.kinship import always_new, heads, locks_last
from tagtrack.core.marks import Marks, Sits, checked, compare
from tagtrack.core.order import refuse_circle
from tagtrack.core.places import Item, ItemKind, Move, Place, PlaceKind
from tagtrack.core.records import FoundJoint, PartOff, Position, Requirement, TagRole
from tagtrack.core.state import JointState, PartState, State, TagState, changed
from tagtrack.shop.desk import Decide, Job
from tagtrack.shop.holding import inside, let_loose
from tagtrack.shop.naming import fresh
from tagtrack.shop.ports import Who
from tagtrack.shop.tagging import claim, usable_blank


@unique
class Keep(Enum):
    """Where the hardware goes when it comes off."""

    # a tagged bag
    BAG = "bag"
    # back into its own hole or fitting
    HOLE = "hole"
    # loose, beside the part, until a bag is scanned
    TRAY = "tray"
    # in a bag, counted later at the bench
    LATER = "later"
    # drilled, cut, scraped off
    SCRAP = "scrap"
    # it stays where it is: loosened only
    STAYS = "stays"


@dataclass(frozen=True, slots=True, kw_only=True)
class Removal:
    """What a person says when something comes off. Only the position and how its hardware is kept are compulsory."""

    position: Position
    marks: Marks = Marks()
    mount: Direction | None = None
    either_way: bool = False
    critical: bool = False
    area: str = ""
    closes_up: tuple[Position, ...] = ()
    # covers that lie over it
    under: tuple[Position, ...] = ()
    parent: Position | None = None
    number: str = ""
    serial: str = ""
    life: str = ""
    hardware: tuple[Stack, ...] = ()
    lock: str = ""
    # how thick the gripped parts are, measured, in inches as typed
    span: str = ""
    # other positions that the same hardware clamps
    clamps: tuple[Position, ...] = ()
    keep: Keep = Keep.TRAY
    # codes; empty: take one that is set aside for the job
    tag: str = ""
    bag: str = ""
    put: str = ""
    requirement: Requirement = Requirement()
    aside: bool = False
    # only its hardware came off, or was loosened: the part itself stays
    hardware_only: bool = False


def tray(position: Position) -> Place:
    """Return the place of hardware that lies loose beside its part."""
    return Place(PlaceKind.SPOT, f"loose, beside {position}")


def take_off(job: Job, who: Who, removal: Removal) -> Act:
    """Record that something came off, with its hardware, its tag and its bag; return the act."""
    return job.commit(who, coming_off(job, who, removal))


def coming_off(job: Job, who: Who, removal: Removal) -> Decide:
    """Take blank tags into the job, and return the decision that something comes off."""
    for code in (removal.tag, removal.bag):
        if code:
            claim(job, who, code)
    return lambda state: _removal(job, who, state, removal)


def mark(job: Job, who: Who, position: Position, more: Marks) -> Act:
    """Record marks that were put on a part after it came off, beside those it bears; return the act."""

    def make(state: State) -> Sequence[Event]:
        part = state.part_from(position)
        if part is None:
            raise Refusal(f"no part of {position} is known", expected="a part that came off", came=str(position),
                          todo="take it off first: off POSITION SIDE; ...")  # fmt: skip
        marks = checked(Marks((*part.marks.each, *more.each)), position.side)
        if marks == part.marks:
            raise Refusal(f"the {position} bears these marks already", expected="a mark that is new",
                          came=str(more), todo="nothing to do")  # fmt: skip
        return (MarksNoted(part.identity, marks),)

    return job.commit(who, make)


def used_once(knowledge: Decoder, stacks: tuple[Stack, ...]) -> tuple[Stack, ...]:
    """Return the stacks with every piece marked that is never used a second time, by the tables.

    It is marked once, when it comes off, so that tables which change later do not change what was recorded.
    """

    def marked(line: Line) -> Line:
        return line if line.once or not always_new(knowledge, line.text) else replace(line, once=True)

    def marked_all(stack: Stack) -> Stack:
        lines = tuple(map(marked, stack.lines))
        return stack if lines == stack.lines else replace(stack, lines=lines)

    return tuple(map(marked_all, stacks))


def _removal(job: Job, who: Who, state: State, removal: Removal) -> Sequence[Event]:
    removal = changed(removal, hardware=used_once(job.knowledge, removal.hardware))
    position = fresh(state, removal.position, who)
    if removal.life and not removal.serial:
        raise Refusal(
            f"which life-limited part is it? {position}",
            expected="its serial number: without more it goes back only as the same one, on the same aircraft (14 CFR "
            "43.10)", came="life-limited, no serial number", todo="add it: sn 1234",
        )  # fmt: skip
    closes_up = tuple(fresh(state, p, who) for p in removal.closes_up)
    clamps = tuple(fresh(state, p, who) for p in removal.clamps)
    if closes_up:
        refuse_circle(state, position, closes_up)
    checked(removal.marks, position.side)
    _refuse_no_side(removal.mount, position)
    again = _belonging(state, position)
    _refuse_twice(position, again, removal)
    marks = removal.marks if again is None else _as_found(who, again, position, removal.marks)
    before = state.positions.get(position)
    bare = before is not None and before.bare
    if bare and not removal.hardware and not any(inside(state, j) for j in state.joints_of(position)):
        # nothing holds it, as was said when it first came off
        removal = changed(removal, keep=Keep.STAYS)
    said = removal.hardware or removal.aside or bare or removal.keep in (Keep.LATER, Keep.STAYS)
    if not said and not any(j.positions[0] == position for j in state.joints_of(position)):
        raise Refusal(
            f"what holds {position}?",
            expected="its hardware by count: 2x [AN3-5A AN960-10 | AN960-10 MS21044N3], or 4 AN525-10R8",
            came="nothing",
            todo="type it behind a semicolon, or say 'count later', or 'none' if nothing holds it",
        )
    events: list[Event] = [
        PositionNamed(
            position, area=removal.area, parent=removal.parent, closes_up=closes_up, critical=removal.critical,
            mount=removal.mount, either_way=removal.either_way,
        )
    ]  # fmt: skip
    for cover in removal.under:
        over = fresh(state, cover, who)
        refuse_circle(state, over, (position,))
        events.append(PositionNamed(over, closes_up=(position,)))
    events += [PositionNamed(p, area=removal.area, likely=True) for p in clamps if p not in state.positions]
    if removal.requirement.lines:
        events.append(PerData(position, removal.requirement))
    bag = _bag(job, who, state, removal, position)
    part = None if removal.hardware_only else _part(job, state, again, removal)
    joints = _joints(job, state, position, clamps, removal)
    stays = removal.keep is Keep.STAYS
    if part is not None and stays and removal.hardware:
        raise Refusal(
            f"hardware of {position} is named, and it is said that none came off", expected="the one or the other",
            came=f"{', '.join(map(str, removal.hardware))}; none",
            todo="came it off? leave 'none' out; was it only backed off? loosened POSITION SIDE; its hardware",
        )  # fmt: skip
    loose = () if part is None else let_loose(who, state, position, () if stays else (j.identity for j in joints))
    moves = _part_moves(again, part, position, removal)
    moves += _hardware_moves(job.knowledge, state, position, joints, removal, bag)
    # hardware that is on record has been counted
    later = removal.keep is Keep.LATER and not joints
    events.append(
        TakenOff(position, part, marks, joints, uncounted=later, aside=removal.aside, moves=tuple(moves))
    )
    events += loose
    if part is not None and not removal.aside and not _still_tagged(state, again):
        tag = usable_blank(job, state, removal.tag) if removal.tag else job.code(who, state, skip=frozenset({bag}))
        events.append(TagBound(tag, TagRole.PART, part.identity))
    if bag and bag not in state.tags:
        events.append(TagBound(bag, TagRole.BAG, str(position)))
    return events


def _refuse_no_side(mount: Direction | None, position: Position) -> None:
    if mount in (Direction.INBD, Direction.OUTBD) and position.side is Side.CENTRE:
        raise Refusal(
            f"{mount.value} does not exist on the centre line" if mount else "",
            expected="mount UP, DOWN, FWD, AFT, LEFT or RIGHT", came=mount.value if mount else "",
            todo="say which way the face points by which the part is bolted on",
        )  # fmt: skip


def _belonging(state: State, position: Position) -> PartState | None:
    """Return the part that is here now, or that belongs here."""
    return state.part_at(position) or state.part_from(position)


def _refuse_twice(position: Position, part: PartState | None, removal: Removal) -> None:
    if part is None or removal.hardware_only:
        return
    if part.at not in (None, position):
        raise Refusal(
            f"the {position} is not there: it is on at {part.at}", expected="a position with a part on it",
            came=str(position), todo=f"take it off there: off {part.at.name} {part.at.side.value}" if part.at else "",
        )  # fmt: skip
    if part.at is None and not (part.place == places.ASIDE and not removal.aside):
        raise Refusal(
            f"the {position} is already off",
            expected="something that is still on the aircraft",
            came=f"the {position}, which is {places.whereabouts(part.place)}",
            todo="check the side; or scan its tag to put it back",
        )


def _as_found(who: Who, part: PartState, position: Position, said: Marks) -> Marks:
    """Return how a part that comes off once more was found at first, with the marks that are new.

    How it sits now is how somebody put it back; where that is another way than it was found, one of them is wrong.
    """
    if said.is_empty() or part.marks.is_empty():
        return said
    if part.home != position:
        raise Refusal(
            f"that is the part of {part.home}", expected="no marks: how it is to sit is recorded for its own position",
            came=str(said), todo="leave the marks out",
        )  # fmt: skip
    comparison = compare(part.marks, said, position.side)
    if comparison.sits is Sits.SAME:
        return checked(part.marks.beside(said), position.side)
    who.object(
        Objection(
            f"STOP: when the {position} first came off, it sat another way", kind="turned",
            expected=f"{part.marks}, as found", came=str(said),
            todo=f"it was put back wrong: leave the marks out, and {comparison.mend} when it goes on; the first record "
            "was wrong: say so",
        )
    )  # fmt: skip
    return checked(said.beside(part.marks), position.side)


def _still_tagged(state: State, part: PartState | None) -> bool:
    """Return whether the part still bears the tag of an earlier removal: one part, one tag."""
    return part is not None and part.tag in state.tags and state.tags[part.tag].end is None


def _part(job: Job, state: State, again: PartState | None, removal: Removal) -> PartOff:
    if again is not None:
        return PartOff(again.identity, again.number, again.serial, again.life)
    return PartOff(f"p{job.number('p', state)}", removal.number, removal.serial, removal.life)


def _is_bag_for(state: State, tag: TagState, position: Position) -> bool:
    """Return whether the bag is the position's own: an empty one, or the one that still holds the rest of a joint."""
    ours = tag.role is TagRole.BAG and tag.thing == str(position) and tag.end is None
    place = Place(PlaceKind.BAG, tag.code)
    return ours and (place not in state.holdings or any(j.kept == place for j in state.joints_of(position)))


def _bag(job: Job, who: Who, state: State, removal: Removal, position: Position) -> str:
    if removal.keep not in (Keep.BAG, Keep.LATER):
        return ""
    if not removal.bag:
        own = (t.code for t in state.tags.values() if _is_bag_for(state, t, position))
        # the part's tag is taken first from those set aside, so the bag takes another
        return next(own, "") or job.code(who, state, skip=frozenset({removal.tag} if removal.tag else ()))
    known = state.tags.get(removal.bag)
    if known is not None and known.role is TagRole.BAG and known.end is None:
        return removal.bag
    return usable_blank(job, state, removal.bag)


def _joints(
    job: Job, state: State, position: Position, clamps: tuple[Position, ...], removal: Removal
) -> tuple[FoundJoint, ...]:
    if not removal.hardware:
        return tuple(
            FoundJoint(j.identity, j.positions, j.stack, j.lock, removal.keep is Keep.SCRAP, j.span, j.heads, j.locks)
            for j in state.joints_of(position)
            if inside(state, j)
        )
    typed = set(totals(removal.hardware))
    # what is destroyed was no part of what was counted before
    lies = removal.keep is not Keep.SCRAP
    mine = (j for j in state.joints_of(position) if j.positions[0] == position)
    known = [j for j in mine if inside(state, j) or (lies and _lies(state, j, typed))]
    if known:
        raise Refusal(
            f"the hardware of {position} is known already",
            expected=f"no hardware, to take off what is recorded: {'; '.join(str(j.stack) for j in known)}",
            came=", ".join(map(str, removal.hardware)),
            todo="leave the hardware out; another count: recount BAG 3 AN960-10, or back 12 AN525-10R8 because ...",
        )
    number = job.number("j", state)
    destroyed = removal.keep is Keep.SCRAP
    return tuple(
        FoundJoint(f"j{number + i}", (position, *clamps), stack, removal.lock, destroyed, removal.span,
                   heads(job.knowledge, stack), locks_last(job.knowledge, stack))
        for i, stack in enumerate(removal.hardware)
    )


def _lies(state: State, joint: JointState, specs: set[str]) -> bool:
    """Return whether the joint's own hardware, of one of these specs, still lies where it was kept."""
    mine = specs & {line.spec for line in (*joint.back, *joint.found)}
    return joint.kept.kind in places.KEPT and any(item.name in mine for item in state.holdings.get(joint.kept, {}))


def _part_moves(
    again: PartState | None, part: PartOff | None, position: Position, removal: Removal
) -> list[Move]:
    if part is None:
        return []
    item = places.part(part.identity)
    here = Place(PlaceKind.POSITION, str(position))
    spot = places.ASIDE if removal.aside else Place(PlaceKind.SPOT, removal.put or "bench")
    if again is not None:
        # what was moved aside before comes off the aircraft from there
        return [Move(item, 1, again.place if again.place == places.ASIDE else here, spot)]
    return [Move(item, 1, places.UNCOUNTED, here), Move(item, 1, here, spot)]


def _hardware_moves(
    knowledge: Decoder, state: State, position: Position, joints: tuple[FoundJoint, ...], removal: Removal, bag: str
) -> list[Move]:
    moves: list[Move] = []
    for joint in joints:
        here = Place(PlaceKind.JOINT, joint.identity)
        target = _target(removal.keep, position, joint.identity, bag)
        lots = state.holdings.get(here)
        if lots:
            # put back before, and taken apart again: what is in it now comes out, and what is used once is thrown away
            known = state.joints[joint.identity]
            for item, count in lots.items() if target is not None else ():
                assert target is not None  # noqa: S101 - for the type checker; asked in the line above
                goes = places.SCRAP if is_used_once(knowledge, known, item.name) else target
                moves += coming_out(known, item, count, goes)
            continue
        for line in total_lines(joint.stack):
            item = places.used(line.spec)
            moves.append(Move(item, line.count, places.UNCOUNTED, here))
            if target is not None:
                # a piece that is used once is thrown away at once; a new one is asked for at refit
                moves.append(Move(item, line.count, here, places.SCRAP if line.once else target))
    return moves


def coming_out(joint: JointState, item: Item, count: int, target: Place) -> list[Move]:
    """Return the movements of pieces out of a joint. What went in new, and is or was tight, comes out as used."""
    here = Place(PlaceKind.JOINT, joint.identity)
    used = joint.no_longer_new(item.name, count) if item.kind is ItemKind.NEW else 0
    if not used or target == places.SCRAP:
        return [Move(item, count, here, target)]
    fresh = [Move(item, count - used, here, target)] if count > used else []
    return [*places.worn(item.name, used, here), Move(places.used(item.name), used, here, target), *fresh]


def _target(keep: Keep, position: Position, joint: str, bag: str) -> Place | None:
    match keep:
        case Keep.BAG | Keep.LATER:
            return Place(PlaceKind.BAG, bag)
        case Keep.HOLE:
            return Place(PlaceKind.HOLE, joint)
        case Keep.TRAY:
            return tray(position)
        case Keep.SCRAP:
            return places.SCRAP
        case Keep.STAYS:
            return None


def hardware_of(
    job: Job, state: State, position: Position, removal: Removal
) -> tuple[tuple[FoundJoint, ...], tuple[Move, ...]]:
    """Return the joints of something without a part of its own (a connection), and the movements of their hardware."""
    joints = _joints(job, state, position, removal.clamps, removal)
    return joints, tuple(_hardware_moves(job.knowledge, state, position, joints, removal, removal.bag))


def counted_at_bench(job: Job, who: Who, position: Position, stacks: tuple[Stack, ...]) -> Act:
    """Record the count of hardware that went into a bag uncounted; return the act."""

    def make(state: State) -> Sequence[Event]:
        known = state.positions.get(position)
        if known is None or not known.uncounted:
            raise Refusal(
                f"{position} has nothing left to count",
                expected="a position whose hardware was to be counted at the bench", came=str(position),
                todo="a bag that was counted before is counted again with: recount BAG 3 AN960-10",
            )  # fmt: skip
        bag = next((t.code for t in state.tags.values() if t.role is TagRole.BAG and t.thing == str(position)
                    and t.end is None), "")
        counted = used_once(job.knowledge, stacks)
        removal = Removal(position=position, hardware=counted, keep=Keep.BAG if bag else Keep.TRAY)
        joints = _joints(job, state, position, (), removal)
        moves = _hardware_moves(job.knowledge, state, position, joints, removal, bag)
        return (TakenOff(position, None, Marks(), joints, moves=tuple(moves)),)

    return job.commit(who, make)

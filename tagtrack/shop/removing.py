"""Taking things off: parts with their hardware, whole or moved aside, with their tags and bags."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tagtrack.core import places
from tagtrack.core.axes import Direction, Side
from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.events import Act, Event, MarksNoted, PerData, PositionNamed, TagBound, TakenOff
from tagtrack.core.findings import Kind
from tagtrack.core.frozen import changed
from tagtrack.core.hardware import text_of
from tagtrack.core.kinship import used_once
from tagtrack.core.marks import Marks, Sits, checked, compare
from tagtrack.core.order import refuse_circle
from tagtrack.core.places import Move, Place, PlaceKind
from tagtrack.core.records import PartOff, Position, Requirement, TagRole
from tagtrack.core.state import State
from tagtrack.core.things import PartState, TagState
from tagtrack.shop.deciding import Decide
from tagtrack.shop.desk import Job
from tagtrack.shop.holding import inside, let_loose
from tagtrack.shop.naming import naming
from tagtrack.shop.numbers import object_to_numbers
from tagtrack.shop.ports import Who
from tagtrack.shop.removal import Keep, Removal
from tagtrack.shop.tagging import claim, usable_blank
from tagtrack.shop.unfastening import found_joints, hardware_moves, object_to_holding


def take_off(job: Job, who: Who, removal: Removal) -> Act:
    """Record that something came off, with its hardware, its tag and its bag; return the act."""
    return job.commit(who, coming_off(job, who, removal))


def coming_off(job: Job, who: Who, removal: Removal) -> Decide:
    """Take blank tags into the job, and return the decision that something comes off."""
    for code in (removal.tag, removal.bag):
        if code:
            claim(job, who, code)
    return lambda state: _removal(job, who, state, removal)


def mark(job: Job, who: Who, marked: Mapping[Position, Marks]) -> Act:
    """Record marks that were put on parts after they came off, beside those they bear; return the act."""
    return job.commit(who, *(_marking(position, more) for position, more in marked.items()))


def _marking(position: Position, more: Marks) -> Decide:
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

    return make


def _removal(job: Job, who: Who, state: State, removal: Removal) -> Sequence[Event]:
    removal = _spelled(state, who, changed(removal, hardware=used_once(job.knowledge, removal.hardware)))
    position = removal.position
    again = _belonging(state, position)
    _look_at_what_is_said(who, state, removal, again)
    marks = removal.marks if again is None else _as_found(who, again, position, removal.marks)
    removal = _with_what_holds_it(state, removal)
    bag = _bag(job, who, state, removal, position)
    part = None if removal.hardware_only else _part(job, state, again, removal)
    joints = found_joints(job, state, position, removal.clamps, removal)
    object_to_holding(who, state, position, removal, joints)
    stays = removal.keep is Keep.STAYS
    if part is not None and stays and removal.hardware:
        raise Refusal(
            f"hardware of {position} is named, and it is said that none came off", expected="the one or the other",
            came=f"{', '.join(map(str, removal.hardware))}; none",
            todo="came it off? leave 'none' out; was it only backed off? loosened POSITION SIDE; its hardware",
        )  # fmt: skip
    loose = () if part is None else let_loose(who, state, position, () if stays else (j.identity for j in joints))
    moves = _part_moves(again, part, position, removal)
    moves += hardware_moves(job.knowledge, state, position, joints, removal, bag)
    # hardware that is on record has been counted
    later = removal.keep is Keep.LATER and not joints
    events = _named(state, removal)
    events.append(
        TakenOff(position, part, marks, joints, uncounted=later, aside=removal.aside, moves=tuple(moves),
                 lock=removal.lock if later else "")
    )
    events += loose
    if part is not None and not removal.aside and not _still_tagged(state, again):
        tag = usable_blank(job, state, removal.tag) if removal.tag else job.code(who, state, skip=frozenset({bag}))
        events.append(TagBound(tag, TagRole.PART, part.identity))
    if bag and bag not in state.tags:
        events.append(TagBound(bag, TagRole.BAG, str(position)))
    return events


def _spelled(state: State, who: Who, removal: Removal) -> Removal:
    """Return a removal with every position in it named as the record names it; ask where a name is only nearly one."""
    named = naming(state, who)
    return changed(
        removal, position=named(removal.position), closes_up=tuple(map(named, removal.closes_up)),
        clamps=tuple(map(named, removal.clamps)), parent=named(removal.parent) if removal.parent else None,
        under=tuple(map(named, removal.under)),
    )  # fmt: skip


def _look_at_what_is_said(who: Who, state: State, removal: Removal, again: PartState | None) -> None:
    """Refuse, or ask about, what is said of a part and its position; `again` is the part that is or belongs there."""
    position = removal.position
    if removal.life and not removal.serial:
        raise Refusal(
            f"which life-limited part is it? {position}",
            expected="its serial number: without more it goes back only as the same one, on the same aircraft (14 CFR "
            "43.10)", came="life-limited, no serial number", todo="add it: sn 1234",
        )  # fmt: skip
    object_to_other_facts(who, state, position, removal, removal.parent)
    if removal.closes_up:
        refuse_circle(state, position, removal.closes_up)
    for cover in removal.under:
        refuse_circle(state, cover, (position,))
    _refuse_of_a_part(position, removal)
    checked(removal.marks, position.side)
    refuse_no_side(removal.mount, position)
    _refuse_twice(position, again, removal)
    object_to_numbers(who, state, again, removal)


def _with_what_holds_it(state: State, removal: Removal) -> Removal:
    """Return a removal that says what becomes of the hardware; refuse one of which nobody knows what holds it."""
    position = removal.position
    joints, before = state.joints_of(position), state.positions.get(position)
    bare = before is not None and before.bare
    if bare and not removal.hardware and not any(inside(state, j) for j in joints):
        # nothing holds it, as was said when it first came off
        return changed(removal, keep=Keep.STAYS)
    said = removal.hardware or removal.aside or bare or removal.keep in (Keep.LATER, Keep.STAYS)
    if not said and not any(j.positions[0] == position for j in joints):
        raise Refusal(
            f"what holds {position}?",
            expected="its hardware by count: 2x [AN3-5A AN960-10 | AN960-10 MS21044N3], or 4 AN525-10R8",
            came="nothing",
            todo="type it behind a semicolon, or say 'count later', or 'none' if nothing holds it",
        )
    return removal


def _named(state: State, removal: Removal) -> list[Event]:
    """Return what a removal says of its position, of what covers it, of what its bolts clamp, and of the data."""
    position = removal.position
    events: list[Event] = [
        PositionNamed(
            position, area=removal.area, parent=removal.parent, closes_up=removal.closes_up, critical=removal.critical,
            mount=removal.mount, either_way=removal.either_way,
        )
    ]  # fmt: skip
    events += [PositionNamed(cover, closes_up=(position,)) for cover in removal.under]
    events += [PositionNamed(p, area=removal.area, likely=True) for p in removal.clamps if p not in state.positions]
    if removal.requirement.lines:
        events.append(PerData(position, removal.requirement))
    return events


def _refuse_of_a_part(position: Position, removal: Removal) -> None:
    """Refuse what is said of a part where none comes off: nobody would find it again."""
    said = (("marks", not removal.marks.is_empty()), ("pn", removal.number), ("sn", removal.serial),
            ("life", removal.life), ("put", removal.put))  # fmt: skip
    odd = ", ".join(word for word, there in said if there)
    if removal.hardware_only and odd:
        raise Refusal(
            f"no part of {position} comes off by that, and {odd} is said of a part", expected="hardware, lock, clamps, "
            "critical, closes, under, part of, per data", came=odd,
            todo=f"leave it out; the part came off? off {position.name} {position.side.value}; ...",
        )  # fmt: skip


def object_to_other_facts(
    who: Who, state: State, position: Position, said: Removal, parent: Position | None
) -> None:
    """Ask where another face, or another count by the data, is said than before; refuse a second assembly."""
    known, mount = state.positions.get(position), said.mount
    if known is not None and parent is not None and known.parent not in (None, parent):
        raise Refusal(
            f"the {position} is part of {known.parent}", expected="what was said before, or nothing",
            came=f"part of {parent}", todo="that was wrong? undo the step that said so, and say it again",
        )  # fmt: skip
    if known is not None and mount is not None and known.mount not in (None, mount):
        who.object(Objection(
            f"STOP: the {position} was said to be bolted on by another face", kind="turned",
            expected=f"mount {known.mount.value}" if known.mount else "", came=f"mount {mount.value}",
            todo="look at its marks and at the place; it was said wrong before? say so",
        ))  # fmt: skip
    before, now = (_by_spec(known.requirement) if known else {}), _by_spec(said.requirement)
    if before and now and before != now:
        who.object(Objection(
            f"STOP: the data for {position} were looked up before", kind=Kind.DIFFERS_FROM_DATA.value,
            expected=text_of(before), came=text_of(now), todo="look it up again; it was read wrong before? say so",
        ))  # fmt: skip


def _by_spec(requirement: Requirement) -> dict[str, int]:
    return {line.spec: line.count for line in requirement.lines}


def refuse_no_side(mount: Direction | None, position: Position) -> None:
    """Refuse a mounting face that does not exist on the side of a position."""
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
            todo=f"check the side; or scan its tag to put it back; something was not said of it? also {position.name} "
            f"{position.side.value}; ...",
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
        return PartOff(again.identity, removal.number or again.number, removal.serial or again.serial,
                       removal.life or again.life)
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

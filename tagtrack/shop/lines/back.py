"""Words for putting back: scanned codes, the part in hand, which way it sits, trial fits, temporary covers."""

from __future__ import annotations

from tagtrack.core import places
from tagtrack.core.ahead import what_it_is_for
from tagtrack.core.axes import direction_or_none, side_or_none
from tagtrack.core.check_parts import asks_marks
from tagtrack.core.errors import Refusal
from tagtrack.core.hardware import text_of
from tagtrack.core.index import Index
from tagtrack.core.marks import Marks, parse_seen
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.records import Condition, Position, position
from tagtrack.core.spelling import same
from tagtrack.core.state import State
from tagtrack.core.tagcode import shown
from tagtrack.core.things import PartState
from tagtrack.shop import bagging, opening, refitting
from tagtrack.shop.lines.clauses import cut
from tagtrack.shop.lines.standing import is_elsewhere, stop_elsewhere
from tagtrack.shop.lines.talk import Bench, Reply, ask, done, note, wrong
from tagtrack.shop.lines.wires import end_in_hand
from tagtrack.shop.meant import of_neighbours_bag
from tagtrack.shop.naming import area_as, existing
from tagtrack.shop.ports import Who
from tagtrack.shop.removal import tray
from tagtrack.shop.tagging import Meaning, Means, claim, meaning

_WAYS = ("FWD", "UP", "AFT", "DOWN", "INBD", "OUTBD")


def scanned(bench: Bench, who: Who, text: str) -> Reply:
    """Answer a scanned or typed code: take the thing in hand, or the place, person or zone as where and who."""
    found = meaning(bench.job, text)
    # a misread code leaves an end in hand
    bench.goes_to = bench.end = None
    match found.means:
        case Means.PERSON:
            bench.initials = found.thing
            return note(f"BY  {bench.job.shop.state.people[found.thing]}")
        case Means.ZONE:
            bench.area, bench.at, bench.part = area_as(bench.job.state, found.thing), None, ""
            return note(f"ZONE  {bench.area}")
        case Means.POSITION:
            return stand_at(bench, Position.read(found.thing))
        case Means.PLACE:
            return _placed(bench, who, found.thing)
        case Means.PART:
            return _part_in_hand(bench, found.thing)
        case Means.BAG:
            return _bag_in_hand(bench, found)
        case Means.CONNECTION:
            position_text, _, end = found.thing.rpartition("|")
            return end_in_hand(bench, who, Position.read(position_text), end)
        case Means.FREE:
            return _fresh_tag(bench, who, found)


def stand_at(bench: Bench, here: Position) -> Reply:
    """Take note of the exact spot where the person stands, and works."""
    state = bench.job.state
    known = existing(state, here)
    bench.at = bench.subject = known.position
    bench.area = known.area or bench.area
    if of_neighbours_bag(state, known.position, bench.bag):
        # a neighbour's bag was in hand before; what is said from now on is of this position
        bench.bag = None
    return note(f"AT  {bench.at}")


def _fresh_tag(bench: Bench, who: Who, found: Meaning) -> Reply:
    claim(bench.job, who, found.code)
    plan = bench.job.state.planned.get(found.code)
    if bench.loose is not None and (plan is None or (found.code == plan.bag and plan.position == bench.loose)):
        here = bench.loose
        act = bagging.into_bag(bench.job, who, tray(here), found.code, here)
        bench.loose = None
        return done(act, f"     bag {shown(found.code)}: hardware of {here}")
    bench.blank = found.code
    if plan is not None:
        return note(f"PLANNED  {what_it_is_for(plan, found.code)}", f"     {plan.line}",
                    "     found just so? say: off;   otherwise what differs: off; 11 AN525-10R8")  # fmt: skip
    return note(f"NEW TAG  {shown(found.code)}", "     what came off? off POSITION SIDE; its hardware")


def _placed(bench: Bench, who: Who, spot: str) -> Reply:
    state = bench.job.state
    if bench.bag_scanned:
        code, bench.bag_scanned = bench.bag_scanned, ""
        act = bagging.put_bag(bench.job, who, code, spot)
        return done(act, f"PUT  bag {shown(code)}: {spot}")
    part = bench.part or next((p.identity for p in state.parts.values() if p.home == bench.last_off), "")
    if not part:
        raise Refusal(f"what is put at {spot}?", expected="a part scanned just before", came=f"the place {spot}",
                      todo="scan the part's tag, then the place")  # fmt: skip
    act = refitting.move_part(bench.job, who, part, spot)
    bench.part = ""
    return done(act, f"MOVED  {state.parts[part].home}: {spot}")


def _part_in_hand(bench: Bench, identity: str) -> Reply:
    state = bench.job.state
    part = state.parts[identity]
    bench.part = identity
    if refitting.is_on(state, part):
        bench.part, bench.subject = "", part.at
        return note(f"{part.home}: on already. Go on with its hardware")
    if part.place.kind is PlaceKind.LOST:
        # in hand all the same: what is lost can be replaced
        return wrong(None, f"STOP: the {part.home} is lost by the record: case {part.place.name}",
                     f"     you hold it? say where it was: case {part.place.name} found: where;   then scan it again")
    if part.replaced_by and state.part_at(part.home) is not None:
        bench.subject = part.home
        return note(f"{part.home}: replaced; the new one is on. Go on with its hardware",
                    "     the old one, in hand: scrap because ..., or send to NAME because ...")  # fmt: skip
    told = [f"IN HAND  {part.home}" + (" (CRITICAL)" if _critical(state, part.home) else "")]
    here = _here(bench, state, part)
    if here is not None and here != part.home:
        # its hardware is not worked either
        bench.subject = None
        return wrong(None, f"STOP: this is the {part.home}.", *stop_elsewhere(bench))
    if part.condition is not Condition.SERVICEABLE:
        return wrong(None, f"STOP: {part.home} is marked {part.condition.value}: {part.condition_reason}",
                     "fit a replacement: replace")  # fmt: skip
    told.append(_how(state, part))
    bench.bag_scanned, bench.subject = "", part.home
    return ask(*told)


def _how(state: State, part: PartState) -> str:
    asked = [mark.feature for mark in part.marks.each]
    if asks_marks(Index.of(state), part, part.home):
        return f"     which way do they point? {', then '.join(asked)}: {_for_example(part.marks)}"
    return "     say: on    (or scan the place where you put it)"


def _for_example(marks: Marks) -> str:
    """Return ways for as many marks as an example, and every way that there is.

    Never the recorded ways themselves: that would be an invitation to read the answer off the screen.
    """
    recorded = [mark.way.value for mark in marks.each]
    every = ([_WAYS[(at + n) % len(_WAYS)] for n in range(len(recorded))] for at in range(len(_WAYS)))
    shown = next((ways for ways in every if ways != recorded), [])
    return f"for example {' '.join(shown).lower()}   (of {' '.join(_WAYS)})"


def _side_and_ways(part: PartState) -> str:
    asked = ", then ".join(mark.feature for mark in part.marks.each)
    if not asked:
        return "     at which side, LEFT or RIGHT?"
    return f"     at which side, and which way do they point? LEFT or RIGHT, then {asked}: {_for_example(part.marks)}"


def _critical(state: State, here: Position) -> bool:
    known = state.positions.get(here)
    return known is not None and known.critical


def _here(bench: Bench, state: State, part: PartState, told_side: str | None = None) -> Position | None:
    """Return the position that the person stands at, or None where that is not known."""
    home = state.positions[part.home]
    twin = state.positions.get(part.home.mirrored)
    side = side_or_none(told_side) if told_side else None
    if side is not None:
        return Position(part.home.name, side)
    if bench.goes_to is not None:
        return bench.goes_to
    if bench.at is not None:
        return bench.at
    if not bench.area:
        return None
    both = twin is not None and twin.position != part.home and same(twin.area) == same(home.area)
    if same(home.area) == same(bench.area):
        return None if both else part.home
    if twin is not None and twin.position != part.home and same(twin.area) == same(bench.area):
        return twin.position
    raise Refusal(
        f"STOP: this is the {part.home}. You are in zone {bench.area}",
        expected=f"a part of {bench.area}", came=f"a part of {home.area or 'no zone'}",
        todo="put it down; or scan the zone card of where you are, or say: at POSITION",
    )  # fmt: skip


def on(bench: Bench, who: Who, text: str) -> Reply:
    """`on`, `on POSITION SIDE`, `up fwd`, `left up fwd`, `trial up fwd`: the part in hand goes on."""
    state = bench.job.state
    words = text.split()
    trial = bool(words) and words[0].casefold() == "trial"
    words = words[1:] if trial else words
    if trial and words and words[0].casefold() == "on":
        words = words[1:]
    words, named_ways = (words, []) if bench.part else _position_and_ways(words)
    identity = bench.part or _named_part(state, words)
    part = state.parts[identity]
    if bench.part and _names_position(part, words):
        # where the person stands, told by its name: the part in hand is held against it
        bench.goes_to, words = existing(state, position(" ".join(words))).position, []
    said_side = words[0] if words and side_or_none(words[0]) and len(words) > len(part.marks.each) else None
    ways = words[1:] if said_side else words
    if not bench.part:
        ways = named_ways
    here = _here(bench, state, part, said_side) if bench.part else part.home
    if here is None:
        return ask(_side_and_ways(part) if bench.area
                   else "     where are you? scan the zone card, or say: at POSITION SIDE")  # fmt: skip
    seen = parse_seen(" ".join(ways), part.marks, here.side) if ways else Marks()
    if asks_marks(Index.of(state), part, here) and seen.is_empty() and not trial:
        bench.part = identity
        return ask(_how(state, part))
    act = refitting.install(bench.job, who, identity, here, seen, trial=trial)
    bench.part, bench.subject, bench.goes_to = "", here, None
    told = [f"{'TRIAL FIT' if trial else 'ON'}  {here}" + (f"  ({seen})" if not seen.is_empty() else "")]
    told += _hardware_of(bench.job.state, here)
    return wrong(act, *told, "     recorded although it is wrong") if who.despite else done(act, *told)


def _position_and_ways(words: list[str]) -> tuple[list[str], list[str]]:
    """Return the words of a position, up to its side, and the ways behind it: `baffle LEFT; up fwd`."""
    for number, word in enumerate(words):
        behind = words[number + 1 :]
        if number and side_or_none(word.rstrip(";,")) and all(direction_or_none(w.rstrip(";,")) for w in behind):
            return [w.rstrip(";,") for w in words[: number + 1]], [w.rstrip(";,") for w in behind]
    return words, []


def _names_position(part: PartState, words: list[str]) -> bool:
    """Return whether words behind `on` name a position: a side at the end, and something that is no way and no mark."""
    marks = {word for mark in part.marks.each for word in mark.feature.split()}
    others = [w for w in words if not direction_or_none(w) and not side_or_none(w) and w.casefold() not in marks]
    return bool(others) and side_or_none(words[-1]) is not None


def _named_part(state: State, words: list[str]) -> str:
    """Return the part that was typed by its position: only what was moved aside, or kept without a tag, may be."""
    if not words:
        raise Refusal("which part?", expected="a tag scanned just before", came="on", todo="scan its tag")
    here = existing(state, position(" ".join(words))).position
    part = state.part_from(here)
    if part is None:
        raise Refusal(f"no part of {here} is off", expected="a part that is off", came=str(here), todo="status")
    if part.tag and state.tags[part.tag].end is None:
        raise Refusal(
            f"the {here} has a tag", expected=f"its tag {shown(part.tag)}, scanned or typed: memory is not evidence",
            came="its name", todo="scan the tag; nobody can read it, or it is lost? print a new one: "
            f"reprint {here.name} {here.side.value} because ...",
        )  # fmt: skip
    return part.identity


def sits(bench: Bench, who: Who, text: str) -> Reply:
    """`sits up fwd`, `sits POSITION SIDE; up fwd`: what the marks of a part show that is on already."""
    state = bench.job.state
    where, _, ways = text.rpartition(";")
    here = existing(state, position(where)).position if where.strip() else bench.subject or bench.at
    part = state.part_at(here) if here is not None else None
    if here is None or part is None:
        raise Refusal("what sits so?", expected="a part that is on, and which way its marks point", came=text,
                      todo="sits POSITION SIDE; up fwd")  # fmt: skip
    seen = parse_seen(ways, part.marks, here.side)
    act = refitting.sits(bench.job, who, here, seen)
    bench.subject = here
    return (wrong if who.despite else done)(act, f"SITS  {here}  ({seen})")


def _hardware_of(state: State, here: Position) -> list[str]:
    told: list[str] = []
    for joint in state.joints_of(here):
        lots = state.holdings.get(joint.kept, {})
        where = "in its hole" if joint.kept.kind is PlaceKind.HOLE else places.told(joint.kept)
        if lots:
            told.append(f"     {joint.stack}: {where}")
    return told


def _bag_in_hand(bench: Bench, found: Meaning) -> Reply:
    state = bench.job.state
    place, home = Place(PlaceKind.BAG, found.code), Position.read(found.thing)
    bench.bag, bench.bag_scanned = place, found.code
    # a bag that two positions share belongs to each
    worked = bench.at or bench.subject
    here = worked if worked and any(joint.kept == place for joint in state.joints_of(worked)) else home
    bench.subject = here
    lots = state.holdings.get(place, {})
    inside = text_of({item.name: n for item, n in lots.items()}) if lots else "empty"
    stop = [f"     before it goes in: you are at {bench.at or bench.area}"] if is_elsewhere(bench, here) else []
    part = Index.of(state).belonging(here)
    if part is not None and part.at is None:
        stop.append(f"     note: the {here} itself is not on yet")
    asked = ("all in?  say: all in tight safe   or: in 3 AN960-10" if lots else
             "nothing is left in it, by the record;  what is in: say tight, or safe")  # fmt: skip
    return ask(f"BAG of {home}: {inside}", *stop, f"     {asked}")


def temporarily(bench: Bench, who: Who, text: str) -> Reply:
    """`temporarily POSITION SIDE held by 2 screws`: a cover on some of its fasteners, still open."""
    where, _, held = cut(text, "held by")
    here = existing(bench.job.state, position(where)).position
    act = bench.job.commit(who, opening.temporarily_on(here, held))
    bench.part, bench.subject = "", here
    return done(act, f"TEMPORARILY ON  {here}: still open")

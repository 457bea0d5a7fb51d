"""Words for taking apart: off, same, loosened, aside, drilled, found, disconnect, put, setting, point."""

from __future__ import annotations

from dataclasses import replace

from tagtrack.core import stack_sense
from tagtrack.core.ahead import printed_for
from tagtrack.core.axes import Side, area_among, side_or_none
from tagtrack.core.check_parts import marking, pair, pair_marks
from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.events import Act, Planned, PositionNamed, TagBound, TakenOff
from tagtrack.core.hardware import Line, Stack, parse, parse_flat
from tagtrack.core.marks import parse as parse_marks
from tagtrack.core.mixups import taken_for
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.records import JointStep, Position, TagRole, When, position
from tagtrack.core.spelling import clean
from tagtrack.core.spelling import same as in_one_form
from tagtrack.core.state import State, changed
from tagtrack.core.tagcode import read, shown
from tagtrack.shop import bagging, opening, other_side, planning, removing, tightening
from tagtrack.shop.lines import echo
from tagtrack.shop.lines.clauses import because, clauses, cut, one_line, positions, removal
from tagtrack.shop.lines.talk import Bench, Reply, done
from tagtrack.shop.naming import existing, known_as
from tagtrack.shop.ports import Who
from tagtrack.shop.removing import Keep, Removal


def off(bench: Bench, who: Who, text: str) -> Reply:
    """`off POSITION SIDE; mark UP, arrow FWD; 2x [AN3-5A AN960-10 | AN960-10 MS21044N3]; in hole`."""
    plan = _planned(bench)
    # of a planned tag in hand nothing has to be named: what differs is enough
    if plan is not None and (not text or text[0] in ";[" or text[0].isdigit()):
        said = planning.as_found(plan, text)
    else:
        said = removal(text, keep=_usual(bench))
    _object_to_side(bench, who, said.position)
    return _taken(bench, who, said)


def _planned(bench: Bench) -> Planned | None:
    """Return the row of the list that the tag in hand was printed for, or None."""
    return bench.job.state.planned.get(bench.blank)


def _usual(bench: Bench) -> Keep:
    # who scans blank tags will scan one for the bag too; else both codes are set aside and printed later
    plan = _planned(bench)
    return Keep.TRAY if bench.blank and not (plan is not None and plan.bag) else Keep.BAG


def _taken(bench: Bench, who: Who, said: Removal) -> Reply:
    plan = _planned(bench)
    if plan is None and not bench.blank and not said.tag:
        # its tag is printed and lies ready, though nobody scanned it
        plan = printed_for(bench.job.state, known_as(bench.job.state, said.position))
    said = changed(said, area=said.area or bench.area, tag=said.tag or bench.blank)
    said = planning.with_its_tags(plan, said) if plan is not None else said
    before = bench.job.state.positions.get(known_as(bench.job.state, said.position))
    act = removing.take_off(bench.job, who, said)
    taken = next(e for e in act.events if isinstance(e, TakenOff))
    off_at = taken.position
    # a pair is asked about when it has come off, and not again each time that one of it does
    pair_asked = () if before is not None and before.cycle and said.marks.is_empty() else _pair(bench, off_at)
    # what is used once was thrown away as it came out: of nothing but cotter pins, nothing lies there
    loose = said.keep is Keep.TRAY and removing.tray(off_at) in bench.job.state.holdings
    # something else is in hand now than what was scanned before
    bench.blank, bench.last_off, bench.subject, bench.part = "", off_at, off_at, ""
    bench.loose = off_at if loose else None
    state = bench.job.state
    told = [*_whose(bench, act), *echo.understood(state, act), *echo.hardware(state, taken)]
    told += _tags(bench, act, {said.tag, said.bag})
    told += ["     scan the bag's tag, or say: hole"] if loose else []
    told += _critical_twin(state, off_at)
    return done(act, echo.headline(state, taken), *told, *_asked(bench, act), *pair_asked)


def _hardware_off(bench: Bench, act: Act) -> list[str]:
    return echo.hardware(bench.job.state, next(event for event in act.events if isinstance(event, TakenOff)))


def _critical_twin(state: State, here: Position) -> list[str]:
    """Return a question where the other side's position is critical and this one was not said to be."""
    twin = state.positions.get(here.mirrored) if here.side is not Side.CENTRE else None
    if twin is None or not twin.critical or state.positions[here].critical:
        return []
    return [f"     ? the {twin.position} is critical, and this one was not said to be. It is? undo, and add: critical"]


def _whose(bench: Bench, act: Act) -> list[str]:
    """Return that what came off belongs elsewhere, where it does."""
    off = next(event for event in act.events if isinstance(event, TakenOff))
    part = bench.job.state.parts.get(off.part.identity) if off.part else None
    return [] if part is None or part.home == off.position else [f"     it is the {part.home}: put it there"]


def _object_to_side(bench: Bench, who: Who, here: Position, *, same: bool = False) -> None:
    """Ask where the side that was typed is not the side of the zone in which the person stands."""
    zone_side = side_or_none(bench.area.split()[-1]) if bench.area else None
    if zone_side in (Side.LEFT, Side.RIGHT) and here.side is zone_side.opposite and not bench.at:
        other = f"{' '.join(bench.area.split()[:-1])} {here.side.value}".strip()
        expected = f"the zone card of {other}, scanned over there" if same else f"{here.name} {zone_side.value}"
        who.object(Objection(
            f"STOP: {here} does not lie in zone {bench.area}", kind="side", expected=expected, came=str(here),
            todo=f"check the side; you stand there? scan that zone card, or say: zone {other}",
        ))  # fmt: skip


def _asked(bench: Bench, act: Act) -> list[str]:
    """Return what the tables make one ask of the hardware: what does not go together, and what it is taken for."""
    index = bench.job.index()
    told: list[str] = []
    for found in (found for event in act.events if isinstance(event, TakenOff) for found in event.found):
        asks = stack_sense.questions(index.knowledge, found.stack, found.lock, found.span)
        told += [f"     ? {asked}" for asked in asks]
        told += [
            f"     LOOKS LIKE  {other.text} in {index.lies(other.place)}: {other.words}"
            for other in taken_for(index, index.state.joints[found.identity])
        ]
    return list(dict.fromkeys(told))[:6]


def _pair(bench: Bench, here: Position) -> list[str]:
    """Return what differs between this position and its twin, to be answered once both sides are off."""
    index = bench.job.index()
    left = here if here.side is Side.LEFT else here.mirrored
    if left not in index.state.positions:
        return []
    told = [
        f"     PAIR DIFFERS  {left.name}, {f.thing}: {f.expected}; {f.seen}\n"
        f"         why? design {f.short} because ..., or answer {f.short} because ...;"
        "  one was missing: back 12 AN525-10R8 because ..."
        for f in pair(index, left)
        if f.key not in index.state.rulings
    ]
    told += [
        f"     LOOKS ALIKE  {left.name}: {f.seen}\n         needed: {f.expected}\n"
        + "".join(f"         {line}\n" for line in marking(index, left))
        + f"         cannot go on that way: design {f.short} because ..."
        for f in pair_marks(index, left)
        if f.key not in index.state.rulings
    ]
    return told


def marked(bench: Bench, who: Who, text: str) -> Reply:
    """`marked POSITION SIDE; wicks UP`: more marks were put on a part after it came off."""
    parts = clauses(text)
    if len(parts) != 2:
        raise Refusal("what was marked?", expected="a position and its new marks", came=text or "nothing",
                      todo="marked elevator balance weight LEFT; arrow FWD")  # fmt: skip
    here = existing(bench.job.refresh(), position(parts[0])).position
    act = removing.mark(bench.job, who, here, parse_marks(parts[1], here.side))
    part = bench.job.state.part_from(here)
    return done(act, f"MARKED  {here}: {part.marks if part else parts[1]}", *_pair(bench, here))


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


def same(bench: Bench, who: Who, text: str) -> Reply:
    """`same`, `same POSITION SIDE`, `same POSITION SIDE; 11 AN525-10R8`: like the other side, mirrored."""
    parts = clauses(text)
    other = parse_flat("; ".join(parts[1:])) if len(parts) > 1 else ()
    if parts and not parts[0][0].isdigit():
        where = known_as(bench.job.refresh(), position(parts[0]))
    else:
        other = parse_flat("; ".join(parts)) if parts else ()
        if bench.last_off is None or bench.last_off.side is Side.CENTRE:
            raise Refusal("same as what?", expected="something taken off the other side just before",
                          came="same", todo="same POSITION SIDE")  # fmt: skip
        where = bench.last_off.mirrored
    said = other_side.like_other_side(bench.job.refresh(), where, other)
    _object_to_side(bench, who, where, same=True)
    said = replace(said, area=_area_across(bench, where))
    if bench.job.state.ends_of(where.mirrored):
        return _same_connection(bench, who, said)
    if said.keep is Keep.STAYS and said.hardware:
        return _loosened(bench, who, said)
    if said.keep is Keep.SCRAP and said.hardware_only:
        return _drilled(bench, who, said)
    keep = _usual(bench) if said.keep is Keep.BAG else said.keep
    return _taken(bench, who, replace(said, keep=keep))


def _same_connection(bench: Bench, who: Who, said: Removal) -> Reply:
    state, twin = bench.job.state, said.position.mirrored
    known = state.positions[twin]
    over = tuple(cover.mirrored for cover, each in state.positions.items() if twin in each.closes_up)
    _refuse_planned(bench)
    act = opening.disconnect(
        bench.job, who, said.position, {end.end: end.as_found for end in state.ends_of(twin)}, tag=bench.blank,
        area=said.area, hardware=said.hardware, keep=said.keep if said.keep is Keep.HOLE else Keep.TRAY,
        function="function" in known.asks, under=over, critical=known.critical,
    )  # fmt: skip
    return _disconnected(bench, act, said.position)


def _refuse_planned(bench: Bench) -> None:
    """Refuse to hang on a wire a tag that was printed ahead for a part."""
    plan = _planned(bench)
    if plan is not None:
        raise Refusal(f"the tag in hand was printed for {plan.position}", expected="a blank tag, for a wire",
                      came=shown(bench.blank), todo="put it back where it was, and scan a blank one")  # fmt: skip


def _disconnected(bench: Bench, act: Act, here: Position) -> Reply:
    bench.blank, bench.subject = "", here
    bench.loose = here if removing.tray(here) in bench.job.state.holdings else None
    tags = [f"     tag {shown(e.tag)}" for e in act.events if isinstance(e, TagBound)]
    bench.to_print += len(tags)
    told = [*echo.parted(bench.job.state, here), *tags]
    if bench.loose is not None:
        told.append("     its small hardware lies loose: scan a bag's tag, or say: hole")
    return done(act, f"DISCONNECTED  {here}", *told)


def _area_across(bench: Bench, here: Position) -> str:
    """Return the area of what is the same as the other side: the one of the zone card, on its own side."""
    words = bench.area.split()
    if words and side_or_none(words[-1]) is here.side.opposite:
        return " ".join([*words[:-1], here.side.value])
    return bench.area


def hole(bench: Bench, who: Who, text: str) -> Reply:
    """`hole`: the hardware just taken off was put back into its own hole."""
    if bench.loose is None or text:
        raise Refusal("no loose hardware waits for a place", expected="something just taken off", came="hole",
                      todo="say it with the removal: off POSITION; 4 AN525-10R8; in hole")  # fmt: skip
    act = bagging.into_hole(bench.job, who, removing.tray(bench.loose), bench.loose)
    bench.loose = None
    return done(act, "     kept in its hole")


def loosened(bench: Bench, who: Who, text: str) -> Reply:
    """`loosened POSITION SIDE; 2 AN3-5A`: backed off or slackened, nothing came off."""
    said = replace(removal(text, keep=Keep.STAYS), keep=Keep.STAYS, hardware_only=True, area=bench.area)
    state = bench.job.refresh()
    here = known_as(state, said.position)
    if not said.hardware and not state.joints_of(here):
        # what was slackened is the fastening itself: a hose clamp, a lock nut
        said = replace(said, hardware=(Stack((Line(1, here.name),)),))
    return _loosened(bench, who, said)


def _loosened(bench: Bench, who: Who, said: Removal) -> Reply:
    here = known_as(bench.job.state, said.position)
    _object_to_side(bench, who, here)
    loosening = tightening.stepping(here, JointStep.LOOSENED)
    act = bench.job.commit(who, removing.coming_off(bench.job, who, said), loosening)
    bench.subject = here
    beside = dict.fromkeys(j.positions[0] for j in bench.job.state.joints_of(here) if j.positions[0] != here)
    told = [f"     and the bolt of {p} through it: at {p.name} {p.side.value}, then tight" for p in beside]
    told += [*_hardware_off(bench, act), *echo.to_renew(bench.job.index(), here)]
    return done(act, f"LOOSENED  {here}: open until it is tight again", *told)


def aside(bench: Bench, who: Who, text: str) -> Reply:
    """`aside POSITION SIDE; 2 AN3-5A; in hole`: moved out of the way, still on the aircraft, no tag."""
    said = replace(removal(text, keep=Keep.TRAY), aside=True, area=bench.area)
    _object_to_side(bench, who, said.position)
    act = removing.take_off(bench.job, who, said)
    here = next(e.position for e in act.events if isinstance(e, TakenOff))
    loose = said.keep is Keep.TRAY and removing.tray(here) in bench.job.state.holdings
    bench.subject, bench.loose, bench.part = here, here if loose else None, ""
    state = bench.job.state
    asked = ["     scan the bag's tag, or say: hole"] if loose else []
    return done(act, f"ASIDE  {here}: open until it is back", *echo.understood(state, act), *_hardware_off(bench, act),
                *asked)  # fmt: skip


def drilled(bench: Bench, who: Who, text: str) -> Reply:
    """`drilled POSITION SIDE; 14 MS20470AD4-4`: destroyed by removal; a new count goes in, chips come out."""
    said = replace(removal(text, keep=Keep.SCRAP), keep=Keep.SCRAP, hardware_only=True, area=bench.area)
    state = bench.job.refresh()
    joints = state.joints_of(known_as(state, said.position))
    inside = any(Place(PlaceKind.JOINT, joint.identity) in state.holdings for joint in joints)
    if not said.hardware and not inside:
        raise Refusal("what was drilled out?", expected="a count and callout", came=text,
                      todo="drilled POSITION SIDE; 14 MS20470AD4-4")  # fmt: skip
    return _drilled(bench, who, said)


def _drilled(bench: Bench, who: Who, said: Removal) -> Reply:
    _object_to_side(bench, who, said.position)
    act = removing.take_off(bench.job, who, said)
    here = next(e.position for e in act.events if isinstance(e, TakenOff))
    bench.subject = here
    return done(act, f"DESTROYED  {here}: recover chips and stems, then say: chips out {here.name} {here.side.value}",
                *_hardware_off(bench, act))  # fmt: skip


def found(bench: Bench, who: Who, text: str) -> Reply:
    """`found POSITION SIDE; 2x [...]`: hardware that was to be counted at the bench."""
    parts = clauses(text)
    if len(parts) < 2:
        raise Refusal("what was counted?", expected="found POSITION SIDE; 4 AN525-10R8", came=text or "nothing",
                      todo="type position and count")  # fmt: skip
    here = existing(bench.job.refresh(), position(parts[0])).position
    act = removing.counted_at_bench(bench.job, who, here, parse("; ".join(parts[1:])))
    return done(act, f"COUNTED  {here}: {'; '.join(parts[1:])}")


def disconnect(bench: Bench, who: Who, text: str) -> Reply:
    """`disconnect POSITION SIDE; keyed; goes to J3` or `; A: terminal 3; B: terminal 4; function; critical`."""
    parts = clauses(text)
    if not parts:
        raise Refusal("what is disconnected?", expected="its name and side", came="nothing",
                      todo="disconnect tail light plug CENTRE; keyed")  # fmt: skip
    here = position(parts[0])
    ends: dict[str, str] = {}
    hardware: tuple[Stack, ...] = ()
    under: tuple[Position, ...] = ()
    function = critical = False
    keep, keyed_to = Keep.TRAY, ""
    for clause in parts[1:]:
        word, _, rest = clause.partition(" ")
        if clause[:2].upper() in ("A:", "B:"):
            ends[clause[0].upper()] = clause[2:].strip()
        elif word.casefold() == "keyed":
            ends.setdefault("", "")
        elif clause.casefold().startswith(("goes to ", "to ")):
            keyed_to = clause[clause.casefold().index("to ") + 3 :].strip()
        elif word.casefold() == "function":
            function = True
        elif word.casefold() == "critical":
            critical = True
        elif word.casefold() == "under":
            under = positions(rest)
        elif clause.casefold() in ("in hole", "hole"):
            keep = Keep.HOLE
        elif clause.casefold() in ("none", "no hardware"):
            keep = Keep.STAYS
        else:
            hardware = (*hardware, *parse(clause))
    if keyed_to or not ends:
        ends = {**ends, "": keyed_to} if not {"A", "B"} & ends.keys() else ends
    _refuse_planned(bench)
    _object_to_side(bench, who, here)
    act = opening.disconnect(
        bench.job, who, here, ends, tag=bench.blank, area=bench.area, hardware=hardware, keep=keep,
        function=function, under=under, critical=critical,
    )  # fmt: skip
    return _disconnected(bench, act, here)


def put(bench: Bench, who: Who, text: str) -> Reply:
    """`put 2 blue caps at POSITION`: on the aircraft for the time being; it must come off again."""
    what, at, where = cut(f"{text} ", "at")
    line = one_line(what)
    spot = _aboard(bench, where) if at else (str(bench.at) if bench.at else bench.area)
    if not spot:
        raise Refusal("where was it put?", expected="put 2 blue caps at POSITION", came=text,
                      todo="say where, or scan the zone card first")  # fmt: skip
    act = opening.put_aboard(bench.job, who, line, spot, area=bench.area)
    return done(act, f"ABOARD  {line} at {spot}: to come off again")


def _aboard(bench: Bench, where: str) -> str:
    """Return the place on the aircraft as the job spells it: an area, or a position."""
    state, spot = bench.job.refresh(), clean(where)
    area = area_among(spot, filter(None, (bench.area, *state.areas())))
    if area or not spot or side_or_none(spot.split()[-1]) is None:
        return area or spot
    return str(known_as(state, position(spot)))


def take(bench: Bench, who: Who, text: str) -> Reply:
    """`take 2 blue caps`: off the aircraft again."""
    what, _, where = cut(text, "at")
    line = one_line(what)
    act = opening.take_ashore(bench.job, who, line, _aboard(bench, where))
    return done(act, f"OFF THE AIRCRAFT  {line}")


def setting(bench: Bench, who: Who, text: str) -> Reply:
    """`setting POSITION SIDE; as found 3.5 threads` and later `; as left 3.5 threads because ...`."""
    said, why = because(text)
    parts = clauses(said)
    when = next((w for w in When if len(parts) == 2 and parts[1].casefold().startswith(w.value)), None)
    if when is None:
        raise Refusal("what was read?", expected="setting POSITION SIDE; as found VALUE (or: as left VALUE)",
                      came=text or "nothing", todo="type the value behind 'as found' or 'as left'")  # fmt: skip
    here = known_as(bench.job.refresh(), position(parts[0]))
    act = opening.note_setting(
        bench.job, who, here, when, parts[1][len(when.value) :].strip(" :"), why=why, area=bench.area
    )
    read = bench.job.state.settings[here]
    differs = read.as_found and in_one_form(read.as_left) != in_one_form(read.as_found)
    asked = f"     as found it was {read.as_found}. Say why: the same line again, with because ..."
    asked = asked if when is When.AS_LEFT and differs and not why else ""
    part = bench.job.state.part_from(here)
    off_now = when is When.AS_LEFT and part is not None and part.at is None
    again = f"     the {here} itself is off: it is read again once that is on" if off_now else ""
    return done(act, f"{when.value.upper()}  {here}: {parts[1][len(when.value) :].strip(' :')}", asked, again)


def point(bench: Bench, who: Who, text: str) -> Reply:
    """`point POSITION SIDE; under COVER SIDE`: to be looked at while it can be reached."""
    parts = clauses(text)
    under = tuple(p for c in parts[1:] if c.casefold().startswith("under ") for p in positions(c[6:]))
    if not parts:
        raise Refusal("look at what?", expected="point POSITION SIDE", came="nothing", todo="name it")
    here = position(parts[0])
    act = opening.name_point(bench.job, who, here, area=bench.area, under=under)
    again = any(isinstance(event, PositionNamed) and event.again for event in act.events)
    return done(act, f"TO LOOK AT  {here}", "     looked at before: it is asked once more" if again else "")


def blank_tag(bench: Bench, text: str) -> str:
    """Return the code of a fresh tag, taken in hand."""
    bench.blank = read(clean(text))
    return bench.blank

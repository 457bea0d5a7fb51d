"""What is opened without a part coming off: connections parted, settings read, points looked at, things put aboard."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tagtrack.core.axes import side_or_none
from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.events import (
    AccessSet,
    Act,
    Checked,
    ConnectionSet,
    Event,
    Installed,
    JointSet,
    Moved,
    PositionNamed,
    SettingNoted,
    TagBound,
    TakenOff,
)
from tagtrack.core.findings import Kind
from tagtrack.core.hardware import Line, Stack
from tagtrack.core.kinship import used_once
from tagtrack.core.marks import Marks
from tagtrack.core.order import refuse_circle
from tagtrack.core.places import STOCK, Item, ItemKind, Move, Place, PlaceKind, told
from tagtrack.core.records import Access, JointStep, Position, Role, TagRole, When
from tagtrack.core.spelling import clean, name, reason, same
from tagtrack.core.state import State
from tagtrack.core.tagcode import suffixed
from tagtrack.shop.deciding import Decide
from tagtrack.shop.desk import Job
from tagtrack.shop.holding import inside, let_loose
from tagtrack.shop.looks import seen_by
from tagtrack.shop.naming import existing, fresh, naming
from tagtrack.shop.ports import Who
from tagtrack.shop.removal import Keep, Removal
from tagtrack.shop.tagging import claim, usable_blank
from tagtrack.shop.terminals import as_before, meant
from tagtrack.shop.unfastening import hardware_of

KEYED = ""


def disconnect(
    job: Job, who: Who, position: Position, ends: Mapping[str, str], *, tag: str = "", area: str = "",
    hardware: tuple[Stack, ...] = (), keep: Keep = Keep.TRAY, function: bool = False,
    under: tuple[Position, ...] = (), critical: bool = False, lock: str = "",
) -> Act:  # fmt: skip
    """Record that a connection was parted.

    `ends` maps each end to where it goes: one keyed plug has the single end '' (one tag); ends that can be exchanged
    are A and B (a tag each, of one body). `function`: its function is to be checked once it is made again.
    """
    if set(ends) not in ({KEYED}, {"A", "B"}):
        raise Refusal(
            "a connection has one keyed plug, or the ends A and B", expected="keyed; or A: terminal 3; B: terminal 4",
            came=", ".join(f"{e}: {t}" for e, t in ends.items()) or "nothing",
            todo="say where each end goes",
        )  # fmt: skip
    if tag:
        claim(job, who, tag)
    small = used_once(job.knowledge, hardware)

    def make(state: State) -> Sequence[Event]:
        named = naming(state, who)
        here = named(position)
        parted = as_before(who, state, here, ends)
        already = state.ends.get((here, parted[0].end))
        if already is not None and not already.made:
            raise Refusal(f"{here} is disconnected already", expected="a connection that is made", came=str(here),
                          todo="connect it again with: connect TAG")  # fmt: skip
        asks = ("function",) if function else ()
        events: list[Event] = [PositionNamed(here, Role.CONNECTION, area, asks=asks, critical=critical)]
        for cover in under:
            over = named(cover)
            refuse_circle(state, over, (here,))
            events.append(PositionNamed(over, closes_up=(here,)))
        events += parted
        tagged = {t.thing for t in state.tags.values() if t.role is TagRole.CONNECTION and t.end is None}
        untagged = [each.end for each in parted if f"{here}|{each.end}" not in tagged]
        if untagged:
            body = usable_blank(job, state, tag) if tag else job.code(who, state)
            events += [TagBound(suffixed(body, e) if e else body, TagRole.CONNECTION, f"{here}|{e}") for e in untagged]
        screws = Removal(position=here, hardware=small, keep=keep, lock=lock)
        return [*events, *_small_hardware(job, who, state, screws)]

    return job.commit(who, make)


def _small_hardware(job: Job, who: Who, state: State, removal: Removal) -> Sequence[Event]:
    """Return that what holds a connection comes out with it: what is counted now, or in since an earlier time."""
    here = removal.position
    held = any(inside(state, joint) for joint in state.joints_of(here))
    if removal.keep is Keep.STAYS and not removal.hardware:
        return let_loose(who, state, here)
    if not removal.hardware and not held:
        return ()
    joints, moves = hardware_of(job, state, here, removal)
    loose = let_loose(who, state, here, (joint.identity for joint in joints))
    return (TakenOff(here, None, Marks(), joints, moves=moves), *loose)


def connect(job: Job, who: Who, position: Position, end: str, terminal: str = "") -> Act:
    """Record that one end was made again; without a terminal, where it came from. Return the act."""

    def make(state: State) -> Sequence[Event]:
        known = state.ends.get((position, end))
        if known is None:
            ends = [each.end for each in state.ends_of(position)]
            if ends:
                raise Refusal(
                    f"which end of {position}?", expected=" or ".join(ends) if ends != [""] else "its one plug",
                    came=end or "none", todo="scan its tag;  or: " + ",  or  ".join(
                        f"connect {position.name} {position.side.value}" + (f"; {each}" if each else "")
                        for each in ends
                    ),
                )  # fmt: skip
            raise Refusal(f"{position} was never disconnected here", expected="a connection of this job",
                          came=f"{position} {end}".strip(), todo="scan its tag")  # fmt: skip
        at = meant(state, position, clean(terminal)) or known.as_found
        if known.made and same(known.terminal) == same(at):
            raise Refusal(f"{position} {end} is connected already".replace("  ", " "),
                          expected="an end that is off", came=at or "the same again", todo="go on")  # fmt: skip
        if known.as_found and same(at) != same(known.as_found):
            which = f"end {end} of {position}" if end else str(position)
            who.object(Objection(
                f"STOP: {which} came from {known.as_found}", kind=Kind.STILL_DISCONNECTED.value,
                expected=known.as_found, came=at,
                todo="look at its tag and at the terminal, and put it where it came from; it goes elsewhere? say why",
            ))  # fmt: skip
        # from one terminal to another it went with its screw backed off
        held = [j for j in state.joints_of(position) if known.made and (j.tight or j.safe)]
        return (*(JointSet(j.identity, JointStep.LOOSENED) for j in held), ConnectionSet(position, end, at, made=True))

    return job.commit(who, make)


def is_terminal(state: State, position: Position, said: str) -> bool:
    """Return whether words name a terminal from which an end of this connection came."""
    return meant(state, position, clean(said)) in {end.as_found for end in state.ends_of(position)}


def note_setting(
    job: Job, who: Who, position: Position, when: When, value: str, *, why: str = "", area: str = ""
) -> Act:
    """Record a setting as found or as left; a difference wants a reason. Return the act."""
    read = name(value, what="value")

    def make(state: State) -> Sequence[Event]:
        here = fresh(state, position, who) if when is When.AS_FOUND else position
        if when is When.AS_LEFT and here not in state.settings:
            raise Refusal(f"no setting '{here}' was read as found", expected="; ".join(map(str, state.settings)),
                          came=str(here), todo="type the name as it was given")  # fmt: skip
        told = reason(why) if why else ""
        known = state.settings.get(here)
        if when is When.AS_FOUND and known is not None and same(known.as_found) != same(read):
            who.object(Objection(
                f"STOP: {here} was read as found before", kind="setting", expected=known.as_found, came=read,
                todo="what it is now is: as left VALUE; the first reading was wrong: say so",
            ))  # fmt: skip
        named = (PositionNamed(here, Role.POINT, area),) if here not in state.positions else ()
        return (*named, SettingNoted(here, when, read, told))

    return job.commit(who, make)


def name_point(job: Job, who: Who, position: Position, *, area: str = "", under: tuple[Position, ...] = ()) -> Act:
    """Record a place that is to be looked at while it can be reached, also once more; return the act."""

    def make(state: State) -> Sequence[Event]:
        named = naming(state, who)
        here = named(position)
        covers = [PositionNamed(named(cover), closes_up=(here,)) for cover in under]
        again = (str(here), "look") in state.checks
        return (PositionNamed(here, Role.POINT, area, asks=("look",), again=again), *covers)

    return job.commit(who, make)


def put_aboard(job: Job, who: Who, line: Line, where: str, *, area: str = "") -> Act:
    """Record that temporary items were put ON the aircraft: caps, plugs, pins, tools, rags. Return the act.

    `where` is a position as stored, or an area; a position that is new to the job lies in `area`.
    """
    def make(state: State) -> Sequence[Event]:
        spot, _, side = where.rpartition(", ")
        here = Position(spot, found) if spot and (found := side_or_none(side)) else None
        named = (PositionNamed(here, Role.POINT, area),) if here and here not in state.positions else ()
        aboard = (i for p, lots in state.holdings.items() if p.kind is PlaceKind.ABOARD for i in lots)
        # one cap here and two caps there are caps
        item = next((i for i in aboard if _one_word(i.name) == _one_word(line.text)), None)
        move = Move(item or Item(ItemKind.TEMPORARY, line.text), line.count, STOCK, _aboard(where))
        return (*named, Moved("put on the aircraft", (move,)))

    return job.commit(who, make)


def take_ashore(job: Job, who: Who, line: Line, where: str = "") -> Act:
    """Record that temporary items came off the aircraft again; without a place, from the one where they are."""

    def make(state: State) -> Sequence[Event]:
        item = _temporary(state, line)
        known = [p for p, lots in state.holdings.items() if p.kind is PlaceKind.ABOARD and item in lots]
        source = _aboard(where) if where else known[0]
        if not where and len(known) > 1 and line.count != sum(state.holdings[p][item] for p in known):
            raise Refusal(
                f"{item.name} is aboard at {len(known)} places", expected=" or ".join(p.name for p in known),
                came=str(line), todo=f"say where: take {line} at {known[0].name}",
            )  # fmt: skip
        if not where and len(known) > 1:
            moves = [Move(item, state.holdings[p][item], p, STOCK) for p in known]
        else:
            moves = [Move(item, line.count, source, STOCK)]
        return (Moved("taken off the aircraft", tuple(moves)),)

    return job.commit(who, make)


def _aboard(where: str) -> Place:
    return Place(PlaceKind.ABOARD, name(where, what="place on the aircraft"))


def _one_word(text: str) -> str:
    # one cap is a cap of two caps
    return text.casefold().removesuffix("s")


def _temporary(state: State, line: Line) -> Item:
    aboard = {i for p, lots in state.holdings.items() if p.kind is PlaceKind.ABOARD for i in lots}
    for item in aboard:
        if _one_word(item.name) == _one_word(line.text):
            return item
    raise Refusal(
        f"no '{line.text}' is aboard", expected=", ".join(sorted(i.name for i in aboard)) or "nothing is aboard",
        came=str(line), todo="name it as it was put on",
    )  # fmt: skip


def temporarily_on(position: Position, held_by: str = "") -> Decide:
    """Decide that a cover is on by some of its fasteners so that it is not lost: still open."""

    def decide(state: State) -> Sequence[Event]:
        part = state.part_from(position)
        events: list[Event] = []
        if part is not None and part.at is None:
            if part.place.kind is not PlaceKind.SPOT:
                raise Refusal(f"the {position} is not in the shop", expected="a cover that is off, or on",
                              came=told(part.place), todo="fit its replacement")  # fmt: skip
            here = Place(PlaceKind.POSITION, str(position))
            move = Move(Item(ItemKind.PART, part.identity), 1, part.place, here)
            events.append(Installed(position, part.identity, trial=True, moves=(move,)))
        return (*events, AccessSet(position, Access.TEMPORARILY_ON, clean(held_by)))

    return decide


def chips_out(job: Job, who: Who, position: Position, said: str) -> Act:
    """Record that chips and stems of destroyed fasteners were recovered; return the act."""
    seen = seen_by(who, "chips out", said)

    def make(state: State) -> Sequence[Event]:
        drilled = [j for j in state.joints_of(existing(state, position).position) if j.destroyed]
        if not drilled:
            raise Refusal(f"nothing was destroyed at {position}", expected="a position where something was drilled out",
                          came=str(position), todo="check the position")  # fmt: skip
        return tuple(Checked(j.identity, "chips", seen) for j in drilled)

    return job.commit(who, make)

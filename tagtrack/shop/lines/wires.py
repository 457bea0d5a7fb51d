"""Words for wires and lines: parted, the other side's parted alike, made again, each end at its terminal."""

from __future__ import annotations

import re
from dataclasses import replace

from tagtrack.core.axes import side_or_none
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, TagBound, TakenOff
from tagtrack.core.hardware import Stack, parse
from tagtrack.core.records import Position, position
from tagtrack.core.spelling import same
from tagtrack.core.tagcode import looks_like_code, may_be_printed, shown
from tagtrack.shop import opening
from tagtrack.shop.lines import echo
from tagtrack.shop.lines.clauses import because, clauses, positions, removal
from tagtrack.shop.lines.standing import is_elsewhere, object_to_side, refuse_planned, stop_elsewhere
from tagtrack.shop.lines.talk import Bench, Reply, ask, done, wrong
from tagtrack.shop.naming import existing, known_as
from tagtrack.shop.other_side import like_other_side
from tagtrack.shop.ports import Who
from tagtrack.shop.removal import Keep, Removal, tray
from tagtrack.shop.tagging import meaning


def disconnect(bench: Bench, who: Who, text: str) -> Reply:
    """`disconnect POSITION SIDE; keyed; goes to J3` or `; A: terminal 3; B: terminal 4; function; critical`."""
    parts = clauses(text)
    if not parts:
        raise Refusal("what is disconnected?", expected="its name and side", came="nothing",
                      todo="disconnect tail light plug CENTRE; keyed")  # fmt: skip
    here = known_as(bench.job.state, position(parts[0]))
    ends: dict[str, str] = {}
    hardware: tuple[Stack, ...] = ()
    under: tuple[Position, ...] = ()
    function = critical = False
    keep, keyed_to, lock = Keep.TRAY, "", ""
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
        elif word.casefold() in ("lock", "locked"):
            lock = removal(f"{parts[0]}; {clause}", keep=keep).lock
        elif clause[0].isdigit() or clause[0] in "[-+":
            hardware = (*hardware, *parse(clause))
        else:
            raise Refusal(
                f"'{clause}' is not understood", expected="its ends (keyed; goes to J3, or A: terminal 3; B: terminal "
                "4), its small hardware (2 AN520-8R6), or one of: function, critical, under, in hole, none, lock",
                came=clause, todo="put each into its own clause, behind a semicolon",
            )  # fmt: skip
    if keyed_to and {"A", "B"} & ends.keys():
        raise Refusal(
            "does it have one plug, or the ends A and B?", expected="keyed; goes to J3,  or  A: 3; B: 4",
            came=f"A and B, and goes to {keyed_to}", todo="say the one or the other",
        )  # fmt: skip
    if keyed_to or not ends:
        ends = {**ends, "": keyed_to} if not {"A", "B"} & ends.keys() else ends
    refuse_planned(bench)
    object_to_side(bench, who, here)
    act = opening.disconnect(
        bench.job, who, here, ends, tag=bench.blank, area=bench.area, hardware=hardware, keep=keep,
        function=function, under=under, critical=critical, lock=lock,
    )  # fmt: skip
    return _disconnected(bench, act, here)


def same_connection(bench: Bench, who: Who, said: Removal) -> Reply:
    """Answer `same` for a connection: parted like the other side's, each end at the terminal of its twin."""
    state, twin = bench.job.state, said.position.mirrored
    _refuse_of_a_part(said, like_other_side(state, said.position))
    known = state.positions[twin]
    over = tuple(cover.mirrored for cover, each in state.positions.items() if twin in each.closes_up)
    refuse_planned(bench)
    act = opening.disconnect(
        bench.job, who, said.position, {end.end: end.as_found for end in state.ends_of(twin)}, tag=bench.blank,
        area=said.area, hardware=said.hardware, keep=said.keep if said.keep in (Keep.HOLE, Keep.STAYS) else Keep.TRAY,
        function="function" in known.asks, under=(*over, *said.under), critical=said.critical, lock=said.lock,
    )  # fmt: skip
    return _disconnected(bench, act, said.position)


# what is said of a part, and of no wire
_OF_A_PART = {
    "marks": "marks", "mount": "mount", "closes_up": "closes", "parent": "part of", "number": "pn", "serial": "sn",
    "life": "life", "span": "measured", "clamps": "clamps", "requirement": "per data", "put": "put", "bag": "bag",
}  # fmt: skip


def _refuse_of_a_part(said: Removal, listed: Removal) -> None:
    """Refuse what is said behind `same` of a part alone, where the other side's is a connection."""
    odd = [word for name, word in _OF_A_PART.items() if getattr(said, name) != getattr(listed, name)]
    if odd:
        raise Refusal(
            f"{said.position} is a connection, and has no {', '.join(odd)}", came=", ".join(odd),
            expected="a count of its small hardware, critical, under, lock",
            todo=f"leave that out; other ends? disconnect {said.position.name} {said.position.side.value}; A: ...",
        )  # fmt: skip


def _disconnected(bench: Bench, act: Act, here: Position) -> Reply:
    bench.blank, bench.subject = "", here
    bench.loose = here if tray(here) in bench.job.state.holdings else None
    tags = [f"     tag {shown(e.tag)}" for e in act.events if isinstance(e, TagBound)]
    bench.to_print += len(tags)
    small = [line for e in act.events if isinstance(e, TakenOff) for line in echo.hardware(bench.job.state, e)]
    told = [*echo.parted(bench.job.state, here), *small, *tags, *_line_asks(bench, here)]
    told += echo.critical(bench.job.state, here, first=True)
    if bench.loose is not None:
        told.append("     its small hardware lies loose: scan a bag's tag, or say: hole")
    return done(act, f"DISCONNECTED  {here}", *told)


# lines that hold a fluid, or a pressure that an instrument reads; common practice, no source
_LINE = re.compile(
    r"(?i)\b(?:fuel|oil|primer|brake|hydraulic|pitot|static|vacuum|pressure|vent|drain|oxygen)\b.*\b(?:line|hose|pipe|tube)"
)


def _line_asks(bench: Bench, here: Position) -> list[str]:
    """Return how the fittings of a line are made to be asked for, and its leak check, where neither was said."""
    state, named = bench.job.state, f"{here.name} {here.side.value}"
    if not _LINE.search(here.name):
        return []
    fittings = [] if state.joints_of(here) else [f"loosened {named}; 2 coupling nuts"]
    leaks = [] if "function" in state.positions[here].asks else [f"also {named}; function"]
    said = [*fittings, *leaks]
    what = " and ".join([*(["its fittings"] if fittings else []), *(["a leak check"] if leaks else [])])
    return [f"     nothing asks for {what} until that is said: {';   '.join(said)}"] if said else []


def connect(bench: Bench, who: Who, text: str) -> Reply:
    """`connect CODE` or `connect POSITION SIDE; A; terminal 4`; without a terminal: where it came from."""
    said, why = because(text)
    who = replace(who, despite=why) if why else who
    parts = clauses(said)
    if not parts:
        raise Refusal("connect what?", expected="a tag, or a position", came="nothing", todo="scan its tag")
    end = next((c.upper() for c in parts[1:] if c.upper() in ("A", "B")), "")
    others = [c for c in parts[1:] if c.upper() not in ("A", "B")]
    if len(others) > 1:
        raise Refusal("on which terminal?", expected="one of them", came="; ".join(others), todo="say one terminal")
    terminal = others[0] if others else ""
    if looks_like_code(parts[0]):
        found = meaning(bench.job, parts[0])
        where, _, end = found.thing.rpartition("|")
        here = Position.read(where)
    else:
        here = existing(bench.job.state, position(parts[0])).position
    return _connected(bench, who, here, end, terminal)


def end_in_hand(bench: Bench, who: Who, here: Position, end: str) -> Reply:
    """Ask where an end was put that fits another terminal as well; what fits one place only is made by its scan."""
    state = bench.job.state
    if is_elsewhere(bench, here):
        return wrong(None, f"STOP: this is {here}" + (f", end {end}." if end else "."), *stop_elsewhere(bench))
    known = state.ends.get((here, end))
    if known is None or not end or known.made:
        return _connected(bench, who, here, end, "")
    bench.end, bench.subject = (here, end), here
    return ask(f"END {end} OF {here}", "     on which terminal did you put it? read it there, and type it")


def terminal_said(bench: Bench, said: str) -> str:
    """Return the terminal that a line names with an end in hand, where it could be read as something else; else ''."""
    if bench.end is None:
        return ""
    word, _, rest = said.partition(" ")
    if opening.is_terminal(bench.job.state, bench.end[0], said):
        return said
    if looks_like_code(said) and not may_be_printed(said):
        return said
    code = looks_like_code(rest) and may_be_printed(rest)
    if word.casefold() != "connect" or not rest or code or ";" in rest or because(rest)[1]:
        return ""
    # "connect to terminal 3" is no position: it answers what was asked
    return "" if side_or_none(rest.split()[-1]) else re.sub(r"(?i)^(?:to|at) ", "", rest)


def terminal(bench: Bench, who: Who, text: str) -> Reply:
    """Answer on which terminal the end in hand was put."""
    assert bench.end is not None  # noqa: S101 - the loop asks for it only with an end in hand
    here, end = bench.end
    reply = _connected(bench, who, here, end, text)
    bench.end = None
    return reply


def _connected(bench: Bench, who: Who, here: Position, end: str, terminal: str) -> Reply:
    act = opening.connect(bench.job, who, here, end, terminal)
    bench.subject = here
    state = bench.job.state.ends[(here, end)]
    head = f"CONNECTED  {here}" + (f" end {end}" if end else "") + (f" at {state.terminal}" if state.terminal else "")
    if state.as_found and same(state.terminal) != same(state.as_found):
        return wrong(act, head, f"     it came from {state.as_found}: put it there, or answer it after: check")
    asks = bench.job.state.positions[here].asks
    first = "make it tight, then " if bench.job.state.joints_of(here) else ""
    return done(act, head, f"     then {first}check its function: {asks[0]} {here}: what you saw" if asks else "")

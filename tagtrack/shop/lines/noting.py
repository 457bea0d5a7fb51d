"""Words for what is noted beside parts: things put aboard, settings as read, places to look at."""

from __future__ import annotations

from tagtrack.core.axes import area_among, side_or_none
from tagtrack.core.errors import Refusal
from tagtrack.core.events import PositionNamed
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.records import When, position
from tagtrack.core.spelling import clean
from tagtrack.core.spelling import same as in_one_form
from tagtrack.core.state import State
from tagtrack.shop import afterwards, opening
from tagtrack.shop.lines import echo
from tagtrack.shop.lines.clauses import because, clauses, cut, one_line, positions, removal
from tagtrack.shop.lines.talk import Bench, Reply, done
from tagtrack.shop.naming import known_as
from tagtrack.shop.ports import Who
from tagtrack.shop.removal import Keep


def put(bench: Bench, who: Who, text: str) -> Reply:
    """`put 2 blue caps at POSITION`: on the aircraft for the time being; it must come off again."""
    what, at, where = _cut_where(text)
    line = one_line(what)
    spot = _aboard(bench, where) if at else (str(bench.at) if bench.at else bench.area)
    if not spot:
        raise Refusal("where was it put?", expected="put 2 blue caps at POSITION", came=text,
                      todo="say where, or scan the zone card first")  # fmt: skip
    act = opening.put_aboard(bench.job, who, line, spot, area=bench.area)
    return done(act, f"ABOARD  {line} at {spot}: to come off again")


def _cut_where(text: str) -> tuple[str, str, str]:
    """Return what was put or taken, and where: behind `at`, else behind another such word."""
    for word in ("at", "on", "from", "out of", "in"):
        what, found, where = cut(f"{text} ", word)
        # "1 plug in line" is so called; "3 rags in wing LEFT" lie there
        if found and (word != "in" or side_or_none(where.split(" ")[-1])):
            return what, found, where
    return text, "", ""


def _aboard(bench: Bench, where: str) -> str:
    """Return the place on the aircraft as the job spells it: an area, or a position."""
    state, spot = bench.job.state, clean(where)
    area = area_among(spot, filter(None, (bench.area, *state.areas())))
    if area or not spot:
        return area or spot
    if side_or_none(spot.split()[-1]) is None and (in_one_form(spot) not in state.spelled or _lies_at(state, spot)):
        return spot
    # of a thing that is known by its side, the side is asked
    return str(known_as(state, position(spot)))


def _lies_at(state: State, spot: str) -> bool:
    return Place(PlaceKind.ABOARD, spot) in state.holdings


def also(bench: Bench, who: Who, text: str) -> Reply:
    """`also POSITION SIDE; critical; mount INBD`: what was not said before; also closes, under, function, per data."""
    parts = clauses(text)
    rest = [clause for clause in parts if clause.casefold() != "function"]
    act = afterwards.add(bench.job, who, removal("; ".join(rest), keep=Keep.STAYS), function=len(rest) < len(parts))
    state = bench.job.state
    named = next(event for event in act.events if isinstance(event, PositionNamed))
    known = state.positions[named.position]
    head = f"KNOWN OF  {known.position}{' (CRITICAL)' if known.critical else ''}"
    parted = echo.parted(state, known.position) if state.ends_of(known.position) else []
    tags = "     tags printed before do not say so: print them again, or write it on them"
    return done(act, head, *echo.facts(state, known), *parted, tags)


def take(bench: Bench, who: Who, text: str) -> Reply:
    """`take 2 blue caps`: off the aircraft again."""
    what, _, where = _cut_where(text)
    line = one_line(what.strip())
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
    here = known_as(bench.job.state, position(parts[0]))
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
    odd = [clause for clause in parts[1:] if not clause.casefold().startswith("under ")]
    if odd:
        raise Refusal(f"'{odd[0]}' is not understood", expected="nothing more, or the covers over it: under COVER SIDE",
                      came=odd[0], todo="what is seen there is said later: look POSITION: what you saw")  # fmt: skip
    here = known_as(bench.job.state, position(parts[0]))
    act = opening.name_point(bench.job, who, here, area=bench.area, under=under)
    again = any(isinstance(event, PositionNamed) and event.again for event in act.events)
    return done(act, f"TO LOOK AT  {here}", "     looked at before: it is asked once more" if again else "")

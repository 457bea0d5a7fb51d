"""Words for what is lost: lost and dropped, and what becomes of a case."""

from __future__ import annotations

import re

from tagtrack.core import places
from tagtrack.core.accounts import with_second
from tagtrack.core.axes import side_or_none
from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.findings import Kind
from tagtrack.core.hardware import Line
from tagtrack.core.places import ItemKind, Place, PlaceKind
from tagtrack.core.records import LossOutcome, Position, position
from tagtrack.core.spelling import clean
from tagtrack.core.tagcode import looks_like_code
from tagtrack.shop import losing, taking_out
from tagtrack.shop.lines.clauses import because, cut, one_line
from tagtrack.shop.lines.fasten import subject
from tagtrack.shop.lines.fate import bag_of
from tagtrack.shop.lines.talk import Bench, Reply, done, wrong
from tagtrack.shop.meant import as_known, own_first
from tagtrack.shop.naming import area_meant, existing
from tagtrack.shop.ports import Who


def _last_at(bench: Bench, line: Line, here: Position, bag: Place | None) -> Place:
    """Return where a lost piece of a position was last, by the record: its bag, the bench, its joint, or stock."""
    state = bench.job.state
    index = bench.job.index()
    joints = own_first(state, here)
    # out of a joint that holds too many sooner than out of one that holds what belongs there
    inside = sorted(joints, key=lambda j: taking_out.surplus(index, j, line.spec) < line.count)
    tag = state.tags.get(bag.name) if bag is not None else None
    # a bag that was scanned for something before is the last that is meant
    its_own = tag is not None and (tag.thing == str(here) or any(j.kept == bag for j in joints))
    likely = [*([bag] if bag and its_own else []), *(j.kept for j in joints), places.BENCH,
              *(Place(PlaceKind.JOINT, j.identity) for j in inside), *([bag] if bag else [])]  # fmt: skip
    items = (places.used(line.spec), places.new(line.spec))
    for place in dict.fromkeys(likely):
        if any(places.held(state.holdings, place, item) >= line.count for item in items):
            return place
    if state.positions[here].uncounted:
        # counted without it, what came off would never be missed
        raise Refusal(
            f"what came off {here} is not counted yet", expected="its count, with what is lost", came=f"lost {line}",
            todo=f"search now; and say how many came off, the lost one too: found {here.name} {here.side.value}; "
            f"4 {line.text};   then again: lost {line} from {here.name} {here.side.value}",
        )  # fmt: skip
    # a piece that is used once goes in new; nothing else is taken from stock without a word
    once = any(line.spec in joint.used_once for joint in joints)
    return places.STOCK if once or not joints else joints[0].kept


def _lay(bench: Bench, line: Line, origin: str) -> tuple[Place, Position | None]:
    """Return where a lost piece was last, and the position that was named for it, or whose bag was."""
    state = bench.job.state
    if origin.casefold() == "stock":
        return places.STOCK, None
    if origin.casefold() in ("bench", "the bench"):
        return places.BENCH, None
    if looks_like_code(origin):
        bag = bag_of(bench, origin)
        return bag, Position.read(state.tags[bag.name].thing)
    if origin and origin.casefold() not in ("bag", "the bag"):
        here = existing(state, position(re.sub(r"(?i)^(?:the )?bag of ", "", origin))).position
        return _last_at(bench, line, here, None), here
    return _last_at(bench, line, subject(bench), bench.bag), None


def _whose(bench: Bench, place: Place) -> str:
    """Return a place in shop words, with the position whose hardware lies or sits there."""
    state = bench.job.state
    if place.kind is PlaceKind.JOINT:
        return f"the joint of {state.joints[place.name].positions[0]}"
    tag = state.tags.get(place.name) if place.kind is PlaceKind.BAG else None
    return places.told(place) + (f" of {tag.thing}" if tag is not None else "")


def _lost_by_name(bench: Bench, what: str) -> str:
    """Return the part that is said to be lost by its position, for its tag is lost with it; empty where none is named.

    Refuses one that is on by the record, and a name that is not known.
    """
    words, state = what.split(), bench.job.state
    words = words[1:] if words[:1] and words[0].casefold() == "the" else words
    sided = len(words) > 1 and side_or_none(words[-1]) is not None
    if not words or words[0].isdecimal() or not (sided or state.spelling(" ".join(words))):
        return ""
    here = existing(state, position(" ".join(words))).position
    part = state.part_from(here)
    if part is not None and part.at is not None:
        raise Refusal(f"the {here} is on, by the record", expected="a part that is off", came=f"lost {what}",
                      todo="look there; it is gone all the same? scan or type its tag, then: lost")  # fmt: skip
    return part.identity if part is not None else ""


def lost(bench: Bench, who: Who, text: str) -> Reply:
    """`lost 1 AN960-10`, `lost 1 AN960-10 from POSITION SIDE`, `lost` for the part in hand: no blame, one line.

    `lost POSITION SIDE` for a part whose tag is gone with it. Also `lost 1 AN960-10 from CODE in tail`. What is named
    is charged, whichever bag is in hand.
    """
    said, _, behind = cut(text, "in")
    area, _, late = cut(behind, "from")
    what, _, origin = cut(said, "from")
    origin = (origin or late).strip()
    meant = area_meant(bench.job.state, area, who) if area.strip() else bench.area
    lay = ""
    named = _lost_by_name(bench, what)
    if not what.strip() or named:
        identity = named or bench.part
        if not identity:
            raise Refusal("what is lost?", expected="lost 1 AN960-10; or the part in hand", came="lost", todo="say it")
        act = losing.lose_part(bench.job, who, identity, (meant,) if meant else ())
        bench.part = "" if identity == bench.part else bench.part
    else:
        (line,) = as_known(bench.job.state, (one_line(what),), None)
        source, home = _lay(bench, line, origin)
        if home is not None and not area.strip():
            # where it was told to be from, and not where the person stands who tells it
            meant = bench.job.index().area(home) or meant
        act = losing.lose(bench.job, who, line, source, (meant,) if meant else ())
        lay = f"     taken from {_whose(bench, source)}"
    case = list(bench.job.state.losses)[-1]
    lay = f"{lay or '     '}{'; ' if lay else ''}lost in {meant or 'no area that was said: anywhere'}"
    return wrong(act, f"LOST  case {case}. Stop, tell the others, search now.", lay,
                 f"     case {case} searched WHERE: how;   case {case} found: where;   nothing closes up until it is")


def case(bench: Bench, who: Who, text: str) -> Reply:
    """`case L1 searched tail: mirror and lamp`, `case L1 found: under the mat`, `case L1 not aboard by NAME: how`.

    Also `case L1 accepted by NAME: how`. A second person who works in this shop says it too, after `by INITIALS`: the
    same line.
    """
    said, why = because(text)
    # "accepted by NAME because ...": a reason stands behind that word everywhere else
    head, how = (said, why) if why and ":" not in said else text.partition(":")[::2]
    number, _, rest = head.partition(" ")
    words = rest.strip().casefold()
    outcome = next((o for o in LossOutcome if words.startswith(o.value)), None)
    if outcome is None:
        raise Refusal("what became of it?", expected=" or ".join(o.value for o in LossOutcome), came=text or "nothing",
                      todo="case L1 searched tail: mirror and lamp")
    tail = rest.strip()[len(outcome.value):].strip()
    second = tail[3:].strip() if tail.casefold().startswith("by ") else ""
    count = None
    if outcome is LossOutcome.FOUND:
        count, tail = _how_many(tail.strip(" ,;"))
        _object_to_count(bench, who, number, count, how)
    areas = (tail,) if tail and not second else ()
    act = losing.step(bench.job, who, number, outcome, how, areas=areas, second=second, count=count)
    loss = bench.job.state.losses[clean(number).upper()]
    if outcome is not LossOutcome.FOUND:
        by = with_second(bench.job.state, loss)
        head = f"CASE {loss.case}  {outcome.value}{f', {by}' if by else ''}"
        other = losing.colleague(bench.job, loss.second) if loss.alone else None
        asked = f"by {other.initials}, then: case {loss.case} {outcome.value}: what was seen" if other else ""
        return done(act, head, f"     {loss.second} says it too: {asked}" if asked else "")
    lies = "scan its tag" if loss.item.kind is ItemKind.PART else f"put it in: in {loss.count - loss.still} {loss.what}"
    told = f"     it lies on the bench: {lies}"
    if loss.stands:
        return wrong(act, f"CASE {loss.case}  found {loss.found} of {loss.count}", told,
                     f"     STILL LOST: {loss.still} {loss.what}. The case stays open: search on")  # fmt: skip
    return done(act, f"CASE {loss.case}  found", told)


def _object_to_count(bench: Bench, who: Who, number: str, count: int | None, how: str) -> None:
    """Ask whether all of several were found, where it is told with a number that is not that of all of them."""
    loss = bench.job.state.losses.get(clean(number).upper())
    said, _ = _how_many(how.strip())
    if loss is not None and count is None and said is not None and said < loss.still:
        who.object(Objection(
            f"STOP: {loss.still} {loss.what} are lost: were all of them found?", kind=Kind.LOST.value,
            expected=f"case {loss.case} found {said}: where, if it is {said} of them", came=how.strip(),
            todo="say how many before the colon; all of them? then say so",
        ))  # fmt: skip


_COUNTED = re.compile(
    r"(?ix)^(?:only\ |just\ )?(?P<count>\d+|one|two|three|four|five|six|seven|eight|nine|ten)\b"
    r"(?:\ ?of\ (?:them|\d+)\b)?\s*(?P<rest>.*)$"
)
_IN_WORDS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def _how_many(said: str) -> tuple[int | None, str]:
    """Return how many of several were found, where that is said, and the area behind it.

    >>> _how_many("1"), _how_many("one of them in tail"), _how_many("tail LEFT")
    ((1, ''), (1, 'tail'), (None, 'tail LEFT'))
    """
    counted = _COUNTED.match(said)
    if counted is None:
        return None, said
    word = counted["count"].casefold()
    return int(word) if word.isdecimal() else _IN_WORDS.index(word), re.sub(r"(?i)^in ", "", counted["rest"])

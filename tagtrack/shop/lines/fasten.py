"""Words for hardware going back: all in, in, new, used instead, added, back, tight, safe."""

from __future__ import annotations

import re

from tagtrack.core import places, stack_sense, torque
from tagtrack.core.check_joints import told_tight
from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.events import JointSet
from tagtrack.core.findings import Kind
from tagtrack.core.hardware import parse_flat, spec_key, text_of
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.reconcile import of_position
from tagtrack.core.records import JointStep, Position
from tagtrack.core.still_open import short
from tagtrack.shop import fastening, refitting, taking_out, tightening
from tagtrack.shop.deciding import Decide
from tagtrack.shop.fastening import Put
from tagtrack.shop.lines import echo
from tagtrack.shop.lines.standing import is_elsewhere, named_apart
from tagtrack.shop.lines.talk import Bench, Reply, done, more, wrong
from tagtrack.shop.meant import as_known, meant, own
from tagtrack.shop.ports import Who

# what must be heard at once, beside short and over
_WRONG_HARDWARE = frozenset({Kind.WRONG_HARDWARE, Kind.REUSED})

# a number behind `tight` is a count, unless a unit, or the rest of a range, makes it a torque
_NO_COUNT = rf"\ ?(?:[-+]|(?:in|ft|lbs?|pounds?)\b|{torque.UNIT})"
_FINISH = re.compile(
    r"(?ix)^(?P<all>all\ in(?:,?\ bag\ empty)?)?[ ,]*(?P<new>new)?[ ,]*(?:finger\ (?P<finger>no|yes))?[ ,]*"
    rf"(?P<then_new>new)?[ ,]*(?:(?P<tight>tight)(?:\ (?P<count>\d+)(?=\ |,|$)(?!{_NO_COUNT}))?"
    r"(?:\ (?P<torque>(?!safe|finger|new\b)[^,;]+?))?)?"
    r"[ ,]*(?P<next_new>new)?[ ,]*(?:finger\ (?P<late>no|yes))?[ ,]*(?P<safe>safe|safetied)?"
    r"[ ,]*(?:finger\ (?P<later>no|yes))?[ ,]*(?P<late_new>(?<=[ ,])new)?$"
)


def finish(bench: Bench, who: Who, text: str) -> Reply:
    """`all in new tight 25 in-lb safe`, `all in finger no tight per data`, `tight 2`, `safe`."""
    text = named_apart(bench, "", text)
    match = _FINISH.match(text)
    if match is None or not any(match.groupdict().values()):
        raise Refusal(f"'{text}' is not understood", expected="all in [new] [finger no] [tight [VALUE]] [safe]",
                      came=text, todo="for example: all in tight safe")  # fmt: skip
    here = _working(bench, who)
    new_too = any(match[where] for where in ("new", "then_new", "next_new", "late_new"))
    if match["all"] or new_too or match["tight"] or match["safe"]:
        _object_to_absence(bench, who, here)
    decides: list[Decide] = []
    bag = bench.bag
    if match["all"]:
        source = _source(bench, here)
        decides.append(fastening.entering(bench.job.knowledge, source, here, anothers=_is_anothers(bench, here)))
    if new_too:
        decides.append(fastening.renewing(bench.job.knowledge, here, bag))
    finger = match["finger"] or match["late"] or match["later"] or ""
    needless = _needless(bench, here, match, finger)
    if finger and not needless:
        decides.append(tightening.finger_said(bench.job.knowledge, here, runs_on=finger.casefold() == "yes", bag=bag))
    if match["tight"]:
        count, value = int(match["count"] or 0), (match["torque"] or "").strip()
        spec, value = _which(bench, here, value)
        _object_to_torque(bench, who, here, value, spec)
        decides.append(tightening.stepping(here, JointStep.TIGHT, count=count, value=value, spec=spec, bag=bag,
                                          all_in=bool(match["all"])))  # fmt: skip
    if match["safe"]:
        decides.append(tightening.stepping(here, JointStep.SAFETIED, bag=bag, all_in=bool(match["all"])))
    result = fastening.fasten(bench.job, who, *decides)
    bench.subject = here
    told: list[str] = [needless] if needless else []
    loud = _told_put(result, told)
    if match["all"] and bench.bag in bench.job.state.holdings:
        rest = {item.name: n for item, n in bench.job.state.holdings[bench.bag].items()}
        told.append(f"     still in {places.told(bench.bag)}, of another position: {text_of(rest)}")
    told += _what_is_open(bench, here)
    if finger.casefold() == "yes":
        told.append("     they must not go back: out with the old ones, and new ones from stock: out 2 ..., new 2 ...")
    if match["count"]:
        told[:0] = _how_many_tight(bench, result)
    said = re.sub(r"(?i)[ ,]*finger no", "", text) if needless else text
    head = f"{said.upper()}  {here}"
    return wrong(result.act, head, *told) if loud else done(result.act, head, *told)


def _needless(bench: Bench, here: Position, match: re.Match[str], finger: str) -> str:
    """Return what is told where `finger no` was said out of habit with `all in` of the bag in hand; else nothing.

    Said alone, of nuts that do run on, or where a neighbour's bolt has such a nut, it may be meant of another one: then
    it is refused.
    """
    if not match["all"] or bench.bag is None or finger.casefold() != "no":
        return ""
    if tightening.may_run_on(bench.job.knowledge, bench.job.state.joints_of(here)):
        return ""
    return "     no finger test is asked here, and none is recorded: by the record there is no self-locking nut"


def _how_many_tight(bench: Bench, result: Put) -> list[str]:
    """Return how many of the fasteners are tight by now: a count says so many more."""
    touched = dict.fromkeys(event.joint for event in result.act.events if isinstance(event, JointSet))
    joints = [bench.job.state.joints[identity] for identity in touched]
    return [f"     {joint.stack.lines[0].text}: {told_tight(joint)}" for joint in joints]


def _which(bench: Bench, here: Position, value: str) -> tuple[str, str]:
    """Return the callout that stands before a torque, where it is one of the position's own, and the torque."""
    first, _, rest = value.partition(" ")
    known = {spec for joint in bench.job.state.joints_of(here) for spec in joint.tightened}
    return (first, rest.strip()) if spec_key(first) in known else ("", value)


def _object_to_absence(bench: Bench, who: Who, here: Position) -> None:
    """Ask where hardware goes in, or is made tight, at a position whose part is not on, or over unfinished work."""
    state = bench.job.state
    part = state.part_from(here)
    refitting.object_to_shutting(bench.job.knowledge, who, state, here)
    if part is not None and state.part_at(here) is None:
        who.object(Objection(
            f"STOP: the {here} itself is not on, by the record", kind=Kind.MISSING.value,
            expected="the part on first, then its hardware", came=f"it is {places.whereabouts(part.place)}",
            todo="scan its tag first, and say which way it sits",
        ))  # fmt: skip


def _object_to_torque(bench: Bench, who: Who, here: Position, value: str, spec: str) -> None:
    """Ask where more was entered than the table allows at most for any such fastening. The maker's figure prevails."""
    entered = torque.inch_pounds(value)
    if entered is None:
        return
    for joint in meant(bench.job.state, here, bench.bag):
        found = stack_sense.reference(bench.job.knowledge, joint.stack, only=spec)
        if found is not None and found.limit is not None and entered > found.limit:
            who.object(Objection(
                f"STOP: {value} is more than AC 43.13-1B Table 7-1 ever allows for {found.limit_for}",
                kind=Kind.NOT_TIGHT.value, expected=f"at most {found.limit} in-lb; the maker's figure prevails",
                came=f"{value}, which is {float(entered):.0f} in-lb",
                todo="look at the data and at the wrench; a bolt or nut that was overtorqued is replaced",
            ))  # fmt: skip


def _source(bench: Bench, here: Position) -> Place | None:
    state = bench.job.state
    if _is_anothers(bench, here):
        return bench.bag
    if bench.bag is not None:
        belongs = any(j.kept == bench.bag for j in state.joints_of(here))
        tag = state.tags.get(bench.bag.name)
        # also the rest in a bag of an earlier removal
        if belongs or (tag is not None and tag.thing == str(here) and bench.bag in state.holdings):
            return bench.bag
    kept = {j.kept for j in own(state, here) or state.joints_of(here) if j.kept in state.holdings}
    # a bag whose tag is torn off, and void, cannot be scanned any more
    tags = state.tags
    bags = [p for p in kept if p.kind is PlaceKind.BAG and (p.name not in tags or tags[p.name].end is None)]
    if bags:
        raise Refusal(
            f"the hardware of {here} is in {places.told(bags[0])}", expected="its bag, scanned: memory is not evidence",
            came="no bag scanned", todo="scan the bag's tag, then say: all in",
        )  # fmt: skip
    return None


def subject(bench: Bench) -> Position:
    """Return the position whose hardware is being worked; refuse where nothing is in hand."""
    here = bench.subject or bench.at
    if here is None:
        raise Refusal("of what?", expected="a part or bag scanned just before", came="nothing in hand",
                      todo="scan its tag, or say: at POSITION SIDE")  # fmt: skip
    return here


def _working(bench: Bench, who: Who) -> Position:
    """Return the position whose joints are worked; ask where its bag is in hand and the person stands elsewhere.

    Given a reason, it is that where the person stands: so it was told.
    """
    here = subject(bench)
    tag = bench.job.state.tags.get(bench.bag.name) if bench.bag else None
    if tag is None or tag.thing != str(here) or not is_elsewhere(bench, here):
        return here
    stands = bench.at or here
    went = "; they went in here? say first where: at POSITION SIDE"
    if bench.at:
        went = ": the pieces of this bag went in there"
    who.object(Objection(
        f"STOP: this is the bag of {here}", kind=Kind.WRONG_HARDWARE.value,
        expected=f"the bag that belongs at {bench.at or bench.area}", came=f"the bag of {here}",
        todo="fetch the one that belongs here; you stand elsewhere? scan the zone card, or say: at POSITION SIDE; "
        f"with a reason it is recorded of the {stands}{went}",
    ))  # fmt: skip
    return stands


def _is_anothers(bench: Bench, here: Position) -> bool:
    """Return whether the bag in hand is that of another position, and a reason was given to work out of it here."""
    tag = bench.job.state.tags.get(bench.bag.name) if bench.bag else None
    return tag is not None and here == bench.at and bench.subject != here and tag.thing == str(bench.subject)


def receiving(bench: Bench, who: Who) -> Position:
    """Return the position whose joints take hardware now; ask where its part is not on as well."""
    here = _working(bench, who)
    _object_to_absence(bench, who, here)
    return here


def _told_put(result: Put, told: list[str], waits_in: str = "") -> bool:
    if result.short:
        where = f"; it lies, by the record: {waits_in}" if waits_in else ". Find it; never fit a guess"
        told.append(f"SHORT  {text_of(result.short)} still to go in{where}")
    if result.new_needed:
        told.append(f"     still to go in, NEW: {text_of(result.new_needed)}   then say: new")
    if result.over:
        told.append(f"OVER  {text_of(result.over)} more than came off here. Which joint lacks it?")
    told += [f"     {spec} counts as {other}" for spec, other in result.counted.items()]
    return bool(result.short or result.over)


def _what_is_open(bench: Bench, here: Position) -> list[str]:
    # only this position's own business; the whole job is asked by `check`
    mine = [f for f in of_position(bench.job.index(), here) if f.answer is None]
    looks = [f.thing.split(" of ")[0] for f in mine if f.kind is Kind.NOT_INSPECTED]
    told = [f"     still open: {short(f) or f'{f.kind.value}: {f.thing}: {f.seen}'}" for f in mine
            if f.kind is not Kind.NOT_INSPECTED]  # fmt: skip
    return told[:4] + ([f"     then a second person looks: {', '.join(looks)}"] if looks else [])


def some_in(bench: Bench, who: Who, text: str) -> Reply:
    """`in 3 AN960-10, 2 AN3-5A`: only so many went in; the rest stays in the bag."""
    text = named_apart(bench, "in", text)
    here = receiving(bench, who)
    source = bench.bag if _is_anothers(bench, here) else None
    lines = as_known(bench.job.state, parse_flat(text), here, bench.bag)
    putting = fastening.putting(bench.job.knowledge, lines, here, bag=bench.bag, source=source)
    result = fastening.fasten(bench.job, who, putting)
    return _told_some(bench, here, result, f"IN  {text}: {here}")


def _told_some(bench: Bench, here: Position, result: Put, head: str) -> Reply:
    bench.subject = here
    told: list[str] = []
    waits_in = _waits_in(bench, here, result)
    loud = _told_put(result, told, waits_in)
    at_once = [f for f in of_position(bench.job.index(), here) if f.kind in _WRONG_HARDWARE and not f.answer]
    told += [f"{f.kind.value.upper()}  expected {f.expected}; seen {f.seen}: {f.advice}" for f in at_once]
    if waits_in and not result.over and not at_once:
        return more(result.act, head, *told)
    return (wrong if loud or at_once else done)(result.act, head, *told)


def _waits_in(bench: Bench, here: Position, result: Put) -> str:
    """Return where all that is short still lies, such as `bag AD64 BKKF`; nothing where any of it is not there."""
    state = bench.job.state
    kept = dict.fromkeys(joint.kept for joint in state.joints_of(here) if joint.kept in state.holdings)
    if any(joint.kept in kept and here not in joint.positions for joint in state.joints.values()):
        # what lies there may be another position's
        return ""
    lies: dict[str, int] = {}
    for place in kept:
        for item, count in state.holdings[place].items():
            lies[item.name] = lies.get(item.name, 0) + count
    there = bool(result.short) and all(lies.get(spec, 0) >= count for spec, count in result.short.items())
    return " and ".join(places.told(place) for place in kept) if there else ""


def new(bench: Bench, who: Who, text: str) -> Reply:
    """`new 2 MS24665-132`: so many from stock; `new` alone: every piece that is used once."""
    text = named_apart(bench, "new", text)
    if not text[:1].isdigit():
        return finish(bench, who, f"new {text}".strip())
    here = receiving(bench, who)
    putting = fastening.putting(bench.job.knowledge, parse_flat(text), here, new=True, bag=bench.bag)
    result = fastening.fasten(bench.job, who, putting)
    return _told_some(bench, here, result, f"NEW  {text}: {here}")


def out(bench: Bench, who: Who, text: str) -> Reply:
    """`out 2 AN3-6A`: hardware came out of the joint again, back to its bag, or to stock if it was new."""
    text = named_apart(bench, "out", text)
    here = subject(bench)
    act = taking_out.take_out(bench.job, who, as_known(bench.job.state, parse_flat(text), here, bench.bag), here)
    return done(act, f"OUT  {text}: {here}", *echo.went_to(act))

"""Words for what does not simply go back: replace, scrap, stock, send, condition, recount."""

from __future__ import annotations

from tagtrack.core import places
from tagtrack.core.check_joints import to_go_back
from tagtrack.core.errors import Refusal
from tagtrack.core.hardware import parse_flat, spec_key
from tagtrack.core.marks import Marks, parse_seen
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.records import Condition
from tagtrack.core.tagcode import looks_like_code
from tagtrack.shop import bagging, refitting
from tagtrack.shop.lines.clauses import because, clauses
from tagtrack.shop.lines.standing import named_apart
from tagtrack.shop.lines.talk import Bench, Reply, done
from tagtrack.shop.meant import as_known
from tagtrack.shop.ports import Who
from tagtrack.shop.tagging import Means, meaning


def replace_part(bench: Bench, who: Who, text: str) -> Reply:
    """`replace; pn 1234; sn 5; up fwd`: a new part from stock in place of the one in hand."""
    state = bench.job.state
    old = _in_hand(bench, "replace")
    number = serial = life = ""
    seen = Marks()
    for clause in clauses(text):
        word, _, rest = clause.partition(" ")
        if word.casefold() == "pn":
            number = rest.strip()
        elif word.casefold() == "sn":
            serial = rest.strip()
        elif word.casefold() == "life":
            life = rest.strip()
        else:
            seen = parse_seen(clause, state.parts[old].marks, state.parts[old].home.side)
    act = refitting.replace_part(bench.job, who, old, number, serial, seen, life=life)
    home = state.parts[old].home
    # its hardware is next; the old one is still in hand only to say what becomes of it
    bench.subject = home
    told = ["     the old one: scrap because ..., or send to ... because ..."]
    if state.parts[old].life:
        told.append("     life-limited: say how it is kept from use (tag, record, mark, mutilated): 14 CFR 43.10")
    return done(act, f"REPLACED  {home}", *told)


def _in_hand(bench: Bench, word: str) -> str:
    if not bench.part:
        raise Refusal(f"{word} what?", expected="a part's tag scanned just before", came="nothing in hand",
                      todo="scan its tag first")  # fmt: skip
    return bench.part


def dispose(bench: Bench, who: Who, text: str, target: Place) -> Reply:
    """`scrap because cracked` for the part in hand; `scrap 1 AN960-10 because bent` from the bag in hand."""
    said, why = because(text)
    where = places.told(target)
    if said and said[0].isdigit():
        said = named_apart(bench, where, said)
        state = bench.job.state
        lines = as_known(state, parse_flat(said), bench.subject, bench.bag)
        likely = [bench.bag] if bench.bag else []
        likely += [j.kept for j in state.joints_of(bench.subject)] if bench.subject else []
        source = bagging.lying(state, lines[0], likely, bench.subject)
        act = bagging.dispose_hardware(bench.job, who, lines, source, target, why)
        return done(act, f"{where.upper()}  {said}: from {places.told(source)}")
    identity = _in_hand(bench, "what becomes of")
    home = bench.job.state.parts[identity].home
    act = refitting.dispose_part(bench.job, who, identity, target, why)
    bench.part = ""
    return done(act, f"{where.upper()}  the {home}")


def condition(bench: Bench, who: Who, text: str) -> Reply:
    """`condition unserviceable because cracked`: of the part in hand."""
    said, why = because(text)
    told = next((c for c in Condition if c.value == said.casefold()), None)
    if told is None:
        raise Refusal(f"'{said}' is no condition", expected=", ".join(c.value for c in Condition), came=said,
                      todo="condition unserviceable because ...")  # fmt: skip
    on = bench.job.state.part_at(bench.subject) if bench.subject and not bench.part else None
    # of what is on as well: its tag was scanned, or the position named
    identity = on.identity if on is not None else _in_hand(bench, "condition of")
    act = refitting.set_condition(bench.job, who, identity, told, why)
    return done(act, f"{told.value.upper()}  the {bench.job.state.parts[identity].home}")


def scrap(bench: Bench, who: Who, text: str) -> Reply:
    """`scrap because cracked`, `scrap 1 AN960-10 because bent`: never to be used again."""
    return dispose(bench, who, text, places.SCRAP)


def stock(bench: Bench, who: Who, text: str) -> Reply:
    """`stock 1 AN960-10 because not needed`: back into the shop's stock."""
    return dispose(bench, who, text, places.STOCK)


def send(bench: Bench, who: Who, text: str) -> Reply:
    """`send to overhaul shop because worn`: the part in hand leaves the shop."""
    said, why = because(text)
    to = said[3:].strip() if said[:3].casefold() == "to " else said.strip()
    if not to:
        raise Refusal("sent to whom?", expected="send to NAME because ...", came=text, todo="name the receiver")
    return dispose(bench, who, f"because {why}", Place(PlaceKind.SENT, to))


def bag_of(bench: Bench, code: str) -> Place:
    """Return the bag of a code; refuse another tag."""
    found = meaning(bench.job, code)
    if found.means is not Means.BAG:
        raise Refusal(f"that is a {found.means.value} tag", expected="a bag's tag", came=code, todo="scan the bag")
    return Place(PlaceKind.BAG, found.code)


def _still_to_go_back(bench: Bench, place: Place, spec: str, there: int) -> str:
    """Return that another count than the one that was found is to go back by the record; empty where it is the same."""
    state = bench.job.state
    mine = [joint for joint in state.joints.values() if joint.kept == place and spec_key(spec) in to_go_back(joint)]
    wanted = sum(to_go_back(joint)[spec_key(spec)] for joint in mine)
    inside = sum(count for joint in mine for item, count in
                 state.holdings.get(Place(PlaceKind.JOINT, joint.identity), {}).items() if item.name == spec_key(spec))
    if not mine or wanted == inside + there:
        return ""
    home = mine[0].positions[0]
    return (f"     {wanted} {spec} are to go back, by the record. Another count came off? at {home.name} "
            f"{home.side.value}, then: back {inside + there} {spec} because ...")


def recount(bench: Bench, who: Who, text: str) -> Reply:
    """`recount CODE 3 AN960-10`: the bag was counted again."""
    words = text.split()
    for size in (1, 2, 3):
        code = " ".join(words[:size])
        if looks_like_code(code) and len(words) > size + 1 and words[size].isdecimal():
            place = bag_of(bench, code)
            spec = " ".join(words[size + 1 :])
            act = bagging.recount(bench.job, who, place, spec, int(words[size]))
            head = f"RECOUNTED  {places.told(place)}: {words[size]} {spec}"
            return done(act, head, _still_to_go_back(bench, place, spec, int(words[size])))
    raise Refusal("recount what?", expected="recount CODE 3 AN960-10", came=text or "nothing",
                  todo="the bag's code, the count, the callout")

"""Tags: what a scanned code is, taking a blank into use, ending, replacing, counting back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, unique

from tagtrack.core.ahead import told_unused
from tagtrack.core.axes import area_name
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, Event, Moved, Seen, TagBound, TagClaimed, TagEnded
from tagtrack.core.places import Move, Place, PlaceKind
from tagtrack.core.records import Position, TagEnd, TagRole
from tagtrack.core.shopbook import ShopState
from tagtrack.core.spelling import how_many, name, reason
from tagtrack.core.state import State
from tagtrack.core.tagcode import BODY, STUB, read, shown, suffix, suffixed, with_check
from tagtrack.core.tagwords import owner_of
from tagtrack.core.things import TagState
from tagtrack.shop.desk import Job, Shop
from tagtrack.shop.ports import Who


@unique
class Means(Enum):
    """What a scanned code stands for."""

    PART = "part"
    BAG = "bag"
    CONNECTION = "connection"
    ZONE = "zone card"
    # the half of a tag that stays where the part belongs
    POSITION = "stub"
    PLACE = "place"
    PERSON = "person"
    # given to this job, or a blank: it gets its meaning now
    FREE = "free"


@dataclass(frozen=True, slots=True)
class Meaning:
    """A code and the thing it stands for: a part's identity, a position, an area, a place, initials."""

    code: str
    means: Means
    thing: str = ""


def meaning(job: Job, text: str) -> Meaning:
    """Return what a scanned or typed code is in this job.

    A misread code is a Slip. A void tag, a tag of another job, and a code never issued are refused, each in its own
    words; `stranger` records that such a tag really is on this aircraft.
    """
    code = read(text)
    state, shop = job.refresh(), job.shop.state
    if job.voided(code):
        known = state.tags.get(code)
        instead = f"; {shown(known.by_tag)} replaces it" if known is not None and known.by_tag else ""
        raise Refusal(
            f"tag {shown(code)} is void{instead}", expected="a tag in use", came=shown(code),
            todo="throw it away, and look what it was on",
        )  # fmt: skip
    stays = _stub_of(state, code)
    if stays is not None:
        return Meaning(code, Means.POSITION, stays)
    if code in shop.places:
        return Meaning(code, Means.PLACE, shop.places[code])
    if code in shop.badges:
        return Meaning(code, Means.PERSON, shop.badges[code])
    if code in state.tags:
        tag = state.tags[code]
        means = {
            TagRole.PART: Means.PART, TagRole.BAG: Means.BAG, TagRole.CONNECTION: Means.CONNECTION,
            TagRole.ZONE: Means.ZONE, TagRole.PLACE: Means.PLACE, TagRole.PERSON: Means.PERSON,
        }[tag.role]  # fmt: skip
        return Meaning(code, means, tag.thing)
    owner = shop.job_of(code)
    if owner not in ("", job.name):
        raise _of_another(shop, job.name, code, owner)
    if job.had_meaning(code) and code[:BODY] not in shop.claimed and code not in state.planned:
        raise Refusal(
            f"tag {shown(code)} was printed for something that was undone", expected="a tag in use, or a blank one",
            came=shown(code), todo="destroy it, so that it never hangs on anything else",
        )  # fmt: skip
    return Meaning(code, Means.FREE)


def _of_another(shop: ShopState, job: str, code: str, owner: str) -> Refusal:
    other = shop.jobs.get(owner)
    aircraft = f", aircraft {other.registration}" if other else ""
    return Refusal(
        f"NOT THIS JOB: tag {shown(code)} belongs to work order {owner}{aircraft}",
        expected=f"a tag of {job}",
        came=f"a tag of {owner}",
        todo="put it back where it came from; if it really is on this aircraft, say: seen CODE at WHERE",
    )


def _stub_of(state: State, code: str) -> str | None:
    """Return the position at which the stub of a tag stays, or None where the code is no stub of this job."""
    tag = state.tags.get(with_check(code[:BODY])) if suffix(code) == STUB else None
    if tag is None:
        return None
    part = state.parts.get(tag.thing)
    return str(part.home) if part is not None else tag.thing.partition("|")[0]


def usable_blank(job: Job, state: State, code: str) -> str:
    """Return the code, claimed for this job if it was a blank; refuse one that already has a meaning."""
    found = meaning(job, code)
    if found.means is not Means.FREE or code in state.tags:
        raise Refusal(
            f"tag {shown(code)} is in use already",
            expected="a blank tag, or one set aside for this job",
            came=f"the {found.means.value} tag of {_thing(state, found)}",
            todo="take a new tag",
        )
    return found.code


def _thing(state: State, found: Meaning) -> str:
    part = state.parts.get(found.thing)
    return str(part.home) if part else found.thing or shown(found.code)


def claim(job: Job, who: Who, code: str) -> None:
    """Take a blank into this job, in the shop's own record.

    It is written there first: a crash before the job's own line leaves a claimed tag without a meaning, which does
    no harm. Refused where another job has taken it a moment ago.
    """

    def make(shop: ShopState) -> Sequence[Event]:
        owner = shop.job_of(code)
        if owner not in ("", job.name):
            raise _of_another(shop, job.name, code, owner)
        return (TagClaimed(code, job.name),)

    if job.shop.state.issued.get(code[:BODY]) == "":
        job.shop.commit(who, make)


def hang_zone_card(job: Job, who: Who, area: str, code: str = "") -> Act:
    """Give a zone card to an area of this job; return the act."""
    wanted = area_name(name(area, what="area"))

    def make(state: State) -> Sequence[Event]:
        return (TagBound(code or job.code(who, state), TagRole.ZONE, wanted),)

    return job.commit(who, make)


def name_place(shop: Shop, who: Who, spot: str) -> str:
    """Give a shelf, table or trolley a code, and return it; a place that has one keeps it."""
    wanted = name(spot, what="place")
    known = next((code for code, place in shop.state.places.items() if place == wanted), "")
    if known:
        return known
    (code,) = shop.issue(who, 1)
    shop.commit(who, lambda _: (TagBound(code, TagRole.PLACE, wanted),))
    return code


def badge(shop: Shop, who: Who, initials: str) -> str:
    """Give a person a badge code, and return it; a person who has one keeps it."""
    person = shop.state.person(initials)
    known = next((code for code, owner in shop.state.badges.items() if owner == person.initials), "")
    if known:
        return known
    (code,) = shop.issue(who, 1)
    shop.commit(who, lambda _: (TagBound(code, TagRole.PERSON, person.initials),))
    return code


def stranger(job: Job, who: Who, code: str, where: str) -> Act:
    """Record that a tag which has no business in this job was seen on this aircraft; return the act."""
    try:
        found = meaning(job, code)
    except Refusal as refused:
        verdict = refused.what
    else:
        raise Refusal(
            f"tag {shown(found.code)} does belong to this job", expected="a tag from elsewhere", came=shown(found.code),
            todo="scan it as usual",
        )  # fmt: skip
    spot = name(where, what="place where it was seen")
    return job.commit(who, lambda _: (Seen(read(code), spot, verdict),))


def back(job: Job, who: Who, codes: Sequence[str]) -> Act:
    """Record that these tags came back to the box; return the act."""

    def make(state: State) -> Sequence[Event]:
        if not codes:
            raise Refusal("which tags?", expected="their number, or their codes", came="none",
                          todo="all of them: tags back 12; or scan each: tags back CODE CODE")  # fmt: skip
        strange = [code for code in codes if code not in state.tags or state.tags[code].end is not None]
        if strange:
            raise Refusal(
                f"tag {shown(strange[0])} is not out",
                expected="tags of this job that are not back yet", came=shown(strange[0]),
                todo="look at it again; a tag of another job goes back to that job",
            )  # fmt: skip
        for code in codes:
            why = _in_use(state, code)
            if why:
                raise Refusal(
                    f"tag {shown(code)} is still in use: {why}",
                    expected="tags of things that are back on, and of empty bags", came=shown(code),
                    todo="put back what it is on, or say what becomes of it",
                )  # fmt: skip
        return tuple(TagEnded(code, TagEnd.RETURNED) for code in codes)

    return job.commit(who, make)


def _in_use(state: State, code: str) -> str:
    tag = state.tags[code]
    if tag.role is TagRole.BAG and Place(PlaceKind.BAG, code) in state.holdings:
        return "the bag is not empty"
    if tag.role is TagRole.PART:
        part = state.parts[tag.thing]
        if part.place.kind is PlaceKind.SPOT:
            return f"the {part.home} is at {part.place.name}"
    if tag.role is TagRole.CONNECTION:
        position, _, end = tag.thing.rpartition("|")
        if not state.ends[(Position.read(position), end)].made:
            return f"{position} is still disconnected"
    return ""


def all_back(job: Job, who: Who, count: int) -> Act:
    """Record that so many tags came back, when that is all of them; refuse another number."""
    out = job.open_tags()
    if count != len(out):
        spare = told_unused(job.state)
        raise Refusal(
            f"{how_many(count, 'tag')} counted, {len(out)} {'is' if len(out) == 1 else 'are'} out",
            expected=", ".join(map(shown, out)) or "none",
            came=how_many(count, "tag") + (f"; {spare}" if spare else ""),
            todo="count again, or scan each: tags back CODE CODE ...; a lost tag is ended with: void CODE because ...",
        )
    return back(job, who, out)


def hanging_at(state: State, here: Position, *, bag: bool = False, end: str = "") -> str:
    """Return the code of the tag in use that hangs on the part of a position, on its bag, or on an end of a wire.

    Refuses where there is none, or where it is not said which of several, naming each.
    """
    roles = {TagRole.BAG: "bag of ", TagRole.PART: "", TagRole.CONNECTION: ""}
    mine = {
        tag.code: f"{roles[tag.role]}{owner_of(state, tag.thing)}"
        for tag in state.tags.values()
        if tag.end is None and tag.role in roles and _hangs_at(state, tag, here)
    }
    wanted = [
        code for code in mine
        if (state.tags[code].role is TagRole.BAG) == bag and (not end or state.tags[code].thing.endswith(f"|{end}"))
    ]  # fmt: skip
    if len(wanted) == 1:
        return wanted[0]
    listed = "; ".join(f"{shown(code)} ({what})" for code, what in mine.items())
    raise Refusal(
        f"which tag of {here}?" if wanted else f"no such tag of {here} is out",
        expected=listed or "a tag that is out: tags", came=f"{'the bag of ' if bag else ''}{here} {end}".strip(),
        todo="name it by its code" if mine else "look at the list of tags: tags",
    )  # fmt: skip


def _hangs_at(state: State, tag: TagState, here: Position) -> bool:
    part = state.parts.get(tag.thing)
    return here == part.home if part is not None else tag.thing.partition("|")[0] == str(here)


def void(job: Job, who: Who, code: str, why: str, *, by_tag: bool = False) -> Act:
    """Declare a tag void, for a reason; with `by_tag` a new one takes its place. Return the act."""
    told = reason(why)

    def make(state: State) -> Sequence[Event]:
        tag = state.tags.get(code)
        if tag is None and code in state.planned and not by_tag:
            return (TagEnded(code, TagEnd.VOID, reason=told),)
        if tag is None or tag.end is not None:
            raise Refusal(f"tag {shown(code)} is not in use in this job", expected="a tag in use", came=shown(code),
                          todo="look at the list of tags: tags")  # fmt: skip
        if not by_tag:
            return (TagEnded(code, TagEnd.VOID, reason=told),)
        letter = code[BODY] if len(code) == BODY + 2 else ""
        fresh = job.code(who, state)
        fresh = suffixed(fresh, letter) if letter else fresh
        ended = (TagEnded(code, TagEnd.VOID, fresh, told), TagBound(fresh, tag.role, tag.thing))
        old, new = Place(PlaceKind.BAG, code), Place(PlaceKind.BAG, fresh)
        moves = tuple(Move(item, count, old, new) for item, count in state.holdings.get(old, {}).items())
        # it is the same bag with what is in it
        return (*ended, Moved("the bag has a new tag", moves)) if moves else ended

    return job.commit(who, make)

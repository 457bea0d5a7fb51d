"""What the shop's own record says: people, tags given out, places, jobs. Folded like a work order, but small."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from tagtrack.core import events as e
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, JobOpened
from tagtrack.core.fold import standing
from tagtrack.core.records import Person, TagEnd, TagRole
from tagtrack.core.spelling import nearest
from tagtrack.core.tagcode import BODY, shown


@dataclass(slots=True)
class ShopState:
    """The shop as it stands. Written by `fold_shop` alone."""

    people: dict[str, Person] = field(default_factory=dict)
    # body of every code ever given out -> the job it was given to; empty: a blank that nobody has claimed
    issued: dict[str, str] = field(default_factory=dict)
    # the same by job, so that a job finds its own among those of thousands: the bodies in the order they were given out
    issued_to: dict[str, dict[str, None]] = field(default_factory=dict)
    # bodies of blanks that a job has taken: they are printed already, and lie somewhere
    claimed: set[str] = field(default_factory=set)
    void: set[str] = field(default_factory=set)
    # codes on shelves and tables, and on badges
    places: dict[str, str] = field(default_factory=dict)
    badges: dict[str, str] = field(default_factory=dict)
    jobs: dict[str, JobOpened] = field(default_factory=dict)
    # answers that hold for a type of aircraft: type -> key of the finding -> reason
    by_design: dict[str, dict[str, str]] = field(default_factory=dict)

    def person(self, initials: str) -> Person:
        """Return the person of these initials; refuse unknown ones, offering the nearest."""
        found = self.people.get(initials.strip().upper())
        if found is None:
            near = nearest(initials, self.people)
            raise Refusal(
                f"nobody here has the initials '{initials}'",
                expected=" or ".join(self.people) or "a person of this shop",
                came=initials or "nothing",
                todo=f"did you mean {near[0]}?" if near else "add the person: tagtrack person INITIALS 'NAME'",
            )
        return found

    def job_of(self, code: str) -> str:
        """Return the job that a code was given to, empty for an unclaimed blank; refuse one never given out."""
        job = self.issued.get(code[:BODY])
        if job is None:
            raise Refusal(
                f"tag {shown(code)} was never issued here",
                expected="a tag printed by this shop",
                came=shown(code),
                todo="look where it came from: another shop's tag, or a part that is not this aircraft's",
            )
        return job


def type_of(make: str, model: str) -> str:
    """Return the type of an aircraft as it is compared: make and model in one spelling; empty without a model."""
    return " ".join(f"{make} {model}".casefold().split()) if model.strip() else ""


def fold_shop(acts: Sequence[Act]) -> ShopState:
    """Return what all acts of the shop's record together make true."""
    shop = ShopState()
    extend(shop, standing(acts))
    return shop


def extend(shop: ShopState, acts: Sequence[Act]) -> None:
    """Bring the picture up to some further acts, none of which undoes another; refuse what does not belong here."""
    for act in acts:
        for event in act.events:
            _apply(shop, event)


def _apply(shop: ShopState, event: e.Event) -> None:
    match event:
        case e.PersonNoted(person):
            shop.people[person.initials] = person
        case e.TagsIssued(codes, job):
            # the first job to get a code keeps it
            bodies = dict.fromkeys(body for code in codes if (body := code[:BODY]) not in shop.issued)
            shop.issued.update(dict.fromkeys(bodies, job))
            shop.issued_to.setdefault(job, {}).update(bodies)
        case e.TagClaimed(tag, job):
            # of a blank; `claimed` keeps it from being given out again, so it need not stand among the job's own
            shop.issued[tag[:BODY]] = job
            shop.claimed.add(tag[:BODY])
        case e.TagBound(tag, TagRole.PLACE, thing):
            shop.places[tag] = thing
        case e.TagBound(tag, TagRole.PERSON, thing):
            shop.badges[tag] = thing
        case e.TagEnded(tag, TagEnd.VOID):
            shop.void.add(tag)
        case e.TypeRuled(make, model, key, withdrawn=True):
            shop.by_design.get(type_of(make, model), {}).pop(key, None)
        case e.TypeRuled(make, model, key, reason):
            shop.by_design.setdefault(type_of(make, model), {})[key] = reason
        case JobOpened():
            shop.jobs[event.job] = event
        case _:
            raise Refusal(f"a {type(event).__name__} does not belong into the shop's own record")

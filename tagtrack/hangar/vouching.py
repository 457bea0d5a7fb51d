"""Whose PIN an act takes: decided by what the act does, whatever words were used for it. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from tagtrack.core.events import Act, Checked, Event, LossStep, Reversed, SignedOff
from tagtrack.core.records import CheckRole, LossOutcome, Person

# with these a case is closed and the thing is still missing
_GIVEN_UP = frozenset({LossOutcome.ACCEPTED, LossOutcome.NOT_ABOARD})


def must_vouch(
    act: Act, before: Sequence[Act], people: Iterable[Person], has_pin: Callable[[str], bool]
) -> frozenset[str]:
    """Return the initials of all whose PIN an act takes; none for most.

    A sign-off, its being taken back, and a second person's look take the PIN of who does it. Where a second person is
    named who has a PIN here, nobody else can say that name: it takes that PIN.
    """
    found: set[str] = set()
    everybody = list(people)
    for event in act.events:
        named = frozenset(
            who for who in _named(getattr(event, "second", ""), everybody) if who != act.by and has_pin(who)
        )
        found |= named
        if isinstance(event, LossStep) and event.outcome in _GIVEN_UP and not named:
            # an owner or a guest has no PIN here: whoever writes the name answers for it
            found.add(act.by)
        elif _signs(event) or (isinstance(event, Reversed) and _signed(event.act, before)):
            found.add(act.by)
    return frozenset(found)


def _signs(event: Event) -> bool:
    return isinstance(event, SignedOff) or (isinstance(event, Checked) and event.role is not CheckRole.PERFORMER)


def _signed(act_id: str, before: Sequence[Act]) -> bool:
    return any(isinstance(event, SignedOff) for act in before if act.id == act_id for event in act.events)


def _named(text: str, people: Iterable[Person]) -> list[str]:
    """Return the initials of the people of the shop who are named: by initials, or by the whole name."""
    words = text.replace(",", " ").replace(".", " ").split()
    return [
        person.initials for person in people
        if person.initials in words or text.casefold() == person.initials.casefold()
        or (person.name and person.name.casefold() in text.casefold())
    ]  # fmt: skip

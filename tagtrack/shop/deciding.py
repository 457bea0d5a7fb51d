"""How what is decided becomes one act, and what is told where that cannot be."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, Event
from tagtrack.core.fold import advance
from tagtrack.core.frozen import changed
from tagtrack.core.records import Via
from tagtrack.core.state import State
from tagtrack.shop.ports import Means, Who

# so often is decided anew on what others have written meanwhile
TRIES = 50

# what a verb decides on the picture that it is given
Decide = Callable[[State], Sequence[Event]]


def decided(state: State, act: Act, decides: Sequence[Decide]) -> tuple[Act, State]:
    """Return the act with all that is decided, and the picture after it. The events pile up in one act."""
    events: tuple[Event, ...] = ()
    for number, decide in enumerate(decides):
        fresh = tuple(decide(state))
        events += fresh
        act = changed(act, events=fresh)
        # the given picture stays as it is; those in between belong to nobody else
        state = advance(state, act, keep=number == 0)
    return (act if len(decides) == 1 else changed(act, events=events)), state


def as_act(means: Means, who: Who, events: tuple[Event, ...]) -> Act:
    """Return events as the act of a person at this moment, with the reason given against what was objected."""
    return Act(
        id=means.new_id(),
        site=means.site,
        by=who.initials,
        at=means.clock(),
        via=Via(who.via),
        version=means.version,
        events=events,
        device_at=who.device_at,
        despite=who.despite,
        objected=tuple(sorted(who.heard or ())) if who.despite else (),
    )


def signed_off(job: str) -> Refusal:
    """Return the refusal of whatever is to be recorded under a sign-off."""
    return Refusal(
        f"{job} is signed off",
        expected="an open work order",
        came="something more to record",
        todo="undo the sign-off first: undo sign-off because ...",
    )


def too_busy() -> Refusal:
    """Return the refusal after `TRIES` times at which somebody else had written first."""
    return Refusal(
        "others kept writing; nothing was recorded",
        expected="a moment without another write",
        came=f"{TRIES} others in between",
        todo="do it again",
    )

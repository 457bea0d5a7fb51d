"""One look over the bench, with what the shop knows of tags that are not of this job."""

from __future__ import annotations

from collections.abc import Iterable

from tagtrack.core.ahead import what_it_is_for
from tagtrack.core.errors import Refusal
from tagtrack.core.sweep import Lies, Sweep, lying, sweep
from tagtrack.core.tagcode import shown, suffix
from tagtrack.shop.desk import Job
from tagtrack.shop.tagging import Means, meaning

_CARDS = {Means.PLACE: "place", Means.PERSON: "badge"}


def due(job: Job, place: str = "") -> dict[str, str]:
    """Return the tags that should lie in the shop now, or at one place of it, with what each is."""
    return lying(job.refresh(), place)


def looked_over(job: Job, seen: Iterable[str], place: str = "") -> Sweep:
    """Return what a look makes of the tags that were seen. Nothing is recorded."""
    codes = tuple(dict.fromkeys(seen))
    state = job.refresh()
    elsewhere = {code: _elsewhere(job, code) for code in codes if code not in state.tags or job.voided(code)}
    return sweep(state, codes, elsewhere, place)


def _elsewhere(job: Job, code: str) -> tuple[Lies, str]:
    try:
        found = meaning(job, code)
    except Refusal as refusal:
        return Lies.FOREIGN, refusal.what
    if found.means is Means.POSITION:
        return Lies.ASTRAY, f"stub: it stays at {found.thing}"
    if found.means in _CARDS:
        return Lies.SPARE, f"{_CARDS[found.means]}: {found.thing}"
    plan = job.state.planned.get(code)
    if plan is not None:
        return Lies.SPARE, f"planned, not off yet: {what_it_is_for(plan, code)}"
    # a half of a blank that was cut apart is told as what it is
    return Lies.SPARE, "blank, not in use yet" if not suffix(code) else f"half of a blank, {shown(code)}"

"""Photos that belong to a position, an area or the whole job. The picture lies beside the record, which names it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, Attached, Event
from tagtrack.core.records import Position
from tagtrack.core.state import State, zone
from tagtrack.shop.closing import area_of
from tagtrack.shop.desk import Job
from tagtrack.shop.naming import existing
from tagtrack.shop.ports import Who

_SHA256 = re.compile(r"[0-9a-f]{64}")
WHOLE_JOB = "job"


def attach(job: Job, who: Who, photo: str, *, position: Position | None = None, area: str = "") -> Act:
    """Record that a photo which is kept already belongs to a position, else an area, else the whole job.

    Refused: a photo that is not kept, a position or area that the job does not know, the same photo twice at one place.
    """
    name = photo.strip().casefold()
    if not _SHA256.fullmatch(name) or not job.shop.records.photos(job.name).has(name):
        raise Refusal("there is no such photo", expected="a photo that was sent or read in before",
                      came=photo[:20] or "nothing", todo="take it on the page, or: tagtrack photo FILE")  # fmt: skip

    def make(state: State) -> Sequence[Event]:
        subject = WHOLE_JOB
        if position is not None:
            subject = str(existing(state, position).position)
        elif area:
            subject = zone(area_of(state, area))
        if name in state.pictures.get(subject, ()):
            raise Refusal(f"that photo is there already: {subject}", expected="another photo", came="the same one",
                          todo="nothing has to be done")  # fmt: skip
        return (Attached(subject, name),)

    return job.commit(who, make)


def subject_of(act: Act) -> str:
    """Return what the photo of an act belongs to, in shop words."""
    subject = next(event.subject for event in act.events if isinstance(event, Attached))
    return "the whole job" if subject == WHOLE_JOB else subject

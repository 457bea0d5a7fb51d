"""What somebody saw, as it is taken: in words, and asked about where the words sound like a defect."""

from __future__ import annotations

from tagtrack.core.errors import Objection
from tagtrack.core.observations import NOT_RIGHT, sounds_wrong
from tagtrack.core.spelling import observation
from tagtrack.shop.ports import Who


def seen_by(who: Who, row: str, said: str) -> str:
    """Return what was seen, cleaned. Refuse a bare tick; ask where it sounds wrong and is not said to be."""
    told = observation(said, row)
    words = sounds_wrong(told)
    if words:
        who.object(Objection(
            f"STOP: '{words}' does not sound right: {row}: {told}", kind="not-looked-at",
            expected=f"{row}: what is right, in words", came=told,
            todo=f"it is not right? say so, and it stands until it is mended: {row}: {NOT_RIGHT}, {told[:60]}",
        ))  # fmt: skip
    return told

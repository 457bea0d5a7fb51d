"""What somebody saw, as it is taken: in words, and asked about where the words sound like a defect."""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.events import Act, Checked, Event
from tagtrack.core.findings import Kind
from tagtrack.core.index import Index
from tagtrack.core.observations import NOT_RIGHT, sounds_wrong
from tagtrack.core.reconcile import of_position
from tagtrack.core.records import CheckRole, Position
from tagtrack.core.spelling import observation
from tagtrack.core.state import State
from tagtrack.shop.desk import Job
from tagtrack.shop.naming import existing
from tagtrack.shop.ports import Who

# while one of these stands, a wire or line is not made again
_NOT_MADE = frozenset({Kind.SHORT, Kind.NOT_TIGHT})


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


def answer_row(job: Job, who: Who, position: Position, row: str, said: str) -> Act:
    """Record what was seen at a point, or of a function, by the person at work; return the act."""
    seen = seen_by(who, row, said)

    def make(state: State) -> Sequence[Event]:
        known = existing(state, position)
        if row not in known.asks:
            raise Refusal(f"nobody asked for '{row}' of {known.position}", expected=", ".join(known.asks) or "nothing",
                          came=row, todo="what is asked: check;   to have it looked at all the same, say first: point "
                          f"{known.position.name} {known.position.side.value}, then: look")  # fmt: skip
        off = [end for end in state.ends_of(known.position) if not end.made]
        if off:
            raise Refusal(
                f"the {known.position} is not connected", expected="every end made again, first",
                came=f"{row} of it", todo=f"connect {known.position.name} {known.position.side.value}"
                + (f"; {off[0].end}" if off[0].end else ""),
            )  # fmt: skip
        loose = [f for f in of_position(Index.of(state, job.knowledge), known.position)
                 if f.kind in _NOT_MADE and f.answer is None]  # fmt: skip
        if loose and state.ends_of(known.position):
            # tight afterwards, it would be asked anew
            here = f"{known.position.name} {known.position.side.value}"
            raise Refusal(
                f"the hardware of {known.position} is not tight yet: {loose[0].thing}: {loose[0].seen}",
                expected=f"that first, then its {row}", came=f"{row} of it", todo=f"at {here}, then: tight",
            )  # fmt: skip
        return (Checked(str(known.position), row, seen, CheckRole.PERFORMER),)

    return job.commit(who, make)

"""What was not said when something came off, and is said afterwards: critical, mounting, what it covers."""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, Event, PerData, PositionNamed
from tagtrack.core.order import refuse_circle
from tagtrack.core.records import Role
from tagtrack.core.state import State
from tagtrack.shop.desk import Job
from tagtrack.shop.naming import existing, naming
from tagtrack.shop.ports import Who
from tagtrack.shop.removal import Keep, Removal
from tagtrack.shop.removing import object_to_other_facts, refuse_no_side


def add(job: Job, who: Who, said: Removal, *, function: bool = False) -> Act:
    """Record more of a position that is known; nothing said before is taken back. Refuse what it cannot say.

    `function`: of a wire or line, its function is to be checked once it is made again.
    """
    _refuse_more(said, function=function)

    def decide(state: State) -> Sequence[Event]:
        known = existing(state, said.position)
        here = known.position
        if function and known.role is not Role.CONNECTION and not state.ends_of(here):
            raise Refusal(f"the {here} is no wire or line", expected="something that was disconnected", came="function",
                          todo=f"a place to look at: point {here.name} {here.side.value}")  # fmt: skip
        refuse_no_side(said.mount, here)
        named = naming(state, who)
        parent = named(said.parent) if said.parent else None
        object_to_other_facts(who, state, here, said, parent)
        closes_up = tuple(map(named, said.closes_up))
        refuse_circle(state, here, closes_up)
        events: list[Event] = [
            PositionNamed(here, parent=parent, closes_up=closes_up, critical=said.critical, mount=said.mount,
                          either_way=said.either_way, asks=("function",) if function else ())
        ]  # fmt: skip
        for cover in said.under:
            over = named(cover)
            refuse_circle(state, over, (here,))
            events.append(PositionNamed(over, closes_up=(here,)))
        if said.requirement.lines:
            events.append(PerData(here, said.requirement))
        return events

    return job.commit(who, decide)


def _refuse_more(said: Removal, *, function: bool) -> None:
    """Refuse what belongs to the part or its hardware, naming the word for it; and a line that says nothing."""
    ways = (
        (not said.marks.is_empty(), "marks", "marked POSITION SIDE; arrow FWD"),
        (bool(said.hardware or said.clamps or said.lock or said.span), "hardware", "undo, and say the removal again"),
        (bool(said.number or said.serial or said.life), "what the part is", "undo, and say the removal again"),
        (bool(said.put), "where it lies", "scan its tag, then the place"),
        (bool(said.tag or said.bag) or said.keep is not Keep.STAYS, "tags and bags", "scan them"),
    )
    for is_said, what, instead in ways:
        if is_said:
            raise Refusal(f"{what} cannot be said afterwards in this way", came=what, todo=instead,
                          expected="critical, mount FWD, closes X, under X, part of X, per data 4 AN3-5A")  # fmt: skip
    told = function or said.critical or said.mount or said.either_way or said.closes_up or said.under or said.parent
    if not told and not said.requirement.lines:
        raise Refusal("what else is to be known of it?", came="nothing more", todo="also POSITION SIDE; critical",
                      expected="critical, mount FWD, closes X, under X, part of X, per data 4 AN3-5A")  # fmt: skip

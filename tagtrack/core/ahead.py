"""Tags printed ahead from a list: what they wait for, and which of them never got a meaning."""

from __future__ import annotations

from tagtrack.core.events import Planned
from tagtrack.core.records import Position
from tagtrack.core.spelling import how_many, same
from tagtrack.core.state import State
from tagtrack.core.tagcode import shown

# so many are told on one line
_TOLD = 12


def unused(state: State) -> dict[str, Planned]:
    """Return the tags that were printed ahead and are not in use, each with its row of the list, by code."""
    return {code: plan for code, plan in state.planned.items() if code not in state.tags}


def still_on(state: State) -> tuple[Planned, ...]:
    """Return the rows of the lists that are planned and did not come off, in their order."""
    # what came off by another tag is off all the same
    waiting = {plan.tag: plan for plan in state.planned.values()
               if plan.tag not in state.tags and not state.parts_of(plan.position)}  # fmt: skip
    return tuple(waiting.values())


def printed_for(state: State, position: Position) -> Planned | None:
    """Return the row of a list by which a position's tag was printed ahead, while that waits; None: no list has it."""
    if state.parts_of(position):
        return None
    spot = same(position.name)
    rows = (plan for plan in state.planned.values() if plan.position.side is position.side)
    return next((plan for plan in rows if same(plan.position.name) == spot and plan.tag not in state.tags), None)


def what_it_is_for(plan: Planned, code: str) -> str:
    """Return what a tag that was printed ahead is meant for, in shop words."""
    return f"bag of {plan.position}" if code == plan.bag else str(plan.position)


def told_unused(state: State) -> str:
    """Return what is to be done with the tags that were printed ahead and never used; empty where there are none."""
    left = unused(state)
    if not left:
        return ""
    listed = [f"{shown(code)} ({what_it_is_for(plan, code)})" for code, plan in left.items()]
    more = f"; and {len(listed) - _TOLD} more" if len(listed) > _TOLD else ""
    return f"{how_many(len(left), 'tag')} printed ahead, never used: {'; '.join(listed[:_TOLD])}{more}; destroy them"

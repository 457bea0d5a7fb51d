"""What one person cannot say alone: the name of somebody else who says it too."""

from __future__ import annotations

from tagtrack.core.errors import Refusal
from tagtrack.core.spelling import clean
from tagtrack.core.state import State
from tagtrack.shop.ports import Who


def another(state: State, who: Who, second: str) -> str:
    """Return the name of a second person, cleaned; refuse nobody, and the person at work under any of his names."""
    named = clean(second)
    me = state.people.get(who.initials)
    mine = {who.initials.casefold(), me.name.casefold() if me else ""}
    if not any(c.isalpha() for c in named) or named.casefold() in mine:
        raise Refusal(
            "a second person has to accept that",
            expected="the name of somebody else: another mechanic, the owner",
            came=named or "nobody",
            todo="ask somebody, and type the name",
        )
    return named

"""The ends of a connection and the terminals that they come from, as people name them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.events import ConnectionSet
from tagtrack.core.findings import Kind
from tagtrack.core.records import Position
from tagtrack.core.spelling import clean, same
from tagtrack.core.state import State
from tagtrack.shop.ports import Who


def meant(state: State, position: Position, said: str) -> str:
    """Return the terminal of this connection that a few words of it name, such as `3`; else the words as they are."""
    words = set(said.casefold().split())
    known = {end.as_found for end in state.ends_of(position)}
    fits = [terminal for terminal in known if words and _named_by(terminal, words)]
    return fits[0] if len(fits) == 1 else next((each for each in known if same(each) == same(said)), said)


def _named_by(terminal: str, words: set[str]) -> bool:
    """Return whether words name a terminal: all of them stand in it, and its first number is among them if one is."""
    every = terminal.casefold().split()
    numbers = [word for word in every if any(c.isdigit() for c in word)]
    said = any(any(c.isdigit() for c in word) for word in words)
    return words <= set(every) and (not said or not numbers or numbers[0] in words)


def _is_one(one: str, other: str) -> bool:
    """Return whether two texts name one terminal: `7` is terminal 7."""
    return same(one) == same(other) or any(
        text and _named_by(text, set(words.casefold().split())) for text, words in ((one, other), (other, one)) if words
    )


def as_before(who: Who, state: State, here: Position, ends: Mapping[str, str]) -> list[ConnectionSet]:
    """Return that the ends are parted. As found is said once: ask where they come off other terminals than then."""
    known = {end.end: end for end in state.ends_of(here)}
    if known and not any(ends.values()):
        # which ends it has was said when it was first parted
        return [ConnectionSet(here, end.end, end.as_found, made=False) for end in known.values()]
    if known and known.keys() != ends.keys():
        raise Refusal(
            f"{here} was parted before, with {_listed(known)}", expected="the same ends", came=_listed(ends),
            todo=f"disconnect {here.name} {here.side.value}; nothing behind it: as before",
        )  # fmt: skip
    said = {end: meant(state, here, clean(terminal)) for end, terminal in ends.items()}
    others = {end: at for end, at in said.items() if end in known and at
              and not any(_is_one(at, each) for each in (known[end].as_found, known[end].terminal))}  # fmt: skip
    told = {end: at for end, at in others.items() if known[end].as_found}
    if told:
        who.object(Objection(
            f"STOP: when {here} was first parted, it came from elsewhere", kind=Kind.STILL_DISCONNECTED.value,
            expected=", ".join(f"{end}: {known[end].as_found}".removeprefix(": ") for end in told),
            came=", ".join(f"{end}: {at}".removeprefix(": ") for end, at in told.items()),
            todo="look at the tags; it was made wrong? leave the terminals out; the first record was wrong: say so",
        ))  # fmt: skip
    return [ConnectionSet(here, end, at, made=False, as_found=others.get(end, "")) for end, at in said.items()]


def _listed(ends: Iterable[str]) -> str:
    return " and ".join(f"end {end}" if end else "one plug" for end in ends)

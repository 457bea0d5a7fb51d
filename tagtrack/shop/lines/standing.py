"""Where the person stands, held against the side and the place of what is said or in hand."""

from __future__ import annotations

import re

from tagtrack.core.axes import Side, side_or_none
from tagtrack.core.errors import Objection, Refusal, SideUnsaid
from tagtrack.core.events import Planned
from tagtrack.core.records import Position, position
from tagtrack.core.spelling import same
from tagtrack.core.state import State
from tagtrack.core.tagcode import shown
from tagtrack.shop.lines.talk import Bench
from tagtrack.shop.naming import existing
from tagtrack.shop.ports import Who


def planned_in_hand(bench: Bench) -> Planned | None:
    """Return the row of the list that the tag in hand was printed for, or None."""
    return bench.job.state.planned.get(bench.blank)


def object_to_side(bench: Bench, who: Who, here: Position, *, same: bool = False) -> None:
    """Ask where the side that was typed is not that of the zone, or of the exact spot, at which the person stands."""
    area = bench.area.split()
    zone_side = side_or_none(area[-1]) if area else None
    stands = bench.at.side if bench.at else zone_side
    if stands in (Side.LEFT, Side.RIGHT) and here.side is stands.opposite:
        other = " ".join([*(area[:-1] if zone_side else area), here.side.value])
        expected = f"the zone card of {other}, scanned over there" if same else f"{here.name} {stands.value}"
        where = f"you stand at {bench.at}" if bench.at else f"{here} does not lie in zone {bench.area}"
        who.object(Objection(
            f"STOP: {where}", kind="side", expected=expected, came=str(here),
            todo=f"check the side; you stand there? scan that zone card, or say: zone {other}",
        ))  # fmt: skip


def refuse_planned(bench: Bench) -> None:
    """Refuse to hang on a wire a tag that was printed ahead for a part."""
    plan = planned_in_hand(bench)
    if plan is not None:
        raise Refusal(f"the tag in hand was printed for {plan.position}", expected="a blank tag, for a wire",
                      came=shown(bench.blank), todo="put it back where it was, and scan a blank one")  # fmt: skip


def area_across(bench: Bench, here: Position) -> str:
    """Return the area of what is the same as the other side: the one of the zone card, on its own side."""
    words = bench.area.split()
    if words and side_or_none(words[-1]) is here.side.opposite:
        return " ".join([*words[:-1], here.side.value])
    return bench.area


def stop_elsewhere(bench: Bench) -> tuple[str, str]:
    """Return where the person stands, and what to do with a thing that does not belong there."""
    # `at` is often said to speak of one position alone, and forgotten
    card = f"say: zone {bench.area}" if bench.at and bench.area else "say: at POSITION SIDE"
    return (f"You are at {bench.at or bench.area}.",
            f"Put it down and fetch the one that belongs here. You stand elsewhere? Scan the zone card, or {card}")


def is_elsewhere(bench: Bench, home: Position) -> bool:
    """Return whether a position is not where the person stands, as far as that is known: by name, or by area."""
    if bench.at is not None:
        return bench.at != home
    known = bench.job.state.positions.get(home)
    return bool(bench.area and known and known.area and same(known.area) != same(bench.area))


# "hinge RIGHT 4 AN3-5A": a side, and a count behind it
_BEFORE_A_COUNT = re.compile(r"(?i)([^\d\s].*?\s(?:left|right|lh|rh|centre|center)),?[ ;:]+\d")
# what leads to a position in such a line
_TO = frozenset({"at", "of", "on", "for", "from", "to"})


def named_apart(bench: Bench, word: str, text: str) -> str:
    """Return a line about hardware without the position that is named in it, where it is that which is in hand.

    Refuses where another one is named: what is said of hardware is of the bag or the position in hand, and would be
    recorded there.
    """
    found = named_in(bench.job.state, text, counted=bool(word))
    if found is None:
        return text
    here, rest = found
    if here == (bench.subject or bench.at):
        return rest
    raise Refusal(
        f"that names {here}, and what is in hand is {bench.subject or bench.at or 'nothing'}",
        expected="one of them: what is said of hardware is of the bag or the position in hand",
        came=f"{word} {text}".strip(),
        todo=f"scan the bag of {here}; or say where first: at {here.name} {here.side.value}, "
        f"then: {f'{word} {rest}'.strip()}",
    )  # fmt: skip


def named_in(state: State, text: str, *, counted: bool) -> tuple[Position, str] | None:
    """Return the position of this job that a line names with its side, and the line without it; None where none is.

    `counted`: the line is to say counts. Refuses one that names something else before them.
    """
    words = text.split()
    for at, word in enumerate(words):
        side = side_or_none(word.rstrip(";:"))
        for start in range(at) if side is not None else ():
            name = state.spelled.get(same(" ".join(words[start:at]).rstrip(",")))
            if side is not None and name is not None:
                before = words[:start]
                before = before[:-1] if before and before[-1].casefold() in _TO else before
                return Position(name, side), " ".join([*before, *words[at + 1 :]]).strip(" ;:,")
    unknown = _BEFORE_A_COUNT.match(text) if counted else None
    if unknown is not None:
        existing(state, position(unknown[1]))
    return None


def offering_side(bench: Bench, refusal: Refusal) -> Refusal:
    """Return what is told where a side was not said, with the side of where the person stands as the one offered."""
    side = bench.at.side if bench.at else side_or_none(bench.area.split()[-1]) if bench.area else None
    if not isinstance(refusal, SideUnsaid) or side is None:
        return refusal
    todo = refusal.todo.replace(" LEFT ", f" {side.value} ")
    return SideUnsaid(refusal.what, expected=refusal.expected, came=refusal.came, todo=todo)

"""Where the person stands, held against the side and the place of what is said or in hand."""

from __future__ import annotations

from tagtrack.core.axes import Side, side_or_none
from tagtrack.core.errors import Objection, Refusal, SideUnsaid
from tagtrack.core.events import Planned
from tagtrack.core.records import Position
from tagtrack.core.spelling import same
from tagtrack.core.tagcode import shown
from tagtrack.shop.lines.talk import Bench
from tagtrack.shop.ports import Who


def planned_in_hand(bench: Bench) -> Planned | None:
    """Return the row of the list that the tag in hand was printed for, or None."""
    return bench.job.state.planned.get(bench.blank)


def object_to_side(bench: Bench, who: Who, here: Position, *, same: bool = False) -> None:
    """Ask where the side that was typed is not the side of the zone in which the person stands."""
    zone_side = side_or_none(bench.area.split()[-1]) if bench.area else None
    if zone_side in (Side.LEFT, Side.RIGHT) and here.side is zone_side.opposite and not bench.at:
        other = f"{' '.join(bench.area.split()[:-1])} {here.side.value}".strip()
        expected = f"the zone card of {other}, scanned over there" if same else f"{here.name} {zone_side.value}"
        who.object(Objection(
            f"STOP: {here} does not lie in zone {bench.area}", kind="side", expected=expected, came=str(here),
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
    return (f"You are at {bench.at or bench.area}.",
            "Put it down and fetch the one that belongs here. You stand elsewhere? Scan the zone card, or say: "
            "at POSITION SIDE")


def is_elsewhere(bench: Bench, home: Position) -> bool:
    """Return whether a position is not where the person stands, as far as that is known: by name, or by area."""
    if bench.at is not None:
        return bench.at != home
    known = bench.job.state.positions.get(home)
    return bool(bench.area and known and known.area and same(known.area) != same(bench.area))


def offering_side(bench: Bench, refusal: Refusal) -> Refusal:
    """Return what is told where a side was not said, with the side of where the person stands as the one offered."""
    side = bench.at.side if bench.at else side_or_none(bench.area.split()[-1]) if bench.area else None
    if not isinstance(refusal, SideUnsaid) or side is None:
        return refusal
    todo = refusal.todo.replace(" LEFT ", f" {side.value} ")
    return SideUnsaid(refusal.what, expected=refusal.expected, came=refusal.came, todo=todo)

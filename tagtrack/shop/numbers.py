"""What is written on a part: one part and serial number is on one part, and does not change while that is off."""

from __future__ import annotations

from tagtrack.core.errors import Objection, Refusal
from tagtrack.core.findings import Kind
from tagtrack.core.records import Position
from tagtrack.core.spelling import same
from tagtrack.core.state import State
from tagtrack.core.things import PartState
from tagtrack.shop.ports import Who
from tagtrack.shop.removal import Removal


def object_to_numbers(who: Who, state: State, known: PartState | None, said: Removal) -> None:
    """Ask where a part that comes off bears other numbers than it did before, or those of another one.

    `known` is the part that is there, or belongs there, by the record.
    """
    if said.hardware_only:
        return
    if known is None:
        object_to_twice(who, state, said.number, said.serial, said.position)
    else:
        _object_to_another(who, state, known, said)


def _object_to_another(who: Who, state: State, known: PartState, said: Removal) -> None:
    told = [
        (word, before, now)
        for word, before, now in (("P/N", known.number, said.number), ("S/N", known.serial, said.serial),
                                  ("life", known.life, said.life))
        if before and now and same(before) != same(now)
    ]  # fmt: skip
    if not told:
        return
    other = _bearing(state, said.number or known.number, said.serial, known.home, known.identity)
    whose = f"; that is the S/N of the {other.home}" if other is not None else ""
    who.object(Objection(
        f"STOP: when the {known.home} first came off, it bore other numbers", kind=Kind.SWAPPED.value,
        expected=", ".join(f"{word} {before}" for word, before, _ in told),
        came=", ".join(f"{word} {now}" for word, _, now in told) + whose,
        todo=f"read them again; another part was at {said.position}? find out since when, and where the first one is; "
        "the first record was wrong: say so",
    ))  # fmt: skip


def object_to_twice(
    who: Who, state: State, number: str, serial: str, home: Position, *, apart_from: str = ""
) -> None:
    """Ask where a part and serial number is on another part of the work order already: one of them was misread."""
    other = _bearing(state, number, serial, home, apart_from)
    if other is not None:
        who.object(Objection(
            f"STOP: the {other.home} bears these numbers already", kind=Kind.SWAPPED.value,
            expected="numbers of its own", came=other.numbers,
            todo="read both again; it is that part? put it where it belongs; really two of them: say so",
        ))  # fmt: skip


def refuse_old_serial(old: PartState, number: str, serial: str) -> None:
    """Refuse a new life-limited part that bears the numbers of the old one: it would get a new life on paper."""
    if old.life and _alike(old, number, serial, old.home):
        raise Refusal(
            f"the old {old.home} bears these numbers", expected="those of the new one", came=old.numbers,
            todo="read the new one's; it is the old one that goes on? scan its tag, and say: on",
        )  # fmt: skip


def _bearing(state: State, number: str, serial: str, home: Position, apart_from: str) -> PartState | None:
    if not serial:
        return None
    others = (part for part in state.parts.values() if part.identity != apart_from)
    return next((part for part in others if _alike(part, number, serial, home)), None)


def _alike(part: PartState, number: str, serial: str, home: Position) -> bool:
    """Return whether a part bears these numbers; where a part number was not noted, only of a kind is compared."""
    if not serial or not part.serial or same(part.serial) != same(serial):
        return False
    if part.number and number:
        return same(part.number) == same(number)
    return same(part.home.name) == same(home.name)

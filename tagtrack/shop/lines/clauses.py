"""How a line is taken apart: clauses behind semicolons, reasons behind 'because', positions behind plus signs."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from tagtrack.core.axes import direction, direction_or_none, side_or_none
from tagtrack.core.catalogue import inches
from tagtrack.core.errors import Refusal
from tagtrack.core.hardware import Line, parse, parse_flat
from tagtrack.core.marks import Marks
from tagtrack.core.marks import parse as parse_marks
from tagtrack.core.records import Position, Requirement, position
from tagtrack.core.spelling import clean
from tagtrack.core.tagcode import read
from tagtrack.shop.removal import Keep, Removal

_BECAUSE = re.compile(r"(?i)(?:^|[ ,;])because:? +")
# no bolt of a light aircraft grips more, in inches
_THICKEST = 12
_LOCKS = ("cotter", "lockwire", "self-locking", "none", "tab washer", "safety clip")


def because(text: str) -> tuple[str, str]:
    """Return what stands before 'because', and the reason behind it (empty where there is none)."""
    parts = _BECAUSE.split(text, maxsplit=1)
    return parts[0].strip(" ,;"), parts[1].strip() if len(parts) == 2 else ""


def cut(text: str, word: str) -> tuple[str, str, str]:
    """Return what stands before a word, the word where it is there, and what stands behind it, however it is spelled.

    >>> cut("2 caps AT horn LEFT", "at"), cut("2 caps", "at")
    (('2 caps', 'at', 'horn LEFT'), ('2 caps', '', ''))
    """
    parts = re.split(rf"(?i)(?:^|\s){re.escape(word)}\s", text, maxsplit=1)
    return (parts[0].strip(), word, parts[1].strip()) if len(parts) == 2 else (text, "", "")


def clauses(text: str) -> list[str]:
    """Return the clauses of a line, which semicolons separate; empty ones are left out."""
    return [clause.strip() for clause in text.split(";") if clause.strip()]


def positions(text: str) -> tuple[Position, ...]:
    """Return the positions of a list with plus signs; a side alone is of the one before: `hinge L + weight L + R`."""
    found: list[Position] = []
    for part in filter(str.strip, text.split("+")):
        alone = side_or_none(part.strip(" .,"))
        found.append(Position(found[-1].name, alone) if alone and found else position(part))
    return tuple(found)


def _after(clause: str, *words: str) -> str | None:
    folded = clause.casefold()
    for word in words:
        if folded.startswith(word) and folded[len(word) :][:1] in ("", " "):
            return clause[len(word) :].strip(" :")
    return None


def removal(text: str, *, keep: Keep) -> Removal:
    """Return what a line says that comes off: `POSITION SIDE; mark UP, arrow FWD; 2x [...]; in hole`.

    Refuses a clause that means nothing, naming what may stand there.
    """
    parts = clauses(text)
    if not parts:
        raise Refusal(
            "what came off?", expected="the position with its side, then its hardware behind a semicolon",
            came="nothing", todo="off elevator fairing LEFT; 12 AN525-10R8",
        )  # fmt: skip
    first, *rest = parts
    here = position(first)
    said: dict[str, Any] = {}
    hardware: list[str] = []
    marks = ""
    for clause in rest:
        if clause[0].isdigit() or clause[0] in "[-+":
            hardware.append(clause)
        elif _is_marks(clause):
            marks = f"{marks}, {clause}" if marks else clause
        else:
            said.update(_clause(clause))
    return Removal(
        position=here,
        marks=parse_marks(marks, here.side) if marks else Marks(),
        hardware=parse("; ".join(hardware)) if hardware else (),
        **{"keep": keep, **said},
    )


def _is_marks(clause: str) -> bool:
    words = clause.replace(",", " ").split()
    if len(words) < 2 or direction_or_none(words[-1]) is None:
        return False
    # "life 1200 h left" and "put on shelf left" say something else
    return all(_after(clause, *begins) is None for begins, _ in _WORDS)


# clauses that are one fixed phrase
_KEPT: Mapping[Keep, tuple[str, ...]] = {
    Keep.HOLE: ("in hole", "hole", "kept in hole", "in its hole", "in the hole"),
    Keep.LATER: ("count later", "count at the bench", "later"),
    Keep.STAYS: ("none", "no hardware", "nothing"),
    Keep.TRAY: ("loose", "tray"),
    Keep.BAG: ("bag",),
}
_PHRASES: Mapping[str, Mapping[str, object]] = {
    **{phrase: {"keep": keep} for keep, phrases in _KEPT.items() for phrase in phrases},
    "critical": {"critical": True},
    "mount either": {"either_way": True},
    "mount either way": {"either_way": True},
    "mount either way round": {"either_way": True},
    "life": {"life": "life-limited"},
    "life-limited": {"life": "life-limited"},
}


def _requirement(text: str) -> dict[str, object]:
    counted, _, reference = text.partition(" per ")
    return {"requirement": Requirement(parse_flat(counted), clean(reference))}


def _lock(text: str) -> dict[str, object]:
    if text.casefold() not in _LOCKS:
        raise Refusal(f"'{text}' is no lock", expected=", ".join(_LOCKS), came=text, todo="use one of these words")
    return {"lock": text.casefold()}


def thickness(text: str) -> str:
    """Return how thick gripped parts are, in inches as typed; refuse what no gripped parts can be."""
    span = clean(text).removesuffix(" in").strip()
    thick = inches(span)
    if thick is None or span.startswith("-") or not 0 < thick <= _THICKEST:
        raise Refusal(f"'{text}' is no thickness", expected="inches, such as 5/8, 1-3/16 or .640", came=text,
                      todo="measure the gripped parts with their shims, without washers")  # fmt: skip
    return span


# clauses that begin with a word and say something behind it
_WORDS: tuple[tuple[tuple[str, ...], Callable[[str], Mapping[str, object]]], ...] = (
    (("bag",), lambda text: {"keep": Keep.BAG, "bag": read(text)}),
    (("tag",), lambda text: {"tag": read(text)}),
    (("mounted", "mount"), lambda text: {"mount": direction(text)}),
    (("part number", "pn"), lambda text: {"number": clean(text)}),
    (("serial number", "serial", "sn"), lambda text: {"serial": clean(text)}),
    (("life-limited", "life"), lambda text: {"life": clean(text)}),
    (("put on", "put in", "put"), lambda text: {"put": clean(text)}),
    (("closes up", "closes"), lambda text: {"closes_up": positions(text)}),
    (("under",), lambda text: {"under": positions(text)}),
    (("also holds", "clamps"), lambda text: {"clamps": positions(text)}),
    (("part of",), lambda text: {"parent": position(text)}),
    (("locked by", "lock"), _lock),
    (("measured",), lambda text: {"span": thickness(text)}),
    (("per data",), _requirement),
)


# "AN3-5A, AN310-3": hardware without its counts
_CALLOUTS = re.compile(r"(?i)[a-z]{2,4}\d+[a-z\d/-]*(?:,|$)")


def _clause(clause: str) -> Mapping[str, object]:
    """Return what a clause says, as fields of a Removal."""
    phrase = _PHRASES.get(clause.casefold())
    if phrase is not None:
        return phrase
    for words, meant in _WORDS:
        rest = _after(clause, *words)
        if rest:
            return meant(rest)
    if _CALLOUTS.match(clause):
        raise Refusal(
            f"how many of each? {clause}", expected="a count before each: 4 AN525-10R8, 4 AN960-10", came=clause,
            todo=f"if it is one: {', '.join(f'1 {each.strip()}' for each in clause.split(','))}",
        )  # fmt: skip
    raise Refusal(
        f"'{clause}' is not understood",
        expected="hardware (4 AN525-10R8), marks (mark UP, arrow FWD), or one of: mount, pn, sn, put, closes, under, "
        f"clamps, part of, critical, in hole, bag, count later, none, measured, per data, lock ({', '.join(_LOCKS)})",
        came=clause,
        todo="put each into its own clause, behind a semicolon",
    )


def one_line(text: str) -> Line:
    """Return a single count and callout; refuse a list."""
    lines = parse_flat(text)
    if len(lines) != 1:
        raise Refusal("one at a time", expected="one count and callout: 1 AN960-10", came=text,
                      todo="give each its own line")  # fmt: skip
    return lines[0]

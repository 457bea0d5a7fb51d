"""The grammar of a family of callouts, compiled: each of its spellings as a pattern, and as pieces to write it with.

A family's grammar is a *shape*: letters stand for themselves; `{d}` is a field that must be there and `[head]` one that
may, each with its codes in the catalogue; `{dash:eighths}` is a number. A `-` is a hyphen, `(-)` one that people write
and the standard does not, `<->` one that the standard writes and people leave out. Every shape becomes one plain
regular expression without nested repetition, so that no text can hold it up.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from tagtrack.core.catalogue import Catalogue, Family, Kin

_PIECE = re.compile(r"\{(\w+)(?::(\w+))?\}|\[(\w+)\]|(\(-\))|(<->)|(-)|([A-Z0-9]+)")
# how the numbers of each unit are written
NUMBERS: Mapping[str, str] = {
    "eighths": r"\d{1,2}", "16": r"\d{1,3}", "32": r"\d{1,3}", "4": r"\d{1,2}", "count": r"\d{1,4}",
    "half16": r"\d{1,2}(?:\.5)?", "mil": r"\d{2,3}",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Shape:
    """One spelling of a family, compiled. A piece is its kind (code, number, text), its name, and a unit or `must`."""

    family: Family
    literal: str
    alias: Kin | None
    pieces: tuple[tuple[str, str, str], ...]
    pattern: re.Pattern[str]
    # the letters that it cannot do without, its numbers, and the fields that have several codes for one thing
    musts: tuple[str, ...]
    numbers: tuple[str, ...]
    spellings: tuple[tuple[str, Mapping[str, str]], ...]


def head_of(shape: str) -> str:
    """Return the letters and figures with which every callout of this shape begins."""
    match = re.match(r"[A-Z0-9]+", shape)
    return match[0] if match else ""


def choices(catalogue: Catalogue, family: Family, name: str) -> str:
    """Return the codes of a field as a pattern, the longest first."""
    codes = filter(None, catalogue.codes.get((family.name, name), {}))
    return "|".join(map(re.escape, sorted(codes, key=lambda code: (-len(code), code))))


def compiled(catalogue: Catalogue, family: Family, shape: str, head: str, alias: Kin | None) -> Shape:
    """Return the shape compiled; `head` are its first letters, which may be those of an alias."""
    pieces: list[tuple[str, str, str]] = []
    pattern = ""
    for match in _PIECE.finditer(shape):
        required, number, optional, read_only, shown, hyphen, literal = match.groups()
        if required and number:
            pieces.append(("number", required, number))
            pattern += f"(?P<{required}>{NUMBERS[number]})"
        elif required or optional:
            name = required or optional
            group = f"(?P<{name}>{choices(catalogue, family, name)})"
            pieces.append(("code", name, "must" if required else ""))
            pattern += group if required else f"{group}?"
        elif read_only or shown or hyphen:
            pieces.append(("text", "" if read_only else "-", ""))
            pattern += "-" if hyphen else "-?"
        else:
            pieces.append(("text", literal, ""))
            pattern += re.escape(literal)
    codes = [name for kind, name, _ in pieces if kind == "code"]
    several = [(name, one) for name in codes if (one := _first_codes(catalogue, family, name))]
    return Shape(
        family, head, alias, tuple(pieces), re.compile(pattern),
        musts=tuple(name for kind, name, must in pieces if kind == "code" and must),
        numbers=tuple(name for kind, name, _ in pieces if kind == "number"), spellings=tuple(several),
    )  # fmt: skip


def _first_codes(catalogue: Catalogue, family: Family, name: str) -> Mapping[str, str]:
    """Return, for each code that says the same thread as one listed before it, that one."""
    first: dict[tuple[tuple[str, str], ...], str] = {}
    later: dict[str, str] = {}
    for code, facts in catalogue.codes.get((family.name, name), {}).items():
        said = tuple((fact, each.value) for fact, each in facts.items())
        if "thread" in facts and first.setdefault(said, code) != code:
            later[code] = first[said]
    return later


def one_spelling(shape: Shape, codes: dict[str, str]) -> dict[str, str]:
    """Return the codes with one spelling for what is written in several: 1032 as 10, 08 as 8; the same if none."""
    found = codes
    for name in shape.numbers:
        code = codes.get(name, "")
        if code.startswith("0"):
            found = {**found, name: code.lstrip("0") or "0"}
    for name, one in shape.spellings:
        code = codes.get(name, "")
        if code in one:
            found = {**found, name: one[code]}
    return found


def written(shape: Shape, codes: Mapping[str, str], head: str) -> str:
    """Return a callout of this shape with these codes; `head` are the letters that it shall begin with."""
    pieces = [codes.get(name, "") if kind != "text" else name for kind, name, _ in shape.pieces]
    return head + "".join(pieces)[len(shape.literal) :]

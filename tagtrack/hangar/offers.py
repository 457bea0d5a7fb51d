"""What an answer asks beside what it records: it stays till it was read, and is answered by one press. Pure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

# a question of its own, and what is told of a pair, as they stand in an answer to what was recorded
_ASKS = re.compile(r"^\s*(?:\? |PAIR DIFFERS |LOOKS ALIKE )", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Offer:
    """A line of the loop that answers what was asked, and what stands on its button."""

    line: str
    words: str


# each hint as the program words it, the line that it names, what stands on the button, and what is told instead
_OFFERED = (
    (re.compile(r"\bIt is\?  also ([^;\n]+); critical$", re.MULTILINE), r"also \1; critical",
     "It is CRITICAL", "Is it?"),
    (re.compile(r"^\s*one was missing: back ([^;\n]+); (.+) because \.\.\.$", re.MULTILINE),
     r"back \1; \2 because missing as found", r"Missing as found: \2 go back on \1", ""),
    (re.compile(r"^\s*marked ([^;\n]+); (.+)$", re.MULTILINE), r"marked \1; \2", r"Marked now: \2, on \1", ""),
)  # fmt: skip


def asks(lines: Sequence[str]) -> bool:
    """Return whether an answer asks something that whoever pressed has to read."""
    return any(_ASKS.search(line) for line in lines)


def offered(lines: Sequence[str]) -> tuple[tuple[str, ...], tuple[Offer, ...]]:
    """Return what is told, without the words that are pressed instead, and what is pressed."""
    told, offers = [], []
    for each in lines:
        line = each
        for typed, says, words, instead in _OFFERED:
            offers += [Offer(found.expand(says), found.expand(words)) for found in typed.finditer(line)]
            line = typed.sub(instead, line)
        told.append("\n".join(part for part in line.split("\n") if part.strip()))
    return tuple(line for line in told if line), tuple(offers)

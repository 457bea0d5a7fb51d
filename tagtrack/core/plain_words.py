"""What kind of piece plain words name: `2 cotter pins`, `split pin 1/16`, `WIRE, SAFETY`.

The words are those of a table. What names the piece is its own noun, so `bolt drilled for cotter pin` and `safety wire
pliers` are neither pin nor wire.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import lru_cache

from tagtrack.core.catalogue import SingleUse

# what stands behind these words tells of something else
_ASIDE = re.compile(r"(?i)\b(?:for|with|without|under|behind|less|and)\b|\bno\b(?!\.? ?\d)|\bw/|[(+&;]")
# what the words before them only describe: a cotter pin hole is a hole
_OTHER_NOUNS = (
    r"(?:bolt|screw|nut|washer|pin|plate|hole|slot|key|tool|plier|twister|cutter|puller|drill|gun|spool|can|box|kit|clip"
    r"|wire|rod|fastener|stud|pinned|wired)"
)
# nouns that parts catalogues print first: PIN, COTTER
_FIRST = re.compile(r"(?i)(?:pin|washer|nut|wire|ring|rivet|plate|gasket)s?$")


@lru_cache(16)
def _pattern(phrases: tuple[str, ...]) -> re.Pattern[str]:
    longest_first = sorted(phrases, key=len, reverse=True)
    named = "|".join(re.sub(r"[ -]", "[ -]?", phrase) for phrase in longest_first)
    return re.compile(rf"(?i)(?<![A-Z])(?P<named>{named})(?:e?s)?(?![A-Z])(?![ -]*{_OTHER_NOUNS}s?\b)")


def _readings(text: str) -> Iterable[str]:
    """Return the text without its asides, and turned round where its noun stands first, as catalogues print it."""
    own = _ASIDE.split(text, maxsplit=1)[0]
    noun, *more = (part.strip() for part in own.split(","))
    yield noun
    if _FIRST.match(noun):
        for part in more:
            yield f"{re.split(r'[0-9.]', part, maxsplit=1)[0].strip()} {noun}"


def named(words: Mapping[str, SingleUse], text: str) -> SingleUse | None:
    """Return the rule that the table of phrases holds for the piece that the text names, or None."""
    if not words:
        return None
    pattern = _pattern(tuple(words))
    for reading in _readings(text):
        match = pattern.search(reading)
        if match:
            return words[next(p for p in words if _folded(p) == _folded(match["named"]))]
    return None


def _folded(phrase: str) -> str:
    return re.sub(r"[ -]", "", phrase).casefold()

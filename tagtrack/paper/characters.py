r"""What can be done to a text before any font is asked: control characters, accents, reading direction.

Text comes from people, pasted from manuals and phones. On paper and on a screen it must stay one line, must not
steer the terminal, and nothing in it may disappear unseen: an invisible character inside a part number makes two
equal-looking numbers differ, so it is shown as a box.

>>> printable("AN3\u200b-5A\tbolt")
'AN3□-5A bolt'
>>> paragraphs("one\r\ntwo")
('one', 'two')
"""

from __future__ import annotations

import re
import unicodedata

# stands for whatever cannot be shown; in the font's own set, and in every terminal's that shows more than ASCII
UNSHOWN = "□"

# general categories without ink of their own: control, format, surrogate, private, unassigned, separators
_INKLESS = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})

_FROM_RIGHT = frozenset({"R", "AL"})
_FROM_LEFT = frozenset({"L"})

# numbers keep their own order inside right-to-left text, with the signs that hold them together
_NUMBER = re.compile(r"\d+(?:[-.,:/]\d+)*")


def has_ink(character: str) -> bool:
    """Say whether the character is one that shows, a plain space included."""
    return unicodedata.category(character) not in _INKLESS


def printable(text: str) -> str:
    """Return the text as one line: accents composed, every kind of space plain, inkless characters as boxes."""
    composed = unicodedata.normalize("NFC", text)
    spaced = "".join(" " if character.isspace() else character for character in composed)
    return "".join(c if has_ink(c) else UNSHOWN for c in spaced).strip()


def paragraphs(text: str) -> tuple[str, ...]:
    """Return the text's own lines, each made printable. An empty text has one empty line."""
    return tuple(printable(line) for line in text.splitlines()) or ("",)


def columns(text: str) -> int:
    """Return how many columns of a fixed-width screen the printable text takes."""
    wide = sum(unicodedata.east_asian_width(c) in {"W", "F"} for c in text)
    stacked = sum(unicodedata.category(c) in {"Mn", "Me"} for c in text)
    return len(text) + wide - stacked


def visual(line: str) -> str:
    """Return the line with right-to-left stretches turned round, for a writer that places glyphs left to right.

    A simple form of Unicode's bidirectional rules (UAX 9): the line runs left to right; a stretch from one
    right-to-left letter to the last before a left-to-right letter is reversed; numbers in it keep their order, and
    what follows its last letter (a count, a date, a bracket) stays where it is.
    Letters are not joined, so Arabic prints in its separate forms.
    """
    kinds = [unicodedata.bidirectional(character) for character in line]
    if _FROM_RIGHT.isdisjoint(kinds):
        return line
    done: list[str] = []
    at = 0
    while at < len(line):
        if kinds[at] not in _FROM_RIGHT:
            done.append(line[at])
            at += 1
            continue
        stop = end = at
        while stop < len(line) and kinds[stop] not in _FROM_LEFT:
            stop += 1
            if kinds[stop - 1] in _FROM_RIGHT or (kinds[stop - 1] == "NSM" and end == stop - 1):
                end = stop
        done.append(_reversed(line[at:end]))
        at = end
    return "".join(done)


# pairs that swap when the reading direction does
_MIRRORED = str.maketrans("()[]{}<>«»", ")(][}{><»«")


def _reversed(stretch: str) -> str:
    """Turn a stretch round, keeping accents behind their letters and numbers the right way."""
    pieces: list[str] = []
    at = 0
    while at < len(stretch):
        number = _NUMBER.match(stretch, at)
        end = number.end() if number else at + 1
        while end < len(stretch) and unicodedata.category(stretch[end]) == "Mn":
            end += 1
        pieces.append(stretch[at:end] if number else stretch[at:end].translate(_MIRRORED))
        at = end
    return "".join(reversed(pieces))

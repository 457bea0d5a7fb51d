"""How typed text is cleaned before anything looks at it, and which known name was probably meant.

People paste dashes and crosses from anywhere, and type with gloves on. The cleaning is lossless for
the eye: text keeps its letters, its case and its language; only look-alike punctuation, odd spaces
and invisible characters go.

>>> clean("  elevator\u00a0 weight \u2013 LH ")
'elevator weight - LH'
>>> nearest("elevater weight", ["elevator weight", "rudder horn"])
('elevator weight',)
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from difflib import get_close_matches
from functools import lru_cache

from tagtrack.core.errors import Refusal

# hyphen, non-breaking hyphen, figure dash, en dash, em dash, horizontal bar, minus sign, small and full-width forms
_DASHES = dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2014\u2015\u2212\ufe58\ufe63\uff0d"), "-")
_QUOTES = {0x2018: "'", 0x2019: "'", 0x201C: '"', 0x201D: '"', 0xFF1B: ";", 0xFF0C: ",", 0xFF1A: ":"}
# bytes that are no text come as lone surrogates: they stay visible, or a name would lose a letter unseen
_NO_TEXT = dict.fromkeys(range(0xD800, 0xE000), "\ufffd")
_FOLD = {**_DASHES, **_QUOTES, **_NO_TEXT}

# longer than any note a person types on one line; a longer one is a paste that went wrong
LONGEST = 2000


# the same names and callouts are read again at every line, so the answers of these pure functions are kept
_KEPT = 8192


@lru_cache(_KEPT)
def clean(text: str) -> str:
    """Return the text in NFC with plain dashes and quotes, single spaces, and no control characters."""
    folded = unicodedata.normalize("NFC", text).translate(_FOLD)
    visible = "".join(" " if c.isspace() else c for c in folded if c.isspace() or _shows(c))
    return " ".join(visible.split())


def _shows(c: str) -> bool:
    # Cc control, Cf format (bidi overrides, zero width), Co private use, Cn unassigned
    return not unicodedata.category(c).startswith("C")


def name(text: str, *, what: str, longest: int = 120) -> str:
    """Return a cleaned name; refuse an empty one, a huge one, and one that is nothing but punctuation."""
    cleaned = clean(text)
    if not any(c.isalnum() for c in cleaned):
        raise Refusal(
            f"the {what} is empty", expected="a name with letters or digits", came=repr(text), todo="type it again"
        )
    if len(cleaned) > longest:
        raise Refusal(
            f"the {what} is too long",
            expected=f"at most {longest} characters",
            came=f"{len(cleaned)} characters",
            todo="shorten it; longer remarks belong into a reason",
        )
    return cleaned


def reason(text: str) -> str:
    """Return a cleaned reason; refuse one that says nothing."""
    cleaned = clean(text)
    if len(cleaned) > LONGEST:
        raise Refusal("that reason is too long", expected=f"at most {LONGEST} characters",
                      came=f"{len(cleaned)} characters", todo="say it in fewer words")  # fmt: skip
    if sum(c.isalnum() for c in cleaned) < 3:
        raise Refusal(
            "a reason is needed",
            expected="a few words that somebody else will understand later",
            came=repr(cleaned[:40]),
            todo="type the reason in words",
        )
    return cleaned


# what says that somebody looked, and not what was seen
_TICKS = frozenset({"yes", "ok", "okay", "y", "x", "done", "checked", "good", "fine", "true", "seen", "looked"})


def observation(text: str, row: str = "") -> str:
    """Return what somebody saw, cleaned; refuse a bare tick: a word such as 'yes' shows nothing. `row`: of what."""
    cleaned = clean(text)
    if same(cleaned).strip(".!") in _TICKS or sum(c.isalnum() for c in cleaned) < 2 or len(cleaned) > LONGEST:
        raise Refusal(
            f"what was seen is not said{f' of: {row}' if row else ''}",
            expected="what you saw, such as: stick back, elevator UP; both pins bent; none fitted here",
            came=repr(cleaned[:40]),
            todo="say it in words; a tick is not taken",
        )
    return cleaned


def how_many(count: int, one: str, many: str = "") -> str:
    """Return a count with its noun: the plural where it is not one.

    >>> how_many(1, "finding"), how_many(2, "finding"), how_many(1, "finding stands", "findings stand")
    ('1 finding', '2 findings', '1 finding stands')
    """
    return f"{count} {one if count == 1 else many or one + 's'}"


@lru_cache(_KEPT)
def same(text: str) -> str:
    """Return the form by which two spellings of one name are the same: cleaned, case folded."""
    return clean(text).casefold()


# words that tell two spots of one name apart on purpose: nobody types one of them for the other
_TELLING = frozenset(
    (
        *("upper", "lower", "top", "bottom", "inner", "outer", "inboard", "outboard", "inbd", "outbd", "forward"),
        *("fwd", "aft", "front", "rear", "left", "right", "main", "nose", "tail", "first", "second", "third"),
        *("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"),
    )
)


def told_apart(one: str, other: str) -> bool:
    """Return whether two names differ on purpose: in a number, a letter, or a word such as upper and lower.

    >>> told_apart("panel 3", "panel 4"), told_apart("upper hinge", "lower hinge"), told_apart("hinge", "hingge")
    (True, True, False)
    """
    mine, its = same(one).split(), same(other).split()
    differing = set(mine) ^ set(its)
    return any(len(word) == 1 or word in _TELLING or any(c.isdigit() for c in word) for word in differing)


def nearest(text: str, known: Iterable[str], most: int = 3) -> tuple[str, ...]:
    """Return up to `most` known names that are spelled much like the text, the likeliest first."""
    by_form = {same(k): k for k in known}
    return tuple(by_form[form] for form in get_close_matches(same(text), list(by_form), most, 0.7))


def much_alike(one: str, other: str) -> bool:
    """Return whether one name is most likely the other one, mistyped, or said with a word less.

    A few letters differ in one word, it is cut short, words are joined, parted or stand in another order, or one word
    before the last is left out. A different last word, which says what it is, is a different thing.

    >>> much_alike("elevater weight", "elevator weight"), much_alike("trim tab", "elevator trim tab")
    (True, True)
    >>> much_alike("elev tip fairing", "elevator tip fairing"), much_alike("wing rib", "wing ribbon")
    (True, False)
    >>> much_alike("elevator trim tab", "elevator trim pushrod"), much_alike("hinge", "hinge bracket")
    (False, False)
    """
    mine, its = same(one).split(), same(other).split()
    if sorted(mine) == sorted(its) or _is_slip("".join(mine), "".join(its), most=0):
        return True
    if len(mine) == len(its):
        differing = [at for at in range(len(mine)) if mine[at] != its[at]]
        at = differing[0]
        # what it is stands last, and is seldom cut short: "rib" is no ribbon
        short = (at < len(mine) - 1 or at == 0) and _is_cut_short(mine[at], its[at])
        return len(differing) == 1 and (short or _is_slip(mine[at], its[at]))
    less, more = sorted((mine, its), key=len)
    left_out = any([*more[:at], *more[at + 1 :]] == less for at in range(len(more) - 1))
    joined = any([*more[:at], more[at] + more[at + 1], *more[at + 2 :]] == less for at in range(len(more) - 1))
    return (left_out and len(less) > 1 and len(more) == len(less) + 1) or joined


def _is_cut_short(one: str, other: str) -> bool:
    """Return whether one word is the beginning of the other, of three letters or more."""
    less, more = sorted((one.rstrip("."), other.rstrip(".")), key=len)
    return len(less) >= 3 and more.startswith(less)


def _is_slip(one: str, other: str, most: int = 2) -> bool:
    """Return whether one word may be the other with up to so many letters wrong, missing, too many or exchanged."""
    if one == other:
        return True
    if abs(len(one) - len(other)) > most:
        return False
    # of a short word, two letters are most of it
    allowed = min(most, max(len(one), len(other)) // 3)
    rows: list[list[int]] = [list(range(len(other) + 1))]
    for i, a in enumerate(one, 1):
        row = [i]
        for j, b in enumerate(other, 1):
            row.append(min(rows[-1][j] + 1, row[j - 1] + 1, rows[-1][j - 1] + (a != b)))
            if i > 1 and j > 1 and a == other[j - 2] and b == one[i - 2]:
                row[j] = min(row[j], rows[-2][j - 2] + 1)
        rows.append(row)
    return rows[-1][-1] <= allowed

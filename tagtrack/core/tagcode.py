"""Tag codes: short, survive being read aloud and typed, and know when they were misread.

A code is seven characters from a 31-letter alphabet (no 0, 1, I, L, O), for the ends of a wire or
line a suffix letter, and a check character by ISO/IEC 7064 MOD 37-2 over all that stands before
it. MOD 37-2 catches every single wrong character and every exchange of two characters (its weights
are the powers of 2 modulo 37, which are all different up to 36 places). Codes whose check character would be
one of the five left-out characters, or `*`, are never issued.

All characters are in the alphanumeric set of ISO/IEC 18004, and a code is at most 10 of them, so
that it fits a version 1 symbol at level H.

>>> shown(with_check("7K4M9QX"))
'7K4M 9QXQ'
>>> read("7k4m-9qxq")
'7K4M9QXQ'
"""

from __future__ import annotations

import re

from tagtrack.core.errors import Refusal, Slip
from tagtrack.core.spelling import clean

ALPHABET = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
BODY = 7
# at least so many figures are in a body
FIGURES = 2
# what may stand between the body and the check character: the ends of a connection, a stub
SUFFIXES = ("A", "B", "S")
# the character set of MOD 37-2, in the standard's order
_CHARACTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"
_LENGTHS = (BODY + 1, BODY + 2)
# how people set the groups: as printed, unbroken, or with the last characters run together
_GROUPINGS = ((8,), (9,), (4, 4), (4, 4, 1), (4, 5), (8, 1))
# a wedge scanner may deliver an address that ends in the code, of any host and case: an old tag must survive a new
# address. One that is set to another country's keyboard types other marks for `:` and `/`; letters and figures stay
_ADDRESS = re.compile(r"(?i)^https?[^ 0-9a-z][^ ]*[^ 0-9a-z]t[^ 0-9a-z]([0-9a-z]{8,9})[^ 0-9a-z]?$")
# what a printed symbol may hold as the shop's address: ISO/IEC 18004 packs capitals tightly, and no small letters
_SHOP_ADDRESS = re.compile(r"HTTPS?://[0-9A-Z]([0-9A-Z.-]*[0-9A-Z])?(:[0-9]{1,5})?")
_LONGEST_ADDRESS = 40
_TAKEN_FOR = {"0": "the figure 0", "1": "the figure 1", "I": "the letter I", "L": "the letter L", "O": "the letter O"}


def check_character(text: str) -> str:
    """Return the ISO/IEC 7064 MOD 37-2 check character of an upper-case alphanumeric text."""
    check = 0
    for c in text:
        check = (check + _CHARACTERS.index(c)) * 2 % 37
    return _CHARACTERS[(1 - check) % 37]


def with_check(text: str) -> str:
    """Return the text with its check character behind it."""
    return text + check_character(text)


def issuable(body: str) -> bool:
    """Return whether a body of seven characters may be issued, alone and with every suffix.

    At least two figures are asked for, so that no command word can ever be taken for a code.
    """
    figures = sum(c.isdigit() for c in body)
    checks = (check_character(body + suffix) for suffix in ("", *SUFFIXES))
    return len(body) == BODY and figures >= FIGURES and all(c in ALPHABET for c in body) and all(
        c in ALPHABET for c in checks
    )


def compact(text: str) -> str:
    """Return typed or scanned text as a bare code candidate: upper case, no spaces, no hyphens, no address."""
    address = _ADDRESS.match(text.strip())
    if address:
        return address.group(1).upper()
    return clean(text).upper().replace(" ", "").replace("-", "")


def shop_address(text: str) -> str:
    """Return the shop's address as symbols hold it, in capitals without a slash at its end; refuse what cannot be one.

    >>> shop_address("http://192.168.1.20:8765/")
    'HTTP://192.168.1.20:8765'
    """
    address = text.strip().rstrip("/").upper()
    if not _SHOP_ADDRESS.fullmatch(address) or len(address) > _LONGEST_ADDRESS:
        raise Refusal(
            f"'{text}' cannot be the address on printed tags",
            expected=f"http:// and a host, at most {_LONGEST_ADDRESS} characters: http://192.168.1.20:8765",
            came=text or "nothing",
            todo="give the address that `tagtrack serve --network` prints, without anything behind it",
        )
    return address


def addressed(code: str, address: str) -> str:
    """Return what a symbol holds: the code, behind the shop's address where there is one."""
    return f"{address}/T/{code}" if address else code


def looks_like_code(text: str) -> bool:
    """Return whether the text was probably meant as a tag code, right or wrong."""
    candidate = compact(text)
    if _ADDRESS.match(text.strip()):
        return True
    groups = tuple(len(group) for group in re.split(r"[ -]+", clean(text)))
    grouped = groups in _GROUPINGS or set(groups) == {1}
    return (
        grouped
        and len(candidate) in _LENGTHS
        and candidate.isascii()
        and candidate.isalnum()
        and any(c.isdigit() for c in candidate)
    )


def may_be_printed(text: str) -> bool:
    """Return whether text that looks like a code has the figures that each printed one has.

    >>> may_be_printed("7K4M 9QXA T"), may_be_printed("terminal 5")
    (True, False)
    """
    return sum(c.isdigit() for c in compact(text)) >= FIGURES


def read(text: str) -> str:
    """Return the compact code; raise Slip where it cannot be one that was ever printed."""
    code = compact(text)
    asks = "scan it again, or type it again from the tag"
    if len(code) not in _LENGTHS:
        raise Slip(
            "that is no tag code",
            expected=f"{_LENGTHS[0]} or {_LENGTHS[1]} characters, such as {shown(with_check('7K4M9QX'))}",
            came=f"{len(code)} characters",
            todo=asks,
        )
    for c in code:
        if c not in ALPHABET:
            raise Slip(
                f"{shown(code)} was misread: {_TAKEN_FOR.get(c, repr(c))} is never used in a tag code",
                expected=f"figures 2 to 9 and letters without I, L, O ({ALPHABET})",
                came=shown(code),
                todo=asks,
            )
    if check_character(code[:-1]) != code[-1]:
        raise Slip(
            f"{shown(code)} was misread: its check character does not fit",
            expected="the code exactly as printed; one wrong character or two exchanged ones are always noticed",
            came=shown(code),
            todo=asks,
        )
    return code


# the suffix of the half that stays at the position
STUB = "S"


def suffix(code: str) -> str:
    """Return the suffix letter of a code ('A', 'B', 'S'), or an empty text."""
    return code[BODY] if len(code) == BODY + 2 else ""


def suffixed(code: str, letter: str) -> str:
    """Return the code of the same body with that suffix letter."""
    return with_check(code[:BODY] + letter)


def shown(code: str) -> str:
    """Return the code in groups, as it is printed and read aloud: `7K4M 9QXQ`, `7K4M 9QXA T`."""
    return " ".join(code[i : i + 4] for i in range(0, len(code), 4))

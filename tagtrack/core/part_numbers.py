"""Whether two part numbers of a left/right pair read like the left and the right one of a kind.

Handed parts often bear numbers that differ only at the end: `-1` left and `-2` right, or `-L` and `-R`. That is common
practice, no source, and no rule: it says how the question about the difference is put, and never answers it.
"""

from __future__ import annotations

import re

_LAST = re.compile(r"(?i)^(?P<stem>.*\d[-/ ]*)(?P<hand>L|LH|LEFT|R|RH|RIGHT)$")
_DASH = re.compile(r"^(?P<stem>.*\w-)(?P<dash>\d{1,4})$")
_OTHER = {"L": "R", "LH": "RH", "LEFT": "RIGHT", "R": "L", "RH": "LH", "RIGHT": "LEFT"}


def told_handed(left: str, right: str) -> str:
    """Return how the numbers of the left and the right part read as a pair, in shop words; empty where they do not.

    >>> told_handed("0523-1", "0523-2"), told_handed("0523-1", "0617-2")
    ('they read like a left and a right one (odd left, even right is common)', '')
    >>> told_handed("0523-R", "0523-L")
    'EXCHANGED? the left one bears R, the right one L'
    """
    mine, its = _LAST.match(left), _LAST.match(right)
    if mine is not None and its is not None and mine["stem"] == its["stem"]:
        if _OTHER[mine["hand"].upper()] != its["hand"].upper():
            return ""
        if mine["hand"][:1].upper() == "L":
            return f"they read like a left and a right one ({mine['hand']} and {its['hand']})"
        return f"EXCHANGED? the left one bears {mine['hand']}, the right one {its['hand']}"
    mine, its = _DASH.match(left), _DASH.match(right)
    if mine is None or its is None or mine["stem"] != its["stem"] or len(mine["dash"]) != len(its["dash"]):
        return ""
    odd, even = sorted((int(mine["dash"]), int(its["dash"])))
    if odd % 2 == 0 or even != odd + 1:
        return ""
    if int(mine["dash"]) == odd:
        return "they read like a left and a right one (odd left, even right is common)"
    return "EXCHANGED? odd left and even right is common, and here it is the other way about"

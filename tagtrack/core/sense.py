"""Which way a control surface moves for which command, seen from the cockpit: what a reversed control shows.

Only what holds for every light aeroplane of conventional control is known here (FAA-H-8083-25, chapter on flight
controls, from memory): elevator, aileron, rudder and flap. Of tabs, stabilators with anti-servo tabs and anything
else nothing is known, and the two entries are kept without a verdict.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from tagtrack.core.axes import Direction, Side, direction_or_none
from tagtrack.core.records import Position

# rows under which the two entries of a sense check are kept: what was commanded, and what was seen to move
COMMAND, SENSE = "command", "sense"

_BACK = re.compile(r"\b(stick|yoke|wheel|column|control)? ?(back|aft|pulled|pull)\b")
_FORWARD = re.compile(r"\b(stick|yoke|wheel|column|control)? ?(forward|fwd|pushed|push)\b")
_LEFT = re.compile(r"\b(left|lh)\b")
_RIGHT = re.compile(r"\b(right|rh)\b")
_DOWN = re.compile(r"\b(down|extended|extend)\b")
_UP = re.compile(r"\b(up|retracted|retract)\b")
_PEDAL = re.compile(r"(?i)\b(left|right|lh|rh)\b (rudder )?(pedal|foot|stick|wheel)")
# a tab moves against its surface, or with it: only the maker's data say which
_UNKNOWN = re.compile(r"\b(tab|trim|servo|spring|stabilator|ruddervator|elevon|flaperon|taileron)\b")


# "not UP, it goes DOWN" says DOWN
_NOT_SO = re.compile(r"(?i)\b(?:not|no|never|nothing|instead of|should be|should go) (?:goes |go |going )?"
                     r"(?:up|down|left|right)(?:wards?)?\b")  # fmt: skip
_RISES_AND_FALLS: Mapping[str, Direction] = {
    **dict.fromkeys(("upward", "upwards", "rises", "raised", "raises", "lifts"), Direction.UP),
    **dict.fromkeys(("downward", "downwards", "lowers", "drops", "falls", "sinks", "lowered"), Direction.DOWN),
}


# names of what moves a light aeroplane, and of what only covers it or hangs on it; common practice, no source
_CONTROL = re.compile(
    r"(?i)\b(?:aileron|elevator|rudder|stabilator|flap|flaperon|ruddervator|elevon|trim tab|bell ?crank|torque tube"
    r"|control (?:cable|rod|column|wheel|stick|yoke))s?\b"
)
_BESIDE_IT = re.compile(
    r"(?i)\b(?:cover|fairing|panel|plate|seal|tip|door|boot|placard|light|lamp|wire|strap|static wick|antenna|cowl flap"
    r"|gust lock|throttle|mixture|carburett?or|brake|gear|engine)s?\b"
)


def of_a_control(position: Position) -> bool:
    """Return whether a position is part of a flight control, by its name; an inference, to be asked and no more.

    >>> [of_a_control(Position(name, Side.LEFT)) for name in ("aileron bellcrank", "elevator tip fairing", "flap")]
    [True, False, True]
    """
    return bool(_CONTROL.search(position.name)) and not _BESIDE_IT.search(position.name)


def directions(text: str) -> tuple[Direction, ...]:
    """Return the direction words of an entry, in order."""
    words = re.split(r"[^A-Za-z]+", _NOT_SO.sub(" ", text))
    found = (_RISES_AND_FALLS.get(word.casefold()) or direction_or_none(word) for word in words)
    return tuple(way for way in found if way is not None)


def moves(text: str) -> bool:
    """Return whether an entry speaks of something that moves, and not of a thing that no command reaches."""
    return bool(directions(text)) or re.match(r"(?i)\s*(?:not|no|none|nothing)\b", text) is None


def expected(position: Position, command: str) -> Direction | None:
    """Return which way the trailing edge moves for a command, or None where only the maker's data say so."""
    name, said = position.name.casefold(), command.casefold()
    if _UNKNOWN.search(name):
        return None
    if "elevator" in name:
        return _either(said, (_BACK, Direction.UP), (_FORWARD, Direction.DOWN))
    if "aileron" in name and position.side is not Side.CENTRE:
        rises = _LEFT if position.side is Side.LEFT else _RIGHT
        falls = _RIGHT if position.side is Side.LEFT else _LEFT
        return _either(said, (rises, Direction.UP), (falls, Direction.DOWN))
    if "rudder" in name:
        return _either(said, (_LEFT, Direction.LEFT), (_RIGHT, Direction.RIGHT))
    if "flap" in name:
        return _either(said, (_DOWN, Direction.DOWN), (_UP, Direction.UP))
    return None


def _either(said: str, one: tuple[re.Pattern[str], Direction], other: tuple[re.Pattern[str], Direction]) \
        -> Direction | None:
    first, second = bool(one[0].search(said)), bool(other[0].search(said))
    if first == second:
        return None
    return one[1] if first else other[1]


def reversed_sense(position: Position, command: str, moved: str) -> Direction | None:
    """Return the way it should have moved where what was seen is against it; None where it is right or unknown."""
    wanted = expected(position, command)
    # of "left pedal in, rudder goes RIGHT", the pedal is the command once more
    seen = directions(_PEDAL.sub(" ", moved))
    if wanted is None or not seen or wanted in seen:
        return None
    return wanted

"""Sides, directions, and the 24 ways in which a box-like part can sit.

Axes, right-handed: x points forward, y to the left wing tip, z up. Left and right are as seen from
the pilot's seat. INBD and OUTBD depend on the side and do not exist on the centre line.

>>> vector(Direction.OUTBD, Side.LEFT), vector(Direction.OUTBD, Side.RIGHT)
((0, 1, 0), (0, -1, 0))
>>> in_words(least_turn(turns({"mark": (0, 0, -1), "arrow": (1, 0, 0)}, {"mark": (0, 0, 1), "arrow": (1, 0, 0)})))
'turn it half round the fore-and-aft axis'
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from enum import Enum, unique
from functools import lru_cache
from itertools import permutations, product

from tagtrack.core.errors import Refusal
from tagtrack.core.spelling import same

Vector = tuple[int, int, int]
Rotation = tuple[Vector, Vector, Vector]

IDENTITY: Rotation = ((1, 0, 0), (0, 1, 0), (0, 0, 1))


@unique
class Side(Enum):
    """Which side of the aircraft, as seen from the pilot's seat."""

    LEFT = "LEFT"
    RIGHT = "RIGHT"
    # on the centre line, or the only one of its kind
    CENTRE = "CENTRE"

    @property
    def letter(self) -> str:
        """One letter for the largest print: L, R or C."""
        return self.value[0]

    @property
    def opposite(self) -> Side:
        """The mirrored side; the centre mirrors into itself."""
        return _MIRRORED[self]


_MIRRORED: Mapping[Side, Side] = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT, Side.CENTRE: Side.CENTRE}

_SIDE_WORDS: Mapping[str, Side] = {
    "L": Side.LEFT, "LH": Side.LEFT, "LEFT": Side.LEFT, "PORT": Side.LEFT,
    "R": Side.RIGHT, "RH": Side.RIGHT, "RIGHT": Side.RIGHT, "STARBOARD": Side.RIGHT,
    "C": Side.CENTRE, "CENTRE": Side.CENTRE, "CENTER": Side.CENTRE, "CTR": Side.CENTRE,
}  # fmt: skip


def side_or_none(word: str) -> Side | None:
    """Return the side that the word names, or None where it names none."""
    return _SIDE_WORDS.get(word.strip(" ,.").upper())


def area_name(text: str) -> str:
    """Return an area's name with the side at its end in full, so that `tail R` is no other area than `tail RIGHT`.

    `left tail` is said as often. `C` stays: it is as often the third of a row of bays.

    >>> area_name("tail R"), area_name("left tail"), area_name("bay C")
    ('tail RIGHT', 'tail LEFT', 'bay C')
    """
    words = text.split()
    if len(words) > 1 and words[0].casefold() in {"left", "right", "lh", "rh"} and side_or_none(words[-1]) is None:
        words = [*words[1:], words[0]]
    found = side_or_none(words[-1]) if len(words) > 1 and words[-1].upper() != "C" else None
    return " ".join([*words[:-1], found.value]) if found is not None else text


@lru_cache(4096)
def area_words(text: str) -> frozenset[str]:
    """Return the words by which two spellings of an area are the same, or one of them lies in the other.

    >>> area_words("left tail") == area_words("tail LH"), area_words("tail") < area_words("tail LEFT")
    (True, True)
    """
    words = same(text).split()
    found = (side_or_none(word) if len(words) > 1 and word != "c" and at in (0, len(words) - 1) else None
             for at, word in enumerate(words))  # fmt: skip
    return frozenset(side_.value.casefold() if side_ else word for side_, word in zip(found, words, strict=True))


def area_among(wanted: str, known: Iterable[str]) -> str:
    """Return the known area that is meant, as it is spelled there, or an empty text. Exactly so comes first."""
    areas = tuple(known)
    exact = (area for area in areas if same(area) == same(wanted))
    return next(exact, "") or next((area for area in areas if area_words(area) == area_words(wanted)), "")


def areas_meet(one: str, other: str) -> bool:
    """Return whether two areas are the same, or one of them lies in the other; no area at all holds every one."""
    mine, its = area_words(one), area_words(other)
    return mine <= its or its <= mine


def side(word: str) -> Side:
    """Return the side that the word names; refuse any other word."""
    found = side_or_none(word)
    if found is None:
        raise Refusal(
            f"'{word}' is no side",
            expected="LEFT, RIGHT or CENTRE (L, R, C), as seen from the pilot's seat",
            came=word or "nothing",
            todo="end the position with its side, for example: elevator fairing LEFT",
        )
    return found


@unique
class Direction(Enum):
    """The way something points."""

    UP = "UP"
    DOWN = "DOWN"
    FWD = "FWD"
    AFT = "AFT"
    INBD = "INBD"
    OUTBD = "OUTBD"
    # the centre line has no inboard and outboard, so it uses the wing names
    LEFT = "LEFT"
    RIGHT = "RIGHT"

    @property
    def opposite(self) -> Direction:
        """The way that points straight back."""
        return _OPPOSITE[self]

    @property
    def across(self) -> Direction:
        """The same way on the other side of the aircraft: LEFT and RIGHT change places, the others are named alike."""
        return _OPPOSITE[self] if self in (Direction.LEFT, Direction.RIGHT) else self


_OPPOSITE: Mapping[Direction, Direction] = {
    Direction.UP: Direction.DOWN, Direction.DOWN: Direction.UP,
    Direction.FWD: Direction.AFT, Direction.AFT: Direction.FWD,
    Direction.INBD: Direction.OUTBD, Direction.OUTBD: Direction.INBD,
    Direction.LEFT: Direction.RIGHT, Direction.RIGHT: Direction.LEFT,
}  # fmt: skip

_DIRECTION_WORDS: Mapping[str, Direction] = {
    "UP": Direction.UP, "UPPER": Direction.UP, "UPR": Direction.UP, "TOP": Direction.UP,
    "DOWN": Direction.DOWN, "DN": Direction.DOWN, "LOWER": Direction.DOWN, "LWR": Direction.DOWN,
    "BOTTOM": Direction.DOWN,
    "FWD": Direction.FWD, "FORWARD": Direction.FWD, "FORE": Direction.FWD, "AFT": Direction.AFT,
    "INBD": Direction.INBD, "INB": Direction.INBD, "INBOARD": Direction.INBD,
    "OUTBD": Direction.OUTBD, "OUTB": Direction.OUTBD, "OUTBOARD": Direction.OUTBD,
    "LEFT": Direction.LEFT, "LH": Direction.LEFT, "RIGHT": Direction.RIGHT, "RH": Direction.RIGHT,
}  # fmt: skip


def direction_or_none(word: str) -> Direction | None:
    """Return the direction that the word names, or None where it names none."""
    return _DIRECTION_WORDS.get(word.strip(" ,.").upper())


def direction(word: str) -> Direction:
    """Return the direction that the word names; refuse any other word."""
    found = direction_or_none(word)
    if found is None:
        raise Refusal(
            f"'{word}' is no direction",
            expected="UP, DOWN, FWD, AFT, INBD or OUTBD (on the centre line LEFT or RIGHT)",
            came=word or "nothing",
            todo="say it as in: mark UP, arrow FWD",
        )
    return found


_FIXED: Mapping[Direction, Vector] = {
    Direction.FWD: (1, 0, 0), Direction.AFT: (-1, 0, 0),
    Direction.LEFT: (0, 1, 0), Direction.RIGHT: (0, -1, 0),
    Direction.UP: (0, 0, 1), Direction.DOWN: (0, 0, -1),
}  # fmt: skip


def vector(way: Direction, on: Side) -> Vector:
    """Return the unit vector of a direction as it is on that side; refuse INBD and OUTBD on the centre line."""
    if way in _FIXED:
        return _FIXED[way]
    if on is Side.CENTRE:
        raise Refusal(
            f"{way.value} does not exist on the centre line",
            expected="UP, DOWN, FWD, AFT, LEFT or RIGHT",
            came=way.value,
            todo="use LEFT or RIGHT, or name the side that the part is on",
        )
    outboard = 1 if on is Side.LEFT else -1
    return (0, outboard if way is Direction.OUTBD else -outboard, 0)


def by_the_wing(way: Direction, on: Side) -> Direction:
    """Return LEFT and RIGHT off the centre line as the INBD or OUTBD that they are there; other ways as they are."""
    if on is Side.CENTRE or way not in (Direction.LEFT, Direction.RIGHT):
        return way
    return Direction.OUTBD if way.value == on.value else Direction.INBD


def dot(a: Vector, b: Vector) -> int:
    """Return the scalar product: 1 same way, -1 opposite, 0 at right angles, for unit vectors."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def turned(turn: Rotation, v: Vector) -> Vector:
    """Return the vector after the turn."""
    return (dot(turn[0], v), dot(turn[1], v), dot(turn[2], v))


def mirrored(v: Vector) -> Vector:
    """Return the vector as the aircraft's plane of symmetry shows it: left becomes right."""
    return (v[0], -v[1], v[2])


def _determinant(m: Rotation) -> int:
    (a, b, c), (d, e, f), (g, h, i) = m
    return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)


def _all_rotations() -> tuple[Rotation, ...]:
    units: Sequence[Vector] = ((1, 0, 0), (0, 1, 0), (0, 0, 1))
    found: list[Rotation] = []
    for order in permutations(units):
        for signs in product((1, -1), repeat=3):
            rows: Rotation = (
                (signs[0] * order[0][0], signs[0] * order[0][1], signs[0] * order[0][2]),
                (signs[1] * order[1][0], signs[1] * order[1][1], signs[1] * order[1][2]),
                (signs[2] * order[2][0], signs[2] * order[2][1], signs[2] * order[2][2]),
            )
            if _determinant(rows) == 1:
                found.append(rows)
    return tuple(found)


ROTATIONS: tuple[Rotation, ...] = _all_rotations()


def turns(seen: Mapping[str, Vector], wanted: Mapping[str, Vector]) -> tuple[Rotation, ...]:
    """Return every turn of the cube that brings all that was seen to where it is wanted.

    Only names that stand in both count. Nothing in common leaves all 24 open; an empty answer means
    that no turn can do it: the part is the opposite hand, or a mark was misread.
    """
    shared = seen.keys() & wanted.keys()
    return tuple(r for r in ROTATIONS if all(turned(r, seen[name]) == wanted[name] for name in shared))


def _angle(turn: Rotation) -> int:
    """Return the angle of a turn in quarter-turn units, by its trace; a third of a turn counts between."""
    trace = turn[0][0] + turn[1][1] + turn[2][2]
    return {3: 0, 1: 1, 0: 2, -1: 3}[trace]


def least_turn(candidates: Sequence[Rotation]) -> Rotation:
    """Return the smallest of the turns, preferring those round one main axis. The sequence must not be empty."""
    return min(candidates, key=lambda r: (_angle(r) if _main_axis(r) is not None else 4, r))


_AXIS_WORDS = ("fore-and-aft", "in-and-outboard", "up-and-down")
# for a quarter turn round each axis: the direction that leads, and where it goes when the turn is positive
_QUARTER_WORDS = (("top", "right", "left"), ("nose end", "down", "up"), ("nose end", "to the left", "to the right"))


def _main_axis(turn: Rotation) -> int | None:
    for axis in range(3):
        if turn[axis][axis] == 1:
            return axis
    return None


def in_words(turn: Rotation) -> str:
    """Say a turn as a mechanic would do it. No turn at all gives an empty text."""
    if turn == IDENTITY:
        return ""
    axis = _main_axis(turn)
    if axis is not None:
        if _angle(turn) == 3:
            return f"turn it half round the {_AXIS_WORDS[axis]} axis"
        leading, positive, negative = _QUARTER_WORDS[axis]
        lead: Vector = (0, 0, 1) if axis == 0 else (1, 0, 0)
        goes = turned(turn, lead)
        positive_goes: Vector = ((0, -1, 0), (0, 0, -1), (0, 1, 0))[axis]
        way = positive if goes == positive_goes else negative
        return f"turn it a quarter round the {_AXIS_WORDS[axis]} axis, {leading} {way}"
    # every other turn of the cube is two turns round main axes
    for first in ROTATIONS:
        if first == IDENTITY or _main_axis(first) is None:
            continue
        for second in ROTATIONS:
            if second != IDENTITY and _main_axis(second) is not None and _product(second, first) == turn:
                return f"{in_words(first)}, then {in_words(second)}"
    raise AssertionError("the turns round main axes generate the whole group")


def _product(second: Rotation, first: Rotation) -> Rotation:
    columns = tuple(turned(second, (first[0][i], first[1][i], first[2][i])) for i in range(3))
    return (
        (columns[0][0], columns[1][0], columns[2][0]),
        (columns[0][1], columns[1][1], columns[2][1]),
        (columns[0][2], columns[1][2], columns[2][2]),
    )

"""Whether the marks of a left/right pair tell the two parts apart, and what the wrong one would look like.

A part bolts on by one face. On the other side that face must meet the mirrored mounting, which leaves four turns (eight
where it goes on either way round, all 24 where nothing is known). The marks are enough when every such turn shows: that
is so exactly when the mounting direction and the marks together name all three axes. A mark along the mounting
direction adds nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from tagtrack.core import axes
from tagtrack.core.axes import ROTATIONS, Direction, Rotation, Side, Vector
from tagtrack.core.marks import ARROW, MARK, Mark, Marks

# fore-and-aft, in-and-outboard, up-and-down: in this order everywhere
_WAYS = ("FWD or AFT", "INBD or OUTBD", "UP or DOWN")


@dataclass(frozen=True, slots=True)
class Mounting:
    """The way the face points by which a part bolts on; None: not known. `either`: it goes on either way round."""

    way: Direction | None = None
    either: bool = False


def turns_across(mounting: Mounting, side: Side) -> tuple[Rotation, ...]:
    """Return every turn by which the part of this side could be bolted on at the other side."""
    if mounting.way is None:
        return ROTATIONS
    here, there = axes.vector(mounting.way, side), axes.vector(mounting.way, side.opposite)
    flipped = (-there[0], -there[1], -there[2])
    ends = (there, flipped) if mounting.either else (there,)
    return tuple(turn for turn in ROTATIONS if axes.turned(turn, here) in ends)


def lacking(marks: Marks, mounting: Mounting, side: Side) -> tuple[int, ...]:
    """Return the axes along which a mark is missing, so that the other side's part could pass unseen; none: enough."""
    named = {_axis(vector) for vector in marks.vectors(side).values()}
    if mounting.way is not None and not mounting.either:
        named.add(_axis(axes.vector(mounting.way, side)))
    return tuple(axis for axis in range(3) if axis not in named)


def told_lacking(missing: tuple[int, ...]) -> str:
    """Say which marks to add, in shop words."""
    return " and ".join(f"one that points {_WAYS[axis]}" for axis in missing)


def passes_unseen(
    recorded: Marks, other: Marks, mounting: Mounting, side: Side
) -> tuple[Rotation, ...]:
    """Return the turns by which the other side's part would show, at this side, just what is recorded here.

    `recorded` are the marks of this side's part, `other` those of the other side's, each as it sits at home. Only marks
    of one name count; where the names differ nothing can be compared, and every turn passes.
    """
    wanted, theirs = recorded.vectors(side), other.vectors(side.opposite)
    shared = wanted.keys() & theirs.keys()
    return tuple(
        turn for turn in turns_across(mounting, side.opposite)
        if all(axes.turned(turn, theirs[name]) == wanted[name] for name in shared)
    )  # fmt: skip


def tells_apart(recorded: Marks, other: Marks, mounting: Mounting, side: Side) -> bool:
    """Return whether the marks that both parts bear tell them apart, however the other one is bolted on here."""
    shared = {mark.feature for mark in recorded.each} & {mark.feature for mark in other.each}
    both = Marks(tuple(mark for mark in recorded.each if mark.feature in shared))
    return not lacking(both, mounting, side) and not passes_unseen(both, other, mounting, side)


def to_add(recorded: Marks, other: Marks, mounting: Mounting, side: Side) -> tuple[Marks, Marks]:
    """Return the fewest marks that each part still needs so that the two are told apart, this side's first.

    What one bears and the other does not is added to the other, mirrored; then marks that no part bears yet, each
    pointing the same way by the wing on both.
    """
    every, others = recorded.beside(other.across), other.beside(recorded.across)
    if any(_on_no_part(marks) for marks in (every, others)):
        # what the one bears cannot be put on the other beside its own
        every, others = recorded, other
    taken = frozenset(mark.feature for mark in (*recorded.each, *other.each))
    for count in range(len(_BY_THE_WING) + 1):
        for chosen in combinations(_BY_THE_WING, count):
            mine, its = _with(every, chosen, taken), _with(others, chosen, taken)
            if tells_apart(mine, its, mounting, side):
                return _without(mine, recorded), _without(its, other)
    raise AssertionError("marks along all three ways tell any two parts apart")


# the fewest are tried in this order; in and out is what turns about from side to side
_BY_THE_WING = (Direction.INBD, Direction.FWD, Direction.UP)


def _on_no_part(marks: Marks) -> bool:
    """Return whether an arrow would have to stand up on the marked face."""
    known = {mark.feature: mark.way for mark in marks.each}
    return known.keys() >= {MARK, ARROW} and _along(known[MARK]) == _along(known[ARROW])


def _with(marks: Marks, ways: Sequence[Direction], taken: frozenset[str]) -> Marks:
    """Return the marks with one more for each way, under names that neither part bears yet."""
    each = list(marks.each)
    for way in sorted(ways, key=(Direction.UP, Direction.FWD, Direction.INBD).index):
        known = {mark.feature: mark.way for mark in each}
        names = ["dot", "line", "cross", *(f"dot {n}" for n in range(2, len(taken) + 5))]
        # an arrow is drawn on the marked face, along it; an arrow alone was drawn on a face that nobody named
        if not {MARK, ARROW} & (known.keys() | taken):
            names.insert(0, MARK)
        elif MARK in known and _along(known[MARK]) != _along(way):
            names.insert(0, ARROW)
        each.append(Mark(next(name for name in names if name not in known and name not in taken), way))
    return Marks(tuple(each))


def _along(way: Direction) -> int:
    # which axis it is, is the same on either side
    return _axis(axes.vector(way, Side.LEFT))


def _without(marks: Marks, known: Marks) -> Marks:
    features = {mark.feature for mark in known.each}
    return Marks(tuple(mark for mark in marks.each if mark.feature not in features))


def tell_tale(recorded: Marks, other: Marks, mounting: Mounting, side: Side) -> str:
    """Return by what the other side's part shows at this side: 'with the mark UP, it would point: arrow AFT'.

    Of all ways in which it could be bolted on, those that look most like the right part are told. Empty where some way
    shows nothing at all, or where nothing can be compared.
    """
    wanted, theirs = recorded.vectors(side), other.vectors(side.opposite)
    shared = [mark.feature for mark in recorded.each if mark.feature in theirs]
    if not shared:
        return ""
    shown = [{name: axes.turned(turn, theirs[name]) for name in shared}
             for turn in turns_across(mounting, side.opposite)]  # fmt: skip
    most = max(sum(each[name] == wanted[name] for name in shared) for each in shown)
    if most == len(shared):
        return ""
    closest = [each for each in shown if sum(each[name] == wanted[name] for name in shared) == most]
    # by the same mark as far as can be, so that one condition serves: the first mark that may be right
    first = next((name for name in shared if any(each[name] == wanted[name] for each in closest)), "")
    ways = [each for each in closest if not first or each[first] == wanted[first]]
    wrong: dict[str, dict[str, None]] = {}
    for each in ways:
        for name in shared:
            if each[name] != wanted[name]:
                wrong.setdefault(name, {})[_word(each[name], side)] = None
    told = ", ".join(f"{name} {' or '.join(words)}" for name, words in wrong.items())
    right = f"with the {first} {_word(wanted[first], side)}, " if first else ""
    return f"{right}the other side's part would show {told}"


def _axis(vector: Vector) -> int:
    return next(axis for axis in range(3) if vector[axis])


def _word(vector: Vector, side: Side) -> str:
    for way, name in _NAMES[side].items():
        if way == vector:
            return name
    raise AssertionError("every turn of the cube brings a main direction to a main direction")


_CENTRE_ONLY = (Direction.LEFT, Direction.RIGHT)
_SIDES_ONLY = (Direction.INBD, Direction.OUTBD)
_NAMES: Mapping[Side, Mapping[Vector, str]] = {
    on: {
        axes.vector(way, on): way.value
        for way in Direction
        if way not in (_CENTRE_ONLY if on is not Side.CENTRE else _SIDES_ONLY)
    }
    for on in Side
}

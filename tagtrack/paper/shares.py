"""How wide the columns of a table are: narrow ones as wide as they need, the rest shared out by weight."""

from __future__ import annotations

from collections.abc import Sequence


def shares(needs: Sequence[float], weights: Sequence[float], room: float) -> tuple[float, ...]:
    """Return a width per column that together take no more than the room, in whatever unit `needs` and `room` are.

    A column that needs less than its share by weight gives the rest to the others.

    >>> shares((4, 50, 10), (1, 1, 1), 100)
    (4, 50, 10)
    >>> shares((4, 500, 10), (1, 1, 1), 100)
    (4, 86.0, 10)
    """
    if sum(needs) <= room:
        return tuple(needs)
    settled: dict[int, float] = {}
    while True:
        left = room - sum(settled.values())
        weight = sum(weights[i] for i in range(len(needs)) if i not in settled)
        small = {
            i: needs[i] for i in range(len(needs)) if i not in settled and needs[i] <= left * weights[i] / weight
        }
        if not small:
            break
        settled.update(small)
    return tuple(settled.get(i, left * weights[i] / weight) for i in range(len(needs)))


def weights_of(widths: Sequence[int], columns: int) -> tuple[float, ...]:
    """Return a table's relative widths as weights above zero, equal where it names none or not one per column."""
    if len(widths) != columns:
        return (1.0,) * columns
    return tuple(float(max(1, width)) for width in widths)

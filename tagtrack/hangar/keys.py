"""Which presses a record holds, by their keys: asked at every press, however long the record is."""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core.events import Act


class Recorded:
    """The acts of one work order by the keys of the presses that they came of; read on as the record grows."""

    def __init__(self) -> None:
        self._of: dict[str, list[Act]] = {}
        self._count = 0
        self._last: Act | None = None

    def of(self, acts: Sequence[Act], key: str) -> Sequence[Act]:
        """Return the acts that a press with this key came to; `acts` are those of the work order, as they are now."""
        if len(acts) < self._count or (self._count and acts[self._count - 1] is not self._last):
            # another record was put in its place
            self._of, self._count = {}, 0
        for act in acts[self._count :]:
            self._of.setdefault(key_of(act), []).append(act)
        self._count = len(acts)
        self._last = acts[-1] if acts else None
        return self._of.get(key, ())


def key_of(act: Act) -> str:
    """Return the key of the press that an act came of: the first of its acts bears it, further ones a number more."""
    return act.id.split("-", 1)[0]

"""Who signed out on which device, and what that device said was waiting then; kept beside the PINs over a restart.

A cookie that was copied before a sign-out says nothing of it, so the server has to remember. A page with scripts says
at the sign-out which presses of that person still wait in its browser, by their keys: those are taken later, and
nothing else is, whatever is said of when it was pressed.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from math import isfinite
from pathlib import Path
from secrets import token_hex
from threading import Lock

from tagtrack.core.errors import Fault, Full
from tagtrack.hangar.presses import KEY
from tagtrack.paper.whole_file import write_atomically

# more presses than any browser keeps
_MOST_KEYS = 500


@dataclass(frozen=True, slots=True)
class _Gone:
    when: float
    keys: frozenset[str]


class Leaving:
    """The sign-outs of the last `kept` seconds. Safe to share between threads.

    Where the file is damaged nobody can say who went: `era` is another one then, and no earlier sign-in is of it.
    """

    def __init__(self, file: Path, kept: float) -> None:
        self._file = file
        self._kept = kept
        self._lock = Lock()
        # by chance and not by the clock, which somebody may set back
        self.era = ""
        self._gone: Mapping[tuple[str, str], _Gone] = {}
        try:
            self.era, self._gone = _read(file)
        except FileNotFoundError:
            pass
        except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
            self.era = token_hex(8)
            # so that a further restart ends no further sign-ins; where that fails, it does
            with suppress(Full):
                self._write()

    def note(self, device: str, initials: str, now: float, waiting: Iterable[str]) -> None:
        """Remember a sign-out, with the keys of that person's presses that wait on the device.

        A Fault where it cannot be written: it holds, and would be forgotten by a restart.
        """
        keys = [key for key in waiting if KEY.fullmatch(key)][:_MOST_KEYS]
        with self._lock:
            recent = {who: gone for who, gone in self._gone.items() if gone.when > now - self._kept}
            self._gone = {**recent, (device, initials): _Gone(now, frozenset(keys))}
            try:
                self._write()
            except Full as problem:
                raise Fault(
                    f"{initials} is signed out, but that could not be written down",
                    expected="a disk of the shop's computer with room, that may be written to", came="none",
                    todo="tell whoever looks after it: a restart would forget the sign-out",
                ) from problem  # fmt: skip

    def holds(self, device: str, initials: str, begun: float) -> bool:
        """Return whether a sign-in that began then (seconds since 1970) was not ended by a sign-out."""
        gone = self._gone.get((device, initials))
        return gone is None or begun > gone.when

    def lets(self, device: str, initials: str, begun: float, key: str) -> bool:
        """Return whether a press of that key goes under such a sign-in: it holds, or the press waited when it ended."""
        gone = self._gone.get((device, initials))
        return self.holds(device, initials, begun) or (gone is not None and key in gone.keys)

    def _write(self) -> None:
        told = [[device, who, gone.when, sorted(gone.keys)] for (device, who), gone in self._gone.items()]
        write_atomically(self._file, json.dumps({"era": self.era, "gone": told}).encode(), mode=0o600)


def _read(file: Path) -> tuple[str, dict[tuple[str, str], _Gone]]:
    known = json.loads(file.read_text(encoding="utf-8"))
    gone = {(str(device), str(who)): _Gone(_time(when), frozenset(map(str, keys)))
            for device, who, when, keys in known["gone"]}  # fmt: skip
    return str(known["era"]), gone


def _time(said: float) -> float:
    # a time that is none would let everybody in, or nobody ever
    if isinstance(said, bool) or not isinstance(said, int | float) or not isfinite(said):
        raise ValueError(said)
    return float(said)

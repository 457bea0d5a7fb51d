"""PINs of the people who work here: kept as scrypt hashes in a file of the shop's owner alone, never in the record.

Guessing is limited by name: five wrong ones are free, then each further one costs a wait that doubles. A count by
address would lock out everybody at one tablet for the slip of one. A device on which somebody has signed in before has
a count of its own for that name, so that guesses from elsewhere keep nobody from work. What is counted is forgotten
when the server ends: whoever can start it again stands at the shop's own computer, and can set a PIN there anyway.
"""

from __future__ import annotations

import hmac
import json
import os
import secrets
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from hashlib import scrypt, sha256
from itertools import pairwise
from pathlib import Path
from threading import Lock
from typing import Any

from tagtrack.core.errors import Fault, Refusal
from tagtrack.paper.whole_file import write_atomically

# RFC 7914: 32 MiB and about a tenth of a second for each guess
_N, _R, _P = 2**15, 8, 1
_MEMORY = 64 * 2**20
LEAST_DIGITS = 6
_MOST_DIGITS = 64
FREE_TRIES = 5
_FIRST_WAIT, _LONGEST_WAIT = 30.0, 900.0
_KEY_BYTES = 32


class WrongPin(Refusal):
    """The PIN is not the one that was set."""


class Locked(Refusal):
    """Too many wrong PINs for this name; nothing is looked at before so many seconds have gone."""

    def __init__(self, initials: str, seconds: float) -> None:
        self.seconds = max(1, round(seconds))
        super().__init__(
            f"too many wrong PINs for {initials}",
            expected=f"a wait of {self.seconds} seconds",
            came="another try",
            todo="wait; or have a new PIN set at the shop's computer: tagtrack pin INITIALS",
        )


@dataclass(slots=True)
class _Tries:
    wrong: int = 0
    # by the clock: not looked at before
    until: float = 0.0


class Pins:
    """The file of PINs, and the key that signs sign-ins. Safe to share between threads."""

    def __init__(self, file: Path, clock: Callable[[], float] = time.monotonic) -> None:
        self._file = file
        self._clock = clock
        self._lock = Lock()
        # one hash at a time: each takes 32 MiB, and a flood of guesses must not take them all
        self._hashing = Lock()
        self._tries: dict[tuple[str, str], _Tries] = {}
        # what the tries of a name were counted against: a PIN set anew begins at none
        self._counted: dict[str, str] = {}
        # the PINs as they were last read, and of which file
        self._seen: tuple[tuple[int, int, int], Mapping[str, dict[str, str]]] | None = None

    def has(self, initials: str) -> bool:
        """Return whether somebody of these initials has a PIN."""
        return initials in self._known()

    def set(self, initials: str, pin: str) -> None:
        """Give somebody a PIN, or a new one; refuse one that is too short or the first that anybody would try."""
        if not pin.isascii() or not pin.isdigit() or not LEAST_DIGITS <= len(pin) <= _MOST_DIGITS:
            raise Refusal(f"a PIN has at least {LEAST_DIGITS} digits", expected=f"{LEAST_DIGITS} figures or more",
                          came=f"{len(pin)} characters", todo="choose a longer number")  # fmt: skip
        steps = {(int(b) - int(a)) % 10 for a, b in pairwise(pin)}
        if len(set(pin)) < 3 or (len(steps) == 1 and steps <= {1, 9}):
            raise Refusal("that PIN would be guessed first", expected="at least three different figures, not in a row",
                          came="one that counts up, counts down or repeats", todo="choose another number")  # fmt: skip
        salt = secrets.token_bytes(16)
        with self._lock:
            known = self._read()
            known["pins"][initials] = {"salt": salt.hex(), "hash": _hash(pin, salt).hex()}
            self._write(known)

    def forget(self, initials: str) -> None:
        """Take somebody's PIN away: a sign-in that rests on it ends, and there is no new one."""
        with self._lock:
            known = self._read()
            if known["pins"].pop(initials, None) is not None:
                self._write(known)

    def check(self, initials: str, pin: str, device: str = "") -> None:
        """Return if this is the PIN; raise WrongPin with the tries that are left, or Locked with the wait.

        `device`: one on which this person signed in before, with a count of its own; empty for all others together.
        Somebody without a PIN is told so: the sign-in screen names everybody anyway.
        """
        entry = self._known().get(initials)
        if entry is None:
            raise Refusal(
                f"{initials} has no PIN yet", expected="a PIN that was set at the shop's computer", came="none",
                todo=f"set it there: tagtrack pin {initials}",
            )  # fmt: skip
        tries = self._begun(initials, device, _stamp(entry))
        with self._hashing:
            found = _hash(pin[:_MOST_DIGITS], bytes.fromhex(entry["salt"]))
        if hmac.compare_digest(found, bytes.fromhex(entry["hash"])):
            with self._lock:
                self._tries.pop((initials, device), None)
            return
        left = FREE_TRIES - tries.wrong
        raise WrongPin(
            f"that is not the PIN of {initials}",
            expected="the PIN that was set at the shop's computer",
            came="another",
            todo=f"try again; {left} more before a wait" if left > 0 else "the next try has to wait",
        )

    def _begun(self, initials: str, device: str, stamp: str) -> _Tries:
        """Count a try as wrong before it is looked at, so that many at once are no way round the limit."""
        with self._lock:
            now = self._clock()
            if self._counted.get(initials) != stamp:
                self._tries = {key: tries for key, tries in self._tries.items() if key[0] != initials}
                self._counted[initials] = stamp
            tries = self._tries.setdefault((initials, device), _Tries())
            if now < tries.until:
                raise Locked(initials, tries.until - now)
            tries.wrong += 1
            if tries.wrong >= FREE_TRIES:
                # bounded: a day of guesses must not make a number too large to count with
                doubled = _FIRST_WAIT * 2 ** min(tries.wrong - FREE_TRIES, 10)
                tries.until = now + min(doubled, _LONGEST_WAIT)
            return tries

    def stamp(self, initials: str) -> str:
        """Return what a sign-in carries: it is another one as soon as the PIN is set anew or taken away."""
        return _stamp(self._known().get(initials))

    def key(self) -> bytes:
        """Return the key that signs sign-ins; made once, and kept beside the PINs."""
        with self._lock:
            known = self._read()
            if not known["key"]:
                known["key"] = secrets.token_hex(_KEY_BYTES)
                self._write(known)
            return bytes.fromhex(known["key"])

    def _known(self) -> Mapping[str, dict[str, str]]:
        """Return the PINs, to be looked at: every request asks, and the file changes once in a while."""
        try:
            status = self._file.stat()
        except OSError:
            # not there, or not to be had: told where it is read
            self._seen = None
            return self._read_pins()
        now = (status.st_ino, status.st_size, status.st_mtime_ns)
        seen = self._seen
        if seen is None or seen[0] != now:
            seen = self._seen = (now, self._read_pins())
        return seen[1]

    def _read_pins(self) -> Mapping[str, dict[str, str]]:
        pins: dict[str, dict[str, str]] = self._read()["pins"]
        return pins

    def _read(self) -> dict[str, Any]:
        try:
            known = json.loads(self._file.read_text(encoding="utf-8"))
            pins = known["pins"]
            for entry in pins.values():
                bytes.fromhex(entry["salt"] + entry["hash"])
            bytes.fromhex(known["key"])
        except FileNotFoundError:
            return {"key": "", "pins": {}}
        except OSError as problem:
            raise Fault(
                f"{self._file} cannot be read", expected="a file of the shop's owner",
                came=problem.strerror or str(problem), todo="look at the rights of that file",
            ) from problem  # fmt: skip
        except (ValueError, KeyError, TypeError, AttributeError) as problem:
            raise Fault(
                f"{self._file} is damaged", expected="the PINs, as the program wrote them",
                came=f"{type(problem).__name__}", todo="delete it, and set the PINs again: tagtrack pin INITIALS",
            ) from problem  # fmt: skip
        return {"key": known["key"], "pins": pins}

    def _write(self, known: dict[str, Any]) -> None:
        write_atomically(self._file, json.dumps(known, indent=1).encode(), mode=0o600)


def readable_by_others(file: Path) -> bool:
    """Return whether others than its owner may read a file, as far as the system tells."""
    return os.name == "posix" and file.exists() and bool(file.stat().st_mode & 0o077)


def _hash(pin: str, salt: bytes) -> bytes:
    return scrypt(pin.encode(), salt=salt, n=_N, r=_R, p=_P, maxmem=_MEMORY)


def _stamp(entry: dict[str, str] | None) -> str:
    return sha256(entry["hash"].encode()).hexdigest()[:16] if entry else ""

"""Who is here: sign-ins on a device, kept in its signed cookie, and the token that a press carries.

A device is a browser. Several people can be signed in on one; one of them is at work. A token says that somebody
signed in on this device and until when; a press that waited in a queue is credited to the person of its token, whoever
is at work when it arrives.
"""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Iterable, MutableMapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from itsdangerous import BadSignature, URLSafeSerializer

from tagtrack.core.errors import Refusal
from tagtrack.hangar.floor import Floor
from tagtrack.hangar.leaving import Leaving

# hours of a shift, and hours that a press may wait for the network
SHIFT, PATIENCE = 12 * 3600.0, 48 * 3600.0
# a press that was made at the very end may be a little late
_LENIENT = 60.0
Cookie = MutableMapping[str, Any]


class SignInNeeded(Refusal):
    """Nobody of that name is signed in here; the press is to be kept until somebody is."""

    def __init__(self, initials: str) -> None:
        self.initials = initials
        super().__init__(
            f"{initials or 'nobody'} is not signed in on this device" if initials else "nobody is signed in here",
            expected="a sign-in with the PIN, good for a shift", came="none, or one that has ended",
            todo="sign in; what waits is kept and sent then",
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Here:
    """The people signed in on a device, and who of them is at work."""

    device: str
    at_work: str
    people: tuple[str, ...]


class People:
    """Sign-ins. The cookie is signed by whoever hands it in; tokens are signed here, by the same key."""

    def __init__(self, floor: Floor) -> None:
        self._floor = floor
        self._key = floor.pins.key()
        self._tokens = URLSafeSerializer(self._key, salt="press")
        # what a token says is always the same, and every press of a shift brings it
        self._said = lru_cache(maxsize=256)(self._tokens.loads)
        self._left = Leaving(floor.signed_out, SHIFT + PATIENCE)

    def device(self, cookie: Cookie) -> str:
        """Return the device's name, made by chance when it first comes."""
        if not isinstance(cookie.get("device"), str):
            cookie["device"] = secrets.token_hex(16)
        return str(cookie["device"])

    def here(self, cookie: Cookie) -> Here:
        """Return who is signed in; a sign-in that is over, or whose PIN was set anew, is none."""
        device = self.device(cookie)
        valid = [who for who, (until, stamp) in _signed(cookie).items()
                 if self._holds(who, until, stamp) and self._left.holds(device, who, until - SHIFT)]  # fmt: skip
        at_work = cookie.get("now", "")
        return Here(device, at_work if at_work in valid else "", tuple(sorted(valid)))

    def sign_in(self, cookie: Cookie, initials: str, pin: str) -> str:
        """Sign somebody in by PIN and put him or her to work; refuse a wrong PIN. Return the initials."""
        person = self._person(initials)
        self.check(cookie, person, pin)
        # what a stranger may have planted in this browser, or somebody left in it, ends here: a new device
        now = self._floor.now()
        # so does one on which this very person signed out later than now: somebody has set the clock back
        if not self.here(cookie).people or not self._left.holds(self.device(cookie), person, now):
            cookie["device"] = secrets.token_hex(16)
            cookie["in"], cookie["gone"] = {}, {}
        cookie["in"] = {**_signed(cookie), person: [now + SHIFT, self._stamp(person)]}
        cookie["now"] = person
        return person

    def check(self, cookie: Cookie, initials: str, pin: str) -> None:
        """Return if this is the PIN; what is wrong counts for this device where that person has signed in on it."""
        known = initials in _signed(cookie) or initials in _gone(cookie)
        self._floor.pins.check(initials, pin, self.device(cookie) if known else "")

    def change_over(self, cookie: Cookie, initials: str) -> str:
        """Put somebody to work who is signed in here already; SignInNeeded where that is not so."""
        person = self._person(initials)
        if person not in self.here(cookie).people:
            raise SignInNeeded(person)
        cookie["now"] = person
        return person

    def sign_out(self, cookie: Cookie, initials: str, waiting: Iterable[str] = ()) -> None:
        """End somebody's sign-in on this device, where what waits of that person's presses has these keys.

        That still goes; what a page left open somewhere presses after does not.
        """
        if initials not in _signed(cookie):
            return
        now, holds = self._floor.now(), initials in self.here(cookie).people
        cookie["in"] = {who: known for who, known in _signed(cookie).items() if who != initials}
        recent = {who: when for who, when in _gone(cookie).items() if when > now - SHIFT - PATIENCE}
        cookie["gone"] = {**recent, initials: now}
        if cookie.get("now") == initials:
            cookie["now"] = ""
        if holds:
            # a cookie that was copied before an earlier sign-out ends no later sign-in, and names no keys
            self._left.note(self.device(cookie), initials, now, waiting)

    def tokens(self, cookie: Cookie) -> dict[str, str]:
        """Return a token for each person who is signed in: without a network the page itself must change over."""
        here, signed = self.here(cookie), _signed(cookie)
        return {who: str(self._tokens.dumps([here.device, who, *signed[who]])) for who in here.people}

    def of_token(self, cookie: Cookie, token: str, age: float, key: str) -> str:
        """Return who pressed, by the token that a press of so many seconds ago carries; `key` is the press's own.

        Refuse a token that was made for another device, or altered; SignInNeeded where the sign-in had ended when it
        was pressed. The device's clock is never asked: only how long ago it was, and after a sign-out not even that.
        """
        try:
            device, initials, until, stamp = self._said(token)
        except (BadSignature, ValueError, TypeError) as problem:
            raise SignInNeeded("") from problem
        if device != self.device(cookie):
            raise SignInNeeded(str(initials))
        pressed = self._floor.now() - min(max(age, 0.0), PATIENCE)
        if pressed > until + _LENIENT or self._floor.now() > until + PATIENCE:
            raise SignInNeeded(str(initials))
        if not self._left.lets(device, initials, until - SHIFT, key):
            raise SignInNeeded(str(initials))
        if not self._floor.pins.has(initials) or self._stamp(initials) != stamp:
            raise SignInNeeded(str(initials))
        return str(initials)

    def form_token(self, cookie: Cookie) -> str:
        """Return what every form of this device carries, so that no other site can send one."""
        return hmac.digest(self._key, f"form {self.device(cookie)}".encode(), "sha256").hex()[:32]

    def _person(self, initials: str) -> str:
        with self._floor.lock:
            return self._floor.shop.state.person(initials).initials

    def _holds(self, initials: str, until: float, stamp: str) -> bool:
        pins = self._floor.pins
        return self._floor.now() < until and pins.has(initials) and self._stamp(initials) == stamp

    def _stamp(self, initials: str) -> str:
        """Return what a sign-in carries: another one once the PIN is set anew, or nobody can say any more who went."""
        return self._floor.pins.stamp(initials) + self._left.era


def _gone(cookie: Cookie) -> dict[str, float]:
    known = cookie.get("gone")
    return {who: float(when) for who, when in known.items()} if isinstance(known, dict) else {}


def _signed(cookie: Cookie) -> dict[str, tuple[float, str]]:
    known = cookie.get("in")
    return {who: (float(until), str(stamp)) for who, (until, stamp) in known.items()} if isinstance(known, dict) else {}

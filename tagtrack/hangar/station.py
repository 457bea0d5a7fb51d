"""What every route needs, and what several of them ask: who is at work here, and how the scripts ask."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass

from flask import current_app, request, session
from werkzeug.exceptions import RequestEntityTooLarge

from tagtrack.hangar.floor import Floor
from tagtrack.hangar.kept import opened, sealed
from tagtrack.hangar.people import People, SignInNeeded
from tagtrack.hangar.presses import Presses
from tagtrack.shop.desk import Job
from tagtrack.shop.lines.talk import Bench

# a cookie of more than four kilobytes is dropped by browsers, and a sign-in with it; a name that long is said anew
_ZONES = 6
LONGEST_AREA = 120


@dataclass(frozen=True, slots=True)
class Station:
    """The shop floor, who is signed in, and what is pressed."""

    floor: Floor
    people: People
    presses: Presses

    def at_work(self) -> str:
        """Return who is at work on the device that asks; SignInNeeded where nobody is."""
        here = self.people.here(session)
        if not here.at_work:
            raise SignInNeeded("")
        return here.at_work

    def bench(self, job: Job) -> Bench:
        """Return what is in hand there, to be looked at. To be asked under the floor's lock."""
        by = self.at_work()
        bench = self.presses.in_hand(self.people.device(session), by, job.name) or Bench(job, by)
        # the server may have been started anew: the device knows its zone
        bench.area = bench.area or session.get("zone", {}).get(job.name, "")
        return bench

    def keep(self, said: Mapping[str, str]) -> str:
        """Return what was typed and is not recorded, by field, to be put into an address as `kept`."""
        return sealed(self.floor.pins.key(), said)

    def kept(self) -> dict[str, str]:
        """Return what the address that is asked for keeps, by field; nothing where it is not of our making."""
        return opened(self.floor.pins.key(), request.args.get("kept", ""))

    def remember_zone(self, job: Job) -> None:
        """Keep the zone of who is at work in the device's cookie, of the last few work orders."""
        here = self.people.here(session)
        bench = self.presses.in_hand(here.device, here.at_work, job.name)
        zones = dict(session.get("zone", {}))
        if bench is not None and zones.get(job.name, "") != bench.area:
            others = [(name, area) for name, area in zones.items() if name != job.name]
            mine = [(job.name, bench.area)] if len(bench.area) <= LONGEST_AREA else []
            session["zone"] = dict([*others[1 - _ZONES :], *mine])


def station() -> Station:
    """Return the station of the request."""
    found: Station = current_app.extensions["tagtrack"]
    return found


def wants_json() -> bool:
    """Return whether the page's own scripts ask."""
    return request.headers.get("Accept", "").startswith("application/json")


def local_path(path: str) -> str:
    """Return a path of this page to go back to; the board where it leads anywhere else."""
    fine = path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable()
    return path if fine else "/"


def own_address() -> str:
    """Return the address of the page that is shown, with all that it says, to come back to the very same one."""
    if request.method == "GET" and request.path != "/people":
        return local_path(request.full_path.removesuffix("?"))
    # an answer is no page to come back to: what was pressed stood on one
    try:
        return local_path(request.values.get("back", "/"))
    except RequestEntityTooLarge:
        # what was sent is too large to be read, so it says nothing of where it came from
        return "/"


def fresh_key() -> str:
    """Return a key for a press of a page without scripts; the scripts make one for each press."""
    return secrets.token_hex(12)

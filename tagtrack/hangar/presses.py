"""A press on the page becomes one line of the scan loop, done once however often it arrives.

Each press brings a key that was made in the browser. It becomes the id of the act, so that the record itself knows
whether it was done, also after the server was started anew; the answer is remembered beside it. A press says by
itself who pressed, at which tag and in which zone, and needs nothing of what went before.
"""

from __future__ import annotations

import re
from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256

from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.records import Position, Via
from tagtrack.core.spelling import clean
from tagtrack.core.steps import told
from tagtrack.core.tagcode import looks_like_code
from tagtrack.hangar.floor import Floor
from tagtrack.hangar.keys import Recorded, key_of
from tagtrack.hangar.offers import Offer, asks, offered
from tagtrack.hangar.vouching import must_vouch
from tagtrack.hangar.wording import by_press
from tagtrack.shop.desk import Job
from tagtrack.shop.lines.loop import Loop
from tagtrack.shop.lines.talk import Bench, Tone
from tagtrack.shop.naming import area_as
from tagtrack.shop.ports import Who
from tagtrack.shop.refitting import is_on
from tagtrack.shop.setup import join
from tagtrack.shop.tagging import Means, meaning

KEY = re.compile(r"[0-9a-f]{24}")
# so many answers are remembered; what is older is looked up in the record
_REMEMBERED = 4000


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """What somebody pressed or scanned."""

    key: str
    line: str
    by: str
    job: str
    device: str
    # the tag that was in hand where it was pressed, and the zone
    tag: str = ""
    area: str = ""
    # the reason, and the marks of the questions that it answers
    because: str = ""
    asked: str = ""
    via: Via = Via.PAGE
    # what the device's clock said, as far as it can be trusted
    device_at: str = ""
    # who gave a PIN with it
    vouched: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What came of a press."""

    tone: Tone
    lines: tuple[str, ...]
    recorded: bool = False
    # the marks of the question that stands and of those before it, to be sent back with the reason
    asked: str = ""
    # it had been done before: this is what was answered then
    again: bool = False
    ends: bool = False
    # it is right as far as it goes, and more is to be done
    more: bool = False
    # whose PINs are asked for before it is recorded
    pin_of: tuple[str, ...] = ()
    # how many findings a check told: nothing of the press itself is wrong
    found: int = 0
    # what it asks beside what was recorded stays till it was read; and what can be said to it by one press
    asks: bool = False
    offers: tuple[Offer, ...] = ()

    @property
    def level(self) -> str:
        """Return how loud the page says it: done, open (done, and more is to be done), found, note, ask, wrong."""
        if self.found:
            return "found"
        return "open" if self.more or self.asks else self.tone.value


class _Identities:
    """Ids of acts: those of the present press while one is being done, else by chance."""

    def __init__(self, by_chance: Callable[[], str]) -> None:
        self._by_chance = by_chance
        self.key = ""
        self._used = 0

    def begin(self, key: str) -> None:
        self.key, self._used = key, 0

    def __call__(self) -> str:
        if not self.key:
            return self._by_chance()
        self._used += 1
        return self.key if self._used == 1 else f"{self.key}-{self._used}"


class Presses:
    """Does presses. What is in hand is kept for each device, person and work order."""

    def __init__(self, floor: Floor) -> None:
        self._floor = floor
        self._ids = _Identities(floor.shop.means.new_id)
        self._vouched: frozenset[str] = frozenset()
        self._missing: tuple[str, ...] = ()
        floor.shop.means = replace(floor.shop.means, new_id=self._ids, allow=self._allow)
        self._loops: dict[tuple[str, str, str], Loop] = {}
        self._answers: OrderedDict[str, tuple[str, Answer]] = OrderedDict()
        self._recorded: dict[str, Recorded] = {}

    def in_hand(self, device: str, by: str, job: str) -> Bench | None:
        """Return what this person has in hand at this device; None where nothing was pressed yet. Records nothing."""
        loop = self._loops.get((device, by, job))
        return loop.bench if loop is not None else None

    def press(self, press: Press) -> Answer:
        """Do what was pressed, or answer as before if it was done already; a Fault goes on to whoever called."""
        if not KEY.fullmatch(press.key):
            raise Refusal("this press has no key", expected="a page of this program", came="another",
                          todo="load the page again")  # fmt: skip
        with self._floor.lock:
            job = self._floor.job(press.job)
            known = self._before(press, job)
            if known is not None:
                return known
            self._ids.begin(press.key)
            self._expect(press.vouched)
            try:
                answer = self._done(press, job)
            except Refusal as refusal:
                answer = Answer(tone=Tone.WRONG, lines=by_press(refusal.lines()))
            finally:
                self._ids.begin("")
            if self._missing and not answer.recorded:
                # the reason that was given before stands, and is sent again with the PIN
                answer = replace(answer, pin_of=self._missing, asked=press.asked if press.because else "")
            if answer.recorded:
                # what recorded nothing is asked anew: a repeat of it does no harm, and things may have changed
                self._answers[press.key] = (_mark(press), answer)
            while len(self._answers) > _REMEMBERED:
                self._answers.popitem(last=False)
            return answer

    def _expect(self, vouched: frozenset[str]) -> None:
        self._vouched, self._missing = vouched, ()

    def _allow(self, act: Act, before: Sequence[Act]) -> None:
        """Refuse an act that takes somebody's PIN, unless it was typed with the press; by what is done, not said."""
        if not self._ids.key:
            return
        due = must_vouch(act, before, self._floor.shop.state.people.values(), self._floor.pins.has)
        self._missing = tuple(sorted(due - self._vouched))
        if self._missing:
            whose = " and ".join(self._missing)
            raise Refusal(f"that takes the PIN of {whose}", expected="the PIN, typed with it", came="none",
                          todo=f"{whose} types it")  # fmt: skip

    def _before(self, press: Press, job: Job) -> Answer | None:
        known = self._answers.get(press.key)
        acts = self._recorded.setdefault(job.name, Recorded()).of(job.acts, press.key)
        if known is not None and not acts:
            # an older record was put back: what is answered is what stands there, not what once did
            del self._answers[press.key]
            return None
        if known is not None:
            if known[0] != _mark(press):
                raise Refusal("that key belongs to another press", expected="a fresh key for each press",
                              came="one that was used", todo="load the page again")  # fmt: skip
            return replace(known[1], again=True)
        if not acts:
            return None
        if any(act.by != press.by for act in acts):
            raise Refusal("that key belongs to somebody else's press", expected="a fresh key for each press",
                          came=f"one of {acts[0].by}", todo="load the page again")  # fmt: skip
        said = tuple(filter(None, (told(act) for act in acts))) or (press.line,)
        # the server was started anew since: whether it was this very press cannot be known, so nothing is claimed of it
        return Answer(tone=Tone.NOTE, lines=("this press was recorded before, as:", *said), recorded=True, again=True)

    def _done(self, press: Press, job: Job) -> Answer:
        loop = self._loop(press.device, press.by, job, press.area)
        bench = loop.bench
        bench.initials, bench.via, bench.pending = press.by, press.via, None
        bench.device_at, bench.vouched = press.device_at, press.vouched
        for other in press.vouched - {press.by}:
            self._join(bench.job, other)
        if press.tag and not looks_like_code(press.line):
            hold(bench, press.tag)
        # hardware that lies loose after it goes into a bag before anything else
        before, loose = len(bench.job.acts), bench.loose
        reply = loop.line(press.line)
        heard: list[str] = []
        # one question may follow another: a reason passes those that were read, and no others
        for read in filter(None, press.asked.split(",")):
            if not press.because or not _stands(bench) or _question(reply.lines) != read:
                break
            heard.append(read)
            reply = loop.line(f"yes, because {press.because}")
        # a question is asked again with every press that answers it, so none is left standing here
        stands = _stands(bench)
        bench.pending = None
        done = reply.tone is Tone.DONE and not stands
        told, offers = offered(by_press(reply.lines)) if done else (by_press(reply.lines), ())
        return Answer(
            tone=reply.tone, lines=told, asks=done and asks(told), offers=offers,
            recorded=any(key_of(act) == press.key for act in bench.job.acts[before:]),
            asked=",".join([*heard, _question(reply.lines)]) if stands else "", ends=reply.ends, found=reply.found,
            more=not stands and (reply.more or (done and bench.loose not in (None, loose))),
        )  # fmt: skip

    def _loop(self, device: str, by: str, job: Job, area: str) -> Loop:
        if (device, by, job.name) not in self._loops:
            self._join(job, by)
            self._loops[device, by, job.name] = Loop(job, by, Via.PAGE)
            # after that, the zone is what was scanned last: a page that waited for the network does not know it
            self._loops[device, by, job.name].bench.area = _area(job, area)
        return self._loops[device, by, job.name]

    def _join(self, job: Job, initials: str) -> None:
        # that somebody joins the work order is an act of its own, and no part of the press
        key = self._ids.key
        self._ids.begin("")
        join(job, Who(initials, Via.PAGE), initials)
        self._ids.begin(key)


def hold(bench: Bench, code: str) -> None:
    """Take the thing of a tag in hand without doing anything with it, as if it had just been scanned."""
    found = meaning(bench.job, code)
    state = bench.job.state
    bench.part, bench.bag, bench.bag_scanned, bench.blank, bench.end = "", None, "", "", None
    match found.means:
        case Means.PART:
            part = state.parts[found.thing]
            bench.subject = part.home
            bench.part = "" if is_on(state, part) else part.identity
        case Means.BAG:
            bench.bag, bench.bag_scanned = Place(PlaceKind.BAG, found.code), found.code
            bench.subject = Position.read(found.thing)
        case Means.CONNECTION:
            bench.subject = Position.read(found.thing.rpartition("|")[0])
        case Means.FREE:
            bench.blank = found.code
        case Means.POSITION:
            bench.at = bench.subject = Position.read(found.thing)
        case _:
            pass


def _area(job: Job, said: str) -> str:
    """Return an area as the job spells it; nothing where what came with a press is none."""
    try:
        return area_as(job.state, said) if any(map(str.isalpha, said)) else ""
    except Refusal:
        return ""


def _stands(bench: Bench) -> bool:
    """Return whether a question waits for a reason."""
    return bench.pending is not None


def _mark(press: Press) -> str:
    return repr((press.by, press.job, clean(press.line), press.tag, press.because))


def _question(lines: tuple[str, ...]) -> str:
    """Return the mark of a question, so that a reason answers only the question that was read."""
    return sha256("\n".join(lines).encode()).hexdigest()[:16]

"""Invented work orders, with faults committed on purpose: what should be found is known beforehand.

`invent(seed, faults)` makes a work order of 5 to 500 positions on both sides, takes it apart, puts it back with the
interruptions of an ordinary day, and commits the faults. `Played` holds what must be found: kind and place, with
whatever follows from it (a part that is missing leaves its bag full). Everything is played through the loop, by the
lines that a person types; what no line can do, because it happens in the hand, is recorded as what the hand did.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field

from builders import Play, job

from tagtrack.core.callout import Decoder
from tagtrack.core.events import HardwareInstalled, TagsIssued
from tagtrack.core.exchanges import Explanation
from tagtrack.core.places import Move, Place, PlaceKind, used
from tagtrack.core.reconcile import reconcile
from tagtrack.core.tagcode import shown
from tagtrack.shop import mending, setup
from tagtrack.shop.lines.talk import Tone
from tagtrack.shop.ports import Who
from tagtrack.tables.loader import load

KNOWLEDGE = Decoder(load())
NOT_AFFECTED = "; ".join(
    f"{row}: {seen}"
    for row, seen in {
        "assembly": "as it was, mark up", "locking": "each nut and pin seen", "travel": "full and free",
        "sense": "not affected", "tension": "not affected", "interaction": "clear all round",
    }.items()
)  # fmt: skip
# what a second person does not look at before it is mended; what a cover must not hide
_BLOCKS_A_LOOK = {"short", "over", "wrong-hardware", "turned", "not-tight", "not-safetied", "reused", "unserviceable",
                  "not-looked-at"}  # fmt: skip
_HIDDEN = {*_BLOCKS_A_LOOK, "missing", "swapped", "not-inspected", "still-aboard"}


@dataclass
class Spot:
    """One position of the invented job."""

    name: str
    side: str
    # fastener sets, and the pieces of one set by callout
    times: int
    pieces: tuple[tuple[str, int], ...]
    ordered: str
    lock: str
    marked: bool
    critical: bool
    hole: bool
    cover: str = ""
    fault: str = ""

    @property
    def where(self) -> str:
        return f"{self.name} {self.side}"

    @property
    def key(self) -> str:
        return f"{self.name}, {self.side}"

    def counts(self) -> dict[str, int]:
        found: dict[str, int] = {}
        for spec, count in self.pieces:
            found[spec] = found.get(spec, 0) + count * self.times
        return found

    @property
    def once(self) -> str:
        return "MS24665-132" if self.lock == "cotter" else ""

    @property
    def again(self) -> dict[str, int]:
        """What goes back as it came off."""
        return {spec: count for spec, count in self.counts().items() if spec != self.once}


@dataclass
class Played:
    """A job after it was played: what must be found, what was found, and whether exchanges were told rightly."""

    seed: int
    faults: list[str] = field(default_factory=list)
    wanted: Counter[tuple[str, str]] = field(default_factory=Counter)
    # (fault, finding) of each, for the table
    because: list[tuple[str, tuple[str, str]]] = field(default_factory=list)
    found: Counter[tuple[str, str]] = field(default_factory=Counter)
    exchanges: list[frozenset[str]] = field(default_factory=list)
    explained: list[bool] = field(default_factory=list)
    lines: int = 0
    positions: int = 0
    asked_twice: list[str] = field(default_factory=list)

    @property
    def missed(self) -> set[tuple[str, str]]:
        return set(self.wanted) - set(self.found)

    @property
    def false(self) -> set[tuple[str, str]]:
        return set(self.found) - set(self.wanted)


def _stack(chance: random.Random) -> tuple[tuple[tuple[str, int], ...], str, str]:
    """Return pieces of one set, its notation, its lock: specs that many joints share, with look-alikes among them."""
    match chance.randrange(4):
        case 0:
            bolt = chance.choice(("AN3-4A", "AN3-5A", "AN3-6A"))
            thin = chance.choice(("AN960-10", "AN960-10", "AN960-10L"))
            pieces = ((bolt, 1), (thin, 1), ("AN960-10", 1), ("MS21044N3", 1))
            return pieces, f"[{bolt} {thin} | AN960-10 MS21044N3]", "self-locking"
        case 1:
            bolt = chance.choice(("AN3-5", "AN3-6", "AN3-7"))
            pieces = ((bolt, 1), ("AN960-10", 2), ("AN310-3", 1), ("MS24665-132", 1))
            return pieces, f"[{bolt} AN960-10 | AN960-10 AN310-3 MS24665-132]", "cotter"
        case 2:
            bolt = chance.choice(("AN4-7A", "AN4-10A"))
            pieces = ((bolt, 1), ("AN960-416", 2), ("MS21044N4", 1))
            return pieces, f"[{bolt} AN960-416 | AN960-416 MS21044N4]", "self-locking"
        case _:
            screw = chance.choice(("AN525-10R8", "AN525-10R7", "AN526-1032R8"))
            return ((screw, 1),), "", "none"


def invented(chance: random.Random, size: int) -> list[Spot]:
    """Return the positions of a job: most of them in pairs, some covers over others."""
    spots: list[Spot] = []
    while len(spots) < size:
        number = len(spots)
        pieces, ordered, lock = _stack(chance)
        sides = ("LEFT", "RIGHT") if chance.random() < 0.8 else (chance.choice(("LEFT", "RIGHT", "CENTRE")),)
        marked = len(sides) == 2 and chance.random() < 0.5
        times = chance.randint(1, 4) if ordered else chance.randint(2, 12)
        for side in sides:
            critical, hole = chance.random() < 0.1 and side != "CENTRE", chance.random() < 0.25
            spot = Spot(f"item {number}", side, times, pieces, ordered, lock, marked=marked, critical=critical,
                        hole=hole)  # fmt: skip
            spots.append(spot)
    for side in ("LEFT", "RIGHT"):
        for _ in range(size // 12):
            pieces = ((chance.choice(("AN525-10R8", "AN525-10R7")), 1),)
            cover = Spot(f"cover {len(spots)}", side, chance.randint(4, 14), pieces, "", "none", marked=False,
                         critical=False, hole=False)  # fmt: skip
            below = [s for s in spots if s.side == side and not s.cover and not s.name.startswith("cover")]
            for spot in chance.sample(below, min(len(below), chance.randint(1, 3))):
                spot.cover = cover.name
            spots.append(cover)
    return spots


class Simulation:
    """One job on its way: takes apart, puts back with the faults, and knows what must be found."""

    def __init__(self, seed: int, size: int, faults: int, only: str = "") -> None:
        self.chance = random.Random(seed)
        opened = job(seed=seed % 1000)
        opened.shop.knowledge = KNOWLEDGE
        self.play = Play(opened)
        self.spots = invented(self.chance, size)
        self.done = Played(seed, positions=len(self.spots))
        self.questions: Counter[str] = Counter()
        self.ends: list[tuple[str, list[str]]] = []
        self.extra: set[str] = set()
        self._plan(faults, only)

    # -- which faults, and where ----------------------------------------------------------------------------------

    def _plan(self, faults: int, only: str) -> None:
        kinds = [only] if only else [*FAULTS, *AROUND]
        free = [s for s in self.spots if not s.name.startswith("cover")]
        for _ in range(faults):
            kind = self.chance.choice(kinds)
            if kind in AROUND:
                if AROUND[kind] not in {AROUND[each] for each in self.extra}:
                    self.extra.add(kind)
                    self.done.faults.append(kind)
                continue
            fits = [s for s in free if not s.fault and FAULTS[kind](self, s)]
            if not fits:
                continue
            spot = self.chance.choice(fits)
            spot.fault = kind
            twin = self.twin(spot)
            if kind == "parts of a pair exchanged" and twin is not None:
                twin.fault = "its twin"
            self.done.faults.append(kind)

    def twin(self, spot: Spot) -> Spot | None:
        other = {"LEFT": "RIGHT", "RIGHT": "LEFT"}.get(spot.side)
        return next((s for s in self.spots if s.name == spot.name and s.side == other), None)

    def want(self, kind: str, place: str, fault: str) -> None:
        self.done.wanted[kind, place] += 1
        self.done.because.append((fault, (kind, place)))

    # -- lines ----------------------------------------------------------------------------------------------------

    def say(self, line: str, *, despite: bool = False) -> None:
        reply = self.play(line, None)
        self.done.lines += 1
        for told in reply.lines:
            for word in ("PAIR DIFFERS", "LOOKS ALIKE"):
                if word in told:
                    self.questions[told.splitlines()[0]] += 1
        if reply.tone is Tone.ASK and despite and any(x.startswith("STOP") for x in reply.lines):
            reply = self.play("yes, because it was done so", None)
        if reply.tone is Tone.WRONG and reply.act is None:
            raise AssertionError(f"seed {self.done.seed}: {line}: {reply.lines}")

    def run(self) -> Played:
        self._apart()
        order = [s for s in self.spots if not s.name.startswith("cover")]
        self.chance.shuffle(order)
        for spot in order:
            self._back(spot)
            self._interruption()
        self._everything_else()
        for spot in order:
            self._look(spot)
        for spot in (s for s in self.spots if s.name.startswith("cover")):
            self._back(spot)
        self._close()
        return self.done

    def _apart(self) -> None:
        order = self.spots[:]
        self.chance.shuffle(order)
        for spot in order:
            said = [f"off {spot.where}"]
            if spot.marked:
                said.append("mark UP, arrow FWD; mount INBD")
            if spot.critical:
                said.append("critical")
            times = spot.times - (spot.fault == "one side has a fastener fewer")
            hardware = f"{times}x {spot.ordered}" if spot.ordered else f"{times} {spot.pieces[0][0]}"
            spot.times = times
            said += [hardware, f"lock {spot.lock}"]
            if spot.hole:
                said.append("in hole")
            if spot.fault == "the data calls for more":
                spec, count = next(iter(spot.counts().items()))
                said.append(f"per data {count + 1} {spec} per 27-30")
            if spot.name.startswith("cover"):
                below = [s.where for s in self.spots if s.cover == spot.name and s.side == spot.side]
                if below:
                    said.append("closes " + " + ".join(below))
            self.say(f"zone {spot.side.lower()} side")
            self.say("; ".join(said))
            twin = self.twin(spot)
            if twin is not None and not spot.marked and (spot.critical or twin.critical):
                self._answer_alike(spot)
        self.say("zone left side")
        wired = {"a wire left off", "two wires exchanged"} & self.extra
        for number in range(self.chance.randint(1 if wired else 0, 2)):
            self.say(f"disconnect wire {number} LEFT; A: terminal 1; B: terminal 2")
            self.ends.append((f"wire {number} LEFT", ["A", "B"]))
        self.say("setting stop LEFT; as found 3 threads")
        self.say("point bay LEFT")
        self.say("put 2 blue caps at bay LEFT")

    def _answer_alike(self, spot: Spot) -> None:
        """A critical pair that nobody marked is asked about once; it is answered as the design of the type."""
        for finding in reconcile(self.play.job.refresh(), KNOWLEDGE).unanswered:
            if finding.kind.value == "pair-looks-alike" and finding.position and finding.position.name == spot.name:
                self.say(f"design {finding.short} because the bolts are not in line")

    # -- back on --------------------------------------------------------------------------------------------------

    def _back(self, spot: Spot) -> None:
        fault = spot.fault
        if fault == "left off":
            self.want("missing", spot.key, fault)
            self._left_in(spot, fault)
            return
        whose = self.twin(spot) if fault in ("parts of a pair exchanged", "its twin") else spot
        assert whose is not None
        code = self.play.tag(whose.key)
        self.say(f"at {spot.where}")
        if fault == "a part marked unserviceable fitted":
            self.play(code, None)
            self.say("condition unserviceable because cracked")
            self.want("unserviceable", spot.key, fault)
        elif spot.name.startswith("cover") and self.chance.random() < 0.3:
            self.say(f"temporarily {spot.where} held by 2 screws")
        elif self.chance.random() < 0.05 and whose is spot:
            self.play(code, None)
            self.play("trial up fwd" if spot.marked else "trial on", None)
        # memory of what is in hand: its own side's part, or the other's
        self.play(code, None)
        seen = "up fwd" if spot.marked else "on"
        if fault == "turned upside down":
            seen = "down fwd"
            self.want("turned", spot.key, fault)
        if whose is not spot:
            self.want("swapped", spot.key, "parts of a pair exchanged")
        self._cover_objects(spot)
        self.say(seen, despite=True)
        self._hardware(spot)
        if fault in _SECOND or (not fault and self.chance.random() < 0.04):
            self._once_more(spot, code)

    def _once_more(self, spot: Spot, code: str) -> None:
        """It comes off again, because something under it was forgotten, and goes back on; or not."""
        self.say(f"off {spot.where}" + ("; mark UP, arrow FWD" if spot.marked and self.chance.random() < 0.5 else ""))
        if spot.fault == "left off the second time":
            self.want("missing", spot.key, spot.fault)
            self._left_in(spot, spot.fault)
            return
        self.say(f"at {spot.where}")
        self.play(code, None)
        if spot.fault == "turned when put back again":
            self.want("turned", spot.key, spot.fault)
            self.say("down fwd", despite=True)
        else:
            self.say("up fwd" if spot.marked else "on", despite=True)
        self.play(self.play.bag(spot.key), None)
        self.say("all in")
        if spot.once:
            self.say("new")
        self._finish(spot)

    def _cover_objects(self, spot: Spot) -> None:
        if spot.name.startswith("cover"):
            below = {s.key for s in self.spots if s.cover == spot.name and s.side == spot.side}
            kinds = {kind for kind, place in self.done.wanted if place in below}
            if kinds & _HIDDEN:
                fault = next(s.fault for s in self.spots if s.key in below and s.fault)
                self.want("closed-before-complete", spot.key, fault)

    def _left_in(self, spot: Spot, fault: str) -> None:
        self.want("left-over", spot.key, fault)

    def _bag(self, spot: Spot) -> None:
        if not spot.hole:
            self.play(self.play.bag(spot.key), None)

    def _put(self, pieces: dict[str, int]) -> None:
        told = ", ".join(f"{count} {spec}" for spec, count in pieces.items() if count)
        if told:
            self.say(f"in {told}")

    def _hardware(self, spot: Spot) -> None:
        fault, chance = spot.fault, self.chance
        pieces = dict(spot.again)
        first = next(iter(pieces))
        some = chance.choice(list(pieces))
        left: dict[str, int] = {}
        self._bag(spot)
        if fault == "a piece left in its bag":
            left = {some: 1}
            self.want("short", spot.key, fault)
            self._left_in(spot, fault)
        elif fault == "a look-alike from stock":
            left = {first: 1}
            self.want("wrong-hardware", spot.key, fault)
            self._left_in(spot, fault)
        elif fault == "a piece lost":
            left = {some: 1}
            self.want("short", spot.key, fault)
        elif fault == "a piece put into another joint":
            left = {some: 1}
        if left and some == first and fault != "a look-alike from stock":
            # without its bolt a joint is not tight
            self.want("not-tight", spot.key, fault)
        for spec, count in left.items():
            pieces[spec] -= count
        if left or chance.random() < 0.2:
            # counted in two goes, as a person is called away
            half = {spec: chance.randint(0, count) for spec, count in pieces.items()}
            self._put(half)
            self._put({spec: count - half[spec] for spec, count in pieces.items()})
        else:
            self.say("all in")
        if spot.once and fault == "an old cotter pin put back":
            self.say(f"in {spot.counts()[spot.once]} {spot.once}")
            self.want("reused", spot.key, fault)
        elif spot.once:
            self.say("new")
        self._by_fault(spot, some, first)
        self._finish(spot)
        if chance.random() < 0.03 and not fault:
            # one drawn too many, and given back
            self.say(f"new 1 {first}")
            self.say(f"out 1 {first}")
            if spot.once:
                # its pins were bent before the joint was opened for that one
                self.say(f"out {spot.counts()[spot.once]} {spot.once}")
                self.say("new")
            self._finish(spot)
        if chance.random() < 0.04 and not fault:
            # a slip, taken back at once
            self.say("undo")
            if chance.random() < 0.5:
                # and it was none: the taking back is taken back
                self.say(f"undo {self.play.job.acts[-1].id}")
            else:
                self._finish(spot)

    def _by_fault(self, spot: Spot, some: str, first: str) -> None:
        fault = spot.fault
        if fault == "a look-alike from stock":
            self.say(f"new 1 {ALIKE[first]}")
        elif fault == "a piece too many from stock":
            self.say(f"new 1 {some}")
            self.want("over", spot.key, fault)
        elif fault == "a piece lost":
            self.say(f"lost 1 {some}")
            self.want("lost", "", fault)
        elif fault == "a piece put into another joint":
            self._into_another(spot, some)
        elif not fault and self.chance.random() < 0.03 and "AN960-10" in spot.again and spot.ordered:
            # one washer more, to line up a cotter hole
            self.say("added 1 AN960-10 because the hole lines up")

    def _into_another(self, spot: Spot, some: str) -> None:
        """The hand takes the piece out of the wrong bag: it goes into a joint that is finished, and is one too many."""
        state = self.play.job.refresh()
        others = [s for s in self.spots if s is not spot and not s.fault and self._in(s) in state.holdings
                  and state.joints_of(self._position(s))[0].tight]  # fmt: skip
        fits = [s for s in others if some in s.counts()] or others
        joint = state.joints_of(self._position(spot))[0]
        if not fits:
            self._put({some: 1})
            self.done.faults.remove(spot.fault)
            self.done.wanted.pop(("not-tight", spot.key), None)
            self.done.because = [each for each in self.done.because if each[1] != ("not-tight", spot.key)]
            spot.fault = ""
            return
        other = self.chance.choice(fits)
        other.fault = "took the piece"
        target = self._in(other)
        moves = (Move(used(some), 1, joint.kept, target),)
        self.play.job.commit(Who("KT"), lambda _: (HardwareInstalled(target.name, moves),))
        self.want("short", spot.key, spot.fault)
        self.want("over" if some in other.counts() else "wrong-hardware", other.key, spot.fault)
        # whoever puts a piece in does not notice, and the joint is made tight again
        self.say(f"at {other.where}")
        self.say({"cotter": "tight safe", "self-locking": "finger no tight"}.get(other.lock, "tight"))
        if some.startswith("MS21044") and other.lock != "self-locking":
            # a self-locking nut that came off, where none belongs: whether it still holds is asked as well
            self.want("not-looked-at", other.key, spot.fault)
        if other.once:
            # nor that the pins were bent before
            self.want("reused", other.key, spot.fault)
        if other.critical:
            self.want("not-inspected", other.key, spot.fault)
        self.done.exchanges.append(frozenset({f"1 {some}: from {other.key} to {spot.key}"}))
        self.say(f"at {spot.where}")

    def _position(self, spot: Spot) -> object:
        return next(p for p in self.play.job.state.positions if str(p) == spot.key)

    def _in(self, spot: Spot) -> Place:
        return Place(PlaceKind.JOINT, self.play.job.state.joints_of(self._position(spot))[0].identity)

    def _finish(self, spot: Spot) -> None:
        words = []
        if spot.lock == "self-locking":
            if spot.fault == "finger test not made":
                self.want("not-looked-at", spot.key, spot.fault)
            else:
                words.append("finger no")
        if spot.fault == "never made tight":
            self.want("not-tight", spot.key, spot.fault)
        else:
            words.append("tight")
        if spot.lock == "cotter":
            if spot.fault in ("cotter pins never bent", "never made tight"):
                self.want("not-safetied", spot.key, spot.fault)
            else:
                words.append("safe")
        if words:
            self.say(" ".join(words) if words[0] != "finger no" or len(words) > 1 else "finger no")

    # -- the rest -------------------------------------------------------------------------------------------------

    def _interruption(self) -> None:
        match self.chance.randrange(40):
            case 0:
                self.say("by MB")
                self.say("by KT")
            case 1:
                self.play("status", None)
            case 2:
                self.play("what was I doing", None)
            case 3:
                self.play("next", None)
            case _:
                pass

    def _everything_else(self) -> None:
        extra = self.extra
        for where, ends in self.ends:
            for end in ends:
                if "a wire left off" in extra and end == "A" and where.startswith("wire 0"):
                    self.want("still-disconnected", where.replace(" LEFT", ", LEFT"), "a wire left off")
                elif "two wires exchanged" in extra and where.startswith("wire 0"):
                    # the loop asks first: it is what was done
                    self.play(f"connect {where}; {end}; terminal {'2' if end == 'A' else '1'}", None)
                    self.play("yes, because it was done so", None)
                    self.want("still-disconnected", where.replace(" LEFT", ", LEFT"), "two wires exchanged")
                else:
                    self.say(f"connect {where}; {end}")
        if "a setting not read again" in extra:
            self.want("setting", "stop, LEFT", "a setting not read again")
        else:
            self.say("setting stop LEFT; as left 3 threads")
        if "a bay never looked at" in extra:
            self.want("not-looked-at", "bay, LEFT", "a bay never looked at")
        else:
            self.say("look bay LEFT: dry, nothing lies in it")
        if "a cap left on" in extra:
            self.say("take 1 blue caps")
            self.want("still-aboard", "bay, LEFT", "a cap left on")
        else:
            self.say("take 2 blue caps")
        if "a tag of another aircraft on it" in extra:
            other = setup.open_job(self.play.job.shop, Who("KT"), job="WO-OTHER", registration="X-ELSE")
            code = next(e.codes[0] for a in other.shop.records.shop().acts() for e in a.events
                        if isinstance(e, TagsIssued) and e.job == "WO-OTHER")  # fmt: skip
            self.play(f"seen {shown(code)} at bay", None)
            self.want("not-this-job", "bay", "a tag of another aircraft on it")

    def _look(self, spot: Spot) -> None:
        if not spot.critical or spot.fault in ("left off", "left off the second time", "parts of a pair exchanged",
                                               "its twin"):  # fmt: skip
            return
        kinds = {kind for kind, place in self.done.wanted if place == spot.key}
        if kinds & _BLOCKS_A_LOOK or spot.fault == "no second look":
            if ("not-inspected", spot.key) not in self.done.wanted:
                self.want("not-inspected", spot.key, spot.fault)
            return
        self.say("by MB")
        self.say(f"inspect {spot.where}; {NOT_AFFECTED}")
        self.say("by KT")

    def _close(self) -> None:
        for spot in self.spots:
            twin = self.twin(spot)
            if spot.fault == "one side has a fastener fewer" and twin is not None:
                self.want("pair-differs", f"{spot.name}, LEFT", spot.fault)
            if spot.fault == "the data calls for more":
                self.want("differs-from-data", spot.key, spot.fault)
        if not any(kind == "lost" for kind, _ in self.done.wanted):
            for area in self.play.job.refresh().areas():
                self.say(f"clear {area}: 20 of 20 tools back, no rag")
                self.say(f"covers {area}: every one on, by the list")
        if not self.done.wanted:
            self.play(f"tags back {len(self.play.job.open_tags())}", None)
        outcome = reconcile(self.play.job.refresh(), KNOWLEDGE)
        lost = any(kind == "lost" for kind, _ in self.done.wanted)
        for finding in outcome.unanswered:
            if self.done.wanted and finding.kind.value == "tags-out":
                # tags hang on what is not finished, as they should
                continue
            if lost and finding.position is None and finding.kind.value == "not-looked-at":
                # an area is not closed out while something is lost in it
                continue
            place = str(finding.position) if finding.position else ""
            if finding.kind.value == "not-this-job":
                place = finding.area
            self.done.found[finding.kind.value, place] += 1
        if outcome.clean:
            self._signed()
        self.done.asked_twice = [q for q, count in self.questions.items() if count > 1]
        if self.done.exchanges:
            told = mending.explanations(self.play.job)
            self.done.explained = [_told(true, told) for true in self.done.exchanges]


    def _signed(self) -> None:
        """Sign off; nothing under it moves; taken back, the work goes on, and what is left off then is found."""
        self.say("sign off")
        held = self.play(f"undo {self.play.job.acts[-3].id}", Tone.WRONG)
        assert "signed off" in held.lines[0], held.lines
        self.say("undo sign-off because the cowling was forgotten")
        spot = self.chance.choice([s for s in self.spots if not s.critical])
        self.say(f"zone {spot.side.lower()} side")
        self.say(f"off {spot.where}")
        found = {(f.kind.value, str(f.position)) for f in reconcile(self.play.job.refresh(), KNOWLEDGE).unanswered}
        assert ("missing", spot.key) in found, (self.done.seed, spot.where, found)


def _told(true: frozenset[str], explanations: tuple[Explanation, ...]) -> bool:
    """Return whether the true exchange stands among the explanations, as told or as one that serves just as well."""
    every: set[str] = set()
    for each in explanations:
        for exchange in each.exchanges:
            every.add(str(exchange))
            every |= {str(exchange).replace(f"from {exchange.source_told} ", f"from {other} ")
                      for other in exchange.instead}  # fmt: skip
    return true <= every


# faults that are committed when something came off again
_SECOND = frozenset({"left off the second time", "turned when put back again"})

# what stands in for what on the bench
ALIKE = {
    "AN3-4A": "AN3-5A", "AN3-5A": "AN3-6A", "AN3-6A": "AN3-5A", "AN3-5": "AN3-6", "AN3-6": "AN3-7", "AN3-7": "AN3-6",
    "AN4-7A": "AN4-10A", "AN4-10A": "AN4-11A", "AN525-10R8": "AN525-10R7", "AN525-10R7": "AN525-10R8",
    "AN526-1032R8": "AN525-10R8",
}  # fmt: skip

def _anywhere(_: Simulation, spot: Spot) -> bool:
    return bool(spot.name)


# every kind of fault, and where it can be committed
FAULTS: dict[str, Callable[[Simulation, Spot], bool]] = {
    "left off": _anywhere,
    "a piece left in its bag": _anywhere,
    "a piece too many from stock": _anywhere,
    "a look-alike from stock": _anywhere,
    "a piece put into another joint": lambda _, s: not s.hole,
    "a piece lost": lambda _, s: not s.hole,
    "parts of a pair exchanged": lambda sim, s: (twin := sim.twin(s)) is not None and not twin.fault
    and not s.critical and not twin.critical and not s.cover and not twin.cover,
    "turned upside down": lambda _, s: s.marked,
    "left off the second time": lambda _, s: not s.name.startswith("cover"),
    "turned when put back again": lambda _, s: s.marked,
    "a part marked unserviceable fitted": _anywhere,
    "never made tight": _anywhere,
    "cotter pins never bent": lambda _, s: s.lock == "cotter",
    "an old cotter pin put back": lambda _, s: s.lock == "cotter",
    "finger test not made": lambda _, s: s.lock == "self-locking",
    "no second look": lambda _, s: s.critical,
    "one side has a fastener fewer": lambda sim, s: (twin := sim.twin(s)) is not None and not twin.fault
    and s.times > 1,
    "the data calls for more": _anywhere,
}
# faults that belong to no part: each with what it needs, so that two of them never want the same
AROUND = {
    "a wire left off": "wire",
    "two wires exchanged": "wire",
    "a setting not read again": "setting",
    "a bay never looked at": "bay",
    "a cap left on": "cap",
    "a tag of another aircraft on it": "tag",
}


def simulate(seed: int, *, most: int = 500, faults: int | None = None, only: str = "") -> Played:
    """Invent, play and judge one job."""
    chance = random.Random(seed * 7919)
    size = round(5 * (most / 5) ** (chance.random() ** 2))
    count = chance.randint(0, 6) if faults is None else faults
    return Simulation(seed, size, count, only).run()


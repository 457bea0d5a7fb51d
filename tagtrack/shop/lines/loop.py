"""The scan loop: one line in, one answer out, whoever or whatever typed it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from tagtrack.core.axes import direction_or_none, side_or_none
from tagtrack.core.errors import Fault, Objection, Refusal
from tagtrack.core.places import PlaceKind
from tagtrack.core.records import Via, position
from tagtrack.core.spelling import clean, nearest, reason
from tagtrack.core.tagcode import looks_like_code
from tagtrack.shop import setup
from tagtrack.shop.desk import Job
from tagtrack.shop.lines import (
    apart,
    back,
    close,
    fasten,
    fate,
    looking,
    losses,
    noting,
    otherwise,
    pairs,
    picture,
    tags,
    wires,
)
from tagtrack.shop.lines.clauses import because
from tagtrack.shop.lines.standing import offering_side
from tagtrack.shop.lines.talk import Bench, Reply, Tone, ask, note
from tagtrack.shop.naming import area_as
from tagtrack.shop.ports import Who

Word = Callable[[Bench, Who, str], Reply]


def _by(bench: Bench, who: Who, text: str) -> Reply:
    """`by KT`: somebody else works now."""
    person = bench.job.shop.state.person(text)
    setup.join(bench.job, who, person.initials)
    bench.initials = person.initials
    bench.part = ""
    return note(f"BY  {person}")


def _zone(bench: Bench, who: Who, text: str) -> Reply:
    """`zone tail LEFT`: where you work; scanning a zone card says the same."""
    del who
    bench.area, bench.at = area_as(bench.job.state, text), None
    return note(f"ZONE  {bench.area}" if text else "no zone")


def _at(bench: Bench, who: Who, text: str) -> Reply:
    """`at POSITION SIDE`: the exact spot you stand at."""
    del who
    return back.stand_at(bench, position(text))


def _trial(bench: Bench, who: Who, text: str) -> Reply:
    """`trial up fwd`: the part in hand goes on to try its fit, and is not finished."""
    return back.on(bench, who, f"trial {text}")


def _all(bench: Bench, who: Who, text: str) -> Reply:
    """`all in`, `all in new tight 25 in-lb safe`: all that was kept is in, the bag is empty."""
    return fasten.finish(bench, who, f"all {text}")


def _tight(bench: Bench, who: Who, text: str) -> Reply:
    """`tight`, `tight 2`, `tight 25 in-lb`, `tight per data safe`: the hardware of what is in hand."""
    return fasten.finish(bench, who, f"tight {text}".strip())


def _finger(bench: Bench, who: Who, text: str) -> Reply:
    """`finger no`, `finger yes`: whether its self-locking nuts run on by finger."""
    return fasten.finish(bench, who, f"finger {text}")


def _safe(bench: Bench, who: Who, text: str) -> Reply:
    """`safe`: lockwire, cotter or other lock is fitted."""
    return fasten.finish(bench, who, f"safe {text}".strip())


def _help(bench: Bench, who: Who, text: str) -> Reply:
    """`help`: every word of the loop."""
    del bench, who, text
    told = [word.__doc__.split("\n")[0].rstrip(".") for word in dict.fromkeys(WORDS.values()) if word.__doc__]
    return note("SCAN a tag, or type:", *(f"  {line.replace('`', '')}" for line in told))


def _leave(bench: Bench, who: Who, text: str) -> Reply:
    """`quit`: leave the loop; everything answered so far is recorded."""
    del bench, who, text
    return Reply(Tone.NOTE, ("everything answered above is recorded",), ends=True)


WORDS: Mapping[str, Word] = {
    "by": _by,
    "zone": _zone,
    "at": _at,
    "off": apart.off,
    "same": apart.same,
    "hole": apart.hole,
    "loosened": apart.loosened,
    "aside": apart.aside,
    "marked": pairs.marked,
    "also": noting.also,
    "drilled": apart.drilled,
    "found": apart.found,
    "disconnect": wires.disconnect,
    "put": noting.put,
    "take": noting.take,
    "setting": noting.setting,
    "point": noting.point,
    "on": back.on,
    "sits": back.sits,
    "trial": _trial,
    "all": _all,
    "tight": _tight,
    "finger": _finger,
    "safe": _safe,
    "in": fasten.some_in,
    "new": fasten.new,
    "out": fasten.out,
    "used": otherwise.used,
    "added": otherwise.added,
    "back": otherwise.goes_back,
    "connect": wires.connect,
    "replace": fate.replace_part,
    "temporarily": back.temporarily,
    "scrap": fate.scrap,
    "stock": fate.stock,
    "send": fate.send,
    "condition": fate.condition,
    "lost": losses.lost,
    "dropped": losses.lost,
    "case": losses.case,
    "recount": fate.recount,
    "complete": close.complete,
    "clear": close.clear,
    "covers": close.covers,
    "command": close.command,
    "check": looking.check,
    "status": looking.status,
    "next": looking.next_steps,
    "handover": looking.handover,
    "shortage": looking.shortage,
    "why": looking.why,
    "mend": close.mend,
    "answer": close.answer,
    "design": close.design,
    "inspect": close.inspect,
    "look": close.look,
    "photo": picture.photo,
    "function": close.function,
    "chips": close.chips,
    "tags": tags.tags,
    "void": tags.void,
    "reprint": tags.reprint,
    "seen": tags.seen,
    "undo": close.undo,
    "sign": close.sign,
    "help": _help,
    "quit": _leave,
    "done": _leave,
}


class Loop:
    """One person's conversation with one work order."""

    def __init__(self, job: Job, initials: str, via: Via = Via.TYPED) -> None:
        person = job.shop.state.person(initials)
        setup.join(job, Who(person.initials, via), person.initials)
        self.bench = Bench(job, person.initials, via)

    @property
    def prompt(self) -> str:
        """Who works, where, and what is in hand: shown before each line."""
        bench = self.bench
        where = str(bench.at) if bench.at else bench.area
        part = bench.job.state.parts.get(bench.part)
        held = str(part.home) if part else ""
        return " | ".join(part for part in (bench.initials, where, f"in hand: {held}" if held else "") if part)

    def line(self, text: str) -> Reply:
        """Answer one line. Trouble becomes an answer too; nothing a person types ends the loop by itself."""
        reply = self._answered(clean(text))
        if reply.act is not None:
            self.bench.missed, self.bench.latest = "", reply.act.id
        elif (reply.tone is Tone.WRONG and not reply.found) or self.bench.pending is not None:
            # undo asks about the line before it: its own question is none of those
            self.bench.missed = self.bench.missed if _is_undo(text) else clean(text)[:40]
        return reply

    def _answered(self, said: str) -> Reply:
        try:
            gone = self._drop_what_is_gone()
        except Refusal as refusal:
            # another record was put in place: what is in hand, and what was asked, is of the one before
            self.bench.pending, self.bench.part = None, ""
            return Reply(Tone.WRONG, refusal.lines())
        if gone and said and not looks_like_code(said) and said.split(maxsplit=1)[0].casefold() not in WORDS:
            return note(gone)
        pending, self.bench.pending = self.bench.pending, None
        reasoned = pending is not None and _is_yes(said)
        if not reasoned:
            self.bench.heard = frozenset()
        try:
            if pending is not None:
                first, _, rest = said.replace(",", " ", 1).partition(" ")
                if reasoned:
                    why = because(rest)[1] or rest
                    return pending(self.bench.who(reason(why)))
                if first.casefold() in ("no", "n"):
                    return note("nothing was recorded")
            return _with_dropped(self._answer(said), pending is not None)
        except Objection as objection:
            word = pending if reasoned else self._word(said)
            self.bench.heard |= {objection.asked}
            if word is None:
                return _with_dropped(Reply(Tone.WRONG, objection.lines()), pending is not None)
            self.bench.pending = word
            asked = ask(*objection.lines(), "really so? type: yes, because ...     else: no")
            return _with_dropped(asked, pending is not None and not reasoned)
        except Refusal as refusal:
            self.bench.pending = pending if _wants_reason(said, pending) else None
            told = offering_side(self.bench, refusal).lines()
            return _with_dropped(Reply(Tone.WRONG, told), pending is not None and self.bench.pending is None)
        except Fault:
            raise

    def _drop_what_is_gone(self) -> str:
        """Let go of what somebody has undone since; return that it is gone, or an empty text."""
        bench, state = self.bench, self.bench.job.refresh()
        gone = ""
        if bench.part and bench.part not in state.parts:
            bench.part, gone = "", "the part in hand was undone by somebody: scan its tag again"
        if bench.bag is not None and bench.bag.kind is PlaceKind.BAG and bench.bag.name not in state.tags:
            bench.bag, gone = None, "the bag in hand was undone by somebody: scan it again"
        for name in ("at", "subject", "loose", "last_off"):
            position_ = getattr(bench, name)
            if position_ is not None and position_ not in state.positions:
                setattr(bench, name, None)
        if bench.end is not None and bench.end not in state.ends:
            bench.end = None
        return gone

    def _answer(self, said: str) -> Reply:
        word = self._word(said)
        if word is None:
            return note("scan a tag, or type a word; help lists them")
        return word(self.bench.who())

    def _word(self, said: str) -> Callable[[Who], Reply] | None:
        """Return what the line asks for, ready to be done by somebody; None for an empty line."""
        terminal = wires.terminal_said(self.bench, said)
        if terminal:
            # before all else: a terminal may be called like a word, or look like a code
            return lambda who: wires.terminal(self.bench, who, terminal)
        return self._plain(said)

    def _plain(self, said: str) -> Callable[[Who], Reply] | None:
        if not said:
            return None
        first, _, rest = said.partition(" ")
        word = WORDS.get(first.casefold().rstrip(",;:"))
        if word is not None:
            self.bench.end = None
        if word is not None and not (word is back.on and looks_like_code(said)):
            chosen = word
            # "off; 11 AN525-10R8": nothing is named, it is the thing of the tag in hand
            about = f";{rest}" if word in (apart.off, apart.same) and first.endswith(";") else rest.strip()
            return lambda who: chosen(self.bench, who, about)
        if looks_like_code(said):
            return lambda who: back.scanned(self.bench, who, said)
        if self.bench.end is not None:
            return lambda who: wires.terminal(self.bench, who, said)
        if self.bench.part and all(direction_or_none(w) or side_or_none(w) for w in said.replace(",", " ").split()):
            return lambda who: back.on(self.bench, who, said.replace(",", " "))
        if self.bench.part and direction_or_none(said.rsplit(maxsplit=1)[-1]):
            return lambda who: back.on(self.bench, who, said)
        if first.casefold().rstrip(",") in ("no", "n"):
            return lambda _: note("no question stands; nothing was recorded")
        near = nearest(first, WORDS)
        offer = f"did you mean '{near[0]}'?" if near else "type: help"
        if first.casefold() == "tagtrack":
            offer = "that is typed outside the loop: quit first"
        elif direction_or_none(first):
            offer = f"no part is in hand; of one that is on: sits {said}"

        def unknown(who: Who) -> Reply:
            del who
            raise Refusal(f"'{first}' is no word of the loop", expected="a tag code, or a word such as off, same, on, "
                          "all in, tight, check", came=said[:60], todo=offer)  # fmt: skip

        return unknown


def _with_dropped(reply: Reply, dropped: bool) -> Reply:  # noqa: FBT001 - one flag, one meaning
    """Say first that the question before was left without an answer, so that what it asked for is not recorded."""
    if not dropped:
        return reply
    return replace(reply, dropped="NOT RECORDED  what was asked about before: that question was not answered")


def _is_undo(text: str) -> bool:
    return clean(text).split(" ", maxsplit=1)[0].casefold().rstrip(",;:") in ("undo", "yes", "y", "really")


def _is_yes(said: str) -> bool:
    return said.split(" ", maxsplit=1)[0].casefold().rstrip(",") in ("yes", "y", "really")


def _wants_reason(said: str, pending: object) -> bool:
    # "yes" without a usable reason: the question stays open
    return pending is not None and _is_yes(said)



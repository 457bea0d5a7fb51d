"""Bolt, washers, nut and lock belong together: what does not go together is asked when a stack is typed.

These are questions, never refusals: the aircraft may be built so, and the maker's data prevail.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from tagtrack.core.callout import Callout, Decoder
from tagtrack.core.catalogue import Fact, Fitting, TorqueRow, inches, told_inches
from tagtrack.core.hardware import Stack
from tagtrack.core.kinship import kind_of

CAUTION = (
    "Reference only, for oil-free cadmium-plated threads. The maker's manual prevails. Add the friction drag torque of "
    "self-locking nuts, and never pass the most allowed."
)
# NASM3-20: the grip of a bolt may be so much longer or shorter, in inches
_GRIP_TOLERANCE = Fraction(16, 1000)
_NONE = Fraction(0)
# NAS1149 Table I: the hole of a washer is .010 to .016 wider than its bolt, and that of the next size .037 and more
_LOOSE = Fraction(30, 1000)
# AC 43.13-1A, as summed up in public: no fibre nut on a drilled shank under 5/16 in
_SMALL = Fraction(5, 16)
_BOLTS = frozenset({"bolt", "clevis bolt"})
_THROUGH_WASHERS = _BOLTS | {"screw", "clevis pin"}
# what goes through a castle nut or a drilled pin, and how a person says so
# the nuts that Table 7-1 names, in tension and in shear
_TENSION, _SHEAR = ("AN310", "AN365"), ("AN320", "AN364")
_PINS = frozenset({"cotter pin", "lockwire"})
_LOCKED_BY = frozenset({"cotter", "lockwire"})


@lru_cache(1024)
def questions(decoder: Decoder, stack: Stack, lock: str = "", span: str = "") -> tuple[str, ...]:
    """Return what in a stack does not seem to belong together, as questions for the person who typed it.

    `span` is how thick the gripped parts are, measured, in inches as typed; empty where nobody measured.
    """
    if not decoder.catalogue.families:
        return ()
    pieces = [decoder.read(line.text) for line in stack.lines]
    known = [piece for piece in pieces if piece.recognised]
    told: list[str] = []
    for piece in pieces:
        if piece.trouble and not piece.recognised:
            offers = decoder.offers(piece.text)
            told.append(f"{piece.text}: {piece.trouble}" + (f"; meant {' or '.join(offers)}?" if offers else ""))
    bolts = [piece for piece in known if piece.kind in _BOLTS]
    through = [piece for piece in known if piece.kind in _THROUGH_WASHERS]
    for piece in known:
        # of a list with bolts of several sizes each piece may belong to any of them
        if piece.kind == "nut":
            told += _least_of(_nut(bolt, piece) for bolt in bolts)
        elif piece.kind == "washer":
            told += _least_of(_washer(bolt, piece) for bolt in through)
    told += _locked(decoder, stack, known, lock)
    return (*told, *(_grip(stack, pieces, bolts[0], span) if bolts else ()))


def _least_of(asked: Iterable[list[str]]) -> list[str]:
    """Return what is asked of a piece with the bolt that it goes with best; nothing where there is no bolt."""
    return min(asked, key=len, default=[])


def _locked(decoder: Decoder, stack: Stack, known: list[Callout], lock: str) -> list[str]:
    """Ask for the lock that a castle nut, a drilled pin or a drilled head needs, and whether the pin fits its hole."""
    kinds = {kind_of(decoder, line.text) for line in stack.lines}
    bolts = [piece for piece in known if piece.kind in _BOLTS]
    told: list[str] = []
    if "cotter pin" in kinds and bolts and all(bolt.fact("shank") == "not drilled" for bolt in bolts):
        told.append(f"a cotter pin, but the shank of {bolts[0].text} is not drilled?")
    # common practice, no source: to each castle nut and drilled pin its own
    to_lock = sum(line.count for line in stack.lines if _takes_pin(decoder.read(line.text)))
    pins = sum(line.count for line in stack.lines if kind_of(decoder, line.text) == "cotter pin")
    if 0 < pins < to_lock and "lockwire" not in {lock, *kinds}:
        told.append(f"{pins} cotter pin{'s' * (pins > 1)} for {to_lock} castle nuts or drilled pins?")
    if not kinds & _PINS and lock not in _LOCKED_BY:
        undrilled = any(bolt.fact("shank") == "not drilled" for bolt in bolts)
        told += [
            f"{piece.text} is locked by a cotter pin or lockwire, and neither is recorded?"
            for piece in known
            # a castle nut on a shank without a hole is asked about already
            if _takes_pin(piece) and (piece.kind == "clevis pin" or not undrilled)
        ]
    if lock != "lockwire" and "lockwire" not in kinds:
        told += [
            f"the head of {bolt.text} is drilled for lockwire, and no lockwire is recorded?"
            for bolt in bolts
            if bolt.fact("head").startswith("drilled")
        ]
    drilled = [bolt for bolt in bolts if bolt.fact("shank") != "not drilled"]
    for pin in known:
        if pin.kind == "cotter pin":
            told += _least_of(_cotter(decoder, bolt, pin) for bolt in drilled)
    return told


def _takes_pin(piece: Callout) -> bool:
    return piece.recognised and (piece.kind == "clevis pin" or piece.fact("lock") == "castle")


def _cotter(decoder: Decoder, bolt: Callout, pin: Callout) -> list[str]:
    """Ask where a cotter pin does not go through the shank, or is thinner than the least for it."""
    thread, thick = bolt.fact("thread"), pin.number("diameter")
    hole, fitting = decoder.catalogue.cotter_holes.get(thread), decoder.catalogue.fittings.get(thread)
    if thick is None or hole is None or fitting is None:
        return []
    usual, told = f"usual for {thread} is {fitting.usual_cotter}", pin.fact("diameter")
    if thick > (hole.number or thick):
        sheet = decoder.catalogue.sources.get(hole.source, hole.source)
        return [f"{pin.text} is {told} in thick, the hole in {bolt.text} at most {hole.value} in ({sheet}); {usual}?"]
    least = inches(fitting.least_cotter)
    if least is not None and thick < least:
        return [f"{pin.text} is {told} in thick, the least for {bolt.text} is {fitting.least_cotter} in; {usual}?"]
    return []


def _grip(stack: Stack, pieces: list[Callout], bolt: Callout, span: str) -> list[str]:
    """Ask where the measured parts and the bolt's grip do not fit each other, washers on both sides counted."""
    thick, grip = inches(span), bolt.number("grip")
    if thick is None or grip is None or stack.grip is None or stack.grip >= len(stack.lines):
        return []
    counted = list(zip(pieces, stack.lines, strict=True))
    under = sum(((p.number("thickness") or _NONE) * line.count for p, line in counted[1 : stack.grip]), _NONE)
    over = sum(((p.number("thickness") or _NONE) * line.count for p, line in counted[stack.grip :]), _NONE)
    told = f"the grip of {bolt.text} is {told_inches(grip)} in"
    if thick + under > grip + _GRIP_TOLERANCE:
        return [f"{told}, and what it must span is {told_inches(thick + under)} in: threads would bear in the parts?"]
    if thick + under + over < grip - _GRIP_TOLERANCE:
        whole = told_inches(thick + under + over)
        return [f"{told}, and parts with all washers are {whole} in: the nut would run onto the shank?"]
    return []


def _nut(bolt: Callout, nut: Callout) -> list[str]:
    told: list[str] = []
    if bolt.fact("thread") and nut.fact("thread") and bolt.fact("thread") != nut.fact("thread"):
        told.append(f"{nut.text} is {nut.fact('thread')}, but {bolt.text} is {bolt.fact('thread')}?")
    if nut.fact("hand") == "left":
        told.append(f"{nut.text} has a left-hand thread: does it belong on {bolt.text}?")
    if nut.fact("lock") == "castle" and bolt.fact("shank") == "not drilled":
        told.append(f"castle nut {nut.text}, but the shank of {bolt.text} is not drilled for a cotter pin?")
    diameter = bolt.number("diameter")
    if nut.fact("insert") == "nylon" and bolt.fact("shank").startswith("drilled") and (diameter or _SMALL) < _SMALL:
        told.append(f"{nut.text} has a nylon insert, and the shank of {bolt.text} is drilled: does it cut the insert?")
    if bolt.kind == "clevis bolt" and nut.fact("load") == "tension":
        told.append(f"{bolt.text} is for shear only; a shear nut in place of {nut.text}?")
    return told


def _washer(bolt: Callout, washer: Callout) -> list[str]:
    inside, diameter = washer.number("inside"), bolt.number("diameter")
    if inside is not None and diameter is not None and inside < diameter:
        return [f"{bolt.text} does not go through {washer.text}: its hole is {washer.fact('inside')} in?"]
    if inside is not None and diameter is not None and inside > diameter + _LOOSE:
        told = f"{washer.text} is for a {washer.fact('for bolt')} bolt, its hole {washer.fact('inside')} in"
        return [f"{told}: too large for {bolt.text}?"]
    return []


def _plain_steel(piece: Callout) -> bool:
    material = piece.fact("material")
    return "steel" in material and "corrosion" not in material


@dataclass(frozen=True, slots=True)
class Reference:
    """What the tables say of a stack's fastening. Empty torque: the table has no number, and `lacks` says for what."""

    thread: str
    torque: str
    most: str
    fitting: Fitting | None
    # for which the table has no number: "this nut"; empty where it has one
    lacks: str
    # with what head and nut are turned: "wrench, in inches: head 3/8, nut 3/8"; empty where nothing is known of it
    turned_by: str
    # the pin through a castle nut: "cotter usually MS24665-132, at least .044 in thick"; empty where none belongs
    cotter: str
    # how hard a used self-locking nut must at least run, in a sentence; empty for any other nut
    running: str
    # the most that Table 7-1 ever allows for such a thread and nut, in inch-pounds; None where it has no figure
    limit: int | None
    # the thread that the limit is for, and its nut: "10-32 with a shear nut"
    limit_for: str

    @property
    def told(self) -> str:
        """The torque in inch-pounds in words, or that there is none."""
        if not self.torque:
            return f"no number in the table for {self.lacks}"
        return f"{self.torque} in-lb, at most {self.most}"


def reference(decoder: Decoder, stack: Stack, *, only: str = "") -> Reference | None:
    """Return the reference figures for a stack with a known bolt and nut, in inch-pounds and inches; else None.

    Torque is given only for the nuts that AC 43.13-1B Table 7-1 names: AN310 and AN365 (MS20365) in tension, AN320 and
    AN364 (MS20364) in shear, on steel bolts. `only`: the spec of the bolt that is meant, where there are several.
    """
    read = [(line.spec, decoder.read(line.text)) for line in stack.lines]
    pieces = [piece for spec, piece in read if only in ("", spec) or piece.kind not in _BOLTS]
    bolt = next((p for p in pieces if p.recognised and p.kind in _BOLTS), None)
    nut = next((p for p in pieces if p.recognised and p.kind == "nut"), None)
    if bolt is None or not bolt.fact("thread"):
        return None
    thread = bolt.fact("thread")
    row: TorqueRow | None = decoder.catalogue.torque.get(thread)
    torque = most = ""
    lacks = _without_number(bolt, nut, row)
    if row is not None and nut is not None and not lacks:
        tension = nut.family in _TENSION
        torque, most = (row.tension, row.tension_most) if tension else (row.shear, row.shear_most)
    fitting = decoder.catalogue.fittings.get(thread)
    castle = nut is not None and nut.fact("lock") == "castle"
    limit, limit_for = _limit(decoder, pieces)
    return Reference(
        thread, torque, most, fitting, lacks=lacks, turned_by=_turned_by(bolt, nut, fitting),
        cotter=f"cotter usually {fitting.usual_cotter}, at least {fitting.least_cotter} in thick"
        if fitting is not None and castle else "", running=_running(decoder, nut),
        limit=limit, limit_for=limit_for,
    )  # fmt: skip


def _without_number(bolt: Callout, nut: Callout | None, row: TorqueRow | None) -> str:
    """Return for what Table 7-1 has no number, in words; empty where it has one."""
    if row is None:
        return "this thread"
    if bolt.family != "AN3-20" or not _plain_steel(bolt):
        return "this bolt"
    if nut is None:
        return "a bolt without a nut"
    known = nut.family in (*_TENSION, *_SHEAR) and _plain_steel(nut) and nut.fact("thread") == bolt.fact("thread")
    return "" if known else "this nut"


def _turned_by(bolt: Callout, nut: Callout | None, fitting: Fitting | None) -> str:
    """Return with what head and nut are turned, in inches over flats, each as well known as its row of the table.

    A slotted head takes no wrench. A reduced hexagon is smaller than is usual for the thread, and no table has it.
    """
    head = bolt.fact("head shape")
    own = bolt.facts.get("wrench") or (fitting.wrench if fitting is not None else None)
    told = [f"head {own}"] if own is not None and "slot" not in head else []
    if nut is not None and "reduced hexagon" in nut.title:
        told.append("nut smaller than usual (reduced hexagon): measure")
    elif nut is not None and fitting is not None:
        told.append(f"nut {Fact(fitting.nut_wrench, fitting.wrench.status, fitting.wrench.source)}")
    wrench = f"wrench, in inches: {', '.join(told)}" if told else ""
    return "; ".join(filter(None, (f"head {head}: a screwdriver" if "slot" in head else "", wrench)))


def _limit(decoder: Decoder, pieces: list[Callout]) -> tuple[int | None, str]:
    """Return the most that the table allows for any bolt of these pieces, and for what; None where one has no figure.

    The table is for steel: for an aluminium bolt or nut it has no figure, and a larger one must not pass for theirs.
    """
    best: tuple[int | None, str] = (None, "")
    for bolt in (piece for piece in pieces if piece.recognised and piece.kind in _BOLTS):
        thread = bolt.fact("thread")
        nuts = [p for p in pieces if p.recognised and p.kind == "nut" and p.fact("thread") == thread]
        row = decoder.catalogue.torque.get(thread)
        if row is None or any("aluminium" in piece.fact("material") for piece in (bolt, *nuts)):
            return None, ""
        shear = bool(nuts) and all(nut.fact("load") == "shear only" for nut in nuts)
        most = int(row.shear_most if shear else row.tension_most)
        if best[0] is None or most > best[0]:
            best = most, thread + (" with a shear nut" if shear else "")
    return best


def _running(decoder: Decoder, nut: Callout | None) -> str:
    if nut is None or nut.fact("lock") != "self-locking":
        return ""
    least = decoder.catalogue.prevailing.get(nut.fact("thread"))
    if least is None:
        return "A used self-locking nut that runs on by finger is thrown away (Table 7-2 has no figure for this size)."
    return f"A used self-locking nut must take at least {least} in-lb to run on (AC 43.13-1B Table 7-2)."


"""Bolt, washers, nut and lock belong together: what does not go together is asked when a stack is typed.

These are questions, never refusals: the aircraft may be built so, and the maker's data prevail.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from tagtrack.core.callout import Callout, Decoder
from tagtrack.core.catalogue import Fitting, TorqueRow, inches, told_inches
from tagtrack.core.hardware import Stack

CAUTION = (
    "Reference only, for oil-free cadmium-plated threads. The maker's manual prevails. Add the friction drag torque of "
    "self-locking nuts, and never pass the most allowed."
)
# NASM3-20: the grip of a bolt may be so much longer or shorter, in inches
_GRIP_TOLERANCE = Fraction(16, 1000)
_NONE = Fraction(0)
_BOLTS = frozenset({"bolt", "clevis bolt"})


@lru_cache(1024)
def questions(decoder: Decoder, stack: Stack, lock: str = "", span: str = "") -> tuple[str, ...]:
    """Return what in a stack does not seem to belong together, as questions for the person who typed it.

    `span` is how thick the gripped parts are, measured, in inches as typed; empty where nobody measured.
    """
    if not decoder.catalogue.families:
        return ()
    pieces = [decoder.read(line.text) for line in stack.lines]
    known = [piece for piece in pieces if piece.recognised]
    bolt = next((piece for piece in known if piece.kind in _BOLTS), None)
    told: list[str] = []
    for piece in pieces:
        if piece.trouble and not piece.recognised:
            offers = decoder.offers(piece.text)
            told.append(f"{piece.text}: {piece.trouble}" + (f"; meant {' or '.join(offers)}?" if offers else ""))
    if bolt is None:
        return tuple(told)
    for piece in known:
        if piece.kind == "nut":
            told += _nut(bolt, piece)
        elif piece.kind == "washer":
            told += _washer(bolt, piece)
    has_pin = any(piece.kind == "cotter pin" for piece in known)
    if has_pin and bolt.fact("shank") == "not drilled":
        told.append(f"a cotter pin, but the shank of {bolt.text} is not drilled?")
    if bolt.fact("head").startswith("drilled") and lock != "lockwire" and not any(p.kind == "lockwire" for p in known):
        told.append(f"the head of {bolt.text} is drilled for lockwire, and no lockwire is recorded?")
    return (*told, *_grip(stack, pieces, bolt, span))


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
    if nut.fact("lock") == "castle" and bolt.fact("shank") == "not drilled":
        told.append(f"castle nut {nut.text}, but the shank of {bolt.text} is not drilled for a cotter pin?")
    if bolt.kind == "clevis bolt" and nut.fact("load") == "tension":
        told.append(f"{bolt.text} is for shear only; a shear nut in place of {nut.text}?")
    return told


def _washer(bolt: Callout, washer: Callout) -> list[str]:
    inside, diameter = washer.number("inside"), bolt.number("diameter")
    if inside is not None and diameter is not None and inside < diameter:
        return [f"{bolt.text} does not go through {washer.text}: its hole is {washer.fact('inside')} in?"]
    return []


def _plain_steel(piece: Callout) -> bool:
    material = piece.fact("material")
    return "steel" in material and "corrosion" not in material


@dataclass(frozen=True, slots=True)
class Reference:
    """What the tables say of a stack's fastening. Empty torque: the table has no number for this nut."""

    thread: str
    torque: str
    most: str
    fitting: Fitting | None
    # locked by a cotter through a castle nut
    castle: bool
    # how hard a used self-locking nut must at least run, in a sentence; empty for any other nut
    running: str
    # the most that Table 7-1 allows for the thread in tension, in inch-pounds; None where it has no row
    limit: int | None

    @property
    def told(self) -> str:
        """The torque in inch-pounds in words, or that there is none."""
        return f"{self.torque} in-lb, at most {self.most}" if self.torque else "no number in the table for this nut"


def reference(decoder: Decoder, stack: Stack) -> Reference | None:
    """Return the reference figures for a stack with a known bolt and nut, in inch-pounds and inches; else None.

    Torque is given only for the nuts that AC 43.13-1B Table 7-1 names: AN310 and AN365 (MS20365) in tension, AN320 and
    AN364 (MS20364) in shear, on steel bolts.
    """
    pieces = [decoder.read(line.text) for line in stack.lines]
    bolt = next((p for p in pieces if p.recognised and p.kind in _BOLTS), None)
    nut = next((p for p in pieces if p.recognised and p.kind == "nut"), None)
    if bolt is None or not bolt.fact("thread"):
        return None
    thread = bolt.fact("thread")
    row: TorqueRow | None = decoder.catalogue.torque.get(thread)
    torque = most = ""
    steel = bolt.family == "AN3-20" and _plain_steel(bolt) and nut is not None and _plain_steel(nut)
    if row is not None and nut is not None and steel and nut.fact("thread") == thread:
        if nut.family in ("AN310", "AN365"):
            torque, most = row.tension, row.tension_most
        elif nut.family in ("AN320", "AN364"):
            torque, most = row.shear, row.shear_most
    return Reference(
        thread, torque, most, decoder.catalogue.fittings.get(thread),
        castle=nut is not None and nut.fact("lock") == "castle", running=_running(decoder, nut),
        limit=int(row.tension_most) if row is not None and row.tension_most.isdecimal() else None,
    )  # fmt: skip


def _running(decoder: Decoder, nut: Callout | None) -> str:
    if nut is None or nut.fact("lock") != "self-locking":
        return ""
    least = decoder.catalogue.prevailing.get(nut.fact("thread"))
    if least is None:
        return "A used self-locking nut that runs on by finger is thrown away (Table 7-2 has no figure for this size)."
    return f"A used self-locking nut must take at least {least} in-lb to run on (AC 43.13-1B Table 7-2)."


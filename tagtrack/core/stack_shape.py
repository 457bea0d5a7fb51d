"""The shape of a stack from head to nut, in inches along the bolt's axis: what a drawing of it needs to know.

Diameter, grip, length and washers are those of the tables. What no table has, such as the height of a head, is drawn
at a usual size and is no measurement.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, unique
from fractions import Fraction

from tagtrack.core.callout import Callout, Decoder
from tagtrack.core.catalogue import inches
from tagtrack.core.hardware import Stack

# drawn, not measured: no table has them
_HEAD = Fraction(1, 8)
_NUT = Fraction(3, 16)
_UNKNOWN = Fraction(1, 4)
_THIN = Fraction(1, 16)


@unique
class Outline(Enum):
    """How a piece is drawn."""

    HEAD = "head"
    # round: no flats; and round with a slot across its top
    ROUND_HEAD = "round head"
    SLOTTED_HEAD = "slotted head"
    WASHER = "washer"
    # the parts in the grip
    CLAMPED = "clamped"
    NUT = "nut"
    # across the shank: a cotter pin, lockwire
    PIN = "pin"


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece along the axis: its label, how long it is and how wide across, in inches."""

    outline: Outline
    label: str
    long: Fraction
    across: Fraction


@dataclass(frozen=True, slots=True)
class StackShape:
    """One fastener of a stack in order, head first. Lengths in inches; the shank reaches so far from the head's top."""

    pieces: tuple[Piece, ...]
    diameter: Fraction
    reach: Fraction
    # "head UP; grip 1/4 in, length 17/32 in"
    words: str

    @property
    def long(self) -> Fraction:
        """From the head's top to the end of what reaches farthest."""
        return max(self.reach, sum((piece.long for piece in self.pieces), Fraction(0)))

    @property
    def across(self) -> Fraction:
        """How wide the widest piece is."""
        return max(piece.across for piece in self.pieces)


def shape_of(decoder: Decoder, stack: Stack, span: str = "") -> StackShape | None:
    """Return the shape of a stack that was typed in order, or None for a flat list: its order is not known.

    `span` is how thick the gripped parts are, measured, in inches as typed; without it they fill the bolt's grip.
    """
    if stack.grip is None:
        return None
    callouts = [decoder.read(line.text) for line in stack.lines]
    bolt = callouts[0]
    diameter = bolt.number("diameter") or _UNKNOWN
    pieces = _pieces(decoder, stack, callouts, diameter, inches(span))
    whole = sum((piece.long for piece in pieces), Fraction(0))
    length = bolt.number("length")
    reach = _HEAD + length if length is not None else whole
    return StackShape(pieces, diameter, reach, _words(stack, bolt))


def _words(stack: Stack, bolt: Callout) -> str:
    head = f"head {stack.head.value}" if stack.head else "head on the left"
    known = [f"{name} {bolt.facts[name]} in" for name in ("grip", "length") if name in bolt.facts]
    return f"{head}; {', '.join(known) or 'grip and length unknown: measure them'}"


def _pieces(
    decoder: Decoder, stack: Stack, callouts: list[Callout], diameter: Fraction, span: Fraction | None
) -> tuple[Piece, ...]:
    # typed without a bar, where the parts lie is not known, and none are drawn
    grip = callouts[0].number("grip")
    under = sum((each.number("thickness") or Fraction(0) for each in callouts[1 : stack.grip]), Fraction(0))
    clamped = span or (max(grip - under, _THIN) if grip is not None else _UNKNOWN)
    pieces: list[Piece] = []
    for number, (line, callout) in enumerate(zip(stack.lines, callouts, strict=True)):
        if number == stack.grip:
            pieces.append(Piece(Outline.CLAMPED, "the parts that are gripped", clamped, diameter * 4))
        label = f"{line.count * stack.times} {line.text}" + (" NEW" if line.once else "")
        if callout.kind == "washer" or callout.number("thickness"):
            thick = (callout.number("thickness") or _THIN) * line.count
            pieces.append(Piece(Outline.WASHER, label, thick, callout.number("outside") or diameter * 2))
        elif callout.kind in ("cotter pin", "lockwire"):
            pieces.append(Piece(Outline.PIN, label, callout.number("diameter") or _THIN, diameter * 2))
        else:
            fitting = decoder.catalogue.fittings.get(callout.fact("thread"))
            outline, long = (_head(callout), _HEAD) if number == 0 else (Outline.NUT, _NUT)
            hexagon = fitting.wrench.number if fitting and outline in (Outline.HEAD, Outline.NUT) else None
            across = hexagon or diameter * 2
            pieces.append(Piece(outline, label, long, across))
    return tuple(pieces)


def _head(callout: Callout) -> Outline:
    """Return how the first piece's head is drawn: with flats where it is a hexagon, or nothing is known of it."""
    shape = callout.fact("head shape")
    if "slot" in shape:
        return Outline.SLOTTED_HEAD
    return Outline.HEAD if shape == "hex" or not callout.family else Outline.ROUND_HEAD

"""What is known of standard hardware, as plain immutable values: families, code tables, figures and where each is from.

The catalogue describes and warns. It never declares a part or a substitution approved: the maker's data do.
A figure that was not read anywhere is *unknown*, a figure in doubt is *unverified*, and both are told as such.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum, unique
from fractions import Fraction
from types import MappingProxyType


@unique
class Status(Enum):
    """How well a figure is known."""

    # read in the source that is named
    READ = "read"
    # worked out by a stated rule from figures that were read
    DERIVED = "derived"
    # believed right, not confirmed
    MEMORY = "from memory"
    # sources disagree, or memory is unsure: told as unverified, and nothing rests on it alone
    DOUBTFUL = "doubtful"


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing known of a callout: its text, how well it is known, and the id of its source."""

    value: str
    status: Status
    source: str

    def __str__(self) -> str:
        return self.value + ("" if self.status in (Status.READ, Status.DERIVED) else f" ({TOLD[self.status]})")

    @property
    def number(self) -> Fraction | None:
        """The value in inches where it is a number: `.063`, `9/16`, `1-1/4`; None where it is words."""
        return inches(self.value)


TOLD: Mapping[Status, str] = {
    Status.READ: "read",
    Status.DERIVED: "derived",
    Status.MEMORY: "from memory, unverified",
    Status.DOUBTFUL: "doubtful, unverified",
}

Facts = Mapping[str, Fact]
NOTHING: Facts = MappingProxyType({})


def inches(text: str) -> Fraction | None:
    """Return a length written as `.063`, `9/16` or `1-1/4`, or None where the text is no number."""
    whole, _, part = text.rpartition("-")
    try:
        return (Fraction(whole) if whole else Fraction(0)) + Fraction(part)
    except (ValueError, ZeroDivisionError):
        return None


def told_inches(length: Fraction) -> str:
    """Return a length as the trade writes it: sixty-fourths and coarser as a fraction, anything else in thousandths."""
    if length.denominator > 64 or 64 % length.denominator:
        return f"{float(length):.3f}".lstrip("0")
    whole, rest = divmod(length, 1)
    return "-".join(filter(None, (str(whole) if whole else "", str(rest) if rest else ""))) or "0"


@unique
class Kin(Enum):
    """How two callouts stand to each other, by the standards."""

    # one part under two numbers
    SAME = "same number"
    # the standard names the new number in place of the old
    SUCCESSOR = "successor"
    # fits, but lock, material or finish differs: needs the maker's data and a named person
    ALTERNATE = "alternate"
    # must not stand in for each other in silence
    NEVER = "never"


@dataclass(frozen=True, slots=True)
class Relation:
    """How one callout stands to another, why, how well that is known and from where."""

    kin: Kin
    why: str
    status: Status
    source: str


@dataclass(frozen=True, slots=True)
class Family:
    """One family of callouts. `shapes` is its grammar, see `callout`; `also` are other first letters it goes by."""

    name: str
    shapes: tuple[str, ...]
    kind: str
    title: str
    facts: Facts
    status: Status
    source: str
    also: tuple[tuple[str, Kin], ...] = ()


@dataclass(frozen=True, slots=True)
class Allowed:
    """With one code in one field, only these codes may stand in another."""

    field: str
    code: str
    other: str
    codes: frozenset[str]
    reason: str


@dataclass(frozen=True, slots=True)
class BoltLength:
    """The rule for a bolt's grip and length: N is the dash in inches and eighths. Thread length in inches."""

    grip_less: Fraction
    length_more: Fraction
    thread_length: str
    least_dash: int
    least_grip: Fraction
    status: Status
    source: str


@unique
class Reuse(Enum):
    """Whether a piece that came off may go back."""

    ALWAYS_NEW = "always"
    FINGER_TEST = "finger test"


@dataclass(frozen=True, slots=True)
class SingleUse:
    """A class of hardware that is used once, or only after a test."""

    kind: str
    family: str
    rule: Reuse
    why: str
    source: str


@dataclass(frozen=True, slots=True)
class TorqueRow:
    """AC 43.13-1B Table 7-1 for one thread, in inch-pounds: usual and most allowed, for tension and shear nuts."""

    tension: str
    shear: str
    tension_most: str
    shear_most: str


@dataclass(frozen=True, slots=True)
class Fitting:
    """What usually goes with a thread: wrench over flats in inches, cotter, washers, castle nut."""

    wrench: Fact
    nut_wrench: str
    least_cotter: str
    usual_cotter: str
    washer: str
    thin_washer: str
    castle_nut: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalogue:
    """Everything that the tables hold. Made by the loader; the digest names this very content."""

    families: tuple[Family, ...] = ()
    # (family, field) -> code -> what it says; the empty code is what a left-out letter says
    codes: Mapping[tuple[str, str], Mapping[str, Facts]] = field(default_factory=dict)
    # family -> conditions on its codes, and what they say together
    combinations: Mapping[str, tuple[tuple[Mapping[str, str], Facts], ...]] = field(default_factory=dict)
    allowed: Mapping[str, tuple[Allowed, ...]] = field(default_factory=dict)
    # (family, field, code) -> rule; and with the dash: figures as printed
    lengths: Mapping[tuple[str, str, str], BoltLength] = field(default_factory=dict)
    grips: Mapping[tuple[str, str, str, str], Facts] = field(default_factory=dict)
    relations: Mapping[tuple[str, str], Relation] = field(default_factory=dict)
    family_relations: Mapping[tuple[str, str], Relation] = field(default_factory=dict)
    single_use: tuple[SingleUse, ...] = ()
    # what the same pieces are called in plain words
    single_use_words: Mapping[str, SingleUse] = field(default_factory=dict)
    torque: Mapping[str, TorqueRow] = field(default_factory=dict)
    prevailing: Mapping[str, str] = field(default_factory=dict)
    fittings: Mapping[str, Fitting] = field(default_factory=dict)
    # thread -> the widest cotter hole of a bolt of that diameter
    cotter_holes: Mapping[str, Fact] = field(default_factory=dict)
    sources: Mapping[str, str] = field(default_factory=dict)
    digest: str = ""


EMPTY = Catalogue()

"""What a person says when something comes off, as a value."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from enum import Enum, unique

from tagtrack.core.axes import Direction
from tagtrack.core.hardware import Stack
from tagtrack.core.marks import Marks
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.records import Position, Requirement


@unique
class Keep(Enum):
    """Where the hardware goes when it comes off."""

    # a tagged bag
    BAG = "bag"
    # back into its own hole or fitting
    HOLE = "hole"
    # loose, beside the part, until a bag is scanned
    TRAY = "tray"
    # in a bag, counted later at the bench
    LATER = "later"
    # drilled, cut, scraped off
    SCRAP = "scrap"
    # it stays where it is: loosened only
    STAYS = "stays"


@dataclass(frozen=True, slots=True, kw_only=True)
class Removal:
    """What a person says when something comes off. Only the position and how its hardware is kept are compulsory."""

    position: Position
    marks: Marks = Marks()
    mount: Direction | None = None
    either_way: bool = False
    critical: bool = False
    area: str = ""
    closes_up: tuple[Position, ...] = ()
    # covers that lie over it
    under: tuple[Position, ...] = ()
    parent: Position | None = None
    number: str = ""
    serial: str = ""
    life: str = ""
    hardware: tuple[Stack, ...] = ()
    lock: str = ""
    # how thick the gripped parts are, measured, in inches as typed
    span: str = ""
    # other positions that the same hardware clamps
    clamps: tuple[Position, ...] = ()
    keep: Keep = Keep.TRAY
    # codes; empty: take one that is set aside for the job
    tag: str = ""
    bag: str = ""
    put: str = ""
    requirement: Requirement = Requirement()
    aside: bool = False
    # only its hardware came off, or was loosened: the part itself stays
    hardware_only: bool = False


def tray(position: Position) -> Place:
    """Return the place of hardware that lies loose beside its part."""
    return Place(PlaceKind.SPOT, f"loose, beside {position}")


def found_otherwise(listed: Removal, found: Removal, hardware: tuple[Stack, ...]) -> Removal:
    """Return a removal as it is known from elsewhere, with what was found otherwise, and the hardware, taken over."""
    unsaid = Removal(position=found.position)
    said = {
        each.name: getattr(found, each.name) for each in fields(Removal)
        if getattr(found, each.name) != getattr(unsaid, each.name)
    }  # fmt: skip
    if found.keep is not listed.keep and found.keep in (Keep.STAYS, Keep.LATER) and not found.hardware:
        # nothing holds it after all, or nobody has counted yet
        hardware = ()
    return replace(listed, **{**said, "keep": found.keep, "hardware": hardware,
                              "marks": found.marks.beside(listed.marks)})  # fmt: skip

"""What a printed tag says, as plain values: no page, no font, no millimetre.

`face_of` is told what the tag is for and gives a `TagFace`; the paper folder draws it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, unique

from tagtrack.core.axes import Side
from tagtrack.core.stack_shape import StackShape


@unique
class FaceKind(Enum):
    """What the tag is for. The word is printed on it."""

    # tied or stuck to one part that came off
    PART = "part"
    # on a bag of hardware
    BAG = "bag"
    # on a plug, or on one end of a wire, line or cable
    CONNECTION = "connection"
    # hung outside the aircraft: scan it to say where you work
    ZONE = "zone card"
    # on a shelf, table or trolley: scan it to say where a thing is put
    PLACE = "place"
    # carried by a person: scan it to say who works now
    PERSON = "person"
    # printed ahead of the work; gets its meaning when first used
    BLANK = "blank"


@dataclass(frozen=True, slots=True, kw_only=True)
class TagFace:
    """Everything one tag says. Empty text or an empty tuple means: say nothing of it."""

    code: str
    kind: FaceKind
    # None: the tag has no side (a place, a person, a blank)
    side: Side | None = None
    # position name without its side, or the zone's, place's or person's name
    title: str = ""
    registration: str = ""
    job: str = ""
    # "mark UP, arrow FWD"
    marks: str = ""
    # what to do with the marks, "pen mark UP, arrow FWD on the part itself"
    marks_note: str = ""
    # by which face it bolts on: "mount: INBD face", "mount: either way round"
    mount: str = ""
    # one line per lot, in stack order: "2 AN3-5A", "4 AN960-10"
    hardware: tuple[str, ...] = ()
    # the one stack of the hardware, where its order is known
    stack: StackShape | None = None
    # where another count goes back than came off: "GOES BACK: 4 AN3-5A (found 3)"
    goes_back: str = ""
    # "kept in its hole", "count at the bench", "NEW at refit: MS24665-132"
    hardware_note: str = ""
    # "bag 1 of 2"
    bag: str = ""
    # where a disconnected end goes: "end A goes to: terminal 3"
    goes_to: str = ""
    # short warnings in capitals, most important first: "CRITICAL", "LIFE-LIMITED", "UNSERVICEABLE"
    warnings: tuple[str, ...] = ()
    # what is written on the part: "P/N 5, S/N 77"
    numbers: str = ""
    # the zone in which it came off: "tail LEFT"
    area: str = ""
    # initials and day of the removal: "KT 2026-03-02"
    by: str = ""
    # record check number at the time of printing: "41-9f3a22c1"
    proof: str = ""
    # the shop's address, where its symbols are to hold it before the code: "HTTP://192.168.1.20:8765"
    address: str = ""

"""What the loop and a person say to each other: the answer to a line, and what is in hand between two lines."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum, unique

from tagtrack.core.events import Act
from tagtrack.core.places import Place
from tagtrack.core.records import Position, Via
from tagtrack.shop.desk import Job
from tagtrack.shop.ports import Who


@unique
class Tone(Enum):
    """How loud an answer is."""

    # done, recorded
    DONE = "done"
    # nothing recorded yet: go on
    NOTE = "note"
    # a question stands
    ASK = "ask"
    # wrong: stop
    WRONG = "wrong"


@dataclass(frozen=True, slots=True)
class Reply:
    """The answer to one line."""

    tone: Tone
    lines: tuple[str, ...]
    act: Act | None = None
    # the work order was signed off, or the person leaves
    ends: bool = False
    # how many findings a check told
    found: int = 0
    # what was asked before this line, left without an answer, and so not recorded: told beside the answer, and louder
    dropped: str = ""
    # nothing is amiss but that more is to be done, and what it takes lies where it is kept
    more: bool = False


def done(act: Act | None, *lines: str) -> Reply:
    """Return the answer to something that was recorded."""
    return Reply(Tone.DONE, tuple(line for line in lines if line), act)


def note(*lines: str) -> Reply:
    """Return an answer that records nothing."""
    return Reply(Tone.NOTE, tuple(line for line in lines if line))


def ask(*lines: str) -> Reply:
    """Return a question."""
    return Reply(Tone.ASK, tuple(line for line in lines if line))


def wrong(act: Act | None, *lines: str) -> Reply:
    """Return an answer to something that was recorded although it is wrong, or that must be heard."""
    return Reply(Tone.WRONG, tuple(line for line in lines if line), act)


def more(act: Act, *lines: str) -> Reply:
    """Return the answer to something that was recorded, is right as far as it goes, and goes on."""
    return Reply(Tone.WRONG, tuple(line for line in lines if line), act, more=True)


@dataclass(slots=True)
class Bench:
    """What is in hand between two lines. One per person at work; it holds nothing that is not also on disk."""

    job: Job
    initials: str
    via: Via = Via.TYPED
    # what the clock of the device said when it was pressed, where that is another
    device_at: str = ""
    # the area of the zone card last scanned
    area: str = ""
    # the exact position, where one was named
    at: Position | None = None
    # the part just scanned, by identity
    part: str = ""
    # the position whose hardware is being worked
    subject: Position | None = None
    # the bag just scanned, or the tray of the last removal
    bag: Place | None = None
    # the code of a bag scanned just before, which a place code then tells the place of
    bag_scanned: str = ""
    # the end of a connection just scanned, of which it is asked on which terminal it is
    end: tuple[Position, str] | None = None
    # a fresh tag scanned before its part came off
    blank: str = ""
    # the last position taken off with loose hardware, waiting for its bag
    loose: Position | None = None
    # the last removal, for "same"
    last_off: Position | None = None
    # what was asked and waits for "yes, because ..."
    pending: Callable[[Who], Reply] | None = None
    # the last line that asked for something and was not recorded, until one is; and the last step recorded here
    missed: str = ""
    latest: str = ""
    # whose own PIN came with the line
    vouched: frozenset[str] = frozenset()
    # printed since the loop began: codes that need a label
    to_print: int = 0

    # what the question that waits, and those before it, have told
    heard: frozenset[str] = frozenset()
    # where the part in hand goes, as it was said with it
    goes_to: Position | None = None

    def who(self, despite: str = "") -> Who:
        """Return who works now, and what a reason was given to."""
        return Who(self.initials, self.via, despite, self.device_at, self.heard, self.vouched)

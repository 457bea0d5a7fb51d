"""The word for photos: the page sends one, then says what it shows."""

from __future__ import annotations

from tagtrack.core.records import Position, position
from tagtrack.shop import picturing
from tagtrack.shop.lines.talk import Bench, Reply, done
from tagtrack.shop.ports import Who


def photo(bench: Bench, who: Who, text: str) -> Reply:
    """`photo SHA256 of POSITION SIDE`, `photo SHA256`: a kept photo shows that, or what is in hand, or the area."""
    name, _, about = text.partition(" of ")
    here = position(about) if about.strip() else _in_hand(bench)
    act = picturing.attach(bench.job, who, name, position=here, area=bench.area)
    return done(act, f"PHOTO  {picturing.subject_of(act)}")


def _in_hand(bench: Bench) -> Position | None:
    """Return the position that is meant where none is named: of the part in hand, where one stands, of the last act."""
    if bench.part:
        return bench.job.state.parts[bench.part].home
    return bench.at or bench.subject or bench.last_off

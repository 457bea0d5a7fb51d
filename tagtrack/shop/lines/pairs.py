"""What is told of a left/right pair once both sides are off, and the word for its marks: marked."""

from __future__ import annotations

from tagtrack.core.axes import Side
from tagtrack.core.check_pairs import SAY_WHY, half_marked, marking, pair, pair_marks
from tagtrack.core.counting import found_at
from tagtrack.core.errors import Refusal
from tagtrack.core.index import Index
from tagtrack.core.marks import parse as parse_marks
from tagtrack.core.records import Position, position
from tagtrack.shop import removing
from tagtrack.shop.lines.clauses import clauses, positions
from tagtrack.shop.lines.talk import Bench, Reply, done
from tagtrack.shop.naming import existing
from tagtrack.shop.ports import Who


def marked(bench: Bench, who: Who, text: str) -> Reply:
    """`marked POSITION SIDE; wicks UP`: more marks were put on a part after it came off; also LEFT + RIGHT."""
    parts = clauses(text)
    if len(parts) != 2:
        raise Refusal("what was marked?", expected="a position and its new marks", came=text or "nothing",
                      todo="marked elevator balance weight LEFT; arrow FWD")  # fmt: skip
    each = [existing(bench.job.state, here).position for here in positions(parts[0]) or (position(parts[0]),)]
    before = [asks for here in each for asks in asked_of(bench, here)]
    act = removing.mark(bench.job, who, {here: parse_marks(parts[1], here.side) for here in each})
    bears = [(here, bench.job.state.part_from(here)) for here in each]
    told = [f"MARKED  {here}: {part.marks if part else parts[1]}" for here, part in bears]
    # what was asked of the pair before, and is as it was, is not asked once more
    asked = dict.fromkeys(asks for here in each for asks in asked_of(bench, here) if asks not in before)
    return done(act, *told, *asked)


def asked_of(bench: Bench, here: Position) -> list[str]:
    """Return what differs between this position and its twin, to be answered once both sides are off."""
    index = bench.job.index()
    left = here if here.side is Side.LEFT else here.mirrored
    if left not in index.state.positions:
        return []
    half = half_marked(index, left)
    alike = [f for f in pair_marks(index, left) if f.key not in index.state.rulings]
    told = [
        f"     PAIR DIFFERS  {left.name}, {f.thing}: {f.expected}; {f.seen}\n"
        + (f"         {f.advice}\n" if f.advice != SAY_WHY else "")
        + f"         why? design {f.short} because ..., or answer {f.short} because ..."
        + (_missing(index, left) if f.thing.startswith("hardware") else "")
        for f in pair(index, left)
        # while the second one of a pair is still to be marked like the first, that is all that is to be said of marks
        if f.key not in index.state.rulings and not (alike and half and f.thing.startswith("marks"))
    ]
    told += [
        f"     LOOKS ALIKE  {left.name}: {f.seen}\n         needed: {f.expected}\n"
        + "".join(f"         {line}\n" for line in marking(index, left))
        + f"         cannot go on that way: design {f.short} because ..."
        for f in alike
    ]
    return told


def _missing(index: Index, left: Position) -> str:
    """Return what to type where a piece was missing as found on one side of a pair; nothing where none is fewer."""
    mine, its = found_at(index.state, left)[0], found_at(index.state, left.mirrored)[0]
    for here, fewer, more in ((left, mine, its), (left.mirrored, its, mine)):
        lacks = [f"{count} {spec}" for spec, count in more.items() if fewer.get(spec, 0) < count]
        if lacks and all(fewer.get(spec, 0) <= count for spec, count in more.items()):
            return f"\n         one was missing: back {here.name} {here.side.value}; {', '.join(lacks)} because ..."
    return ""

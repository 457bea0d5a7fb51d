"""Checks of left/right pairs: did both sides come off alike, and do the marks tell one part from the other?"""

from __future__ import annotations

from tagtrack.core.axes import Direction, Side, by_the_wing
from tagtrack.core.counting import agree, found_at, going_back
from tagtrack.core.findings import Finding, Kind
from tagtrack.core.handed import Mounting, lacking, passes_unseen, to_add, told_lacking
from tagtrack.core.hardware import text_of
from tagtrack.core.index import Index
from tagtrack.core.marks import Marks
from tagtrack.core.part_numbers import told_handed
from tagtrack.core.records import Position
from tagtrack.core.things import PartState

_HARDWARE = "hardware as found"
_NUMBER = "part number"
# what is asked where a pair differs, and nothing else is known of the difference
SAY_WHY = "say why: by design, one was missing as found, a former repair"


def pairs(index: Index) -> list[Finding]:
    """Return left/right pairs whose sides came off with different hardware, marks or part numbers."""
    return [
        found
        for position in index.state.positions
        for check in (pair, pair_marks)
        for found in check(index, position)
    ]


def pair(index: Index, left: Position) -> list[Finding]:
    """Return how the left one of a pair differs from its twin; nothing for another side, or until both came off."""
    known, twin = index.state.positions[left], index.state.positions.get(left.mirrored)
    if left.side is not Side.LEFT or twin is None or not (known.cycle and twin.cycle):
        return []
    mine, its = _description(index, left), _description(index, twin.position)
    return [
        Finding(
            kind=Kind.PAIR_DIFFERS, position=left, area=known.area, thing=f"{what}, left and right",
            expected=f"the same on both sides; LEFT has {told}", seen=f"RIGHT has {its[what]}",
            advice=_why(told, its[what]) if what == _NUMBER else SAY_WHY, acts=known.acts,
        )
        for what, told in mine.items()
        if told and its[what] and told != its[what]
        and not (what == _HARDWARE and _held_alike(index, left, twin.position))
    ]  # fmt: skip


def _why(left: str, right: str) -> str:
    handed = told_handed(left, right)
    return f"{handed}: look at both plates, then say why" if handed else SAY_WHY


def _held_alike(index: Index, left: Position, right: Position) -> bool:
    """Return whether the sides of a pair came off with the same hardware, or the same goes back.

    A neighbour's bolt that goes through may be told there on one side, and here on the other.
    """
    for counted in (found_at, going_back):
        # where one was missing, and goes back, the sides are alike again, and somebody has said why
        sides = zip(counted(index.state, left), counted(index.state, right), strict=True)
        if any(agree(index.knowledge, mine, its) for mine, its in sides):
            return True
    return False


def pair_marks(index: Index, left: Position) -> list[Finding]:
    """Return a pair whose marks cannot tell left from right while one of them is off: asked for as long as it helps.

    Only where somebody marked one of them, or the position is critical: most panels are nobody's question.
    """
    twin = left.mirrored
    if left.side is not Side.LEFT or twin not in index.state.positions:
        return []
    mine, its = index.belonging(left), index.belonging(twin)
    known = index.state.positions[left]
    other = index.state.positions[twin]
    if mine is None or its is None or not (known.cycle and other.cycle) or (mine.at and its.at):
        return []
    if mine.marks.is_empty() and its.marks.is_empty() and not (known.critical or other.critical):
        return []
    missing = lacks(index, mine, its)
    if not missing:
        return []
    return [
        Finding(
            kind=Kind.PAIR_LOOKS_ALIKE, position=left, area=known.area, thing="marks, left and right",
            expected=f"marks that tell left from right: {missing}", seen=_told_marks(mine, its),
            advice=f"mark and say so: {';  '.join(marking(index, left))}.  Cannot go on that way? "
            "design, because ...", acts=known.acts,
        )
    ]  # fmt: skip


def mounting(index: Index, position: Position) -> Mounting:
    """Return how a position's part bolts on, as it was said for it or for its twin."""
    known = index.state.positions.get(position)
    twin = index.state.positions.get(position.mirrored)
    if known is not None and (known.mount is not None or known.either_way):
        return Mounting(known.mount, known.either_way)
    if twin is not None and (twin.mount is not None or twin.either_way):
        return Mounting(twin.mount.across if twin.mount else None, twin.either_way)
    return Mounting()


def lacks(index: Index, part: PartState, twin: PartState) -> str:
    """Return which mark is missing to tell a part from its twin, in shop words; empty where the marks are enough."""
    held = mounting(index, part.home)
    # only marks that both bear can be compared; with those, each part's own record counts, not the mirror
    shared = {mark.feature for mark in part.marks.each} & {mark.feature for mark in twin.marks.each}
    both = Marks(tuple(mark for mark in part.marks.each if mark.feature in shared))
    missing = lacking(both, held, part.home.side)
    if missing:
        return told_lacking(missing)
    if passes_unseen(both, twin.marks, held, part.home.side):
        return "one that points another way on the one than on the other"
    return ""


def marking(index: Index, left: Position) -> tuple[str, ...]:
    """Return the lines that say the fewest marks by which the parts of a pair are told apart: one for both, or each."""
    mine, its = index.belonging(left), index.belonging(left.mirrored)
    if mine is None or its is None:
        return ()
    more = to_add(mine.marks, its.marks, mounting(index, left), left.side)
    if str(more[0]) == str(more[1]) and not more[0].is_empty():
        return (f"marked {left.name} LEFT + RIGHT; {more[0]}",)
    homes = zip((left, left.mirrored), more, strict=True)
    return tuple(f"marked {here.name} {here.side.value}; {add}" for here, add in homes if not add.is_empty())


def half_marked(index: Index, left: Position) -> bool:
    """Return whether the marks of a pair differ in nothing but that one part bears a mark which the other lacks."""
    mine, its = (_by_the_wing(index.belonging(here), here.side) for here in (left, left.mirrored))
    return all(mine[feature] == its[feature] for feature in mine.keys() & its.keys())


def _by_the_wing(part: PartState | None, side: Side) -> dict[str, Direction]:
    """Return which way each mark points, seen from the wing: LEFT on the left side is as RIGHT on the right."""
    return {mark.feature: by_the_wing(mark.way, side) for mark in part.marks.each} if part else {}


def _told_marks(mine: PartState, its: PartState) -> str:
    return f"LEFT {str(mine.marks) or 'not marked'}; RIGHT {str(its.marks) or 'not marked'}"


def _description(index: Index, position: Position) -> dict[str, str]:
    own, _ = found_at(index.state, position)
    bare = index.state.positions[position].bare
    part = index.belonging(position)
    mount = index.state.positions[position].mount
    return {
        "mounting face": f"mount {by_the_wing(mount, position.side).value}" if mount else "",
        _NUMBER: part.number if part else "",
        _HARDWARE: text_of(dict(sorted(own.items()))) if own or bare else "",
        "marks": ", ".join(sorted(f"{mark} {way.value}" for mark, way in _by_the_wing(part, position.side).items())),
    }

"""The single pieces of a position, as they can be pressed about on its page: what lacks, what is used up."""

from __future__ import annotations

from dataclasses import dataclass

from tagtrack.core.check_joints import inside, to_renew
from tagtrack.core.findings import Kind
from tagtrack.core.hardware import Line
from tagtrack.core.reconcile import of_position
from tagtrack.core.records import Position
from tagtrack.core.state import State
from tagtrack.core.things import JointState
from tagtrack.shop.desk import Job

Counts = tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """The hardware of one position, each callout as it was said."""

    # every callout of its joints
    known: tuple[str, ...] = ()
    # still to go in, and not in its bag or hole: found again on the bench, or to be had from stock
    lacking: Counts = ()
    # used once, and bent or tightened before: out first, then new ones in
    worn: Counts = ()


NO_PIECES = Pieces()


def pieces_of(job: Job, home: Position) -> Pieces:
    """Return what a position's page offers of single pieces; what is used once anyway is not lacking, it is renewed."""
    index, state = job.index(), job.state
    joints = state.joints_of(home)
    lines = [(joint, line) for joint in joints for line in joint.back]
    texts = {line.spec: line.text for _, line in lines}
    short = {f.thing for f in of_position(index, home) if f.kind is Kind.SHORT and f.answer is None}
    lacking = {line.text: lacks for joint, line in lines
               if line.spec in short and not line.once and (lacks := _lacks(state, joint, line)) > 0}  # fmt: skip
    worn: dict[str, int] = {}
    for joint in joints:
        for spec, count in to_renew(index.knowledge, joint).items():
            worn[texts.get(spec, spec)] = worn.get(texts.get(spec, spec), 0) + count
    return Pieces(known=tuple(dict.fromkeys(texts.values())), lacking=tuple(lacking.items()), worn=tuple(worn.items()))


def _lacks(state: State, joint: JointState, line: Line) -> int:
    """Return how many of a line are neither in the joint nor where its hardware is kept."""
    kept = sum(count for item, count in state.holdings.get(joint.kept, {}).items() if item.name == line.spec)
    return line.count - inside(state.holdings, joint)[0].get(line.spec, 0) - kept

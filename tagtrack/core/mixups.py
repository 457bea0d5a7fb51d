"""Which bags of a job are taken for each other: the same thread, and little else differs."""

from __future__ import annotations

from dataclasses import dataclass

from tagtrack.core.index import Index
from tagtrack.core.kinship import look_alike
from tagtrack.core.places import KEPT, Place
from tagtrack.core.things import JointState


@dataclass(frozen=True, slots=True)
class MixUp:
    """Another place of the job that holds what a piece of this joint is taken for, and how it differs."""

    place: Place
    text: str
    words: str


def taken_for(index: Index, joint: JointState) -> tuple[MixUp, ...]:
    """Return what still lies in the shop and is easily taken for hardware of this joint, and would be gravely wrong.

    The twin on the other side is left out: it holds the same, and its tag bears the other side's letter.
    """
    if not index.knowledge.catalogue.families:
        return ()
    mine = {line.spec: None for line in joint.stack.lines}
    found: dict[tuple[Place, str], MixUp] = {}
    for other in index.state.joints.values():
        if other.positions[0].name == joint.positions[0].name or other.kept not in index.state.holdings:
            continue
        if other.kept.kind not in KEPT:
            # it was backed off, and never left the aircraft
            continue
        # what was thrown away at once, or is back in, is in nobody's way
        lying = {item.name for item in index.state.holdings[other.kept]}
        for line in other.stack.lines:
            for spec in mine if line.spec not in mine and line.spec in lying else ():
                alike = look_alike(index.knowledge, spec, line.spec)
                if alike is not None and alike.grave and alike.by_eye:
                    found.setdefault((other.kept, line.spec), MixUp(other.kept, line.text, alike.words))
    return tuple(found.values())

"""What is to go back is not what was found: another piece on purpose, one more, another count. Always with a reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tagtrack.core import places
from tagtrack.core.callout import Decoder
from tagtrack.core.check_joints import to_go_back
from tagtrack.core.counting import goes_as
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, BackSet, Event, HardwareInstalled
from tagtrack.core.hardware import Line, text_of
from tagtrack.core.kinship import always_new, made_tight
from tagtrack.core.places import Move, Place, PlaceKind
from tagtrack.core.records import Position
from tagtrack.core.spelling import reason
from tagtrack.core.state import State
from tagtrack.core.things import JointState
from tagtrack.shop.desk import Job
from tagtrack.shop.fastening import lacking
from tagtrack.shop.meant import joints_for, own_first
from tagtrack.shop.ports import Who


def used_instead(job: Job, who: Who, actual: Line, instead: Line, position: Position, why: str) -> Act:
    """Record that another piece than recorded went in, from stock, on purpose: a thinner washer, a longer bolt."""
    told = reason(why)

    def make(state: State) -> Sequence[Event]:
        joints = [j for j in own_first(state, position) if instead.spec in to_go_back(j)]
        if not joints:
            raise Refusal(
                f"no {instead.text} is to go back at {position}",
                expected=text_of({s: n for j in state.joints_of(position) for s, n in to_go_back(j).items()}),
                came=str(instead), todo="name what it stands in for",
            )  # fmt: skip
        # where one is still lacking it went in; where none is, it is to go in instead
        joint = max(joints, key=lambda j: min(instead.count, lacking(job.knowledge, state, j).get(instead.spec, 0)))
        stands_in = _known_of(job.knowledge, actual)
        lines = _exchanged(joint.back, stands_in, instead)
        heads = (actual.spec,) if instead.spec in joint.tightened else ()
        target = Place(PlaceKind.JOINT, joint.identity)
        return (
            BackSet(joint.identity, lines, f"{actual} instead of {instead}: {told}", heads),
            HardwareInstalled(joint.identity, (Move(places.new(actual.spec), actual.count, places.STOCK, target),)),
        )

    return job.commit(who, make)


def added(job: Job, who: Who, extra: Line, position: Position, why: str) -> Act:
    """Record that one piece more than found went in, from stock, on purpose: a washer to line up a cotter hole."""
    told = reason(why)

    def make(state: State) -> Sequence[Event]:
        joints = joints_for(state, None, position)
        joint = next((j for j in joints if extra.spec in to_go_back(j)), joints[0])
        lines = _merged((*joint.back, _known_of(job.knowledge, extra)))
        target = Place(PlaceKind.JOINT, joint.identity)
        return (
            BackSet(joint.identity, lines, f"{extra} more: {told}", _new_heads(job.knowledge, joint, (extra,))),
            HardwareInstalled(joint.identity, (Move(places.new(extra.spec), extra.count, places.STOCK, target),)),
        )

    return job.commit(who, make)


def set_to_go_back(job: Job, who: Who, lines: Sequence[Line], position: Position, why: str) -> Act:
    """Record that other counts are to go back at a position than were found, and why; a count of 0: none of them.

    What counts as a piece that was found takes the place of that one. Where several of its joints hold a spec, each
    keeps its count as far as the new one reaches, and the last takes the rest.
    """
    told = reason(why)

    def make(state: State) -> Sequence[Event]:
        joints = joints_for(state, None, position)
        back = {joint.identity: list(joint.back) for joint in joints}
        specs = {line.spec for line in lines}
        fresh: dict[str, list[Line]] = {joint.identity: [] for joint in joints}
        for line in lines:
            as_what = {j.identity: goes_as(job.knowledge, to_go_back(j), line.spec) for j in joints}
            # of two numbers said together each has a count of its own
            as_what = {each: spec for each, spec in as_what.items() if spec == line.spec or spec not in specs}
            knows = [j for j in joints if as_what.get(j.identity)]
            knows = [j for j in knows if j.positions[0] == position] or knows
            knows = knows or [max(joints, key=lambda j: len(specs & to_go_back(j).keys()))]
            left = line.count
            for joint in knows:
                share = left if joint is knows[-1] else min(left, to_go_back(joint)[as_what[joint.identity]])
                left -= share
                gone = (line.spec, as_what.get(joint.identity))
                mine = [each for each in back[joint.identity] if each.spec not in gone]
                more = [_known_of(job.knowledge, replace(line, count=share))] if share else []
                back[joint.identity] = [*mine, *more]
                fresh[joint.identity].append(line)
        return tuple(
            BackSet(j.identity, tuple(back[j.identity]), told, _new_heads(job.knowledge, j, fresh[j.identity]))
            for j in joints
            if fresh[j.identity] and tuple(back[j.identity]) != j.back
        ) or (BackSet(joints[0].identity, joints[0].back, told),)

    return job.commit(who, make)


def _known_of(knowledge: Decoder, line: Line) -> Line:
    """Return the line, marked where the tables say that its pieces are used once."""
    return replace(line, once=line.once or always_new(knowledge, line.text))


def _new_heads(knowledge: Decoder, joint: JointState, lines: Sequence[Line]) -> tuple[str, ...]:
    """Return which of the specs come into the joint anew, and are made tight."""
    known = {line.spec for line in (*joint.back, *joint.found)}
    return tuple(line.spec for line in lines if line.spec not in known and made_tight(knowledge, line.text))


def _merged(lines: Sequence[Line]) -> tuple[Line, ...]:
    found: dict[str, Line] = {}
    for line in lines:
        before = found.get(line.spec)
        found[line.spec] = Line(
            line.count + (before.count if before else 0), line.text, line.once or bool(before and before.once)
        )
    return tuple(found.values())


def _exchanged(back: Sequence[Line], actual: Line, instead: Line) -> tuple[Line, ...]:
    kept = [
        Line(line.count - instead.count, line.text, line.once) if line.spec == instead.spec else line for line in back
    ]
    if any(line.count < 0 for line in kept):
        raise Refusal(f"there are not {instead} to stand in for", expected=", ".join(map(str, back)),
                      came=str(instead), todo="count again")  # fmt: skip
    return _merged([*(line for line in kept if line.count), actual])

"""Pieces counted as what is wanted: the same number, or its successor; and what holds a position, so counted."""

from __future__ import annotations

from collections.abc import Mapping

from tagtrack.core.callout import Decoder
from tagtrack.core.hardware import totals
from tagtrack.core.kinship import counts_as
from tagtrack.core.records import Position
from tagtrack.core.state import State


def counted_as(knowledge: Decoder, wanted: Mapping[str, int], every: Mapping[str, int]) -> dict[str, int]:
    """Return what is in a joint, each piece counted as what is wanted where it is the same number or its successor."""
    if all(count <= wanted.get(spec, 0) for spec, count in every.items()):
        # nothing stands in for anything
        return dict(every)
    return {spec: sum(pieces.values()) for spec, pieces in standing_for(knowledge, wanted, every).items()}


def standing_for(
    knowledge: Decoder, wanted: Mapping[str, int], every: Mapping[str, int]
) -> dict[str, dict[str, int]]:
    """Return by what each spec is stood for: by itself as far as it is wanted, else by what counts as the same."""
    found = {spec: {spec: min(count, wanted[spec])} for spec, count in every.items() if wanted.get(spec)}
    for spec, count in every.items():
        left = count - found.get(spec, {}).get(spec, 0)
        alike = [w for w in wanted if w != spec and counts_as(knowledge, spec, w)] if left else []
        for each in alike:
            share = min(left, wanted[each] - sum(found.get(each, {}).values()))
            if share > 0:
                found.setdefault(each, {})[spec] = share
                left -= share
        if left:
            mine = found.setdefault(spec if spec in wanted else next(iter(alike), spec), {})
            mine[spec] = mine.get(spec, 0) + left
    return found


def short_of(knowledge: Decoder, wanted: Mapping[str, int], every: Mapping[str, int]) -> dict[str, int]:
    """Return how many of each spec that is wanted are lacking; a successor counts as what it replaced."""
    have = counted_as(knowledge, wanted, every)
    return {spec: count - have.get(spec, 0) for spec, count in wanted.items() if count > have.get(spec, 0)}


def goes_as(knowledge: Decoder, wanted: Mapping[str, int], spec: str) -> str:
    """Return as what a spec is wanted: itself, or what it counts as; empty where it is not."""
    return spec if spec in wanted else next((each for each in wanted if counts_as(knowledge, spec, each)), "")


def too_many(knowledge: Decoder, wanted: Mapping[str, int], every: Mapping[str, int]) -> dict[str, int]:
    """Return what is in a joint beyond what is wanted, by the numbers of the pieces themselves."""
    found: dict[str, int] = {}
    for spec, pieces in standing_for(knowledge, wanted, every).items():
        left = sum(pieces.values()) - wanted.get(spec, 0)
        # those of another number first
        for piece in sorted(pieces, key=lambda each: each == spec):
            share = min(left, pieces[piece])
            if share > 0:
                found[piece] = found.get(piece, 0) + share
                left -= share
    return found


def agree(knowledge: Decoder, one: dict[str, int], other: dict[str, int]) -> bool:
    """Return whether two counts are the same, a successor counted as what it replaced."""
    return counted_as(knowledge, one, other) == one


def found_at(state: State, position: Position) -> tuple[dict[str, int], dict[str, int]]:
    """Return what was found: of the position's own joints, and of all that clamp something there."""
    joints = state.joints_of(position)
    return totals(j.stack for j in joints if j.positions[0] == position), totals(j.stack for j in joints)


def going_back(state: State, position: Position) -> tuple[dict[str, int], dict[str, int]]:
    """Return what is to go back: into the position's own joints, and into all that clamp something there."""
    own: dict[str, int] = {}
    every: dict[str, int] = {}
    for joint in state.joints_of(position):
        for line in joint.back:
            every[line.spec] = every.get(line.spec, 0) + line.count
            if joint.positions[0] == position:
                own[line.spec] = own.get(line.spec, 0) + line.count
    return own, every

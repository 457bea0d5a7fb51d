"""What the tags of a job say: from the record to the plain values that the paper folder draws."""

from __future__ import annotations

from collections.abc import Sequence

from tagtrack.core.axes import Side, side_or_none
from tagtrack.core.callout import NOTHING_KNOWN, Decoder
from tagtrack.core.check_pairs import lacks, mounting
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Planned
from tagtrack.core.faces import FaceKind, TagFace
from tagtrack.core.handed import Mounting, tell_tale
from tagtrack.core.hardware import Line, Stack
from tagtrack.core.index import Index
from tagtrack.core.kinship import used_once
from tagtrack.core.marks import Marks
from tagtrack.core.mixups import taken_for
from tagtrack.core.places import PlaceKind, told
from tagtrack.core.records import Condition, Position, TagRole
from tagtrack.core.spelling import how_many
from tagtrack.core.stack_shape import StackShape, shape_of
from tagtrack.core.state import State
from tagtrack.core.tagcode import shown, suffix
from tagtrack.core.things import JointState, PartState, TagState


def face_of(
    state: State, code: str, knowledge: Decoder = NOTHING_KNOWN, *, proof: str = "", by: str = ""
) -> TagFace:
    """Return what the tag of this code says; refuse a code that has no meaning in this job.

    `by` is initials and day, `proof` the record check number, both as the caller wants them printed.
    """
    tag = state.tags.get(code)
    if tag is None and code in state.planned:
        return _planned(state, state.planned[code], code, knowledge, by)
    if tag is None:
        raise Refusal(f"tag {shown(code)} has no meaning in this job", expected="a tag in use", came=shown(code),
                      todo="look at the list of tags: tags")  # fmt: skip
    match tag.role:
        case TagRole.PART:
            return _part(Index.of(state, knowledge), tag, state.parts[tag.thing], proof, by)
        case TagRole.BAG:
            return _bag(Index.of(state, knowledge), tag, Position.read(tag.thing), proof, by)
        case TagRole.CONNECTION:
            return _connection(state, tag, proof, by)
        case TagRole.ZONE:
            words = tag.thing.split()
            side = next((side_or_none(w) for w in (words[-1], words[0]) if side_or_none(w)), None)
            title = " ".join(w for w in words if side_or_none(w) is None) or tag.thing
            return _plain(state, tag, FaceKind.ZONE, title, side)
        case TagRole.PLACE:
            return _plain(state, tag, FaceKind.PLACE, tag.thing, None)
        case TagRole.PERSON:
            return _plain(state, tag, FaceKind.PERSON, tag.thing, None)


def _planned(state: State, plan: Planned, code: str, knowledge: Decoder, by: str) -> TagFace:
    registration, job = _aircraft(state)
    hardware = used_once(knowledge, plan.hardware)
    one = hardware[0] if len(hardware) == 1 else None
    is_bag = code == plan.bag
    return TagFace(
        code=code, kind=FaceKind.BAG if is_bag else FaceKind.PART, side=plan.position.side, title=plan.position.name,
        registration=registration, job=job, marks="" if is_bag else str(plan.marks),
        marks_note="" if is_bag else "; ".join(_pen(plan.marks)),
        mount="" if is_bag else mount_words(Mounting(plan.mount, plan.either_way)), bag=_planned_bag(plan, code),
        hardware=tuple(line for stack in hardware for line in _stack_lines(stack)),
        stack=shape_of(knowledge, one) if one is not None else None,
        hardware_note="PLANNED: count what you find" if plan.hardware else "",
        warnings=("CRITICAL",) if plan.critical else (), by=by,
    )  # fmt: skip


def _planned_bag(plan: Planned, code: str) -> str:
    if code == plan.bag:
        return "bag 1 of 1"
    return f"{how_many(1, 'bag')}: {shown(plan.bag)}" if plan.bag else ""


def owner_of(state: State, thing: str) -> str:
    """Return whose tag it is, in shop words, by the thing that a tag names: a position, with the end of a wire."""
    part = state.parts.get(thing)
    return str(part.home) if part is not None else thing.removesuffix("|").replace("|", " end ")


def blank_face(code: str, kind: FaceKind, title: str = "") -> TagFace:
    """Return the face of a tag that belongs to the shop, not to a job: a blank, a place, a badge."""
    return TagFace(code=code, kind=kind, title=title)


def _plain(state: State, tag: TagState, kind: FaceKind, title: str, side: Side | None) -> TagFace:
    registration, job = _aircraft(state)
    return TagFace(code=tag.code, kind=kind, side=side, title=title, registration=registration, job=job)


def _aircraft(state: State) -> tuple[str, str]:
    return (state.job.registration, state.job.job) if state.job else ("", "")


def _part(index: Index, tag: TagState, part: PartState, proof: str, by: str) -> TagFace:
    state = index.state
    registration, job = _aircraft(state)
    joints = state.joints_of(part.home)
    return TagFace(
        code=tag.code,
        kind=FaceKind.PART,
        side=part.home.side,
        title=part.home.name,
        registration=registration,
        job=job,
        marks=str(part.marks),
        marks_note=_marks_note(index, part),
        mount=mount_words(mounting(index, part.home)),
        hardware=hardware_lines(joints),
        stack=_only_stack(index.knowledge, joints),
        goes_back=_goes_back(joints),
        hardware_note=_note(joints),
        bag=_bags_of(state, part.home),
        warnings=_warnings(state, part.home, part),
        numbers=part.numbers,
        area=_area(state, part.home),
        by=by,
        proof=proof,
    )


def mount_words(mounting: Mounting) -> str:
    """Return by which face a part bolts on, as paper says it; empty where nobody said.

    >>> from tagtrack.core.axes import Direction
    >>> mount_words(Mounting(Direction.INBD))
    'mount: INBD face'
    """
    if mounting.either:
        return "mount: either way round"
    return f"mount: {mounting.way.value} face" if mounting.way is not None else ""


def _area(state: State, home: Position) -> str:
    known = state.positions.get(home)
    return known.area if known else ""


def _pen(marks: Marks) -> list[str]:
    return [f"pen {marks} on the part itself"] if not marks.is_empty() else []


def _marks_note(index: Index, part: PartState) -> str:
    """Return what to do with the marks, and by what the other side's part would show here."""
    notes = _pen(part.marks)
    twin = index.belonging(part.home.mirrored) if part.home.side is not Side.CENTRE else None
    if twin is not None and not part.marks.is_empty():
        told = tell_tale(part.marks, twin.marks, mounting(index, part.home), part.home.side)
        notes.append(told or f"LOOKS LIKE THE OTHER SIDE'S: add {lacks(index, part, twin)}")
    return "; ".join(notes)


def _bag(index: Index, tag: TagState, home: Position, proof: str, by: str) -> TagFace:
    state = index.state
    registration, job = _aircraft(state)
    joints = [j for j in state.joints.values() if j.kept.kind is PlaceKind.BAG and j.kept.name == tag.code]
    known = state.positions.get(home)
    note = "count at the bench" if known and known.uncounted else _note(joints)
    return TagFace(
        code=tag.code,
        kind=FaceKind.BAG,
        side=home.side,
        title=home.name,
        registration=registration,
        job=job,
        hardware=hardware_lines(joints),
        stack=_only_stack(index.knowledge, joints),
        goes_back=_goes_back(joints),
        hardware_note="; ".join(filter(None, (note, _looks_like(index, joints)))),
        bag=_number(state, home, tag.code),
        warnings=_warnings(state, home, None),
        area=_area(state, home),
        by=by,
        proof=proof,
    )


def _connection(state: State, tag: TagState, proof: str, by: str) -> TagFace:
    registration, job = _aircraft(state)
    where, _, end = tag.thing.rpartition("|")
    home = Position.read(where)
    known = state.ends[(home, end)]
    letter = suffix(tag.code)
    return TagFace(
        code=tag.code,
        kind=FaceKind.CONNECTION,
        side=home.side,
        title=home.name,
        registration=registration,
        job=job,
        hardware=hardware_lines(state.joints_of(home)),
        goes_back=_goes_back(state.joints_of(home)),
        hardware_note=_note(state.joints_of(home)),
        goes_to=(f"END {letter} goes to: " if letter else "goes to: ") + (known.as_found or "its own socket (keyed)"),
        warnings=_warnings(state, home, None),
        area=_area(state, home),
        by=by,
        proof=proof,
    )


def hardware_lines(joints: Sequence[JointState]) -> tuple[str, ...]:
    """Return the hardware of joints as short lines, in stack order from head to nut, counts multiplied out."""
    return tuple(line for joint in joints for line in _stack_lines(joint.stack))


def _goes_back(joints: Sequence[JointState]) -> str:
    """Return what goes back in another count than it came off; empty where all goes back as found."""
    told: list[str] = []
    for joint in joints:
        found, back = ({line.spec: line for line in lines} for lines in (joint.found, joint.back))
        for spec in dict.fromkeys((*back, *found)):
            was, goes = (lines[spec].count if spec in lines else 0 for lines in (found, back))
            if was != goes:
                text = (back.get(spec) or found[spec]).text
                told.append(f"{goes or 'no'} {text} (found {was or 'none'})")
    return f"GOES BACK: {', '.join(told)}" if told else ""


def _only_stack(knowledge: Decoder, joints: Sequence[JointState]) -> StackShape | None:
    """Return the shape of the stack that the hardware is; of two stacks a drawing of one would be taken for both."""
    return shape_of(knowledge, joints[0].stack, joints[0].span) if len(joints) == 1 else None


def _stack_lines(stack: Stack) -> list[str]:
    lines = [_multiplied(line, stack.times) for line in stack.lines]
    if stack.grip is not None and 0 < stack.grip < len(lines):
        lines.insert(stack.grip, "-- grip --" + (f" head {stack.head.value}" if stack.head else ""))
    return lines


def _multiplied(line: Line, times: int) -> str:
    return f"{line.count * times} {line.text}" + (" (NEW at refit)" if line.once else "")


def _note(joints: Sequence[JointState]) -> str:
    kept = sorted({"kept in its hole" for joint in joints if joint.kept.kind is PlaceKind.HOLE})
    locks = sorted({f"lock: {joint.lock}" for joint in joints if joint.lock})
    return "; ".join(kept + locks)


def _looks_like(index: Index, joints: list[JointState]) -> str:
    """Return the first bag that this one is taken for; one is enough to make somebody look twice."""
    others = [other for joint in joints for other in taken_for(index, joint) if other.place.kind is PlaceKind.BAG]
    # the last difference is the one that a glance at the bench does not show: the length
    if not others:
        return ""
    first = others[0]
    return f"looks like {first.text} in {told(first.place)}: {first.words.split(', ')[-1]}"


def _bags_of(state: State, home: Position) -> str:
    bags = [t.code for t in state.tags.values() if t.role is TagRole.BAG and t.thing == str(home) and t.end is None]
    if not bags:
        return ""
    return f"{how_many(len(bags), 'bag')}: {', '.join(map(shown, bags))}"


def _number(state: State, home: Position, code: str) -> str:
    bags = [t.code for t in state.tags.values() if t.role is TagRole.BAG and t.thing == str(home) and t.end is None]
    return f"bag {bags.index(code) + 1} of {len(bags)}" if code in bags else "bag"


def _warnings(state: State, home: Position, part: PartState | None) -> tuple[str, ...]:
    known = state.positions.get(home)
    warned: list[str] = []
    if part is not None and part.condition is not Condition.SERVICEABLE:
        warned.append(part.condition.value.upper())
    if known is not None and known.critical:
        warned.append("CRITICAL")
    if part is not None and part.life:
        warned.append("LIFE-LIMITED")
    return tuple(warned)

"""What the page of one tag shows: its face, the drawings, where it lies, its history, and what comes next."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, unique

from tagtrack.core.axes import Direction, Side
from tagtrack.core.check_joints import finger_tested, inside
from tagtrack.core.check_parts import asks_marks
from tagtrack.core.faces import FaceKind, TagFace
from tagtrack.core.findings import Kind
from tagtrack.core.hardware import Line, text_of
from tagtrack.core.index import Index
from tagtrack.core.kinship import finger_test
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.reconcile import of_position
from tagtrack.core.records import Position, TagRole
from tagtrack.core.state import State
from tagtrack.core.steps import told
from tagtrack.core.tagwords import blank_face, face_of, owner_of
from tagtrack.core.things import JointState, PartState
from tagtrack.hangar import drawing
from tagtrack.hangar.pieces import NO_PIECES, Pieces, pieces_of
from tagtrack.shop.desk import Job
from tagtrack.shop.refitting import is_on
from tagtrack.shop.tagging import Means, meaning

_HISTORY = 30
# hardware that is in and not finished: it is worked on before anybody looks
_HARDWARE = frozenset({Kind.SHORT, Kind.OVER, Kind.WRONG_HARDWARE, Kind.REUSED, Kind.NOT_TIGHT, Kind.NOT_SAFETIED})
_WAYS = (Direction.UP, Direction.DOWN, Direction.FWD, Direction.AFT)


@unique
class Next(Enum):
    """What the page offers in its largest buttons."""

    # a part that is off: which way does it sit, or simply on
    SEAT = "seat"
    # its hardware is at hand: the bag was scanned, or it is in its hole
    FASTEN = "fasten"
    # its hardware is in a bag that is to be scanned
    FETCH_BAG = "fetch the bag"
    # hardware is in, and not tight or not safetied
    TIGHTEN = "tighten"
    # an end of a wire
    CONNECT = "connect"
    # a second person looks
    INSPECT = "inspect"
    # what came off?
    REMOVE = "remove"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One line of the history."""

    at: str
    by: str
    said: str
    act: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TagPage:
    """Everything that the page of a tag says."""

    code: str
    face: TagFace
    position: Position | None
    lies: str
    orientation: str
    stack: str
    next: Next
    # the marks that are asked for, and the ways that exist on this side
    asked: tuple[str, ...] = ()
    ways: tuple[str, ...] = ()
    # lots that lie in the bag or hole, and what is to be had new
    lots: tuple[tuple[str, int], ...] = ()
    renewed: tuple[Line, ...] = ()
    # self-locking nuts that are to be tried by finger before they go back
    nuts: tuple[str, ...] = ()
    # what can be said of single pieces
    pieces: Pieces = NO_PIECES
    history: tuple[Step, ...] = ()
    photos: tuple[str, ...] = ()
    # the person's own copy of the bag codes of this position, to be looked for
    bags: tuple[str, ...] = ()
    # the letter of a wire's end, which fits other terminals too
    end: str = ""
    critical: bool = False
    owes: tuple[str, ...] = ()
    where_from: str = ""


def tag_page(job: Job, code: str) -> TagPage:
    """Return the page of a tag of this job, also of one that has no meaning yet; refuse what is not of this job."""
    found = meaning(job, code)
    state = job.state
    if found.means is Means.FREE:
        planned = found.code in state.planned
        face = face_of(state, found.code, job.knowledge) if planned else blank_face(found.code, FaceKind.BLANK)
        return TagPage(code=found.code, face=face, position=None, lies="", orientation="", stack="", next=Next.REMOVE)
    if found.means in (Means.PERSON, Means.PLACE):
        face = blank_face(found.code, FaceKind.PLACE if found.means is Means.PLACE else FaceKind.PERSON, found.thing)
        return TagPage(code=found.code, face=face, position=None, lies="", orientation="", stack="", next=Next.NOTHING)
    base = found.code if found.code in state.tags else next(
        t.code for t in state.tags.values() if owner_of(state, t.thing) == found.thing)  # fmt: skip
    face = face_of(state, base, job.knowledge, proof=str(job.head))
    tag = state.tags[base]
    if tag.role is TagRole.PART:
        return _part(job, face, state.parts[tag.thing])
    if tag.role is TagRole.BAG:
        return _bag(job, face, Position.read(tag.thing))
    if tag.role is TagRole.CONNECTION:
        return _end(job, face, tag.thing)
    return TagPage(code=found.code, face=face, position=None, lies="", orientation="", stack="", next=Next.NOTHING)


def _part(job: Job, face: TagFace, part: PartState) -> TagPage:
    state, home = job.state, part.home
    joints = state.joints_of(home)
    known = state.positions[home]
    on = is_on(state, part)
    asks = asks_marks(job.index(), part, home)
    step = _after_on(job.index(), home, joints) if on else Next.SEAT
    lots = _in_holes(state, joints)
    return TagPage(
        code=face.code, face=face, position=home, next=step,
        lies=_lies(job, part),
        orientation=drawing.orientation(part.marks, home.side), stack=drawing.stack(face.stack),
        asked=tuple(mark.feature for mark in part.marks.each) if asks and not on else (), ways=ways(home.side),
        lots=lots, renewed=_renewed(state, joints), nuts=_nuts(job, joints), pieces=pieces_of(job, home),
        history=history(job, home),
        photos=_photos(state, home), bags=_bags(state, home), critical=known.critical, owes=owes(job, home),
    )  # fmt: skip


def _lies(job: Job, part: PartState) -> str:
    if part.at is None:
        return f"at {job.index().lies(part.place)}"
    return "on the aircraft" if part.at == part.home else f"on the aircraft at {part.at}"


def ways(side: Side) -> tuple[str, ...]:
    """Return the directions that exist on a side; the centre line has no inboard."""
    across = (Direction.LEFT, Direction.RIGHT) if side is Side.CENTRE else (Direction.INBD, Direction.OUTBD)
    return tuple(way.value for way in (*_WAYS, *across))


def _after_on(index: Index, home: Position, joints: tuple[JointState, ...]) -> Next:
    state = index.state
    kept = [j.kept for j in joints if j.kept in state.holdings]
    if any(place.kind is PlaceKind.BAG for place in kept):
        return Next.FETCH_BAG
    if kept:
        return Next.FASTEN
    mine = {f.kind for f in of_position(index, home) if f.answer is None}
    if mine & _HARDWARE:
        return Next.TIGHTEN
    return Next.INSPECT if Kind.NOT_INSPECTED in mine else Next.NOTHING


def _bag(job: Job, face: TagFace, home: Position) -> TagPage:
    state = job.state
    place = Place(PlaceKind.BAG, face.code)
    lots = state.holdings.get(place, {})
    joints = tuple(j for j in state.joints_of(home) if j.kept == place) or state.joints_of(home)
    part = state.part_from(home)
    step = Next.FASTEN if lots else _after_on(job.index(), home, state.joints_of(home))
    return TagPage(
        code=face.code, face=face, position=home, next=step,
        lies=f"{job.index().lies(place)} holds {text_of({i.name: n for i, n in lots.items()})}" if lots
        else "empty, by the record",
        orientation="", stack=drawing.stack(face.stack), lots=tuple((item.name, n) for item, n in lots.items()),
        renewed=_renewed(state, joints), nuts=_nuts(job, joints), pieces=pieces_of(job, home),
        history=history(job, home),
        photos=_photos(state, home), critical=state.positions[home].critical, owes=owes(job, home),
        where_from="" if part is None or part.at else f"the {home} itself is not on yet",
    )  # fmt: skip


def _end(job: Job, face: TagFace, thing: str) -> TagPage:
    where, _, end = thing.rpartition("|")
    home = Position.read(where)
    known = job.state.ends[home, end]
    return TagPage(
        code=face.code, face=face, position=home, next=Next.NOTHING if known.made else Next.CONNECT, end=end,
        lies=f"connected at {known.terminal or 'its own socket'}" if known.made else "disconnected",
        orientation="", stack="", history=history(job, home), photos=_photos(job.state, home),
        critical=job.state.positions[home].critical, owes=owes(job, home),
    )  # fmt: skip


def _in_holes(state: State, joints: tuple[JointState, ...]) -> tuple[tuple[str, int], ...]:
    kept = {j.kept for j in joints if j.kept.kind is not PlaceKind.BAG and j.kept in state.holdings}
    return tuple((item.name, n) for place in kept for item, n in state.holdings[place].items())


def _renewed(state: State, joints: tuple[JointState, ...]) -> tuple[Line, ...]:
    """Return what is used once and lacks in the joints, to be had new."""
    return tuple(line for joint in joints for line in joint.back
                 if line.once and inside(state.holdings, joint)[0].get(line.spec, 0) < line.count)  # fmt: skip


def _nuts(job: Job, joints: tuple[JointState, ...]) -> tuple[str, ...]:
    index = job.index()
    asked = [joint for joint in joints if finger_tested(index, joint) is None]
    specs = (line.text for joint in asked for line in joint.back if finger_test(job.knowledge, line.spec))
    return tuple(dict.fromkeys(specs))


def _bags(state: State, home: Position) -> tuple[str, ...]:
    return tuple(t.code for t in state.tags.values()
                 if t.role is TagRole.BAG and t.thing == str(home) and t.end is None)  # fmt: skip


def _photos(state: State, home: Position) -> tuple[str, ...]:
    return state.pictures.get(str(home), ())


def owes(job: Job, home: Position) -> tuple[str, ...]:
    """Return what is still open at a position, in shop words."""
    mine = [f for f in of_position(job.index(), home) if f.answer is None]
    other = [f for f in mine if f.kind is not Kind.NOT_INSPECTED]
    open_now = [f"{f.kind.value.replace('-', ' ')}: {f.thing}: expected {f.expected}, seen {f.seen}" for f in other]
    looks = [f.thing.split(" of ")[0] for f in mine if f.kind is Kind.NOT_INSPECTED]
    return (*open_now, *((f"a second person looks: {', '.join(looks)}",) if looks else ()))


def history(job: Job, home: Position) -> tuple[Step, ...]:
    """Return the steps that touched a position, the newest first."""
    state = job.state
    ids = set(state.positions[home].acts)
    ids.update(*(p.acts for p in state.parts_of(home)), *(j.acts for j in state.joints_of(home)),
               *(e.acts for e in state.ends_of(home)))  # fmt: skip
    ids |= {check.act for (subject, _), check in state.checks.items() if subject == str(home)}
    mine = [act for act in job.acts if act.id in ids]
    return tuple(Step(at=act.at, by=act.by, said=told(act, state), act=act.id) for act in reversed(mine[-_HISTORY:]))

"""The reinstallation sheet: how each thing goes back, last off first, and nothing covered too early.

It is for the hand that has no screen beside it. What stands on it is what was recorded as found, what was said to go
back, and reference figures of the tables; the record itself is made by scanning.
"""

from __future__ import annotations

from tagtrack.core import cautions, stack_sense
from tagtrack.core.check_pairs import mounting
from tagtrack.core.events import Head
from tagtrack.core.findings import Kind
from tagtrack.core.hardware import Line
from tagtrack.core.index import Index
from tagtrack.core.order import last_off_first
from tagtrack.core.places import UNCOUNTED
from tagtrack.core.reconcile import of_position
from tagtrack.core.records import Condition, Position
from tagtrack.core.sheets import Section, Sheet, Table
from tagtrack.core.shortage import needs
from tagtrack.core.spelling import how_many
from tagtrack.core.stack_shape import shape_of
from tagtrack.core.state import ancestors
from tagtrack.core.tagcode import shown
from tagtrack.core.tagwords import mount_words
from tagtrack.core.things import EndState, JointState

_COLUMNS = ("Count", "Callout", "What it is", "New?", "In, by", "Tight, safe, by")
_WIDTHS = (1, 4, 5, 3, 2, 3)
# what there is to do with the hands; looks, questions, and what lies in the shop are told elsewhere
_TO_BE_DONE = frozenset(
    {
        Kind.SWAPPED,
        Kind.TURNED,
        Kind.UNSERVICEABLE,
        Kind.WRONG_HARDWARE,
        Kind.MISSING,
        Kind.SHORT,
        Kind.OVER,
        Kind.REUSED,
        Kind.NOT_TIGHT,
        Kind.NOT_SAFETIED,
        Kind.SETTING,
    }
)
# all that the record knows of the order
_ORDER = "last off first; covers after what they close"


def refit_sheet(index: Index, head: Head, *, printed: str, everything: bool = False) -> Sheet:
    """Return the sheet of what is still off, or of `everything` that came off. `printed` is the day of printing."""
    state, job = index.state, index.state.job
    touched = [p for p in last_off_first(state) if state.positions[p].cycle or p in state.settings]
    wanted = [p for p in touched if everything or not _finished(index, p)]
    told: set[str] = set()
    sections = [section for position in wanted for section in _position(index, position, told)]
    lacking = _to_be_had(index)
    facts = (
        ("Aircraft", " ".join(filter(None, (job.registration, job.make, job.model, job.serial))) if job else ""),
        ("Work order", job.job if job else ""),
        ("Data used", "; ".join(job.data) if job else ""),
        ("Printed", printed),
        ("Record check number", str(head)),
    )
    count = len(wanted)
    critical = any(state.positions[p].critical for p in wanted)
    return Sheet(
        title="Reinstallation sheet",
        verdict=f"{how_many(count, 'position')} to put back: {_ORDER}" if count else "All is back",
        facts=tuple((label, value) for label, value in facts if value),
        sections=(*lacking, *sections),
        cautions=(*cautions.SHEET, stack_sense.CAUTION, *(cautions.CONTROLS if critical else ())),
        foot=f"{job.job if job else ''}   record check number {head}   printed {printed}",
    )


def _finished(index: Index, position: Position) -> bool:
    """Return whether the position's part is on, with all its hardware in, tight and locked, as the check says it."""
    return index.is_back(position) and not any(
        f.answer is None and f.kind in _TO_BE_DONE for f in of_position(index, position)
    )


def _to_be_had(index: Index) -> tuple[Section, ...]:
    rows = tuple(
        (str(need.lacking), need.text, str(need.drawn or "-"), "; ".join(map(str, need.where)))
        for need in needs(index)
    )
    if not rows:
        return ()
    table = Table(columns=("Count", "Callout", "Drawn already", "Goes to"), rows=rows, widths=(1, 3, 2, 6))
    return (Section(heading="To be had new before the job can close", table=table),)


def _position(index: Index, position: Position, told: set[str]) -> list[Section]:
    """Return the sections of one position: how it sits, and each of its joints that was not told before."""
    state = index.state
    known = state.positions[position]
    part = index.belonging(position)
    notes: list[str] = []
    if part is not None:
        if part.condition is not Condition.SERVICEABLE:
            notes.append(f"DO NOT FIT: {part.condition.value}: {part.condition_reason}")
        if not part.marks.is_empty():
            notes.append(f"It sat with {part.marks}.")
        mount = mount_words(mounting(index, position))
        notes += [f"{mount[0].upper()}{mount[1:]}."] if mount else []
        numbers = ", ".join(filter(None, (part.numbers, part.life)))
        notes += [numbers] if numbers else []
        notes += [f"Tag {shown(part.tag)}"] if part.tag else []
    over = [cover for cover, each in state.positions.items() if position in each.closes_up]
    hung = [each for each in ancestors(state, position) if not index.is_back(each)]
    notes += [f"Part of {'; '.join(map(str, hung))}, which is off too."] if hung else []
    notes += [f"Covered afterwards by {'; '.join(map(str, over))}"] if over else []
    setting = state.settings.get(position)
    notes += [f"Setting as found: {setting.as_found}. As left: ________"] if setting else []
    notes += [_end(end) for end in state.ends_of(position)]
    heading = f"{position}{' - CRITICAL, independent inspection' if known.critical else ''}"
    sections = [Section(heading=heading, note="\n".join(notes))]
    joints = [j for j in state.joints_of(position) if j.identity not in told and j.cycle]
    for joint in joints:
        told.add(joint.identity)
        sections.append(_joint(index, joint))
    if len(joints) == 1:
        # one heading is enough for one joint
        only = sections.pop()
        note = "\n".join(filter(None, (*notes, only.note)))
        sections = [Section(heading=heading, note=note, table=only.table, picture=only.picture)]
    return sections


def _end(end: EndState) -> str:
    name = f"End {end.end}" if end.end else "The plug"
    return f"{name} goes to {end.as_found or 'its own socket'}. Made, by: ________"


def _joint(index: Index, joint: JointState) -> Section:
    notes: list[str] = []
    if len(joint.positions) > 1:
        notes.append(f"Also holds {'; '.join(map(str, joint.positions[1:]))}")
    where = "where it was" if joint.kept == UNCOUNTED else f"in {index.lies(joint.kept)}"
    notes.append(f"Its hardware is {where}." + (f" Lock: {joint.lock}." if joint.lock else ""))
    if joint.span:
        notes.append(f"Gripped parts measured: {joint.span} in")
    if joint.stack.grip is not None:
        notes.append(f"Head to nut: {joint.stack}")
    if joint.back_reason:
        notes.append(f"Not the count that was found: {joint.back_reason}")
    notes += _figures(index, joint)
    rows = tuple(_row(index, line) for line in joint.back)
    return Section(
        heading=f"{'; '.join(map(str, joint.positions))}: {joint.stack.lines[0].text}",
        note="\n".join(notes),
        picture=shape_of(index.knowledge, joint.stack, joint.span),
        table=Table(columns=_COLUMNS, rows=rows, widths=_WIDTHS),
    )


def _row(index: Index, line: Line) -> tuple[str, ...]:
    callout = index.knowledge.read(line.text)
    what = callout.title or ("not recognised" if index.knowledge.catalogue.families else "")
    return (str(line.count), line.text, what, "NEW" if line.once else "", "", "")


def _figures(index: Index, joint: JointState) -> list[str]:
    """Return the reference figures of the tables for the joint's stack; no number where the tables have none."""
    found = stack_sense.reference(index.knowledge, joint.stack)
    if found is None:
        return []
    told = [f"Reference torque {found.thread}: {found.told} (AC 43.13-1B Table 7-1). Maker's figure: ________"]
    if found.running:
        told.append(found.running)
    told += [f"{found.turned_by[0].upper()}{found.turned_by[1:]}."] if found.turned_by else []
    if found.fitting is not None:
        told.append(f"Washer {found.fitting.washer}{f', {found.cotter}' if found.cotter else ''}.")
    return told

"""A list of what will come off, from any spreadsheet: its tags are printed before the first screw turns.

Nothing is recorded as removed by it. When a planned tag is scanned, `off` alone records what the list says; whatever
was found otherwise is typed as ever. A list is taken whole or not at all.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from tagtrack.core.ahead import still_on
from tagtrack.core.axes import Side
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, Planned
from tagtrack.core.hardware import Stack, text_of, totals, with_counts
from tagtrack.core.records import Position
from tagtrack.core.spelling import clean, how_many, nearest, same
from tagtrack.core.state import State
from tagtrack.core.tagcode import shown
from tagtrack.shop.desk import Job
from tagtrack.shop.lines.clauses import removal
from tagtrack.shop.ports import Who
from tagtrack.shop.removal import Keep, Removal, found_otherwise

# the columns, and how each is said in the loop; the first two are compulsory, the others may be left out
COLUMNS: Mapping[str, str] = {
    "position": "{}",
    "side": "{}",
    "hardware": "{}",
    "marks": "{}",
    "mount": "mount {}",
    "critical": "critical",
    "part number": "pn {}",
    "serial number": "sn {}",
    "life": "life {}",
    "lock": "lock {}",
    "closes": "closes {}",
    "under": "under {}",
    "per data": "per data {}",
    "keep": "{}",
}
_COMPULSORY = ("position", "side")
_YES, _NO = frozenset({"yes", "y", "x", "true", "1"}), frozenset({"", "no", "n", "false", "0"})
MOST_ROWS = 20_000


@dataclass(frozen=True, slots=True)
class Row:
    """One good row: its number in the file, the line that says it, and what that means."""

    number: int
    line: str
    means: Removal


def read_list(data: bytes) -> tuple[Row, ...]:
    """Return the rows of a list; refuse it whole where a row is wrong, each told by its number and column."""
    rows = _cells(data)
    head = [clean(cell).casefold() for cell in rows[0]]
    _check_head(head)
    troubles: list[str] = []
    found: list[Row] = []
    taken: dict[object, int] = {}
    for number, cells in enumerate(rows[1:], start=2):
        if not any(map(str.strip, cells)):
            continue
        row = _row(number, dict(zip(head, cells, strict=False)), len(cells) - len(head), troubles)
        if row is not None and row.means.position in taken:
            first = taken[row.means.position]
            troubles.append(f"row {number}, position: {row.means.position} stands in row {first} too")
        elif row is not None:
            taken[row.means.position] = number
            found.append(row)
    if troubles:
        more = f"; and {len(troubles) - _TOLD} more" if len(troubles) > _TOLD else ""
        raise Refusal(
            f"{how_many(len(troubles), 'cell of the list is', 'cells of the list are')} wrong; none of it was taken",
            expected="a list in which every row is good", came="; ".join(troubles[:_TOLD]) + more,
            todo="mend these cells and read the list again",
        )  # fmt: skip
    if not found:
        raise Refusal("the list holds no row", expected="rows below the headings", came="none", todo="fill it in")
    return tuple(found)


# so many troubles are told at once
_TOLD = 12


def _cells(data: bytes) -> list[list[str]]:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise Refusal(
            "the list is not in UTF-8", expected="a CSV file in UTF-8", came=f"byte {problem.start} is another coding",
            todo="save it from the spreadsheet as 'CSV UTF-8'",
        ) from problem  # fmt: skip
    if "\0" in text:
        raise Refusal("the list is no CSV file", expected="text in rows and columns", came="a spreadsheet's own file",
                      todo="save it from the spreadsheet as 'CSV UTF-8'")  # fmt: skip
    first = text.split("\n", 1)[0]
    # spreadsheets set their columns apart by the comma, or where that is the decimal sign by the semicolon
    mark = max(",;\t", key=first.count)
    try:
        rows = list(csv.reader(io.StringIO(text), delimiter=mark, strict=True))
    except csv.Error as problem:
        raise Refusal("the list is no CSV file", expected="rows and columns", came=str(problem),
                      todo="save it from the spreadsheet as 'CSV UTF-8'") from problem  # fmt: skip
    if not rows or not any(rows[0]):
        raise Refusal("the list is empty", expected=f"headings: {', '.join(COLUMNS)}", came="nothing",
                      todo="fill it in")  # fmt: skip
    if len(rows) > MOST_ROWS:
        raise Refusal("the list is too long", expected=f"at most {MOST_ROWS} rows", came=str(len(rows)),
                      todo="take the work in parts")  # fmt: skip
    return rows


def _check_head(head: Sequence[str]) -> None:
    for name in head:
        if name and name not in COLUMNS:
            near = nearest(name, COLUMNS)
            raise Refusal(f"the heading '{name}' is not known", expected=", ".join(COLUMNS), came=name,
                          todo=f"did you mean {near[0]}?" if near else "use these headings")  # fmt: skip
    missing = [name for name in _COMPULSORY if name not in head]
    if missing or len({n for n in head if n}) < len([n for n in head if n]):
        todo = f"add {' and '.join(missing)}" if missing else "take the one that stands twice out"
        raise Refusal("the headings are not right", expected="each once, with position and side", came=", ".join(head),
                      todo=todo)  # fmt: skip


def _row(number: int, cells: Mapping[str, str], over: int, troubles: list[str]) -> Row | None:
    """Return a row's meaning, or None with what is wrong added to the troubles."""
    if over > 0:
        troubles.append(f"row {number}: {how_many(over, 'cell')} too many; quote a cell that holds a comma")
        return None
    before = len(troubles)
    where = f"{clean(cells.get('position', ''))} {clean(cells.get('side', ''))}".strip()
    said = [where]
    for name, value in cells.items():
        text = clean(value)
        if text[:1] in ("=", "@"):
            troubles.append(f"row {number}, {name}: a formula stands there ({text[:20]}), not its value")
        elif name == "critical" and text.casefold() not in _YES | _NO:
            troubles.append(f"row {number}, critical: '{text[:20]}' is neither yes nor no")
        elif text and name not in (*_COMPULSORY, "") and not (name == "critical" and text.casefold() in _NO):
            said.append(COLUMNS[name].format(text))
            _tried(number, name, f"x LEFT; {said[-1]}", troubles)
    _tried(number, "position", where, troubles)
    if len(troubles) > before:
        return None
    line = "; ".join(said)
    means = _tried(number, "row", line, troubles)
    return Row(number, line, means) if means is not None else None


def _tried(number: int, name: str, line: str, troubles: list[str]) -> Removal | None:
    try:
        return removal(line, keep=Keep.BAG)
    except Refusal as refusal:
        troubles.append(f"row {number}, {name}: {refusal.what}" + (f" ({refusal.todo})" if refusal.todo else ""))
        return None


def plan(job: Job, who: Who, rows: Sequence[Row]) -> Act:
    """Record the whole list as planned, each row with a tag of its own, and one for the bag; return the act."""
    here = [r for r in rows if job.refresh().positions.get(r.means.position) is not None]
    if here:
        raise Refusal(
            f"row {here[0].number}: {here[0].means.position} is in this work order already",
            expected="what is not taken off or planned yet", came=str(here[0].means.position),
            todo="take the row out of the list",
        )  # fmt: skip
    _refuse_twice(job.state, rows)
    bagged = [_wants_bag(row.means) for row in rows]
    codes = iter(job.shop.issue(who, len(rows) + sum(bagged), job.name))
    planned = [
        Planned(next(codes), each.means.position, each.means.marks, each.means.hardware, each.line,
                critical=each.means.critical, bag=next(codes) if bag else "", mount=each.means.mount,
                either_way=each.means.either_way)
        for each, bag in zip(rows, bagged, strict=True)
    ]  # fmt: skip

    def make(state: State) -> Sequence[Planned]:
        _refuse_twice(state, rows)
        return planned

    return job.commit(who, make)


def _wants_bag(means: Removal) -> bool:
    # a bag that the list names has its tag already
    return not means.bag and (means.keep is Keep.LATER or (means.keep is Keep.BAG and bool(means.hardware)))


def _refuse_twice(state: State, rows: Sequence[Row]) -> None:
    planned = {_spot(each.position): each for each in still_on(state)}
    row = next((row for row in rows if _spot(row.means.position) in planned), None)
    if row is not None:
        code = shown(planned[_spot(row.means.position)].tag)
        raise Refusal(
            f"row {row.number}: {row.means.position} is planned already: tag {code}",
            expected="what is not planned yet", came=str(row.means.position),
            todo=f"take the row out of the list, or end that tag first: void {code} because ...",
        )  # fmt: skip


def _spot(position: Position) -> tuple[str, Side]:
    """Return the form by which two spellings of one position are the same."""
    return same(position.name), position.side


def as_found(plan: Planned, text: str) -> Removal:
    """Return the removal that a list has planned, with what was found otherwise taken over from the text.

    The text holds clauses only: a count of what the list has, marks, or any other; nothing means just as listed.
    Hardware that the list does not have is refused, unless it is said whole, as a stack in brackets.
    """
    listed = removal(plan.line, keep=Keep.BAG)
    found = removal(f"{plan.position.name} {plan.position.side.value}; {text}", keep=listed.keep)
    hardware = found.hardware if any(s.grip is not None for s in found.hardware) else _recounted(plan, listed, found)
    return found_otherwise(listed, found, hardware)


def _recounted(plan: Planned, listed: Removal, found: Removal) -> tuple[Stack, ...]:
    made, strange = with_counts(listed.hardware, (line for stack in found.hardware for line in stack.lines))
    if strange:
        raise Refusal(
            f"the list has no {strange[0].text} at {plan.position}",
            expected="another count of " + (text_of(totals(listed.hardware)) if listed.hardware else "nothing"),
            came=str(strange[0]), todo=f"say it whole: off {plan.line}",
        )  # fmt: skip
    return made


def with_its_tags(plan: Planned, said: Removal) -> Removal:
    """Return what came off with the tags that were printed ahead for it; refuse another position."""
    if _spot(said.position) != _spot(plan.position):
        raise Refusal(f"the tag in hand was printed for {plan.position}", expected=f"off {plan.position.name} "
                      f"{plan.position.side.value}; what you found", came=str(said.position),
                      todo="scan another blank tag for this one")  # fmt: skip
    bag = said.bag or (plan.bag if said.keep in (Keep.BAG, Keep.LATER) else "")
    return replace(_of_the_aircraft(plan, said), position=plan.position, tag=plan.tag, bag=bag)


def _of_the_aircraft(plan: Planned, said: Removal) -> Removal:
    """Return what came off with what the list knows of its place, said again or not: that was not found just now."""
    listed = removal(plan.line, keep=said.keep)
    mounted = said.mount is not None or said.either_way
    return replace(
        said, critical=said.critical or listed.critical,
        mount=said.mount if mounted else listed.mount, either_way=said.either_way if mounted else listed.either_way,
        closes_up=tuple(dict.fromkeys((*listed.closes_up, *said.closes_up))),
        under=tuple(dict.fromkeys((*listed.under, *said.under))),
        requirement=said.requirement if said.requirement.lines else listed.requirement,
    )  # fmt: skip

"""A list of what will come off, from any spreadsheet: its tags are printed before the first screw turns.

Nothing is recorded as removed by it. When a planned tag is scanned, `off` alone records what the list says; whatever
was found otherwise is typed as ever. A list is taken whole or not at all.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, Planned
from tagtrack.core.spelling import clean, nearest
from tagtrack.core.state import State
from tagtrack.shop.desk import Job
from tagtrack.shop.lines.clauses import removal
from tagtrack.shop.ports import Who
from tagtrack.shop.removing import Keep, Removal

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
            f"{len(troubles)} cells of the list are wrong; none of it was taken",
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
        troubles.append(f"row {number}: {over} cells too many; quote a cell that holds a comma")
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
    """Record the whole list as planned, each row with a tag of its own; return the act."""
    here = [r for r in rows if job.refresh().positions.get(r.means.position) is not None]
    if here:
        raise Refusal(
            f"row {here[0].number}: {here[0].means.position} is in this work order already",
            expected="what is not taken off or planned yet", came=str(here[0].means.position),
            todo="take the row out of the list",
        )  # fmt: skip
    codes = job.shop.issue(who, len(rows), job.name)

    def make(state: State) -> Sequence[Planned]:
        del state
        return [
            Planned(code, each.means.position, each.means.marks, each.means.hardware, each.line,
                    critical=each.means.critical, mount=each.means.mount, either_way=each.means.either_way)
            for code, each in zip(codes, rows, strict=True)
        ]

    return job.commit(who, make)

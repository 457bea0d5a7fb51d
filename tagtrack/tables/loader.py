"""From CSV files to a catalogue: every row checked, every trouble told by file, line and column."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Any, TypeVar

from tagtrack.core.catalogue import (
    Allowed,
    BoltLength,
    Catalogue,
    Fact,
    Facts,
    Family,
    Fitting,
    Kin,
    Relation,
    Reuse,
    SingleUse,
    Status,
    TorqueRow,
    inches,
)
from tagtrack.core.errors import Fault

# the columns of every table; a shop's own file has the same ones
COLUMNS: Mapping[str, tuple[str, ...]] = {
    "sources": ("source", "title"),
    "families": ("family", "shapes", "also", "kind", "title", "sets", "status", "source"),
    "codes": ("family", "field", "code", "sets", "status", "source"),
    "combinations": ("family", "when", "sets", "status", "source"),
    "allowed": ("family", "field", "code", "other", "codes", "reason", "status", "source"),
    "bolt_lengths": (
        "family", "field", "code", "grip less", "length more", "thread length", "least dash", "least grip", "status",
        "source",
    ),
    "bolt_grips": ("family", "field", "code", "dash", "grip", "length", "status", "source"),
    "relations": ("one", "other", "relation", "why", "status", "source"),
    "family_relations": ("one", "other", "relation", "why", "status", "source"),
    "single_use": ("kind", "family", "rule", "why", "status", "source"),
    "single_use_words": ("words", "kind", "family", "status", "source"),
    "torque": ("thread", "tension", "shear", "tension most", "shear most", "status", "source"),
    "prevailing_torque": ("thread", "least", "status", "source"),
    "bolt_fittings": (
        "thread", "wrench", "wrench status", "nut wrench", "least cotter", "usual cotter", "washer", "thin washer",
        "castle nut", "source",
    ),
    "cotter_holes": ("thread", "hole", "status", "source"),
}  # fmt: skip

Choice = TypeVar("Choice", bound=Enum)


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a table, and where it stands."""

    file: str
    line: int
    cells: Mapping[str, str]

    def __getitem__(self, column: str) -> str:
        return self.cells[column]

    def fault(self, column: str, what: str, expected: str) -> Fault:
        """Return what to tell about a cell of this row."""
        return Fault(
            f"{self.file}, line {self.line}, column '{column}': {what}",
            expected=expected, came=repr(self.cells.get(column, "")), todo="mend that line of the table",
        )  # fmt: skip

    def choice(self, column: str, kinds: type[Choice]) -> Choice:
        """Return the cell as one of a closed list."""
        try:
            return kinds(self.cells[column])
        except ValueError:
            pass
        raise self.fault(column, "is not one of the known words", ", ".join(str(k.value) for k in kinds))

    def length(self, column: str) -> Fraction:
        """Return the cell as a length in inches."""
        found = inches(self[column])
        if found is None:
            raise self.fault(column, "is no length", "inches, such as .063, 9/16 or 1-1/4")
        return found

    def number(self, column: str) -> int:
        """Return the cell as a whole number."""
        if not self[column].isdecimal():
            raise self.fault(column, "is no whole number", "figures")
        return int(self[column])

    def facts(self, column: str, status: Status) -> Facts:
        """Return `name=value; name=value` as facts of this row's status and source."""
        try:
            return _facts(self.cells[column], status, self.cells["source"])
        except ValueError as problem:
            raise self.fault(column, f"'{problem}' says nothing", "name=value; name=value") from None


@lru_cache(2048)
def _facts(text: str, status: Status, source: str) -> Facts:
    # many rows say the same, and what is said is never changed: it is read once
    found: dict[str, Fact] = {}
    for piece in text.split(";"):
        name, equals, value = map(str.strip, piece.partition("="))
        if name and equals and value:
            found[name] = Fact(value, status, source)
        elif piece.strip():
            raise ValueError(piece.strip())
    return found


def _rows(name: str, text: str, file: str) -> Iterator[Row]:
    wanted = COLUMNS[name]
    reader = csv.reader(text.splitlines(), strict=True)
    try:
        head = next(reader, [])
        if tuple(head) != wanted:
            raise Fault(f"{file}, line 1: the columns are others", expected=", ".join(wanted),
                        came=", ".join(head) or "nothing", todo="mend the first line")  # fmt: skip
        for cells in reader:
            if not cells:
                continue
            if len(cells) != len(wanted):
                raise Fault(f"{file}, line {reader.line_num}: {len(cells)} cells", expected=f"{len(wanted)} cells",
                            came=", ".join(cells), todo="mend that line; quote a cell with a comma")  # fmt: skip
            yield Row(file, reader.line_num, dict(zip(wanted, map(str.strip, cells), strict=True)))
    except csv.Error as problem:
        raise Fault(f"{file}, line {reader.line_num}: {problem}", expected="comma-separated values",
                    came="something else", todo="mend that line") from problem  # fmt: skip


def _read(name: str, own: Path | None) -> list[Row]:
    """Return the rows of the program's table, then those of the shop's."""
    # a plain path: to ask importlib for it costs as much as reading all the tables
    path = Path(__file__).with_name(f"{name}.csv")
    rows = list(_rows(name, path.read_text(encoding="utf-8"), f"{name}.csv"))
    mine = own / f"{name}.csv" if own else None
    if mine is not None and mine.exists():
        try:
            text = mine.read_text(encoding="utf-8-sig")
        except (OSError, UnicodeDecodeError) as problem:
            raise Fault(f"{mine} cannot be read: {problem}", expected="a table in UTF-8", came="something else",
                        todo="save it as UTF-8, or take it away") from problem  # fmt: skip
        rows += _rows(name, text, str(mine))
    return rows


def load(own: Path | None = None) -> Catalogue:
    """Return the catalogue of the program's tables and the shop's own; a Fault names file, line and column."""
    return _load(own)


@lru_cache(4)
def _load(own: Path | None) -> Catalogue:
    _refuse_strangers(own)
    tables = {name: _read(name, own) for name in COLUMNS}
    sources = {row["source"]: row["title"] for row in tables["sources"]}
    for name, rows in tables.items():
        for row in rows:
            if name != "sources" and row["source"] not in sources:
                raise row.fault("source", "is not in sources.csv", ", ".join(sources))
    families = tuple(_family(row) for row in tables["families"])
    known = {family.name for family in families}
    for name in ("codes", "combinations", "allowed", "bolt_lengths", "bolt_grips"):
        for row in tables[name]:
            if row["family"] not in known:
                raise row.fault("family", "is not in families.csv", "a family of the tables")
    return Catalogue(
        families=families,
        codes=_codes(tables["codes"]),
        combinations=_grouped(tables["combinations"], _combination),
        allowed=_grouped(tables["allowed"], _allowed),
        lengths={(r["family"], r["field"], r["code"]): _length(r) for r in tables["bolt_lengths"]},
        grips={(r["family"], r["field"], r["code"], r["dash"]): _grip(r) for r in tables["bolt_grips"]},
        relations=_relations(tables["relations"]),
        family_relations=_relations(tables["family_relations"]),
        single_use=tuple(map(_single_use, tables["single_use"])),
        single_use_words=_words(tables["single_use_words"], tables["single_use"]),
        torque={r["thread"]: _torque(r) for r in tables["torque"]},
        prevailing={r["thread"]: r["least"] for r in tables["prevailing_torque"]},
        fittings={r["thread"]: _fitting(r) for r in tables["bolt_fittings"]},
        cotter_holes={r["thread"]: _hole(r) for r in tables["cotter_holes"]},
        sources=sources,
        digest=_digest(tables),
    )  # fmt: skip


def _refuse_strangers(own: Path | None) -> None:
    """Raise a Fault for a table under a name that nobody would ever read: it would be thought to count."""
    for path in sorted(own.glob("*.csv")) if own else ():
        if path.stem not in COLUMNS:
            raise Fault(f"{path} is no table of that name", expected=", ".join(f"{name}.csv" for name in COLUMNS),
                        came=path.name, todo="give it one of these names, or take it away")  # fmt: skip


def _digest(tables: Mapping[str, list[Row]]) -> str:
    whole = sha256()
    for name, rows in tables.items():
        for row in rows:
            whole.update("\x1f".join((name, *row.cells.values())).encode() + b"\x1e")
    return whole.hexdigest()


def _family(row: Row) -> Family:
    status = row.choice("status", Status)
    also = []
    for piece in filter(None, map(str.strip, row["also"].split(";"))):
        letters, _, kin = piece.partition("=")
        kins = {"same": Kin.SAME, "successor": Kin.SUCCESSOR}
        if kin not in kins:
            raise row.fault("also", f"'{piece}' is not understood", "LETTERS=same or LETTERS=successor")
        also.append((letters, kins[kin]))
    shapes = tuple(shape.strip() for shape in row["shapes"].split("|"))
    if not all(shape[:1].isalpha() for shape in shapes):
        raise row.fault("shapes", "does not begin with letters", "AN{d}-{dash:eighths}[shank]")
    return Family(row["family"], shapes, row["kind"], row["title"], row.facts("sets", status), status, row["source"],
                  tuple(also))  # fmt: skip


def _codes(rows: list[Row]) -> dict[tuple[str, str], dict[str, Facts]]:
    found: dict[tuple[str, str], dict[str, Facts]] = {}
    for row in rows:
        facts = row.facts("sets", row.choice("status", Status))
        found.setdefault((row["family"], row["field"]), {})[row["code"]] = facts
    return found


def _grouped(rows: list[Row], make: Callable[[Row], Any]) -> dict[str, tuple[Any, ...]]:
    found: dict[str, tuple[Any, ...]] = {}
    for row in rows:
        found[row["family"]] = (*found.get(row["family"], ()), make(row))
    return found


def _combination(row: Row) -> tuple[dict[str, str], Facts]:
    conditions = {}
    for piece in filter(None, map(str.strip, row["when"].split(";"))):
        name, equals, code = piece.partition("=")
        if not equals:
            raise row.fault("when", f"'{piece}' is no condition", "field=code; field=code")
        conditions[name.strip()] = code.strip()
    return conditions, row.facts("sets", row.choice("status", Status))


def _allowed(row: Row) -> Allowed:
    return Allowed(row["field"], row["code"], row["other"], frozenset(row["codes"].split()), row["reason"])


def _length(row: Row) -> BoltLength:
    return BoltLength(
        row.length("grip less"), row.length("length more"), row["thread length"], row.number("least dash"),
        row.length("least grip"), row.choice("status", Status), row["source"],
    )  # fmt: skip


def _grip(row: Row) -> Facts:
    status = row.choice("status", Status)
    row.length("grip")
    return {name: Fact(row[name], status, row["source"]) for name in ("grip", "length") if row[name]}


def _relations(rows: list[Row]) -> dict[tuple[str, str], Relation]:
    kins = {"same": Kin.SAME, "successor": Kin.SUCCESSOR, "alternate": Kin.ALTERNATE, "never": Kin.NEVER}
    found: dict[tuple[str, str], Relation] = {}
    for row in rows:
        if row["relation"] not in kins:
            raise row.fault("relation", "is not one of the known words", ", ".join(kins))
        found[row["one"], row["other"]] = Relation(
            kins[row["relation"]], row["why"], row.choice("status", Status), row["source"]
        )
    return found


def _single_use(row: Row) -> SingleUse:
    return SingleUse(row["kind"], row["family"], row.choice("rule", Reuse), row["why"], row["source"])


def _words(rows: list[Row], rules: list[Row]) -> dict[str, SingleUse]:
    """Return the rule for each phrase: the one of its kind, or of the family that it is taken as."""
    known = {(rule["kind"], rule["family"]): rule for rule in rules}
    found: dict[str, SingleUse] = {}
    for row in rows:
        # a phrase says how well the word is known, its rule how well the rule is
        row.choice("status", Status)
        if not re.fullmatch(r"[A-Za-z]+(?:[ -][A-Za-z]+)*", row["words"]):
            raise row.fault("words", "is no phrase", "letters, single blanks and hyphens: split pin")
        if (row["kind"], row["family"]) not in known:
            raise row.fault("kind", "has no row in single_use.csv", ", ".join(dict.fromkeys(k for k, _ in known)))
        found[row["words"]] = _single_use(known[row["kind"], row["family"]])
    return found


def _hole(row: Row) -> Fact:
    row.length("hole")
    return Fact(row["hole"], row.choice("status", Status), row["source"])


def _torque(row: Row) -> TorqueRow:
    return TorqueRow(row["tension"], row["shear"], row["tension most"], row["shear most"])


def _fitting(row: Row) -> Fitting:
    wrench = Fact(row["wrench"], row.choice("wrench status", Status), row["source"])
    return Fitting(wrench, row["nut wrench"], row["least cotter"], row["usual cotter"], row["washer"],
                   row["thin washer"], row["castle nut"])  # fmt: skip

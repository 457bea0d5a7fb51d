"""A printed sheet as plain values: headings, tables, notes, signature lines.

The leftover report, the work list and the findings are all made as a `Sheet`; the paper folder
turns one into plain text or PDF without knowing what it is about.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from tagtrack.core.stack_shape import StackShape


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows under column headings. Every row has as many cells as there are columns."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    # relative widths, one per column; empty means equal
    widths: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One heading with what stands under it. `loud` sections are printed large and boxed."""

    heading: str
    note: str = ""
    # drawn on pages, left out of plain text
    picture: StackShape | None = None
    table: Table | None = None
    loud: bool = False


# the line under which a name that is known is printed
NAME = "Name"


@dataclass(frozen=True, slots=True, kw_only=True)
class Signature:
    """One line for a signature in ink: who signs, and what it says above the line."""

    role: str
    statement: str
    # printed under the line when known, else left blank for writing
    name: str = ""
    # what stands under the lines for a pen, from left to right
    blanks: tuple[str, ...] = ("Signature", NAME, "Certificate number", "Date")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A whole sheet, ready to be set as text or as pages."""

    title: str
    # large line under the title: "RECONCILED" or "NOT RECONCILED: 3 findings stand"
    verdict: str
    # label and value pairs of the heading block
    facts: tuple[tuple[str, str], ...] = ()
    sections: tuple[Section, ...] = ()
    cautions: tuple[str, ...] = ()
    signatures: tuple[Signature, ...] = field(default=())
    # on the foot of every page: job, record check number, the day given by the caller
    foot: str = ""
    # it is read standing, and best on one page: smaller heads, rows closer, signatures side by side
    dense: bool = False

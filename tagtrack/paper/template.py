"""A label stock: its sheet and its labels in millimetres, read from a TOML file and checked before a sheet is spoiled.

A file names dimensions only. Stocks are looked for in the shop's own folder first, then among those that come with
the program; a shop that corrects a margin copies the file into its own folder and changes the figure there.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

from tagtrack.core.errors import Fault, Refusal

_UNITS: Mapping[str, float] = {"mm": 1.0, "in": 25.4}

# lengths that a file may leave out: of tie-on tags, and of tags in two halves
_OPTIONAL: Mapping[str, tuple[float, float]] = {"label.eyelet": (0, 60), "label.stub": (0, 120)}

# what a length may be, in millimetres: wide enough for any sheet or roll, narrow enough to catch a slipped point
_LENGTHS: Mapping[str, tuple[float, float]] = {
    "sheet.width": (15, 1500),
    "sheet.height": (10, 1500),
    "grid.left": (0, 100),
    "grid.top": (0, 100),
    "grid.gap_x": (0, 100),
    "grid.gap_y": (0, 100),
    "label.width": (15, 500),
    "label.height": (10, 500),
    "label.safe": (0, 20),
}
_COUNTS: Mapping[str, tuple[int, int]] = {"grid.columns": (1, 50), "grid.rows": (1, 100)}

# makers round to a tenth of a millimetre, and a row of rounded figures adds up to a little more than the sheet
_ROUNDING = 0.1

# inside the safe area there must be room for something
_LEAST_INSIDE = 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Template:
    """One label stock, in millimetres. `left` and `top` go from the sheet's edge to the first label."""

    name: str
    sheet_width: float
    sheet_height: float
    columns: int
    rows: int
    left: float
    top: float
    gap_x: float
    gap_y: float
    width: float
    height: float
    # nothing is printed nearer than this to a label's edge
    safe: float
    # kept free at the left, for a tie-on tag's hole and string
    eyelet: float = 0.0
    # width of the right half of a two-part tag; 0: the tag has no stub
    stub: float = 0.0

    @property
    def per_sheet(self) -> int:
        """Labels on one sheet."""
        return self.columns * self.rows


def read(file: Path) -> Template:
    """Return the label stock that a file describes, or raise `Fault` with the file and the key that is wrong."""
    try:
        # an editor may have put a byte order mark in front
        tables = tomllib.loads(file.read_bytes().decode("utf-8-sig"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError) as trouble:
        raise Fault(
            f"the label template {file} cannot be read",
            expected="a TOML file with the tables [sheet], [grid] and [label]",
            came=str(trouble),
            todo="mend the file, or copy one of the templates that come with the program",
        ) from trouble
    values = _flat(file, tables)
    scale = _unit(file, values)
    lengths = {key: _length(file, key, values[key], scale) for key in _LENGTHS}
    counts = {key: _count(file, key, values[key]) for key in _COUNTS}
    optional = {key: _length(file, key, values.get(key, 0), scale) for key in _OPTIONAL}
    template = Template(
        name=file.stem,
        sheet_width=lengths["sheet.width"],
        sheet_height=lengths["sheet.height"],
        columns=counts["grid.columns"],
        rows=counts["grid.rows"],
        left=lengths["grid.left"],
        top=lengths["grid.top"],
        gap_x=lengths["grid.gap_x"],
        gap_y=lengths["grid.gap_y"],
        width=lengths["label.width"],
        height=lengths["label.height"],
        safe=lengths["label.safe"],
        eyelet=optional["label.eyelet"],
        stub=optional["label.stub"],
    )
    _check_inside(file, template)
    return template


def names(*, shop: Path | None = None) -> tuple[str, ...]:
    """Return the names of the label stocks at hand, the shop's own and the program's, in order of the alphabet."""
    return tuple(sorted({file.stem for folder in _folders(shop) for file in folder.glob("*.toml")}))


def named(name: str, *, shop: Path | None = None) -> Template:
    """Return the label stock of that name, the shop's own before the program's; refuse a name that is not there.

    The name is never taken as a path, so it may come from a phone.
    """
    for folder in _folders(shop):
        for file in sorted(folder.glob("*.toml")):
            if file.stem == name:
                return read(file)
    have = names(shop=shop)
    near = get_close_matches(name, have, n=1, cutoff=0.4)
    raise Refusal(
        f"there is no label template '{name}'",
        expected=", ".join(have) or "a template in the shop's label folder",
        came=name or "nothing",
        todo=f"say {near[0]}" if near else "choose one of these, or give the path of a .toml file",
    )


def load(wanted: str | Path, *, shop: Path | None = None) -> Template:
    """Return the label stock at a path (a `Path`, or a text ending in .toml) or of a name, as `read` and `named` do."""
    if isinstance(wanted, Path) or wanted.endswith(".toml"):
        return read(Path(wanted))
    return named(wanted, shop=shop)


def _folders(shop: Path | None) -> tuple[Path, ...]:
    package = Path(__file__).parent.parent
    # a wheel carries the templates inside the package; in a checkout they stand beside it
    own = (package / "label_templates", package.parent / "label_templates")
    return tuple(folder for folder in (shop, *own) if folder is not None and folder.is_dir())


def _flat(file: Path, tables: Mapping[str, object]) -> Mapping[str, object]:
    """Return the file's values under dotted keys; every key must be there, and no other."""
    flat: dict[str, object] = {}
    for key, value in tables.items():
        # an empty table stays under its own name, so that it is seen and refused
        inner = {f"{key}.{name}": v for name, v in value.items()} if isinstance(value, dict) else {}
        flat.update(inner or {key: value})
    known = ("unit", *_LENGTHS, *_COUNTS)
    for key in known:
        if key not in flat:
            raise Fault(
                f"{file}: {key} is missing",
                expected=f"a value for {key}",
                came="nothing",
                todo=f"add the line  {key.rpartition('.')[2]} = ...  under [{key.partition('.')[0]}]"
                if "." in key
                else 'begin the file with  unit = "mm"  or  unit = "in"',
            )
    for key in flat:
        if key not in known and key not in _OPTIONAL:
            near = get_close_matches(key, (*known, *_OPTIONAL), n=1)
            raise Fault(
                f"{file}: {key} is not known",
                expected=near[0] if near else ", ".join(known),
                came=key,
                todo="mend the spelling, or take the line out",
            )
    return flat


def _unit(file: Path, values: Mapping[str, object]) -> float:
    unit = values["unit"]
    if not isinstance(unit, str) or unit not in _UNITS:
        raise Fault(
            f"{file}: unit is not known",
            expected='"mm" or "in"',
            came=repr(unit),
            todo="say in which unit the figures of this file are",
        )
    return _UNITS[unit]


def _length(file: Path, key: str, value: object, scale: float) -> float:
    low, high = _LENGTHS[key] if key in _LENGTHS else _OPTIONAL[key]
    # the comparison refuses NaN and infinities too, and a bool is no length though Python takes it for a number
    good = isinstance(value, int | float) and not isinstance(value, bool) and low / scale <= value <= high / scale
    if good and isinstance(value, int | float):
        return float(value) * scale
    raise Fault(
        f"{file}: {key} cannot be right",
        expected=f"a length from {low / scale:.4g} to {high / scale:.4g} in the unit of the file",
        came=repr(value),
        todo="measure the sheet and mend the figure",
    )


def _count(file: Path, key: str, value: object) -> int:
    low, high = _COUNTS[key]
    if isinstance(value, int) and not isinstance(value, bool) and low <= value <= high:
        return value
    raise Fault(
        f"{file}: {key} cannot be right",
        expected=f"a whole number from {low} to {high}",
        came=repr(value),
        todo="count the labels on a sheet and mend the figure",
    )


def _check_inside(file: Path, t: Template) -> None:
    """Hold that all labels lie on the sheet, and that each has room inside its safe area."""
    directions = (
        ("across", "left", "columns", t.left, t.columns, t.width, t.gap_x, t.sheet_width),
        ("down", "top", "rows", t.top, t.rows, t.height, t.gap_y, t.sheet_height),
    )
    for way, margin_key, count_key, margin, count, size, gap, sheet in directions:
        needed = margin + count * size + (count - 1) * gap
        if needed > sheet + _ROUNDING:
            raise Fault(
                f"{file}: grid.{count_key}: the labels run off the sheet {way}",
                expected=f"grid.{margin_key} + labels + gaps no more than the sheet's {sheet:.2f} mm",
                came=f"{needed:.2f} mm",
                todo="measure the sheet and mend the margin, the gap, the label's size or the count",
            )
        aside = t.eyelet + t.stub if way == "across" else 0.0
        if size - aside - 2 * t.safe < _LEAST_INSIDE:
            raise Fault(
                f"{file}: label.safe leaves no room inside the label {way}",
                expected=f"at least {_LEAST_INSIDE:g} mm between the two safe edges",
                came=f"{size - aside - 2 * t.safe:.2f} mm",
                todo="make the safe area, the eyelet's end or the stub smaller",
            )

"""The import rule, as a function from a file's place and text to what is wrong with it."""

from __future__ import annotations

import ast
import sys
from pathlib import PurePosixPath

from tagtrack.core import READING_ORDER

# folder (or the file that counts as one) -> what of the project it may import
MAY_IMPORT = {
    "core": {"core"},
    "tables": {"core", "tables"},
    "solver": {"core"},
    "journal": {"core", "journal"},
    "camera": {"core", "camera"},
    "paper": {"core", "paper"},
    "shop": {"core", "shop"},
    "hangar": {"core", "shop", "paper", "camera", "hangar"},
    "cli": {"core", "tables", "solver", "journal", "camera", "paper", "shop", "hangar", "cli"},
    # `python -m tagtrack` and the package itself
    "__main__": {"cli"},
    "__init__": set(),
}
# each of these libraries is known to one folder alone
KNOWN_TO = {
    "tinydb": {"journal"},
    "click": {"cli"},
    "reportlab": {"paper"},
    "qrcode": {"paper"},
    "pypdfium2": {"paper"},
    "zxingcpp": {"camera"},
    "PIL": {"paper", "camera"},
    "networkx": {"solver"},
    "orjson": {"journal"},
    "flask": {"hangar"},
    "waitress": {"hangar"},
    "cheroot": {"hangar"},
    "cryptography": {"hangar"},
}
# what would let the outside world into core: files, clocks, chance
_WORLD = {"os", "io", "pathlib", "time", "datetime", "random", "secrets", "subprocess", "socket", "threading", "shutil"}
_WORLDLY_CALLS = {"open", "print", "input"}


def wrong(place: str, source: str) -> list[str]:
    """Return what is wrong with a module of the package, by its place below `tagtrack/` and its text."""
    path = PurePosixPath(place)
    folder = path.parts[0] if len(path.parts) > 1 else path.stem
    tree = ast.parse(source)
    told = [problem for name in imported(tree) for problem in _wrong_import(folder, path, name)]
    if folder == "core":
        calls = [n.func.id for n in ast.walk(tree) if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)]
        told += [f"core calls {name}()" for name in calls if name in _WORLDLY_CALLS]
    return told


def imported(tree: ast.AST) -> list[str]:
    """Return the full names of all modules that are imported, anywhere in the file, also for types only."""
    names: list[str] = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are written in full"
            # `from tagtrack.core import axes` names a module too
            names += [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
    return names


def _wrong_import(folder: str, path: PurePosixPath, name: str) -> list[str]:
    top, *rest = name.split(".")
    if top != "tagtrack":
        owners = KNOWN_TO.get(top)
        if owners is not None and folder not in owners:
            return [f"{folder} imports {top}, which only {' and '.join(sorted(owners))} may know"]
        if folder == "core" and (top in _WORLD or top not in sys.stdlib_module_names):
            return [f"core imports {top}"]
        return []
    if rest and rest[0] not in MAY_IMPORT[folder]:
        return [f"{folder} imports {rest[0]}"]
    inside = folder == "core" and len(rest) > 1 and {path.stem, rest[1]} <= set(READING_ORDER)
    if inside and READING_ORDER.index(rest[1]) >= READING_ORDER.index(path.stem):
        return [f"core/{path.stem} imports {rest[1]}, which is read later"]
    return []

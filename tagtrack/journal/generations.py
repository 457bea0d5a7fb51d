"""The copies of a shop that lie in one folder, in order of their making, and which of them may go.

A copy goes only when the newest one holds everything of the record that it holds: each of its journals is the beginning
of one there, each of its photos is there. So whatever was lost from the shop since, a deleted work order or an older
record put in place, stays in the copy that has it; and a copy of another shop is never touched.
"""

from __future__ import annotations

import json
import os
import re
import zipfile
import zlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from tagtrack.core.errors import Damaged
from tagtrack.journal.contents import MARK, NAME, SHOP, is_journal, of_no_weight

ARCHIVE = ".zip"
# beside the final name, while it is not whole yet
PART = ".part"
_OURS = re.compile(rf"{NAME}([0-9A-Za-z]+)(?:-([0-9]+))?(?:{re.escape(ARCHIVE)})?")
_FORMAT = "tagtrack-copy"
_VERSION = 1
_PHOTO = re.compile(r"jobs/[^/]+/photos/[^/]+")


@dataclass(frozen=True, slots=True)
class Held:
    """One file as a copy holds it: its bytes, counted, and their check."""

    size: int
    check: str

    def begins(self, data: bytes) -> bool:
        """Return whether these bytes begin with the file."""
        return len(data) >= self.size and self.check == check_like(self.check, data[: self.size])


@dataclass(frozen=True, slots=True)
class Rotated:
    """What became of the copies in a folder: how many of this shop are there, and what is to be told of the others."""

    kept: int
    notes: tuple[str, ...]


def check_like(check: str, data: bytes) -> str:
    """Return the check of the same kind of other bytes: a CRC-32 as archives have it, or a SHA-256."""
    return crc(zlib.crc32(data)) if len(check) == 8 else sha256(data).hexdigest()


def crc(number: int) -> str:
    """Return a CRC-32 as eight hex digits."""
    return f"{number:08x}"


def reserved(into: Path, stamp: str, ending: str, take: Callable[[Path], None]) -> tuple[Path, Path]:
    """Return a free name for a copy, and the name beside it that `take` has made for us alone."""
    # behind all that are there: a number that became free is not given again, so that the order is that of making
    taken = (path.name.removesuffix(PART) for path in into.iterdir())
    there = [int(found[2] or 1) for name in taken if name.endswith(ARCHIVE) == bool(ending)
             and (found := _OURS.fullmatch(name)) and found[1] == stamp]  # fmt: skip
    number = max(there, default=0) + 1
    while True:
        path = into / f"{NAME}{stamp}{'' if number == 1 else f'-{number}'}{ending}"
        part = path.with_name(path.name + PART)
        if not os.path.lexists(path):
            # two that begin in the same second must not write into each other
            with suppress(FileExistsError):
                take(part)
                return path, part
        number += 1


def generations(folder: Path, ending: str) -> list[Path]:
    """Return the copies in a folder by their names alone, oldest first: archives, or with an empty ending folders."""
    found = [(match, path) for path in folder.iterdir() if (match := _OURS.fullmatch(path.name))]
    right = [
        (match[1], int(match[2] or 1), path) for match, path in found
        if path.name.endswith(ARCHIVE) == bool(ending)
        and not path.is_symlink() and (path.is_file() if ending else path.is_dir())
    ]  # fmt: skip
    return [path for *_, path in sorted(right)]


def marked(taken: str, files: Mapping[str, Held]) -> bytes:
    """Return what makes a folder a copy: what it is, when it was taken, and every file in it with its SHA-256."""
    head = {
        "what": "A copy of a shop, to be looked at: nothing is recorded in it. To go on from it: "
                "tagtrack restore THIS-FOLDER NEW-FOLDER",
        "format": _FORMAT, "version": _VERSION, "taken": taken,
    }  # fmt: skip
    listed = ",\n".join(f"{json.dumps(name)}: {json.dumps([held.size, held.check])}" for name, held in files.items())
    return (json.dumps(head, indent=0).removesuffix("\n}") + f',\n"files": {{\n{listed}\n}}\n}}\n').encode()


def held_in(path: Path) -> dict[str, Held]:
    """Return what a copy holds, as it says itself; Damaged where it cannot be made out."""
    try:
        if path.is_dir():
            said = json.loads((path / MARK).read_bytes())
            if said["format"] != _FORMAT or said["version"] != _VERSION:
                raise _no_copy(path, "another kind of copy")
            return {str(name): Held(int(size), str(check)) for name, (size, check) in said["files"].items()}
        with zipfile.ZipFile(path) as archive:
            return {entry.filename: Held(entry.file_size, crc(entry.CRC)) for entry in archive.infolist()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError, NotImplementedError,
            zipfile.BadZipFile) as problem:  # fmt: skip
        raise _no_copy(path, str(problem)) from problem


def rotate(new: Path, ending: str, keep: int, read: Callable[[str], bytes]) -> Rotated:
    """Drop the oldest copies of this shop, so that `keep` remain; never the new one, nor one that holds more than it.

    `read` gives a file of the new copy.
    """
    older = {}
    for path in generations(new.parent, ending):
        if path != new:
            # one that cannot be made out is nobody's to delete
            with suppress(Damaged):
                older[path] = held_in(path)
    ours, more = _compared(held_in(new), older, read)
    notes = [f"{path} holds what the shop does not hold any more, and is kept: {', '.join(names[:3])}"
             + (f" and {len(names) - 3} more" if len(names) > 3 else "") for path, names in more.items()]  # fmt: skip
    going = ours[: max(len(ours) + 1 - keep, 0)]
    for path in going:
        # another backup may be at the same; what does not go now goes with the next one
        with suppress(OSError):
            notes += _dropped(path, older[path])
    kept = sum(os.path.lexists(path) for path in ours) + len(more) + 1
    if ours and generations(new.parent, ending)[-1] != new:
        notes.append(f"the clock: a copy there bears a later date than {new.name}, made just now")
    notes += [f"unfinished, of a backup that was broken off or still runs: {path}" for path in _parts(new.parent)]
    return Rotated(kept, tuple(notes))


def _compared(
    new: Mapping[str, Held], older: Mapping[Path, Mapping[str, Held]], read: Callable[[str], bytes]
) -> tuple[list[Path], dict[Path, list[str]]]:
    """Return which copies are of this shop and hold nothing else, and which hold more, with what that is."""
    lacking: dict[Path, list[str]] = {
        path: [name for name, held in files.items() if _PHOTO.fullmatch(name) and new.get(name) != held]
        for path, files in older.items()
    }
    gone = {path: {name for name in files if is_journal(name)} - new.keys() for path, files in older.items()}
    strange: set[Path] = {path for path, files in older.items() if SHOP not in files}
    for name in (name for name in new if older and is_journal(name)):
        data = read(name)
        for path, files in older.items():
            held = files.get(name)
            if held is None:
                continue
            if not held.begins(data):
                lacking[path].append(name)
            # the first line of a shop's record only names it: another shop of that name may have the same
            same = held.begins(data) and (held.size == len(data) or data.count(b"\n", 0, held.size) > 1)
            if name == SHOP and not same:
                strange.add(path)
    every = {path: sorted((*lacking[path], *gone[path])) for path in older if path not in strange}
    return [path for path, names in every.items() if not names], {path: names for path, names in every.items() if names}


def _dropped(path: Path, files: Mapping[str, Held]) -> Iterable[str]:
    """Delete a copy; if somebody's file lies in it, leave it whole and say so."""
    if not path.is_dir():
        path.unlink()
        return ()
    strange = _not_listed(path, files)
    if strange:
        return (f"{path} is kept: there is a file in it that the backup did not put there, {strange}",)
    # never half under its own name
    part = path.with_name(path.name + PART)
    path.rename(part)
    for folder, folders, names in os.walk(part, topdown=False):
        for name in names:
            (Path(folder) / name).unlink()
        for name in folders:
            (Path(folder) / name).rmdir()
    part.rmdir()
    return ()


def _not_listed(path: Path, files: Mapping[str, Held]) -> str:
    for folder, folders, names in os.walk(path):
        for name in (*names, *(f for f in folders if (Path(folder) / f).is_symlink())):
            file = Path(folder) / name
            inside = file.relative_to(path).as_posix()
            listed = files.get(inside)
            if not of_no_weight(inside) and (listed is None or file.is_symlink() or file.stat().st_size != listed.size):
                return inside
    return ""


def _parts(folder: Path) -> Sequence[Path]:
    return sorted(path for path in folder.iterdir()
                  if path.name.endswith(PART) and _OURS.fullmatch(path.name.removesuffix(PART)))  # fmt: skip


def _no_copy(path: Path, came: str) -> Damaged:
    return Damaged(f"{path} is no backup that can be read", expected="one that backup wrote", came=came,
                   todo="take another generation")  # fmt: skip

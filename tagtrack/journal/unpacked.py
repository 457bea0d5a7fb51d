"""A copy of a whole shop as a folder that opens as it lies: to be looked at, and not worked in.

Every file is written beside, flushed, and read back from the disk before the folder gets its name. `copy.json` in it
lists each file with its SHA-256 and makes the folder a copy: as long as it is there, nothing is recorded.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterable
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

from tagtrack.core.errors import Damaged, Full
from tagtrack.journal.backup import forget
from tagtrack.journal.contents import MARK, Copied, all_whole, gathered, is_journal
from tagtrack.journal.disk import full, sync, sync_folder, write_new
from tagtrack.journal.generations import Held, Rotated, marked, reserved, rotate


def copy_out(root: Path, into: Path, *, stamp: str, keep: int) -> tuple[Copied, Rotated]:
    """Write a copy of the shop as a folder into a folder, and check it; drop the oldest so that `keep` remain.

    Raises what `back_up` raises; then no folder is left.
    """
    try:
        into.mkdir(parents=True, exist_ok=True)
        path, part = reserved(into, stamp, "", Path.mkdir)
        try:
            copied, files = _written(root, into, part)
            write_new(part / MARK, marked(stamp, files))
            _check(part, files)
            sync_folders(part)
            part.rename(path)
        except BaseException:
            # whatever went wrong, no half copy stays to fill the disk
            shutil.rmtree(part, ignore_errors=True)
            raise
        sync_folder(into)
        return replace(copied, path=path), rotate(path, "", keep, lambda name: (path / name).read_bytes())
    except OSError as error:
        raise full(error, into, todo="give another folder, or make room there") from error


def _written(root: Path, into: Path, part: Path) -> tuple[Copied, dict[str, Held]]:
    files: dict[str, Held] = {}

    def put(name: str, pieces: Iterable[bytes]) -> None:
        files[name] = write_flushed(part / name, pieces)

    return gathered(root, into, put), files


def write_flushed(target: Path, pieces: Iterable[bytes]) -> Held:
    """Write a new file, and the folders above it, and return what was written once it is on disk."""
    target.parent.mkdir(parents=True, exist_ok=True)
    size, check = 0, sha256()
    with target.open("xb") as stream:
        for piece in pieces:
            stream.write(piece)
            size += len(piece)
            check.update(piece)
        stream.flush()
        sync(stream.fileno())
    return Held(size, check.hexdigest())


def sync_folders(top: Path) -> None:
    """Return when every name below a folder is on disk."""
    for folder, _, _ in os.walk(top):
        sync_folder(Path(folder))


def check_file(file: Path, held: Held) -> None:
    """Read a file of a copy again; Damaged where it is not what was listed."""
    size, check = 0, sha256()
    try:
        with file.open("rb") as stream:
            while piece := stream.read(1 << 20):
                size += len(piece)
                check.update(piece)
    except FileNotFoundError:
        raise _changed(file, "none") from None
    if (size, check.hexdigest()) != (held.size, held.check):
        raise _changed(file, f"{size} bytes, SHA-256 {check.hexdigest()[:16]}...")


def _changed(file: Path, came: str) -> Damaged:
    return Damaged(f"{file} is not what was copied", expected="the file that the backup wrote", came=came,
                   todo="take another generation")  # fmt: skip


def _check(part: Path, files: dict[str, Held]) -> None:
    """Read the copy back as it lies on the disk: each file by its SHA-256, and each line of every journal."""
    try:
        for name, held in files.items():
            forget(part / name)
            check_file(part / name, held)
            if is_journal(name):
                all_whole((part / name).read_bytes(), part / name)
    except Damaged as damage:
        raise Full(f"the copy {part.name} was not written whole", expected=f"{len(files)} files as they were read",
                   came=damage.what, todo="make the backup again, on another disk") from damage  # fmt: skip

"""A copy of a whole shop in one archive: taken while work goes on, checked after it was written.

See `contents` for what goes into it, `generations` for what becomes of older ones.
"""

from __future__ import annotations

import os
import zipfile
import zlib
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from tagtrack.core.errors import Damaged, Fault, Full
from tagtrack.journal.contents import Copied, all_whole, gathered, is_journal
from tagtrack.journal.disk import full, sync, sync_folder
from tagtrack.journal.generations import ARCHIVE, Rotated, reserved, rotate


def back_up(root: Path, into: Path, *, stamp: str, keep: int) -> tuple[Copied, Rotated]:
    """Write an archive of the shop into a folder and check it; drop the oldest so that `keep` of this shop remain.

    `stamp` is the moment in the archive's name. Raises Damaged where a journal is not whole: such a one is never copied
    over a good one in silence. Raises Full where the archive could not be kept; then none is left.
    """
    try:
        into.mkdir(parents=True, exist_ok=True)
        path, part = reserved(into, stamp, ARCHIVE, lambda file: file.touch(exist_ok=False))
        try:
            copied = _archived(root, into, part)
            _flush(part)
            _check(part, copied)
            part.rename(path)
        except BaseException:
            # whatever went wrong, no half archive stays to fill the disk
            part.unlink(missing_ok=True)
            raise
        sync_folder(into)
        with zipfile.ZipFile(path) as archive:
            return replace(copied, path=path), rotate(path, ARCHIVE, keep, archive.read)
    except OSError as error:
        raise full(error, into, todo="give another folder, or make room there") from error


def _archived(root: Path, into: Path, part: Path) -> Copied:
    with zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as archive:

        def put(name: str, pieces: Iterable[bytes]) -> None:
            try:
                name.encode()
            except UnicodeEncodeError as problem:
                raise Fault("a file's name cannot stand in an archive; no backup was made",
                            expected="letters of UTF-8", came=ascii(name),
                            todo="give the file another name") from problem  # fmt: skip
            with archive.open(_entry(name), "w", force_zip64=True) as entry:
                for piece in pieces:
                    entry.write(piece)

        return gathered(root, into, put)


def _entry(name: str) -> zipfile.ZipInfo:
    # without a time: an archive cannot hold one before 1980, where the clock of a computer with a dead battery begins
    entry = zipfile.ZipInfo(name)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.external_attr = 0o644 << 16
    return entry


def _flush(part: Path) -> None:
    handle = os.open(part, os.O_RDWR)
    try:
        sync(handle)
    finally:
        os.close(handle)
    forget(part)


def forget(file: Path) -> None:
    """Let the system forget what it holds of a file in memory, where it can, so that it is read from the disk."""
    if hasattr(os, "posix_fadvise"):
        handle = os.open(file, os.O_RDONLY)
        try:
            os.posix_fadvise(handle, 0, 0, os.POSIX_FADV_DONTNEED)
        finally:
            os.close(handle)


def _check(part: Path, copied: Copied) -> None:
    """Read the archive back as it lies on the disk, each file once: every journal in it must verify."""
    came = ""
    lines = count = 0
    try:
        with zipfile.ZipFile(part) as archive:
            for name in archive.namelist():
                came = name
                with archive.open(name) as entry:
                    if is_journal(name):
                        lines += all_whole(entry.read(), Path(name))
                    else:
                        while entry.read(1 << 20):
                            pass
                count += 1
        came = ""
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, Damaged) as problem:
        came = f"{came}: {problem}"
    if came or (count, lines) != (copied.journals + copied.others, copied.lines):
        raise Full(f"the archive {part.name} was not written whole",
                   expected=f"{copied.journals + copied.others} files, {copied.lines} lines",
                   came=came or f"{count} files, {lines} lines",
                   todo="make the backup again, on another disk")  # fmt: skip

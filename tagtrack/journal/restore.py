"""A shop made again from a copy: an archive or a folder, into an empty folder, checked file by file.

The shop's own record is put there last, so that what was broken off on the way is never taken for a shop.
"""

from __future__ import annotations

import os
import stat
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import replace
from pathlib import Path, PurePosixPath

from tagtrack.core.errors import Fault, Refusal
from tagtrack.journal.contents import SHOP, Copied, all_whole, gathered, is_copy, is_journal
from tagtrack.journal.disk import full, sync_folder
from tagtrack.journal.generations import held_in
from tagtrack.journal.unpacked import check_file, sync_folders, write_flushed

# a picture of a phone has some ten megabytes; an archive that claims more than this for one file is not ours
_MOST_BYTES = 2_000_000_000
_PIECE_BYTES = 1 << 20


def restore(source: Path, into: Path) -> Copied:
    """Make a shop in an empty or new folder from an archive, or from a folder; refuse any other place.

    Every journal is verified, and of a copy that lists its files each file. On a Fault nothing is left there.
    """
    if into.exists() and (not into.is_dir() or any(into.iterdir())):
        raise Refusal(
            f"{into} is not empty", expected="an empty or a new folder: nothing is ever written over",
            came="a folder with files in it", todo="choose another folder; move the old one aside by hand",
        )  # fmt: skip
    if source.is_dir() and into.resolve().is_relative_to(source.resolve()):
        raise Refusal(f"{into} lies in {source} itself", expected="a folder elsewhere", came=str(into),
                      todo="choose another folder")  # fmt: skip
    put = _Put(into)
    try:
        into.mkdir(parents=True, exist_ok=True)
        copied = _from_folder(source, put) if source.is_dir() else _from_archive(source, put)
        put.finish(source)
    except OSError as error:
        put.clear()
        raise full(error, into, todo="choose another folder, or make room") from error
    except BaseException:
        put.clear()
        raise
    return replace(copied, path=into)


class _Put:
    """Puts files into a folder, and can take them away again."""

    def __init__(self, into: Path) -> None:
        self._into = into
        self._written: list[Path] = []

    def __call__(self, name: str, pieces: Iterable[bytes]) -> None:
        """Write one file; the shop's own record under another name, until `finish`."""
        target = self._into / (f"{SHOP}.part" if name == SHOP else name)
        self._written.append(target)
        write_flushed(target, pieces)

    def finish(self, source: Path) -> None:
        """Make the folder a shop; a Fault where the shop's own record did not come."""
        beside = self._into / f"{SHOP}.part"
        if beside not in self._written:
            raise Fault(f"{source} holds no shop", expected=f"{SHOP} in it", came=f"{len(self._written)} other files",
                        todo="take another backup")  # fmt: skip
        sync_folders(self._into)
        beside.rename(self._into / SHOP)
        sync_folder(self._into)

    def clear(self) -> None:
        """Take away what was written: half a shop is none."""
        for file in self._written:
            with suppress(OSError):
                file.unlink(missing_ok=True)
        # the folders that are empty now; the folder itself may have been there before
        for folder, folders, _ in os.walk(self._into, topdown=False):
            for name in folders:
                with suppress(OSError):
                    (Path(folder) / name).rmdir()


def _from_folder(source: Path, put: _Put) -> Copied:
    if not (source / SHOP).exists():
        raise Fault(f"{source} holds no shop", expected=f"{SHOP} in it", came="a folder without",
                    todo="take another backup")  # fmt: skip
    if is_copy(source):
        for name, held in held_in(source).items():
            check_file(source / name, held)
    return gathered(source, source, put)


def _from_archive(source: Path, put: _Put) -> Copied:
    journals = lines = others = 0
    try:
        with zipfile.ZipFile(source) as archive:
            for entry in archive.infolist():
                name = _safe(entry, source)
                if is_journal(name):
                    data = archive.read(entry)
                    journals, lines = journals + 1, lines + all_whole(data, Path(name))
                    put(name, (data,))
                else:
                    put(name, _pieces(archive, entry))
                    others += 1
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError) as problem:
        raise Fault(f"{source} is no archive that can be read", expected="an archive that backup wrote",
                    came=str(problem), todo="take another generation") from problem  # fmt: skip
    return Copied(source, journals, lines, others)


def _pieces(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> Iterator[bytes]:
    with archive.open(entry) as stream:
        while piece := stream.read(_PIECE_BYTES):
            yield piece


def _safe(entry: zipfile.ZipInfo, archive: Path) -> str:
    """Return where an entry belongs below the folder; a Fault for one that points elsewhere."""
    name = PurePosixPath(entry.filename.replace("\\", "/"))
    link = stat.S_ISLNK(entry.external_attr >> 16)
    beyond = name.is_absolute() or ".." in name.parts or ":" in entry.filename or not name.parts
    if beyond or link or entry.is_dir() or entry.file_size > _MOST_BYTES:
        raise Fault(f"{archive} holds '{entry.filename[:60]}', which backup never writes", expected="files of a shop",
                    came="a path that leads elsewhere", todo="take another archive")  # fmt: skip
    return name.as_posix()

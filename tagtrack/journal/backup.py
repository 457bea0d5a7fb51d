"""Copies of a whole shop folder: one archive each, taken while work goes on, checked after it was written.

A journal is copied up to its last whole line that verifies, so a copy of a file that is just being written is always
a true earlier state of it. Locks, unfinished ends and earlier archives are left out, and what is secret: after a
restore PINs are set anew.
"""

from __future__ import annotations

import os
import stat
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain as joined
from pathlib import Path, PurePosixPath

from tagtrack.core.errors import Damaged, Fault, Full, Refusal
from tagtrack.journal.disk import full, sync, sync_folder
from tagtrack.journal.mirror import chain_of

NAME = "tagtrack-backup-"
_JOURNAL = ".jsonl"
_SHOP = "shop.jsonl"
# a locked or half-written file beside a journal is nobody's record
_LEFT_OUT = (".lock", ".new", ".part", "index.json")
# hashes of PINs, and keys that vouch for this computer: they stay here, an archive is carried about
_PRIVATE = frozenset({"secrets", "certificate"})
# a picture of a phone has some ten megabytes; an archive that claims more than this for one file is not ours
_MOST_BYTES = 2_000_000_000


@dataclass(frozen=True, slots=True)
class Copied:
    """What an archive holds: journals with their lines, and other files."""

    path: Path
    journals: int
    lines: int
    others: int


def back_up(root: Path, into: Path, *, stamp: str, keep: int) -> Copied:
    """Write an archive of the shop into a folder and check it; drop the oldest so that `keep` of ours remain.

    `stamp` is the moment in the archive's name. Raises Damaged where a journal is not whole: such a one is never copied
    over a good one in silence.
    """
    try:
        into.mkdir(parents=True, exist_ok=True)
        path = _free(into, f"{NAME}{stamp}")
        part = path.with_name(path.name + ".part")
        try:
            copied = _archived(root, into, part, path)
            _check(part, copied)
            _flush(part)
            part.replace(path)
        except BaseException:
            # whatever went wrong, no half archive stays to fill the disk
            part.unlink(missing_ok=True)
            raise
        sync_folder(into)
    except OSError as error:
        raise full(error, into, todo="give another folder, or make room there") from error
    for old in archives(into)[:-keep]:
        old.unlink(missing_ok=True)
    return copied


def _archived(root: Path, into: Path, part: Path, path: Path) -> Copied:
    """Write everything into the archive, the shop's own record after those of its work orders.

    What a work order records needs what the shop has recorded before it: tags given out, a blank that was taken. So the
    shop is copied last, and a work order that was opened meanwhile is fetched after it.
    """
    journals = lines = others = 0
    with zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as archive:
        first = sorted(_files(root, into), key=lambda pair: pair[1] == _SHOP)
        known = {name for _, name in first}
        for file, name in joined(first, _new_journals(root, into, known)):
            if file.suffix == _JOURNAL:
                data, count = _whole_lines(file)
                journals, lines = journals + 1, lines + count
            else:
                data, others = file.read_bytes(), others + 1
            archive.writestr(name, data)
    return Copied(path, journals, lines, others)


def _new_journals(root: Path, into: Path, known: set[str]) -> Iterator[tuple[Path, str]]:
    """Yield the journals that are there now and were not before, when it comes to them."""
    yield from ((file, name) for file, name in _files(root, into) if file.suffix == _JOURNAL and name not in known)


def _flush(part: Path) -> None:
    handle = os.open(part, os.O_RDWR)
    try:
        sync(handle)
    finally:
        os.close(handle)


def archives(folder: Path) -> list[Path]:
    """Return the archives of ours in a folder, oldest first."""
    return sorted(folder.glob(f"{NAME}*.zip"))


def restore(archive: Path, into: Path) -> Copied:
    """Unpack an archive into an empty or new folder, and check every journal there; refuse any other folder."""
    if into.exists() and (not into.is_dir() or any(into.iterdir())):
        raise Refusal(
            f"{into} is not empty", expected="an empty or a new folder: nothing is ever written over",
            came="a folder with files in it", todo="choose another folder; move the old one aside by hand",
        )  # fmt: skip
    try:
        with zipfile.ZipFile(archive) as opened:
            journals = lines = others = 0
            for entry in opened.infolist():
                name = _safe(entry, archive)
                data = opened.read(entry)
                target = into.joinpath(*name.parts)
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(data)
                if target.suffix == _JOURNAL:
                    journals, lines = journals + 1, lines + _verified(data, target)
                else:
                    others += 1
    except (zipfile.BadZipFile, EOFError, NotImplementedError) as problem:
        raise Fault(f"{archive} is no archive that can be read", expected="an archive that backup wrote",
                    came=str(problem), todo="take another generation") from problem  # fmt: skip
    except OSError as error:
        raise full(error, into, todo="choose another folder, or make room") from error
    if not (into / _SHOP).exists():
        raise Fault(f"{archive} holds no shop", expected="shop.jsonl in it", came=f"{others} other files",
                    todo="take another archive")  # fmt: skip
    return Copied(into, journals, lines, others)


def _files(root: Path, into: Path) -> Iterator[tuple[Path, str]]:
    for folder, folders, names in os.walk(root):
        # an archive kept inside the shop is not archived again
        folders[:] = sorted(f for f in folders if (Path(folder) / f).resolve() != into.resolve())
        for name in sorted(names):
            file = Path(folder) / name
            inside = file.relative_to(root)
            if not name.endswith(_LEFT_OUT) and not name.startswith(NAME) and inside.parts[0] not in _PRIVATE:
                yield file, inside.as_posix()


def _whole_lines(file: Path) -> tuple[bytes, int]:
    """Return a journal's bytes up to its last whole line, and how many lines; raise Damaged where one is not true."""
    data = file.read_bytes()
    chain = chain_of(data)
    if chain.damage is not None:
        trouble = chain.damage.trouble
        raise Damaged(
            f"{file}, line {chain.damage.line}: {trouble.what}; no backup was made", expected=trouble.expected,
            came=trouble.came, todo="keep the last good archive; see what is left: tagtrack verify",
        )  # fmt: skip
    return data[: chain.end], chain.head.seq


def _verified(data: bytes, file: Path) -> int:
    chain = chain_of(data)
    if chain.damage is not None or chain.unfinished:
        raise Damaged(f"{file} came out of the archive damaged", expected="every line good",
                      came="another", todo="take another generation")  # fmt: skip
    return chain.head.seq


def _check(part: Path, copied: Copied) -> None:
    """Read the archive back as it lies on the disk, each file once: every journal in it must verify."""
    came = ""
    lines = 0
    with zipfile.ZipFile(part) as archive:
        for name in archive.namelist():
            try:
                data = archive.read(name)
            except (zipfile.BadZipFile, zlib.error) as problem:
                came = f"{name}: {problem}"
                break
            lines += _verified(data, Path(name)) if name.endswith(_JOURNAL) else 0
    if came or lines != copied.lines:
        raise Full(f"the archive {part.name} was not written whole", expected=f"{copied.lines} lines",
                   came=came or f"{lines} lines", todo="make the backup again, on another disk")  # fmt: skip


def _safe(entry: zipfile.ZipInfo, archive: Path) -> PurePosixPath:
    """Return where an entry belongs below the folder; a Fault for one that points elsewhere."""
    name = PurePosixPath(entry.filename.replace("\\", "/"))
    link = stat.S_ISLNK(entry.external_attr >> 16)
    if name.is_absolute() or ".." in name.parts or ":" in entry.filename or link or entry.file_size > _MOST_BYTES:
        raise Fault(f"{archive} holds '{entry.filename[:60]}', which backup never writes", expected="files of a shop",
                    came="a path that leads elsewhere", todo="take another archive")  # fmt: skip
    return name


def _free(folder: Path, stem: str) -> Path:
    number = 1
    while (path := folder / f"{stem}{'' if number == 1 else f'-{number}'}.zip").exists():
        number += 1
    return path

"""What of a shop folder goes into a copy of it: every journal up to its last whole line, and every other file.

A journal that is just being written is read up to its last line that verifies, which is always a true earlier state of
it. Locks, unfinished ends, the index and earlier copies stay behind, and what is secret: after a restore PINs are set
anew.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from tagtrack.core.errors import Damaged, Fault
from tagtrack.journal.chain import Chain
from tagtrack.journal.mirror import chain_of

# how every copy's name begins
NAME = "tagtrack-backup-"
SHOP = "shop.jsonl"
_JOB = re.compile(r"jobs/([^/]+)/journal\.jsonl")
# what makes a folder a copy, to be looked at and not worked in
MARK = "copy.json"
# a locked or half-written file beside a journal is nobody's record
_LEFT_OUT = (".lock", ".new", ".part")
# made anew by itself, or said of one copy alone
_OWN = frozenset({"index.json", MARK})
# hashes of PINs, sign-outs, and keys that vouch for this computer: they stay here, a copy is carried about
_PRIVATE = frozenset({"secrets", "signed-out.json", "certificate"})
# a photo is not held in memory whole
_PIECE_BYTES = 1 << 20

# takes one file of a copy: its name below the shop folder, its bytes in pieces
Put = Callable[[str, Iterable[bytes]], None]


@dataclass(frozen=True, slots=True)
class Copied:
    """What a copy holds: journals with their lines, other files; and work orders that it should hold and does not."""

    path: Path
    journals: int
    lines: int
    others: int
    missing: tuple[str, ...] = ()


def is_journal(name: str) -> bool:
    """Return whether a file of this name, as it is below a shop folder, is a journal."""
    return name == SHOP or _JOB.fullmatch(name) is not None


def of_no_weight(name: str) -> bool:
    """Return whether a file of this name, as it is below a shop folder, is never part of a copy, and nobody's loss."""
    return name.endswith(_LEFT_OUT) or name in _OWN


def is_copy(folder: Path) -> bool:
    """Return whether a folder says that it is the copy of a shop."""
    return (folder / MARK).exists()


def gathered(root: Path, into: Path, put: Put) -> Copied:
    """Hand everything that a copy holds to `put`, by name and in pieces; the shop's record after its work orders'.

    What a work order records needs what the shop has recorded before it: tags given out, a blank that was taken. So the
    shop comes last, and a work order that was opened meanwhile is fetched after it. Raises Damaged where a journal is
    not whole, Fault where a file cannot be read.
    """
    lines: dict[str, int] = {}
    others = 0
    listed: tuple[str, ...] = ()
    for file, name in _in_order(root, into):
        try:
            stream = file.open("rb")
        except FileNotFoundError:
            # deleted since it was listed
            continue
        except OSError as error:
            raise _unreadable(file, error) from error
        with stream:
            if not is_journal(name):
                put(name, _pieces(stream, file))
                others += 1
                continue
            data, chain = _whole_lines(b"".join(_pieces(stream, file)), file)
        put(name, (data,))
        lines[name] = chain.head.seq
        if name == SHOP:
            listed = tuple(dict.fromkeys(_jobs_listed(chain)))
    there = {found[1] for name in lines if (found := _JOB.fullmatch(name))}
    missing = tuple(job for job in listed if job not in there)
    return Copied(into, len(lines), sum(lines.values()), others, missing)


def all_whole(data: bytes, file: Path) -> int:
    """Return how many lines a copied journal has; raise Damaged where it is not whole to its last byte."""
    chain = chain_of(data)
    if chain.damage is not None or chain.unfinished:
        raise Damaged(f"{file} came out of the backup damaged", expected="every line good",
                      came="another", todo="take another generation")  # fmt: skip
    return chain.head.seq


def _whole_lines(data: bytes, file: Path) -> tuple[bytes, Chain]:
    chain = chain_of(data)
    if chain.damage is not None:
        trouble = chain.damage.trouble
        raise Damaged(
            f"{file}, line {chain.damage.line}: {trouble.what}; no backup was made", expected=trouble.expected,
            came=trouble.came, todo="keep the last good one; see what is left: tagtrack verify",
        )  # fmt: skip
    return data[: chain.end], chain


def _pieces(stream: BinaryIO, file: Path) -> Iterator[bytes]:
    try:
        while piece := stream.read(_PIECE_BYTES):
            yield piece
    except OSError as error:
        raise _unreadable(file, error) from error


def _unreadable(file: Path, error: OSError) -> Fault:
    return Fault(f"{file} cannot be read; no backup was made", expected="every file of the shop readable",
                 came=error.strerror or str(error), todo="have the rights, or the disk, looked after")  # fmt: skip


def _jobs_listed(shop: Chain) -> Iterator[str]:
    """Yield the work orders that the shop's own record tells of; their records were made before that."""
    for document in shop.documents:
        for event in document.get("events", ()):
            if isinstance(event, dict) and event.get("kind") == "JobOpened":
                yield str(event.get("job", ""))


def _in_order(root: Path, into: Path) -> Iterator[tuple[Path, str]]:
    first = sorted(_files(root, into), key=lambda pair: pair[1] == SHOP)
    yield from first
    known = {name for _, name in first}
    yield from ((file, name) for file, name in _files(root, into) if is_journal(name) and name not in known)


def _files(root: Path, into: Path) -> Iterator[tuple[Path, str]]:
    target, top = into.resolve(), root.resolve()
    # a work order may have been moved to a larger disk, and linked; a link that leads back leads nowhere new
    walked, above = {top}, set(top.parents)
    for folder, folders, names in os.walk(root, followlinks=True, onerror=_must_be_readable):
        here = Path(folder)
        kept = []
        for name in sorted(folders):
            inside, real = here / name, (here / name).resolve()
            # a copy that is kept inside the shop is not copied again
            if real != target and real not in above and real not in walked and not _stays(inside.relative_to(root)):
                walked.add(real)
                kept.append(name)
        folders[:] = kept
        # only files whose bytes end: a pipe would keep a reader waiting, a link may lead nowhere
        for name in sorted(names):
            inside = (here / name).relative_to(root)
            if not of_no_weight(inside.as_posix()) and not _stays(inside) and (here / name).is_file():
                yield here / name, inside.as_posix()


def _stays(inside: Path) -> bool:
    return inside.name.startswith(NAME) or inside.as_posix() in _PRIVATE


def _must_be_readable(error: OSError) -> None:
    if not isinstance(error, FileNotFoundError):
        raise _unreadable(Path(str(error.filename)), error) from error

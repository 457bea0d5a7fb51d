"""A file that is either there whole or not there: nobody ever prints half a sheet of tags."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from tagtrack.core.errors import Full


def write_atomically(path: Path, content: bytes, *, mode: int = 0o644) -> None:
    """Put the bytes under that name, whole and on disk, replacing what was there; else raise `Full`, nothing changed.

    `mode` says who may read it, where the system knows such rights.
    """
    with growing(path, mode=mode) as stream:
        stream.write(content)


@contextmanager
def growing(path: Path, *, mode: int = 0o644) -> Iterator[BinaryIO]:
    """Give a stream whose bytes get that name, whole and on disk, when the block ends; else as `write_atomically`.

    The bytes go into a new file beside it, are flushed to disk, and the new file takes over the name in one step. A
    block that ends with an error leaves nothing behind.
    """
    beside: Path | None = None
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name[:40]}.", suffix=".part", dir=path.parent)
        beside = Path(name)
        with os.fdopen(handle, "wb") as stream:
            yield stream
            stream.flush()
            os.fsync(stream.fileno())
        # a temporary file is made for its owner alone; paper is for the whole shop
        beside.chmod(mode)
        beside.replace(path)
        _flush_folder(path.parent)
    except OSError as trouble:
        raise Full(
            f"{path} could not be written",
            expected="a folder that is there, may be written to, and has room",
            came=trouble.strerror or str(trouble),
            todo="close the file if it is open in another program, make room, or give another folder",
        ) from trouble
    finally:
        # where it took over the name, there is none of this name any more
        if beside is not None:
            with suppress(OSError):
                beside.unlink(missing_ok=True)


def _flush_folder(folder: Path) -> None:
    """Bring the new name itself to disk, where the system can: Windows cannot open a folder, some shares refuse."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)

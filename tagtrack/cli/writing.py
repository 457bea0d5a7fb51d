"""Puts a finished PDF where it was asked for: a file, whole or not at all, or the next program in a pipe."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from tempfile import TemporaryFile
from typing import BinaryIO, cast

import click

from tagtrack.core.errors import Full

# as a file's name: the PDF goes to standard output, and nothing else does
PIPE = Path("-")
# of previews, to the inch
_DPI = 110


def write_pdf(pdf: bytes, path: Path, *, png: bool) -> list[Path]:
    """Write a PDF, with a PNG preview of each page beside it if asked; return the files, none where it was piped."""
    return write_drawn(lambda out: out.write(pdf), path, png=png)


def write_drawn(draw: Callable[[BinaryIO], object], path: Path, *, png: bool) -> list[Path]:
    """Write the PDF that is drawn into the stream it is given, page by page; the rest as `write_pdf`."""
    from tagtrack.paper.whole_file import growing, write_atomically

    if path == PIPE:
        # what could not be finished is not piped: the next program may be a printer
        with TemporaryFile() as whole:
            draw(cast(BinaryIO, whole))
            whole.seek(0)
            # as bytes, past the text layer: a console's coding has no business in a PDF
            _pipe(cast(BinaryIO, whole), sys.stdout.buffer)
        sys.stdout.buffer.flush()
        return []
    with growing(path) as out:
        draw(out)
    written = [path]
    if png:
        from tagtrack.paper.preview import pages_as_png

        for number, page in enumerate(pages_as_png(path, dpi=_DPI), start=1):
            preview = _preview(path, number)
            write_atomically(preview, page)
            written.append(preview)
        _clear_older(path, len(written))
    return written


def _preview(path: Path, number: int) -> Path:
    return path.with_name(f"{path.stem}-{number}.png")


def _clear_older(path: Path, number: int) -> None:
    """Remove the previews of an earlier and longer print of this file, from that page on: they are not of this one."""
    from tagtrack.paper.preview import is_preview

    while is_preview(_preview(path, number), dpi=_DPI):
        _preview(path, number).unlink(missing_ok=True)
        number += 1


def _pipe(whole: BinaryIO, out: BinaryIO) -> None:
    while block := memoryview(whole.read(1 << 16)):
        # a stream without a buffer of its own takes what has room and says how much that was
        while block:
            block = block[out.write(block) :]


def tell_written(words: str, written: Sequence[Path]) -> None:
    """Say what was written, and where; beside a piped PDF, on standard error."""
    where = ", ".join(map(str, written))
    click.echo(": ".join(filter(None, (words, where))) or "piped", err=not written)


def check_writable(out: str | None, usual: Path) -> None:
    """Refuse a place where no file can be written, before anything is recorded for what would be printed."""
    folder = Path(out).parent if out else usual
    if out != str(PIPE) and (not folder.is_dir() or not os.access(folder, os.W_OK)):
        raise Full(f"{out or usual} could not be written", expected="a folder that is there and may be written to",
                   came=str(folder), todo="give another folder; nothing was recorded")  # fmt: skip

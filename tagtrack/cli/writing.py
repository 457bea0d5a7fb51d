"""Puts a finished PDF where it was asked for: a file, whole or not at all, or the next program in a pipe."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path

import click

from tagtrack.core.errors import Full

# as a file's name: the PDF goes to standard output, and nothing else does
PIPE = Path("-")


def write_pdf(pdf: bytes, path: Path, *, png: bool) -> list[Path]:
    """Write a PDF, with a PNG preview of each page beside it if asked; return the files, none where it was piped."""
    from tagtrack.paper.whole_file import write_atomically

    if path == PIPE:
        # as bytes, past the text layer: a console's coding has no business in a PDF
        sys.stdout.buffer.write(pdf)
        sys.stdout.buffer.flush()
        return []
    write_atomically(path, pdf)
    written = [path]
    if png:
        from tagtrack.paper.preview import pages_as_png

        for number, page in enumerate(pages_as_png(pdf, dpi=110), start=1):
            preview = path.with_name(f"{path.stem}-{number}.png")
            write_atomically(preview, page)
            written.append(preview)
    return written


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

"""How far a long look has come: told on a terminal alone, apart from the answers, and only where somebody waits."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from typing import TypeVar

import click

# what is done sooner needs no bar
_PATIENCE_S = 1.0


Thing = TypeVar("Thing")


def with_progress(things: Sequence[Thing], label: str) -> Iterator[Thing]:
    """Yield the things one by one; where that takes more than a second, show on standard error how many are done."""
    if not sys.stderr.isatty():
        yield from things
        return
    begun = time.monotonic()
    with ExitStack() as shown:
        bar = None
        for number, thing in enumerate(things, start=1):
            yield thing
            if bar is not None:
                bar.update(1)
            elif time.monotonic() - begun > _PATIENCE_S:
                bar = shown.enter_context(click.progressbar(length=len(things), label=label, file=sys.stderr))
                bar.update(number)

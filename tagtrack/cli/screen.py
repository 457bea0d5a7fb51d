"""How the answers of the scan loop look in a terminal: words first, loudness second, colour last and never alone."""

from __future__ import annotations

import sys

import click

from tagtrack.cli.wrapping import fitted
from tagtrack.shop.lines.talk import Reply, Tone

_MARK = {Tone.DONE: " ok ", Tone.NOTE: "    ", Tone.ASK: "  ? ", Tone.WRONG: "!!! "}


def show(reply: Reply) -> None:
    """Print one answer; a wrong one rings the bell where a person listens."""
    if reply.dropped:
        # a line of its own, in a tone of its own: what follows is the answer to the line that was typed now
        click.secho(_fit(_MARK[Tone.WRONG] + reply.dropped), bold=True)
    first, *rest = reply.lines or ("",)
    loud = reply.tone is Tone.WRONG
    if loud and sys.stdout.isatty():
        click.echo("\a", nl=False)
    click.secho(_fit(_MARK[reply.tone] + first), bold=reply.tone is not Tone.NOTE, reverse=loud)
    for line in "\n".join(rest).splitlines():
        tell("    " + line)


def tell(line: str, *, bold: bool = False) -> None:
    """Print one line, broken between words where a person reads it."""
    click.secho(_fit(line), bold=bold)


def _fit(line: str) -> str:
    return fitted(line, sys.stdout)

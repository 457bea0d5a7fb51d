"""Commands that record: the scan loop, one line of it, and its words."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress

import click

from tagtrack.cli.options import BY, JOB
from tagtrack.cli.outcome import Exit
from tagtrack.cli.screen import show, tell
from tagtrack.cli.wiring import initials_of, interactive, job_of, opened_shop
from tagtrack.core.records import Via
from tagtrack.core.spelling import clean, how_many
from tagtrack.core.tagcode import looks_like_code
from tagtrack.shop.lines.loop import WORDS, Loop
from tagtrack.shop.lines.talk import Tone


def _typed(loop: Loop) -> Iterator[str]:
    """Yield the lines of a person or hand scanner at the terminal."""
    with suppress(ImportError):
        import readline  # noqa: F401 - gives line editing and history, where the system has it
    while True:
        try:
            yield input(f"[{loop.prompt}] > ")
        except EOFError:
            click.echo()
            return


def _piped(source: str) -> Iterator[str]:
    """Yield the lines of a file or pipe; '#' begins a remark. Bytes that are not UTF-8 stay visible as such."""
    with click.open_file(source, encoding="utf-8-sig", errors="replace") as lines:
        for line in lines:
            if line.strip() and not line.lstrip().startswith("#"):
                yield line.rstrip("\r\n")


@click.command()
@click.argument("source", default="-")
@JOB
@BY
@click.pass_obj
def scan(shop_folder: str | None, source: str, job: str | None, by: str | None) -> int:
    """The scan loop. Scan tags with any scanner that types, type words, or pipe a file in.

    Every line is answered at once and recorded before it is answered. Leave with 'quit' or Ctrl-C. With SOURCE, or
    in a pipe, the exit code is 4 if a line was refused.
    """
    with opened_shop(shop_folder) as (shop, _, _settings):
        person = source == "-" and interactive()
        opened = job_of(shop, job)
        loop = Loop(opened, initials_of(shop, by), Via.TYPED if person else Via.FILE)
        refused = False
        if person:
            click.echo(f"{opened.name} {opened.opened().registration}: scan a tag or type a word; 'help' lists them")
        for line in _typed(loop) if person else _piped(source):
            if person:
                loop.bench.via = Via.SCANNED if looks_like_code(line) else Via.TYPED
            else:
                # never as it stands: a file may hold what a terminal would obey
                click.echo(f"[{loop.prompt}] > {clean(line)}")
            reply = loop.line(line)
            show(reply)
            refused = refused or (reply.tone is Tone.WRONG and reply.act is None)
            if reply.ends:
                break
        if loop.bench.to_print:
            count = loop.bench.to_print
            click.echo(f"{how_many(count, 'tag')} to print: tagtrack labels --job {opened.name} --last {count}")
        return Exit.REFUSED if refused and not person else Exit.CLEAN


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("words", nargs=-1, required=True)
@JOB
@BY
@click.pass_obj
def say(shop_folder: str | None, words: tuple[str, ...], job: str | None, by: str | None) -> int:
    """One line of the scan loop: tagtrack say off elevator fairing LEFT ';' 12 AN525-10R8."""
    with opened_shop(shop_folder) as (shop, _, _settings):
        loop = Loop(job_of(shop, job), initials_of(shop, by))
        reply = loop.line(" ".join(words))
        show(reply)
        if reply.found:
            return Exit.FINDINGS
        silent = reply.act is None and reply.tone in (Tone.WRONG, Tone.ASK)
        return Exit.REFUSED if silent else Exit.CLEAN


@click.command()
def words() -> None:
    """Every word of the scan loop, with an example."""
    for name, word in WORDS.items():
        told = (word.__doc__ or "").split("\n")[0].rstrip(".").replace("`", "")
        tell(f"{name:<12} {told}")

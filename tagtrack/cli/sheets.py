"""Commands that print sheets: the reinstallation sheet, the handover sheet, the leftover-hardware report."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from io import BytesIO
from pathlib import Path

import click

from tagtrack.cli.options import JOB, OUT, PNG
from tagtrack.cli.wiring import job_of, opened_shop, today
from tagtrack.cli.writing import PIPE, tell_written, write_pdf
from tagtrack.core.handover import handover as handover_sheet
from tagtrack.core.leftover import report as leftover_report
from tagtrack.core.reconcile import reconcile
from tagtrack.core.refit_sheet import refit_sheet
from tagtrack.core.sheets import Sheet
from tagtrack.shop.desk import Job

_PAPER = click.option("--paper", type=click.Choice(["letter", "a4"]), help="Paper size; the shop's setting otherwise.")
_AS_TEXT = click.option("--text", "as_text", is_flag=True, help="Show it here as text; write nothing.")


@click.command()
@JOB
@OUT
@PNG
@_PAPER
@_AS_TEXT
@click.pass_obj
def report(
    shop_folder: str | None, job: str | None, out: str | None, png: bool, paper: str | None, as_text: bool  # noqa: FBT001
) -> None:
    """The leftover-hardware report of a work order, as PDF and as plain text beside it."""
    _sheet(shop_folder, job, "report", _report, out=out, png=png, paper=paper, as_text=as_text)


@click.command()
@JOB
@OUT
@PNG
@_PAPER
@_AS_TEXT
@click.option("--everything", is_flag=True, help="Also what is back on already.")
@click.pass_obj
def refit(
    shop_folder: str | None, job: str | None, out: str | None, png: bool, paper: str | None, as_text: bool,  # noqa: FBT001
    everything: bool,  # noqa: FBT001
) -> None:  # fmt: skip
    """The reinstallation sheet: how each thing goes back, in an order in which nothing is covered too early.

    With its stack drawn, what must be new, reference torque and wrench where the tables have them. The maker's manual
    prevails.
    """
    made = partial(_refit, everything=everything)
    _sheet(shop_folder, job, "refit", made, out=out, png=png, paper=paper, as_text=as_text)


@click.command()
@JOB
@OUT
@PNG
@_PAPER
@_AS_TEXT
@click.pass_obj
def handover(
    shop_folder: str | None, job: str | None, out: str | None, png: bool, paper: str | None, as_text: bool  # noqa: FBT001
) -> None:
    """The handover sheet, for whoever goes on with work that somebody else began.

    What is half done and what that lacks, what is wrong now, off, and aboard; the last steps, and what can go on next.
    With two lines to sign.
    """
    _sheet(shop_folder, job, "handover", _handover, out=out, png=png, paper=paper, as_text=as_text)


def _sheet(
    shop_folder: str | None, job: str | None, name: str, make: Callable[[Job, str], Sheet], *, out: str | None,
    png: bool, paper: str | None, as_text: bool,
) -> None:  # fmt: skip
    """Show a sheet of a work order here as text, or write it and say where; `make` gets the work order and the day."""
    with opened_shop(shop_folder) as (shop, folder, settings):
        opened = job_of(shop, job, reading=True)
        sheet = make(opened, today())
        if as_text:
            from tagtrack.paper.report_text import report_text

            click.echo(report_text(sheet), nl=False)
            return
        path = Path(out) if out else folder.job_folder(opened.name) / f"{name}.pdf"
        tell_written("", write_sheet(sheet, path, paper=paper or settings.paper, png=png))


def _report(job: Job, day: str) -> Sheet:
    return leftover_report(job.refresh(), reconcile(job.state, job.knowledge), job.head, printed=day)


def _refit(job: Job, day: str, *, everything: bool) -> Sheet:
    job.refresh()
    return refit_sheet(job.index(), job.head, printed=day, everything=everything)


def _handover(job: Job, day: str) -> Sheet:
    outcome = reconcile(job.refresh(), job.knowledge, asked=False)
    return handover_sheet(job.index(), outcome, job.acts, job.head, printed=day)


def write_handover(job: Job, path: Path, *, paper: str, day: str, png: bool) -> list[Path]:
    """Write the handover sheet as PDF and text, with previews if asked; return the files."""
    return write_sheet(_handover(job, day), path, paper=paper, png=png)


def write_refit(
    job: Job, path: Path, *, paper: str, day: str, png: bool, everything: bool = False
) -> list[Path]:
    """Write the reinstallation sheet as PDF and text, with previews if asked; return the files."""
    return write_sheet(_refit(job, day, everything=everything), path, paper=paper, png=png)


@click.command()
@OUT
@PNG
@_PAPER
@click.pass_obj
def controls(shop_folder: str | None, out: str | None, png: bool, paper: str | None) -> None:  # noqa: FBT001
    """A sheet of words to scan, for hands that cannot type: all in tight, undo, no, up fwd, who works now."""
    from tagtrack.paper.control_sheet import WORDS, control_pages
    from tagtrack.paper.pdf import write_pdf as pages_to_pdf
    from tagtrack.paper.report_pdf import Paper

    with opened_shop(shop_folder) as (shop, folder, settings):
        people = [f"BY {initials}" for initials in shop.state.people if initials.isascii()]
        wide, high = Paper(paper or settings.paper).size
        pages = control_pages([*WORDS, *people], wide=wide, high=high, title="Words to scan")
        page = BytesIO()
        pages_to_pdf(pages, out=page, title="Words to scan")
        path = Path(out) if out else folder.root / "words-to-scan.pdf"
        tell_written("", write_pdf(page.getvalue(), path, png=png))


def write_report(job: Job, path: Path, *, paper: str, day: str, png: bool) -> list[Path]:
    """Write the report as PDF and text, with previews if asked; return the files."""
    return write_sheet(_report(job, day), path, paper=paper, png=png)


def write_sheet(sheet: Sheet, path: Path, *, paper: str, png: bool) -> list[Path]:
    """Write a sheet as PDF and text, with previews if asked; return the files. Piped, it is the PDF alone."""
    from tagtrack.paper.report_pdf import Paper, report_pdf
    from tagtrack.paper.report_text import report_text
    from tagtrack.paper.whole_file import write_atomically

    out = BytesIO()
    report_pdf(sheet, out=out, paper=Paper(paper))
    if path == PIPE:
        return write_pdf(out.getvalue(), path, png=False)
    text = path.with_suffix(".txt")
    write_atomically(text, report_text(sheet).encode())
    return [*write_pdf(out.getvalue(), path, png=png), text]

"""Options that several commands share, each said once."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click


def _pdf(ctx: click.Context, parameter: click.Parameter, value: str | None) -> str | None:
    """Refuse a name that says something else than what is written: the text beside a report would be overwritten."""
    if value == "-":
        _alone(ctx, parameter, piped=True, beside=ctx.params.get("png") or ctx.params.get("thermal"))
        if sys.stdout.isatty():
            raise click.BadParameter("a PDF is no text for a screen: send it on, as in  -o - | lp", ctx, parameter)
    elif value and Path(value).suffix.lower() != ".pdf":
        raise click.BadParameter("a PDF is written: give a name that ends in .pdf", ctx, parameter)
    return value


def _beside(ctx: click.Context, parameter: click.Parameter, value: Any) -> Any:
    _alone(ctx, parameter, piped=ctx.params.get("out") == "-", beside=value)
    return value


def _alone(ctx: click.Context, parameter: click.Parameter, *, piped: bool, beside: object) -> None:
    """Refuse pictures beside a PDF that is piped, whichever of the two was said first."""
    if piped and beside:
        raise click.BadParameter("one PDF is piped, and no picture beside it: give a file's name", ctx, parameter)


JOB = click.option("--job", envvar="TAGTRACK_JOB", metavar="JOB", help="The work order; not needed where one is open.")
BY = click.option("--by", envvar="TAGTRACK_BY", metavar="INITIALS", help="Who does it.")
TEMPLATE = click.option("--template", metavar="NAME", help="The label template; see `tagtrack templates`.")
START = click.option("--start", default=1, show_default=True, help="First free label of a part-used sheet.")
OUT = click.option("-o", "--out", metavar="FILE", callback=_pdf, help="Where to write the PDF; - pipes it.")
OFFSET = click.option(
    "--offset", type=float, nargs=2, default=(0.0, 0.0), metavar="X Y", help="Move the print right and down, in mm."
)
THERMAL = click.option(
    "--thermal", type=click.Choice(["203", "300"]), callback=_beside,
    help="For a thermal printer: one 1-bit PNG a label, in its dots.",
)  # fmt: skip
PNG = click.option(
    "--png", is_flag=True, callback=_beside, help="Also leave a PNG preview of each page beside the PDF."
)

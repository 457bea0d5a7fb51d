"""The command that takes a list of what will come off, and prints its tags."""

from __future__ import annotations

from pathlib import Path

import click

from tagtrack.cli.options import BY, JOB, OUT, PNG, START, TEMPLATE
from tagtrack.cli.printing import faces, print_tags, ready
from tagtrack.cli.wiring import initials_of, job_of, opened_shop
from tagtrack.cli.writing import PIPE
from tagtrack.core.errors import Refusal
from tagtrack.core.events import Planned
from tagtrack.shop import planning
from tagtrack.shop.ports import Who


@click.command()
@click.argument("list_file", metavar="LIST.csv")
@JOB
@TEMPLATE
@START
@OUT
@PNG
@BY
@click.pass_obj
def plan(
    shop_folder: str | None, list_file: str, job: str | None, template: str | None, start: int, out: str | None,
    png: bool, by: str | None,  # noqa: FBT001
) -> None:  # fmt: skip
    """Print the tags of a removal list before the first screw turns.

    A CSV file in UTF-8 with the headings position and side, and as many of these as are known: hardware, marks, mount,
    critical, part number, serial number, life, lock, closes, under, per data, keep. Cells are written as in the loop.
    Nothing is recorded as removed: scan a planned tag and say 'off' when it came off as listed.
    """
    try:
        data = Path(list_file).read_bytes()
    except OSError as problem:
        raise Refusal(f"{list_file} cannot be read", expected="a CSV file", came=problem.strerror or str(problem),
                      todo="look at the name and the folder") from problem  # fmt: skip
    rows = planning.read_list(data)
    with opened_shop(shop_folder) as (shop, folder, settings):
        opened = job_of(shop, job)
        who = Who(initials_of(shop, by))
        ready(settings, folder.root, template=template, start=start, out=out)
        act = planning.plan(opened, who, rows)
        planned = [event for event in act.events if isinstance(event, Planned)]
        codes = [code for event in planned for code in (event.tag, event.bag) if code]
        path = Path(out) if out else folder.job_folder(opened.name) / "planned.pdf"
        print_tags(settings, folder.root, faces(opened, codes), path, template=template, start=start, png=png,
                   proof=f"{opened.name}  {opened.head}")  # fmt: skip
        click.echo(f"{len(planned)} planned; nothing is recorded as removed. Scan a tag and say: off", err=path == PIPE)

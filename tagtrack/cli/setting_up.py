"""Commands that set up: setup, person, open, jobs."""

from __future__ import annotations

from pathlib import Path

import click

from tagtrack.cli.options import BY
from tagtrack.cli.placing import tell_doubts
from tagtrack.cli.progress import with_progress
from tagtrack.cli.wiring import (
    DEFAULT_SITE,
    SETTINGS_FILE,
    Settings,
    initials_of,
    opened_shop,
    settings_text,
    shop_default_name,
    summary_of,
)
from tagtrack.core.errors import Fault, Refusal, Trouble
from tagtrack.core.spelling import clean
from tagtrack.shop import setup as setting_up
from tagtrack.shop.ports import Who


@click.command()
@click.argument("folder", default=".")
@click.option("--name", default="", help="What the shop is called.")
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter", show_default=True)
def setup(folder: str, name: str, paper: str) -> None:
    """Make FOLDER a shop: its record, its settings, a place for its own label templates."""
    from tagtrack.journal.acts import Folder
    from tagtrack.paper.whole_file import write_atomically

    root = Path(folder)
    called = clean(name).replace('"', "'").replace("\\", "/") or shop_default_name()
    Folder.create(root, called, DEFAULT_SITE).close()
    (root / "labels").mkdir(exist_ok=True)
    text = settings_text(Settings(name=called, paper=paper))
    write_atomically(root / SETTINGS_FILE, text.encode())
    click.echo(f"{root.resolve()} is the shop '{called}'")
    tell_doubts(root)
    click.echo("next, in that folder: tagtrack person INITIALS 'FULL NAME', then: tagtrack open JOB REGISTRATION")


@click.command()
@click.argument("initials")
@click.argument("full_name", nargs=-1, required=True)
@click.option("--certificate", default="", help="Certificate number.")
@click.option("--kind", default="", help="Kind of certificate.")
@click.pass_obj
def person(shop_folder: str | None, initials: str, full_name: tuple[str, ...], certificate: str, kind: str) -> None:
    """Add somebody who works here: INITIALS and FULL_NAME."""
    with opened_shop(shop_folder) as (shop, _, _settings):
        who = Who(clean(initials).upper())
        added = setting_up.note_person(
            shop, who, initials=initials, full_name=" ".join(full_name), certificate=certificate, certificate_kind=kind
        )
        click.echo(f"{added} works here")


@click.command("open")
@click.argument("job")
@click.argument("registration")
@click.option("--make", default="", help="Maker of the aircraft, as it stands in its papers.")
@click.option("--model", default="")
@click.option("--serial", default="")
@click.option("--task", default="", help="What is to be done.")
@click.option("--kind", default="", help="repair, inspection, alteration ...")
@click.option("--data", multiple=True, help="A data reference: manual, section, revision. May be repeated.")
@BY
@click.pass_obj
def open_(
    shop_folder: str | None, job: str, registration: str, make: str, model: str, serial: str, task: str, kind: str,
    data: tuple[str, ...], by: str | None,
) -> None:  # fmt: skip
    """Open the work order JOB for the aircraft REGISTRATION."""
    with opened_shop(shop_folder) as (shop, folder, _):
        if not shop.state.people:
            raise Refusal("nobody works here yet", expected="at least one person", came="none",
                          todo="tagtrack person INITIALS 'FULL NAME'")  # fmt: skip
        opened = setting_up.open_job(
            shop, Who(initials_of(shop, by)), job=job, registration=registration, make=make, model=model,
            serial=serial, task=task, kind=kind, data=data,
        )  # fmt: skip
        tell_doubts(folder.root)
        click.echo(f"{opened.name} is open for {opened.opened().registration}: {folder.job_folder(opened.name)}")
        click.echo(f"next: tagtrack scan --by INITIALS --job {opened.name}")


@click.command()
@click.pass_obj
def jobs(shop_folder: str | None) -> None:
    """List the work orders of the shop. One that cannot be read does not hide the others."""
    with opened_shop(shop_folder) as (shop, _, _settings):
        every = shop.state.jobs
        told = {}
        unread = 0
        for name in with_progress(list(every), "reading the records"):
            try:
                found = summary_of(shop, name)
            except Trouble as trouble:
                unread += 1
                told[name] = f"NOT READABLE: {trouble.what}"
            else:
                told[name] = "signed off" if found.signed else f"{found.still_open} open, {found.wrong} wrong now"
        for name, opened in every.items():
            click.echo(f"{name:<16} {opened.registration:<10} {told[name]:<24} {opened.task}".rstrip())
        if unread:
            raise Fault(f"{unread} of {len(every)} work orders cannot be read", expected="every record good",
                        came="see above", todo="tagtrack verify names file, line and byte")  # fmt: skip
        if not every:
            click.echo("no work order yet: tagtrack open JOB REGISTRATION")

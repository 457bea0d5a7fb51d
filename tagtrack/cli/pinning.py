"""The command that gives a person a PIN for the hangar page."""

from __future__ import annotations

import sys

import click

from tagtrack.cli.wiring import interactive, opened_shop
from tagtrack.core.errors import Refusal


@click.command()
@click.argument("initials")
@click.option("--forget", is_flag=True, help="Take the PIN away: no more sign-ins, and the present ones end.")
@click.pass_obj
def pin(shop_folder: str | None, initials: str, forget: bool) -> None:  # noqa: FBT001 - click's way
    """Give the person INITIALS a PIN for the hangar page, or a new one. It is asked for, never shown.

    At least six figures. From a pipe, the first line is taken. A new PIN ends every sign-in that rests on the old one,
    and the wait after wrong ones. The record holds nothing of it.
    """
    from tagtrack.hangar.pins import Pins

    with opened_shop(shop_folder) as (shop, folder, _settings):
        person = shop.state.person(initials)
        pins = Pins(folder.secrets_file)
        if forget:
            pins.forget(person.initials)
            click.echo(f"{person} has no PIN any more")
            return
        pins.set(person.initials, asked(str(person)))
        click.echo(f"{person} has a PIN now; a badge to change over by one scan: tagtrack badge {person.initials}")


def asked(name: str) -> str:
    """Return a PIN as typed twice without being shown, or the first line of a pipe; refuse two that differ."""
    if not interactive():
        return sys.stdin.readline().strip()
    first: str = click.prompt(f"PIN of {name}, at least six figures", hide_input=True)
    if click.prompt("once more", hide_input=True) != first:
        raise Refusal("the two were not the same", expected="the same PIN twice", came="two PINs",
                      todo="begin again; nothing was changed")  # fmt: skip
    return first.strip()

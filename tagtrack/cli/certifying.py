"""The command that makes what https needs."""

from __future__ import annotations

import socket
from datetime import UTC, datetime

import click

from tagtrack.cli.screen import tell
from tagtrack.cli.serving import address_of_this_computer
from tagtrack.cli.wiring import opened_shop


@click.command()
@click.argument("hosts", nargs=-1, metavar="[HOST]...")
@click.pass_obj
def certificate(shop_folder: str | None, hosts: tuple[str, ...]) -> None:
    """Make the shop's own authority, and a certificate for this computer under its names and addresses (HOST...).

    Without HOST: what this computer is called, and its present address. Made again only where something is lacking or
    runs out. The authority is put on each phone once; it can vouch for nothing but the shop's own network.
    """
    from tagtrack.hangar.certificate import ready

    with opened_shop(shop_folder) as (_, folder, settings):
        wanted = (*(hosts or own_names()), "localhost", "127.0.0.1")
        found = ready(folder.certificate_folder, settings.name, wanted, datetime.now(UTC))
        tell(f"{'made' if found.made else 'good as it is'}: for {', '.join(found.hosts)}; until {found.until:%Y-%m-%d}")
        tell(f"for the phones: {found.files.authority}")
        tell(f"  SHA-256 {found.fingerprint}")
        tell("  put it on each phone and tablet as a trusted authority, compare that number there, then: "
             "tagtrack serve --network --https")  # fmt: skip
        tell(f"keep to yourself: {found.files.authority_key.name}, {found.files.server_key.name}")


def own_names() -> tuple[str, ...]:
    """Return what this computer is called in the hangar, and its present address."""
    # the first word of a longer name; what is no plain name is left out
    bare = socket.gethostname().split(".")[0].casefold()
    names = (bare, f"{bare}.local") if bare and bare.isascii() and bare.replace("-", "a").isalnum() else ()
    return (address_of_this_computer(), *names)

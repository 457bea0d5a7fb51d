"""The command that serves the hangar page to the phones, tablets and scanners of the shop."""

from __future__ import annotations

import socket
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from ipaddress import ip_address
from typing import TYPE_CHECKING

import click

from tagtrack.cli.wiring import Settings, opened_shop, summary_of
from tagtrack.shop.desk import Shop

if TYPE_CHECKING:
    from tagtrack.hangar.floor import Floor
    from tagtrack.journal.acts import Folder

PORT = 8765


@click.command()
@click.option("--network", is_flag=True, help="Serve the shop's network too; else only this computer.")
@click.option("--https", is_flag=True, help="With the shop's own certificate: nobody reads along, live cameras work.")
@click.option("--port", default=PORT, show_default=True, type=click.IntRange(1, 65535))
@click.option("--name", "names", multiple=True, metavar="NAME", help="Another name of this computer: shop.local.")
@click.pass_obj
def serve(shop_folder: str | None, network: bool, https: bool, port: int, names: tuple[str, ...]) -> None:  # noqa: FBT001 - click's way
    """Serve the page for phones, tablets and scanners, until Ctrl-C.

    Plain http can be read by anybody on the same network, PINs included: see the README for https.
    """
    from tagtrack.hangar.app import create_app
    from tagtrack.hangar.hosts import is_this_computer

    with opened_shop(shop_folder) as (shop, folder, settings):
        # before the file is written anew, with the rights that it should have
        _warn_of_readers(folder)
        own = address_of_this_computer() if network else "127.0.0.1"
        hosts = frozenset({"127.0.0.1", "localhost", own, *names, *(_names() if network else ())})
        floor = floor_of(shop, folder, settings, hosts=hosts, https=https)
        if network:
            # the network may give this computer another address while it serves
            floor.also = is_this_computer
        host = "0.0.0.0" if network else "127.0.0.1"  # noqa: S104 - asked for
        if https:
            run = _https(floor, folder, settings, host, port)
        else:
            from tagtrack.hangar.http import http_server

            run = http_server(create_app(floor), host, port).run
        _tell(f"{'https' if https else 'http'}://{own}:{port}/", shop, floor, network=network)
        run()


def _https(floor: Floor, folder: Folder, settings: Settings, host: str, port: int) -> Callable[[], object]:
    """Return what serves the app with the shop's own certificate, made anew where a name is lacking in it."""
    from tagtrack.hangar.app import create_app
    from tagtrack.hangar.certificate import ready
    from tagtrack.hangar.https import https_server

    found = ready(folder.certificate_folder, settings.name, tuple(sorted(floor.hosts)), datetime.now(UTC))
    floor.authority = found.files.authority
    return https_server(create_app(floor), host, port, found.files.server, found.files.server_key).serve


def _warn_of_readers(folder: Folder) -> None:
    from tagtrack.hangar.pins import readable_by_others

    if readable_by_others(folder.secrets_file):
        told = f"note: others on this computer can read {folder.secrets_file}: chmod 600 it, and set new PINs"
        click.echo(told, err=True)


def _names() -> tuple[str, ...]:
    from tagtrack.cli.certifying import own_names

    return own_names()


def floor_of(shop: Shop, folder: Folder, settings: Settings, *, hosts: frozenset[str], https: bool = False) -> Floor:
    """Return what the page stands on, from an open shop folder."""
    from tagtrack.hangar.floor import Floor
    from tagtrack.hangar.pins import Pins

    return Floor(
        shop=shop, pins=Pins(folder.secrets_file), signed_out=folder.sign_outs_file, name=settings.name,
        paper=settings.paper, labels=folder.root / "labels", hosts=hosts, https=https,
        address=settings.address, summary=partial(summary_of, shop),
    )  # fmt: skip


def _tell(address: str, shop: Shop, floor: Floor, *, network: bool) -> None:
    click.echo(f"serving {address}   (Ctrl-C ends)")
    if network:
        from tagtrack.paper.address_symbol import in_blocks

        click.echo(in_blocks(address))
        if floor.https:
            click.echo(f"a phone gets the shop's authority from {address}authority, once")
        if not floor.https:
            click.echo("plain http: anybody on this network can read along; see README, 'On the shop's network'")
    else:
        click.echo("this computer only; for phones and tablets: tagtrack serve --network")
    without = [who for who in shop.state.people if not floor.pins.has(who)]
    if without:
        click.echo(f"no PIN yet: {', '.join(without)}; set it: tagtrack pin {without[0]}")
    sys.stdout.flush()


def address_of_this_computer() -> str:
    """Return the address under which others on the network reach this computer; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # a documentation address of RFC 5737: choosing the way there sends no packet
            probe.connect(("192.0.2.1", 9))
            found = str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"
    return found if not ip_address(found).is_unspecified else "127.0.0.1"

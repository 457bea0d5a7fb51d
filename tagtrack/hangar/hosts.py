"""Under which names and addresses the page is asked for: those it was started with, and this computer's present own.

A name that somebody else made to point here must not be answered: a page of that name could then read ours. An address
is no such name. Whoever writes this computer's own address into a browser means this computer.
"""

from __future__ import annotations

import socket
from ipaddress import IPv4Address


def is_this_computer(host: str) -> bool:
    """Return whether a host is, at this moment, this computer: its own name, or an IPv4 address of its own.

    Asked anew each time, so that an address given out anew by the network is known at once. Nothing is sent.
    """
    bare = socket.gethostname().split(".")[0].casefold()
    return (bool(bare) and host.casefold() in (bare, f"{bare}.local")) or _is_own_address(host)


def _is_own_address(host: str) -> bool:
    try:
        address = IPv4Address(host)
    except ValueError:
        return False
    if address.is_unspecified or address.is_multicast or address == IPv4Address("255.255.255.255"):
        return False
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # only what is one's own can be bound to; it costs some microseconds, and no list has to be kept
            probe.bind((host, 0))
        except OSError:
            return False
    return True


def name_of(host: str) -> str:
    """Return what stands before the port of a Host header, in small letters."""
    return (host.rsplit(":", 1)[0] if host.rpartition(":")[2].isdigit() else host).casefold()

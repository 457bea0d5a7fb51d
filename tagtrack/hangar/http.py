"""Serving the page by plain http."""

from __future__ import annotations

import select
from typing import TYPE_CHECKING

from flask import Flask
from waitress.server import create_server

from tagtrack.core.errors import Fault

if TYPE_CHECKING:
    from waitress.server import BaseWSGIServer, MultiSocketServer

_THREADS = 8
# above what the page takes, so that a photo that is too large gets an answer and not a dead line
_MOST_BODY = 64 * 2**20
# a shop's tablets keep some six each; below the 1024 files that a system usually grants, with room for the records
_CONNECTIONS = 600
# seconds without a byte, after which a connection is let go: half-sent requests must not use them all up
_SILENT = 20


def http_server(app: Flask, host: str, port: int) -> BaseWSGIServer | MultiSocketServer:
    """Return a server that listens and waits to be run; a Fault tells of a port that cannot be had."""
    try:
        return create_server(
            app, host=host, port=port, threads=_THREADS, max_request_body_size=_MOST_BODY, ident="tagtrack",
            clear_untrusted_proxy_headers=True, connection_limit=_CONNECTIONS, channel_timeout=_SILENT,
            cleanup_interval=_SILENT // 4,
            # the other way to wait knows no more than 1024 files and connections at once
            asyncore_use_poll=hasattr(select, "poll"),
        )  # fmt: skip
    except OSError as problem:
        raise Fault(f"port {port} cannot be used: {problem.strerror}", expected="a free port", came=str(port),
                    todo="end what uses it, or give another: --port 8766") from problem  # fmt: skip

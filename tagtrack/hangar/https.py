"""The page over https. The usual server speaks no TLS, so another one does, with the shop's own certificate."""

from __future__ import annotations

import sys
from pathlib import Path
from socket import socket
from typing import Any
from wsgiref.types import WSGIApplication

from cheroot.ssl.builtin import BuiltinSSLAdapter
from cheroot.wsgi import Server

from tagtrack.core.errors import Fault

_THREADS = 8
# above what the page takes, so that a photo that is too large gets an answer and not a dead line
_MOST_BODY = 64 * 2**20
# hands are shaken one after the other: a phone that went out of reach in the middle must not hold up the rest
_HANDSHAKE = 2.0
# of the library's kinds of message, those that tell of more than a connection that ended
_LOUD = 40


class HttpsServer(Server):
    """A server whose troubles are one line, never a traceback: a phone that knows no authority yet just hangs up."""

    def error_log(self, msg: str = "", level: int = 20, traceback: bool = False) -> None:  # noqa: FBT001, FBT002 - the library's way
        """Say in one line what went wrong."""
        del traceback
        if level >= _LOUD and msg:
            print(f"note: {msg.splitlines()[0]}", file=sys.stderr)  # noqa: T201 - whoever serves stands there


class _Adapter(BuiltinSSLAdapter):
    def wrap(self, sock: socket) -> tuple[Any, dict[str, Any]]:
        usual = sock.gettimeout()
        sock.settimeout(_HANDSHAKE)
        wrapped, environment = super().wrap(sock)  # type: ignore[no-untyped-call]  # the library's stubs leave it out
        wrapped.settimeout(usual)
        return wrapped, environment


def https_server(app: WSGIApplication, host: str, port: int, certificate: Path, key: Path) -> HttpsServer:
    """Return a server of the app that listens already; a Fault tells why it cannot. `serve()` it, `stop()` it."""
    server = HttpsServer((host, port), app, numthreads=_THREADS, server_name="tagtrack")
    server.max_request_body_size = _MOST_BODY
    try:
        server.ssl_adapter = _Adapter(str(certificate), str(key))
        server.prepare()
    except OSError as problem:
        raise Fault(f"port {port} cannot be used for https: {problem.strerror or problem}", expected="a free port",
                    came=str(port), todo="end what uses it, or give another: --port 8766") from problem  # fmt: skip
    return server

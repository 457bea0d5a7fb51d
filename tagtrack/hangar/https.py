"""The page over https. The usual server speaks no TLS, so another one does, with the shop's own certificate."""

from __future__ import annotations

import sys
from pathlib import Path
from socket import socket
from typing import Any
from wsgiref.types import WSGIApplication

from cheroot.connections import ConnectionManager
from cheroot.errors import FatalSSLAlert
from cheroot.server import HTTPConnection
from cheroot.ssl.builtin import BuiltinSSLAdapter
from cheroot.wsgi import Server

from tagtrack.core.errors import Fault

_THREADS = 8
# above what the page takes, so that a photo that is too large gets an answer and not a dead line
_MOST_BODY = 64 * 2**20
# seconds in which hands are shaken: a phone that went out of reach in the middle must not hold a thread for long
_HANDSHAKE = 2.0
# connections that wait to be taken, and how many one address may hold: a tablet keeps some six
_BACKLOG, _FOR_EACH = 128, 48
# of the library's kinds of message, those that tell of more than a connection that ended
_LOUD = 40


class _Connection(HTTPConnection):
    """A connection that waits until its first byte has come, and shakes hands in the thread that serves it."""

    waited = False
    shaken = False

    def communicate(self) -> bool:
        """Shake hands once, then answer as usual; return whether it is kept. Who cannot shake hands is let go."""
        if not self.shaken:
            usual = self.socket.gettimeout()
            try:
                self.socket.settimeout(_HANDSHAKE)
                self.socket.do_handshake()
                self.socket.settimeout(usual)
            except (OSError, ValueError):
                # a phone that knows no authority yet, plain http, or nothing more that came
                return False
            self.shaken = True
            self.ssl_env = self.server.ssl_adapter.get_environ(self.socket)
        return bool(super().communicate())  # type: ignore[no-untyped-call]  # the library's stubs leave it out


class HttpsServer(Server):
    """A server whose troubles are one line, never a traceback: a phone that knows no authority yet just hangs up."""

    ConnectionClass = _Connection
    _connections: ConnectionManager
    request_queue_size = _BACKLOG

    def process_conn(self, conn: _Connection) -> None:
        """Hand a connection to a thread once something has come over it; a silent one waits, and takes none."""
        if conn.waited:
            super().process_conn(conn)
            return
        conn.waited = True
        # the library counts none by address
        every = self._connections._selector.connections  # type: ignore[attr-defined]  # noqa: SLF001
        others = [each for _, each in every if each is not self]
        if sum(each.remote_addr == conn.remote_addr for each in others) >= _FOR_EACH:
            conn.close()
            return
        self._connections.put(conn)

    def error_log(self, msg: str = "", level: int = 20, traceback: bool = False) -> None:  # noqa: FBT001, FBT002 - the library's way
        """Say in one line what went wrong."""
        del traceback
        if level >= _LOUD and msg:
            print(f"note: {msg.splitlines()[0]}", file=sys.stderr)  # noqa: T201 - whoever serves stands there


class _Adapter(BuiltinSSLAdapter):
    def wrap(self, sock: socket) -> tuple[Any, dict[str, Any]]:
        # in the thread that takes every connection nothing is waited for
        try:
            return self.context.wrap_socket(sock, do_handshake_on_connect=False, server_side=True), {}
        except OSError as gone:
            raise FatalSSLAlert(*gone.args) from gone


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

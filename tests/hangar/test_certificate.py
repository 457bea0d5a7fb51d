"""The shop's own authority and certificates, held against OpenSSL: what it takes, and what the limits forbid.

Python's `ssl` is OpenSSL, which checks by RFC 5280; here it plays the phone that was given the authority.
"""

from __future__ import annotations

import os
import socket
import ssl
import threading
import time
from contextlib import ExitStack, contextmanager, suppress
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from http.client import HTTPSConnection
from ipaddress import ip_address

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

from tagtrack.core.errors import Fault, Refusal
from tagtrack.hangar import certificate
from tagtrack.hangar.certificate import ready
from tagtrack.hangar.https import https_server

NOW = datetime.now(UTC).replace(microsecond=0)
HOSTS = ("192.168.1.20", "hangar-pc", "shop.local", "localhost", "127.0.0.1")


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "certificate"


def test_it_is_made_once_and_lasts_no_longer_than_phones_allow(folder):
    first = ready(folder, "Example Hangar", HOSTS, NOW)
    assert first.made
    assert first.hosts == HOSTS
    assert NOW + timedelta(days=390) < first.until <= NOW + timedelta(days=398)
    again = ready(folder, "Example Hangar", HOSTS[:2], NOW)
    assert not again.made
    assert again.fingerprint == first.fingerprint


def test_the_fingerprint_is_the_one_that_openssl_tells(folder):
    made = ready(folder, "x", HOSTS, NOW)
    der = ssl.PEM_cert_to_DER_cert(made.files.authority.read_text())
    assert made.fingerprint.replace(":", "") == sha256(der).hexdigest().upper()


@pytest.mark.skipif(os.name != "posix", reason="elsewhere the system knows no such rights")
def test_nobody_else_may_read_the_keys(folder):
    files = ready(folder, "x", HOSTS, NOW).files
    assert {path.stat().st_mode & 0o777 for path in (files.authority_key, files.server_key)} == {0o600}


def test_it_is_renewed_before_it_runs_out_under_the_same_authority(folder):
    first = ready(folder, "x", HOSTS, NOW)
    later = ready(folder, "x", HOSTS, NOW + timedelta(days=380))
    assert later.made
    assert later.until > first.until
    assert later.fingerprint == first.fingerprint


def test_a_new_address_gets_a_new_certificate_under_the_same_authority(folder):
    first = ready(folder, "x", HOSTS, NOW)
    moved = ready(folder, "x", (*HOSTS, "10.0.0.9"), NOW)
    assert moved.made
    assert "10.0.0.9" in moved.hosts
    assert moved.fingerprint == first.fingerprint


def test_an_authority_that_runs_out_or_may_not_vouch_for_a_new_name_is_made_anew(folder):
    first = ready(folder, "x", HOSTS, NOW)
    named = ready(folder, "x", (*HOSTS, "other-pc"), NOW)
    assert named.fingerprint != first.fingerprint
    late = ready(folder, "x", HOSTS, NOW + timedelta(days=3600))
    assert late.fingerprint != named.fingerprint


@pytest.mark.parametrize(
    "host", ["8.8.8.8", "example.org", "shop.example", "2001:4860::8888", "", "a b", "-.local.", "x" * 64, "ö.local"]
)
def test_a_public_name_or_address_is_refused_and_nothing_is_made(folder, host):
    with pytest.raises(Refusal, match="own network"):
        ready(folder, "x", ("192.168.1.20", host), NOW)
    assert not folder.exists()


def test_other_files_in_their_place_are_a_fault_in_words(folder):
    files = ready(folder, "x", HOSTS, NOW).files
    for file in (files.server, files.authority):
        kept = file.read_bytes()
        file.write_bytes(b"no certificate")
        with pytest.raises(Fault, match="cannot be used"):
            ready(folder, "x", HOSTS, NOW)
        file.write_bytes(kept)
    files.server.unlink()
    files.authority_key.write_bytes(b"no key")
    with pytest.raises(Fault, match="cannot be used"):
        ready(folder, "x", HOSTS, NOW)
    from cryptography.hazmat.primitives.asymmetric import ed25519

    other = ed25519.Ed25519PrivateKey.generate().private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    files.authority_key.write_bytes(other)
    with pytest.raises(Fault, match="cannot be used"):
        ready(folder, "x", HOSTS, NOW)


def test_a_certificate_of_another_authority_is_made_anew(folder, tmp_path):
    files = ready(folder, "x", HOSTS, NOW).files
    other = ready(tmp_path / "other", "x", HOSTS, NOW).files
    files.server.write_bytes(other.server.read_bytes())
    assert ready(folder, "x", HOSTS, NOW).made


def app(environ, start):
    del environ
    start("200 OK", [("Content-Type", "text/plain")])
    return [b"the page"]


@contextmanager
def serving(files, page=app):
    """Serve a page with this certificate and yield the port; also where a test fails, its threads end."""
    server = https_server(page, "127.0.0.1", 0, files.server, files.server_key)
    thread = threading.Thread(target=server.serve, daemon=True)
    thread.start()
    try:
        yield server.bind_addr[1]
    finally:
        server.stop()
        thread.join(10)


@pytest.fixture
def served(folder):
    files = ready(folder, "x", HOSTS, NOW).files
    with serving(files) as port:
        yield files, port


def asked(files, port, host="127.0.0.1"):
    context = ssl.create_default_context(cafile=str(files.authority))
    connection = HTTPSConnection("127.0.0.1", port, context=context, timeout=10)
    connection.sock = context.wrap_socket(socket.create_connection(("127.0.0.1", port), 10), server_hostname=host)
    connection.request("GET", "/")
    answer = connection.getresponse()
    told = (answer.status, answer.read())
    connection.close()
    return told


@pytest.mark.parametrize("host", HOSTS)
def test_who_was_given_the_authority_reaches_the_page_under_every_name(served, host):
    assert asked(*served, host) == (200, b"the page")


@pytest.mark.parametrize("host", ["10.1.2.3", "172.31.0.1", "100.64.9.9", "192.0.2.2", "fd00::7", "fe80::1"])
def test_every_address_that_no_public_host_has_is_taken_and_openssl_takes_it_too(folder, host):
    """Held against Python's own table of such addresses, which follows IANA's registries."""
    assert not ip_address(host).is_global
    files = ready(folder, "x", (host,), NOW).files
    with serving(files) as port:
        assert asked(files, port, host) == (200, b"the page")


def test_who_was_not_given_it_or_asks_for_another_name_does_not(served, capfd):
    files, port = served
    with pytest.raises(ssl.SSLCertVerificationError), socket.create_connection(("127.0.0.1", port)) as plain:
        ssl.create_default_context().wrap_socket(plain, server_hostname="127.0.0.1")
    with pytest.raises(ssl.SSLCertVerificationError):
        asked(files, port, "other.local")
    assert asked(files, port) == (200, b"the page")
    assert "Traceback" not in capfd.readouterr().err


def test_a_page_that_fails_is_a_line_on_the_shops_screen_and_no_traceback(folder, capfd):
    def failing(*_):
        raise ValueError("planted")

    files = ready(folder, "x", HOSTS, NOW).files
    with serving(files, failing) as port:
        status, _ = asked(files, port)
    said = capfd.readouterr().err
    assert status == 500
    assert "note: " in said
    assert "Traceback" not in said


def test_who_hangs_in_the_middle_of_shaking_hands_holds_nobody_up_for_long(served):
    files, port = served
    with socket.create_connection(("127.0.0.1", port)) as silent:
        began = time.monotonic()
        assert asked(files, port) == (200, b"the page")
        # a guard against the ten seconds of a usual timeout, no measurement
        assert time.monotonic() - began < 8
        silent.close()


def test_silent_connections_take_no_thread_and_keep_nobody_from_the_page(served, monkeypatch):
    monkeypatch.setattr("tagtrack.hangar.https._HANDSHAKE", 600.0)
    files, port = served
    with ExitStack() as silent:
        for _ in range(30):
            silent.enter_context(socket.create_connection(("127.0.0.1", port), 10))
        assert asked(files, port) == (200, b"the page")


def test_one_address_holds_only_so_many(served):
    _, port = served
    with ExitStack() as silent:
        held = [silent.enter_context(socket.create_connection(("127.0.0.1", port), 10)) for _ in range(60)]
        # the last of them is hung up on
        assert held[-1].recv(1) == b""


def test_plain_http_on_the_https_port_gets_no_page_and_harms_nobody(served):
    files, port = served
    came = b""
    # told to speak https, or cut off, whichever comes first
    with socket.create_connection(("127.0.0.1", port), timeout=10) as plain, suppress(ConnectionResetError):
        plain.sendall(b"GET / HTTP/1.1\r\nHost: x\r\n\r\n")
        came = plain.recv(4000)
    assert b"the page" not in came
    assert asked(files, port) == (200, b"the page")


# the library lets go of its socket only when it is collected
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_a_port_that_is_taken_is_a_fault_in_words(served):
    files, port = served
    with pytest.raises(Fault, match=f"port {port} cannot be used"):
        https_server(app, "127.0.0.1", port, files.server, files.server_key)


def test_a_stolen_authority_cannot_vouch_for_a_public_name(folder, monkeypatch):
    """The same maker with its own check taken out; OpenSSL must refuse what it makes."""
    files = ready(folder, "x", ("127.0.0.1",), NOW).files
    monkeypatch.setattr(certificate, "_check", lambda _: None)
    monkeypatch.setattr(certificate, "_vouches_for", lambda *_: True)
    forged = ready(folder, "x", ("bank.example", "8.8.8.8"), NOW).files
    assert forged.authority.read_bytes() == files.authority.read_bytes()
    for host in ("bank.example", "8.8.8.8"):
        with serving(forged) as port, pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree violation"):
            asked(forged, port, host)


def test_the_server_certificate_cannot_sign_another(folder):
    """A path length of 0 and no right to sign: RFC 5280, 4.2.1.9 and 4.2.1.3."""
    files = ready(folder, "x", HOSTS, NOW).files
    authority, server = (x509.load_pem_x509_certificate(f.read_bytes()) for f in (files.authority, files.server))
    of = lambda c, kind: c.extensions.get_extension_for_class(kind)  # noqa: E731 - twice the same long words
    assert of(authority, x509.BasicConstraints).value.path_length == 0
    assert of(authority, x509.NameConstraints).critical
    assert not of(server, x509.BasicConstraints).value.ca
    assert not of(server, x509.KeyUsage).value.key_cert_sign
    assert isinstance(server.public_key(), ec.EllipticCurvePublicKey)
    assert isinstance(server.signature_hash_algorithm, hashes.SHA256)

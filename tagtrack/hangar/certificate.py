"""https in a hangar: an authority of the shop's own, and from it the certificate of the computer that serves the page.

The authority's key can vouch for nothing but the shop's own network: name constraints of RFC 5280 keep it to private
addresses, to `.local` and to this computer's own names. So a stolen key cannot pass for a bank on anybody's phone.
The times are given by the caller.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from tagtrack.core.errors import Fault, Refusal
from tagtrack.paper.whole_file import write_atomically

# addresses that no public host has: private and link-local ones (RFC 1918, 3927, 4193, 4291), those that a provider
# or a laboratory shares out (RFC 6598, 2544, 5737), and this computer to itself
_PRIVATE = tuple(
    ip_network(net)
    for net in (
        "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8", "fc00::/7", "fe80::/10",
        "::1/128", "100.64.0.0/10", "198.18.0.0/15", "192.0.2.0/24", "198.51.100.0/24", "203.0.113.0/24",
    )
)  # fmt: skip
# names that no public register gives away: RFC 6762, 6761, 8375
_LABEL = re.compile(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?")
_OWN_ENDINGS = ("local", "localhost", "home.arpa")
_AUTHORITY_LASTS = timedelta(days=3650)
# phones refuse certificates that last longer than 398 days
_SERVER_LASTS = timedelta(days=396)
_RENEWED_BEFORE = timedelta(days=30)
# clocks of tablets go wrong
_BEFORE = timedelta(days=2)


@dataclass(frozen=True, slots=True)
class Files:
    """The four files of a folder. `authority` is the one to be put on phones; both keys are for the owner alone."""

    folder: Path

    @property
    def authority(self) -> Path:
        """The authority's certificate."""
        return self.folder / "authority.crt"

    @property
    def authority_key(self) -> Path:
        """The key that signs: it never leaves this computer."""
        return self.folder / "authority.key"

    @property
    def server(self) -> Path:
        """The certificate of this computer, with the authority's behind it."""
        return self.folder / "server.pem"

    @property
    def server_key(self) -> Path:
        """The key of this computer."""
        return self.folder / "server.key"


@dataclass(frozen=True, slots=True)
class Ready:
    """What was found or made: the names it is for, how long it lasts, and how the authority is recognised."""

    files: Files
    hosts: tuple[str, ...]
    until: datetime
    # SHA-256 of the authority's certificate, as phones show it
    fingerprint: str
    made: bool


def ready(folder: Path, shop: str, hosts: Sequence[str], now: datetime) -> Ready:
    """Return the certificate for these hosts (names or addresses); make what is lacking, runs out, or lacks a host.

    The authority is made once: phones know it. Refused: an address that is not private, a name that no rule allows.
    """
    wanted = tuple(dict.fromkeys(host.strip().rstrip(".").casefold() for host in hosts))
    for host in wanted:
        _check(host)
    files = Files(folder)
    folder.mkdir(parents=True, exist_ok=True)
    if not files.authority.exists() or not files.authority_key.exists():
        _make_authority(files, shop, wanted, now)
    authority = _certificate(files.authority)
    if authority.not_valid_after_utc < now + _SERVER_LASTS or not _vouches_for(authority, wanted):
        _make_authority(files, shop, wanted, now)
        authority = _certificate(files.authority)
    good = files.server_key.exists() and files.server.exists() and _still_good(files, authority, wanted, now)
    if not good:
        _make_server(files, authority, wanted, now)
    server = _certificate(files.server)
    fingerprint = authority.fingerprint(hashes.SHA256()).hex(":").upper()
    return Ready(files, _hosts_of(server), server.not_valid_after_utc, fingerprint, made=not good)


def _check(host: str) -> None:
    address = _address(host)
    if address is not None:
        if not any(address in net for net in _PRIVATE if net.version == address.version):
            raise Refusal(f"{host} is no address of a shop's own network", expected="a private address: 192.168.1.20",
                          came=host, todo="give the address that this computer has in the hangar")  # fmt: skip
        return
    labels = host.split(".")
    good = all(_LABEL.fullmatch(label) for label in labels)
    if not good or (len(labels) > 1 and not host.endswith(tuple(f".{ending}" for ending in _OWN_ENDINGS))):
        raise Refusal(f"{host or 'an empty name'} is no name of a shop's own network",
                      expected="a bare name, or one that ends in .local or .home.arpa", came=host or "nothing",
                      todo="give the name that this computer has in the hangar: shop.local")  # fmt: skip


def _address(host: str) -> IPv4Address | IPv6Address | None:
    try:
        return ip_address(host)
    except ValueError:
        return None


def _general(host: str) -> x509.GeneralName:
    address = _address(host)
    return x509.IPAddress(address) if address is not None else x509.DNSName(host)


def _hosts_of(certificate: x509.Certificate) -> tuple[str, ...]:
    names = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return tuple(str(name.value) for name in names)


def _vouches_for(authority: x509.Certificate, hosts: Sequence[str]) -> bool:
    """Return whether the authority may vouch for the bare names among the hosts; the rest it always may."""
    limits = authority.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    names = {str(limit.value) for limit in limits if isinstance(limit, x509.DNSName)}
    return all(host in names for host in hosts if _address(host) is None and "." not in host)


def _still_good(files: Files, authority: x509.Certificate, hosts: Sequence[str], now: datetime) -> bool:
    server = _certificate(files.server)
    try:
        server.verify_directly_issued_by(authority)
    except (ValueError, TypeError, InvalidSignature):
        return False
    return set(hosts) <= set(_hosts_of(server)) and now < server.not_valid_after_utc - _RENEWED_BEFORE


def _make_authority(files: Files, shop: str, hosts: Sequence[str], now: datetime) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"{shop or 'shop'}: its own authority"[:64])])
    bare = [host for host in hosts if _address(host) is None and "." not in host]
    limits: list[x509.GeneralName] = [x509.IPAddress(net) for net in _PRIVATE]
    limits += [x509.DNSName(ending) for ending in dict.fromkeys((*_OWN_ENDINGS, *bare))]
    certificate = (
        _begun(name, name, key, now, _AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(x509.NameConstraints(permitted_subtrees=limits, excluded_subtrees=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    write_atomically(files.authority_key, _pem(key), mode=0o600)
    write_atomically(files.authority, certificate.public_bytes(serialization.Encoding.PEM))


def _make_server(files: Files, authority: x509.Certificate, hosts: Sequence[str], now: datetime) -> None:
    signing = _key(files.authority_key)
    key = ec.generate_private_key(ec.SECP256R1())
    # no host's name: where that stands here too, OpenSSL holds it against the constraints for names, also an address
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "the hangar page")])
    certificate = (
        _begun(name, authority.subject, key, now, _SERVER_LASTS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName([_general(host) for host in hosts]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(signing.public_key()), critical=False)
        .sign(signing, hashes.SHA256())
    )
    write_atomically(files.server_key, _pem(key), mode=0o600)
    chain = (certificate, authority)
    write_atomically(files.server, b"".join(c.public_bytes(serialization.Encoding.PEM) for c in chain))


def _begun(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, now: datetime, lasts: timedelta
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - _BEFORE)
        .not_valid_after(now - _BEFORE + lasts)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _usage(*, signs: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs, key_cert_sign=signs, crl_sign=signs, content_commitment=False,
        key_encipherment=False, data_encipherment=False, key_agreement=False, encipher_only=False, decipher_only=False,
    )  # fmt: skip


def _pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _certificate(file: Path) -> x509.Certificate:
    try:
        return x509.load_pem_x509_certificate(file.read_bytes())
    except (OSError, ValueError) as problem:
        raise _damaged(file, problem) from problem


def _key(file: Path) -> ec.EllipticCurvePrivateKey:
    try:
        key = serialization.load_pem_private_key(file.read_bytes(), password=None)
    except (OSError, ValueError, TypeError) as problem:
        raise _damaged(file, problem) from problem
    if not isinstance(key, ec.EllipticCurvePrivateKey):
        raise _damaged(file, TypeError("a key of another kind"))
    return key


def _damaged(file: Path, problem: Exception) -> Fault:
    return Fault(
        f"{file} cannot be used", expected="a file as tagtrack certificate made it", came=str(problem)[:80],
        todo="delete that folder and run: tagtrack certificate; phones then need the new authority",
    )  # fmt: skip

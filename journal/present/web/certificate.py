"""A local authority and a server's certificate under it: browsers give the microphone to secure pages only.

The authority is constrained to the names and addresses it was made for (RFC 5280 section 4.2.1.10), so that whoever
installs it trusts it for this journal and nothing else.
"""

from __future__ import annotations

import datetime as dt
import ipaddress
import socket
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from journal.errors import BadInput
from journal.present.web.people import write_private

if TYPE_CHECKING:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey

YEARS_OF_AUTHORITY = 5
DAYS = 397  # the longest that current browsers accept for a server


@dataclass(frozen=True, slots=True)
class Made:
    """Where the files are, what they are for, and the authority's SHA-256 fingerprint to compare by eye."""

    certificate: Path
    key: Path
    authority: Path
    names: tuple[str, ...]
    fingerprint: str


def folder_of(store: Path) -> Path:
    return store / "access" / "tls"


def make_certificate(store: Path, names: Sequence[str] = ()) -> Made:
    """Make an authority and a certificate for this machine's names and addresses, and ``names``.

    The authority's key is not kept: another certificate needs another authority.  Raises ``BadInput`` for a bad name.
    """
    from cryptography.hazmat.primitives import hashes, serialization
    from cryptography.hazmat.primitives.asymmetric import ec

    wanted = tuple(dict.fromkeys([*names, *own_names(), "localhost", "127.0.0.1"]))
    authority_key, key = ec.generate_private_key(ec.SECP256R1()), ec.generate_private_key(ec.SECP256R1())
    authority = _authority(authority_key, wanted)
    certificate = _certificate(key, authority, authority_key, wanted)
    folder = folder_of(store)
    pem = serialization.Encoding.PEM
    private = key.private_bytes(pem, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
    write_private(folder / "server.key", private.decode())
    write_private(folder / "server.crt", certificate.public_bytes(pem).decode() + authority.public_bytes(pem).decode())
    write_private(folder / "authority.crt", authority.public_bytes(pem).decode())
    digest = authority.fingerprint(hashes.SHA256())
    return Made(folder / "server.crt", folder / "server.key", folder / "authority.crt", wanted, digest.hex(":").upper())


def names_in(certificate: Path) -> tuple[str, ...]:
    """Return the names and addresses a certificate is for.  Raises ``BadInput`` for a file that is none."""
    from cryptography import x509

    try:
        found = x509.load_pem_x509_certificates(certificate.read_bytes())[0]
        names = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except FileNotFoundError:
        raise BadInput(f"{certificate} is not there; 'journal serve --make-certificate' makes one.") from None
    except (ValueError, IndexError, x509.ExtensionNotFound):
        raise BadInput(f"{certificate} is no certificate in PEM with names in it.") from None
    addresses = [str(address) for address in names.get_values_for_type(x509.IPAddress)]
    return (*names.get_values_for_type(x509.DNSName), *addresses)


def own_names() -> tuple[str, ...]:
    """Return what this machine is called in a shop's network, and its addresses there."""
    name = socket.gethostname().split(".")[0] or "journal"
    found = [name, f"{name}.local"]
    try:
        probe = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        with probe:
            probe.connect(("192.0.2.1", 9))  # documentation addresses (RFC 5737); nothing is sent by connecting
            found.append(probe.getsockname()[0])
    except OSError:
        pass
    return tuple(found)


def _authority(key: EllipticCurvePrivateKey, names: Sequence[str]) -> x509.Certificate:
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.x509.oid import NameOID

    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Journal authority of {socket.gethostname()[:40]}")])
    now = dt.datetime.now(tz=dt.UTC)
    permitted = [_general(name, constraint=True) for name in names]
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - dt.timedelta(days=1))
        .not_valid_after(now + dt.timedelta(days=365 * YEARS_OF_AUTHORITY))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )


def _certificate(
    key: EllipticCurvePrivateKey, authority: x509.Certificate, by: EllipticCurvePrivateKey, names: Sequence[str]
) -> x509.Certificate:
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

    now = dt.datetime.now(tz=dt.UTC)
    return (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Field journal")]))
        .issuer_name(authority.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - dt.timedelta(days=1))
        .not_valid_after(now + dt.timedelta(days=DAYS))
        .add_extension(x509.SubjectAlternativeName([_general(name) for name in names]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(by.public_key()), critical=False)
        .sign(by, hashes.SHA256())
    )


def _general(name: str, *, constraint: bool = False) -> x509.GeneralName:
    from cryptography import x509

    try:
        address = ipaddress.ip_address(name)
    except ValueError:
        if not name or len(name) > 253 or set(name.lower()) - set("abcdefghijklmnopqrstuvwxyz0123456789.-"):
            raise BadInput(f"'{name}' is no name of a machine.") from None
        return x509.DNSName(name.lower())
    return x509.IPAddress(ipaddress.ip_network(address) if constraint else address)


def _usage(*, signs: bool) -> x509.KeyUsage:
    from cryptography import x509

    return x509.KeyUsage(
        digital_signature=not signs, content_commitment=False, key_encipherment=False, data_encipherment=False,
        key_agreement=False, key_cert_sign=signs, crl_sign=signs, encipher_only=False, decipher_only=False,
    )  # fmt: skip

"""The certificate that this program makes for itself, to serve the local network encrypted."""

from __future__ import annotations

import ipaddress
import os
import stat
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from safety_check.errors import ConfigError
from safety_check.settings.private_files import OWNER_ONLY_FILE, write_file

NAME = "serve.pem"
VALID = timedelta(days=365)  # judgement; some phones refuse more than 825 days
RENEWED = timedelta(days=30)  # before its end, so that it never ends during a trip
CLOCKS = timedelta(days=1)  # by which a phone's clock may be behind
MOST_ADDRESSES = 8  # networks that this computer uses in turn
LONGEST_NAME = 64  # characters of a common name, RFC 5280 appendix A


@dataclass(frozen=True)
class OwnCertificate:
    """A certificate and its private key, in one file that only its owner may read.

    Parameters
    ----------
    file
        PEM: first the certificate, then the key.
    why_new
        Why it was made now, so that phones have to compare it again; empty where it was not.
    """

    file: Path
    why_new: str = ""


def own_certificate(
    folder: Path, host_name: str, address: str, now: datetime, names: Sequence[str] = ()
) -> OwnCertificate:
    """Return the certificate in a folder; make it where there is none or it does not fit.

    Parameters
    ----------
    folder
        The user's data folder.
    host_name
        This computer's name.
    address
        Where the server listens. A new address is added to those of the old certificate, so that
        a computer that moves between two networks keeps one certificate.
    now
        The time.
    names
        Other names of the server.

    Raises
    ------
    ConfigError
        Where the folder can't be written.
    """
    path = folder / NAME
    old = _read(path)
    why = _why_new(path, old, address, now)
    if not why:
        return OwnCertificate(path)
    addresses = [address, *(known for known in _addresses(old) if known != address)]
    body = _made(host_name, [host_name, *names], addresses[:MOST_ADDRESSES], now)
    try:
        write_file(path, lambda file: file.write(body))
    except OSError as trouble:
        raise ConfigError(
            f"serve --lan: its certificate can't be stored in {path} ({trouble.strerror}). Make"
            " that folder writable, or name your own with --certificate and --key."
        ) from trouble
    return OwnCertificate(path, why)


def _why_new(path: Path, old: x509.Certificate | None, address: str, now: datetime) -> str:
    """Return why a certificate must be made; empty where the old one is still good."""
    if not path.exists():
        return "there was none yet"
    if old is None:
        return "the old one could not be read"
    if os.name == "posix" and stat.S_IMODE(path.stat().st_mode) & ~OWNER_ONLY_FILE:
        return "other users of this computer could read the old one"
    if now > old.not_valid_after_utc - RENEWED or now < old.not_valid_before_utc:
        return "the old one was about to end"
    if address not in _addresses(old):
        return f"the old one is not for the address {address}"
    return ""


def _read(path: Path) -> x509.Certificate | None:
    """Return the certificate of a file; None where file, certificate or key can't be read."""
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    try:
        body = path.read_bytes()
        found = x509.load_pem_x509_certificate(body)
        key = load_pem_private_key(body, None)
        fits = key.public_key() == found.public_key()
    except (OSError, ValueError, TypeError):
        return None
    return found if fits else None


def _addresses(certificate: x509.Certificate | None) -> list[str]:
    if certificate is None:
        return []
    try:
        names = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName)
    except x509.ExtensionNotFound:
        return []
    return [str(one) for one in names.value.get_values_for_type(x509.IPAddress)]


def _made(host_name: str, names: list[str], addresses: list[str], now: datetime) -> bytes:
    """Return a new certificate and its key as PEM."""
    key = ec.generate_private_key(ec.SECP256R1())
    common = f"safety-check on {host_name}"[:LONGEST_NAME]
    whose = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, common)])
    builder = (
        x509.CertificateBuilder()
        .subject_name(whose)
        .issuer_name(whose)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - CLOCKS)
        .not_valid_after(now + VALID)
    )
    for extension, critical in _extensions(names, addresses):
        builder = builder.add_extension(extension, critical)
    made = builder.sign(key, hashes.SHA256())
    secret = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    return made.public_bytes(Encoding.PEM) + secret


def _extensions(names: list[str], addresses: list[str]) -> list[tuple[x509.ExtensionType, bool]]:
    """Return what the certificate may be used for: this server alone, never to sign another."""
    own: list[x509.GeneralName] = [
        x509.DNSName(name) for name in dict.fromkeys(names) if name.isascii() and name
    ]
    own += [x509.IPAddress(ipaddress.ip_address(address)) for address in addresses]
    usage = dict.fromkeys(
        (
            *("content_commitment", "key_encipherment", "data_encipherment", "key_agreement"),
            *("key_cert_sign", "crl_sign", "encipher_only", "decipher_only"),
        ),
        False,
    )
    return [
        (x509.SubjectAlternativeName(own), False),
        (x509.BasicConstraints(ca=False, path_length=None), True),
        (x509.KeyUsage(digital_signature=True, **usage), True),
        (x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), False),
    ]

"""How the connection is encrypted: with the user's certificate, or one made here."""

from __future__ import annotations

import hashlib
import re
import socket
import ssl
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from safety_check.errors import ConfigError

LOCAL = ".local"  # multicast DNS, RFC 6762
FIRST_CERTIFICATE = re.compile("-----BEGIN CERTIFICATE-----.+?-----END CERTIFICATE-----", re.DOTALL)
OCTETS_A_LINE = 16


@dataclass(frozen=True)
class Encryption:
    """What an encrypted connection needs.

    Parameters
    ----------
    context
        With certificate and private key.
    fingerprint
        SHA-256 of the certificate: pairs of hexadecimal digits, with colons.
    self_made
        Whether this program made the certificate, so that every browser warns of it once.
    why_new
        Why it was made now; empty where it was not.
    """

    context: ssl.SSLContext = field(repr=False)
    fingerprint: str
    self_made: bool = False
    why_new: str = ""

    @property
    def fingerprint_lines(self) -> tuple[str, str]:
        """The fingerprint as two lines of equal length."""
        octets = self.fingerprint.split(":")
        return ":".join(octets[:OCTETS_A_LINE]), ":".join(octets[OCTETS_A_LINE:])


def given_encryption(certificate: Path | None, private_key: Path | None) -> Encryption | None:
    """Return the encryption with the user's own certificate; None where none is named.

    Raises
    ------
    ConfigError
        Where only one file is named, or they can't be used.
    """
    if (certificate is None) != (private_key is None):
        raise ConfigError("serve: give both --certificate and --key, or neither.")
    if certificate is None:
        return None
    return _loaded(certificate, private_key)


def own_encryption(folder: Path, address: str) -> Encryption:
    """Return the encryption with the certificate that this program makes for itself.

    Parameters
    ----------
    folder
        The user's data folder.
    address
        Where the server listens.
    """
    from safety_check.web.certificate import own_certificate

    names = own_names()
    made = own_certificate(folder, names[0], address, datetime.now(UTC), names[1:])
    return _loaded(made.file, None, self_made=True, why_new=made.why_new)


def own_names() -> tuple[str, str]:
    """Return this computer's name, and the one under which phones find it without a server."""
    name = socket.gethostname().casefold().removesuffix(LOCAL)
    return name, f"{name.partition('.')[0]}{LOCAL}"


def fingerprint_of(pem: str) -> str:
    """Return the SHA-256 fingerprint of the first certificate of a PEM file.

    Raises
    ------
    ValueError
        Where there is none.
    """
    found = FIRST_CERTIFICATE.search(pem)
    if found is None:
        raise ValueError("it holds no certificate")
    digest = hashlib.sha256(ssl.PEM_cert_to_DER_cert(found[0])).hexdigest().upper()
    return ":".join(re.findall("..", digest))


def _loaded(
    certificate: Path, private_key: Path | None, self_made: bool = False, why_new: str = ""
) -> Encryption:
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    try:
        fingerprint = fingerprint_of(certificate.read_text(encoding="ascii", errors="replace"))
        # Without a password an encrypted key would be asked for on the terminal.
        context.load_cert_chain(certificate, private_key, password=str)
    except (OSError, ValueError) as trouble:
        files = " and ".join(str(path) for path in (certificate, private_key) if path)
        raise ConfigError(
            f"serve: {files} can't be used ({trouble}). Name a certificate and its private key,"
            " both as PEM and without a password."
        ) from trouble
    return Encryption(context, fingerprint, self_made, why_new)

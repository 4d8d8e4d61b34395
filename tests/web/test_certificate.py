"""The certificate that the program makes for itself: for whom, how long, and when anew."""

from __future__ import annotations

import os
import ssl
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

pytest.importorskip("cryptography", reason="encryption needs the extra web")

from cryptography import x509
from cryptography.x509.oid import ExtendedKeyUsageOID

from safety_check.errors import ConfigError
from safety_check.web.certificate import MOST_ADDRESSES, NAME, RENEWED, VALID, own_certificate
from safety_check.web.encryption import fingerprint_of, given_encryption

NOW = datetime(2026, 6, 12, 22, 0, tzinfo=UTC)
DAY = timedelta(days=1)
HERE, ELSEWHERE = "192.0.2.7", "198.51.100.4"  # RFC 5737, for documentation


def made(folder: Path, address: str = HERE, now: datetime = NOW) -> tuple[x509.Certificate, str]:
    """Return the certificate in a folder, and why it is new."""
    one = own_certificate(folder, "boathouse", address, now, ["boathouse.local"])
    return x509.load_pem_x509_certificate(one.file.read_bytes()), one.why_new


def test_it_is_for_this_server_alone_and_can_sign_no_other(tmp_path: Path) -> None:
    certificate, _ = made(tmp_path)
    extensions = certificate.extensions
    names = extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert names.get_values_for_type(x509.DNSName) == ["boathouse", "boathouse.local"]
    assert [str(one) for one in names.get_values_for_type(x509.IPAddress)] == [HERE]
    assert not extensions.get_extension_for_class(x509.BasicConstraints).value.ca
    assert not extensions.get_extension_for_class(x509.KeyUsage).value.key_cert_sign
    purpose = extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert list(purpose) == [ExtendedKeyUsageOID.SERVER_AUTH]
    assert certificate.not_valid_after_utc == NOW + VALID
    assert certificate.not_valid_before_utc <= NOW - DAY  # a phone's clock may be behind


@pytest.mark.skipif(os.name != "posix", reason="system: others have no such rights")
def test_only_its_owner_may_read_it(tmp_path: Path) -> None:
    made(tmp_path)
    assert stat.S_IMODE((tmp_path / NAME).stat().st_mode) == 0o600
    (tmp_path / NAME).chmod(0o640)
    _, why = made(tmp_path)
    assert "other users" in why
    assert stat.S_IMODE((tmp_path / NAME).stat().st_mode) == 0o600


def test_it_is_made_once_and_renewed_before_it_ends(tmp_path: Path) -> None:
    first, why = made(tmp_path)
    assert why
    last_day = NOW + VALID - RENEWED
    assert made(tmp_path, now=last_day) == (first, "")
    renewed, why = made(tmp_path, now=last_day + DAY)
    assert "about to end" in why
    assert renewed.not_valid_after_utc == last_day + DAY + VALID


def test_a_certificate_of_the_future_is_not_used(tmp_path: Path) -> None:
    made(tmp_path)
    _, why = made(tmp_path, now=NOW - 2 * DAY)
    assert why


def test_a_computer_that_moves_between_two_networks_keeps_one_certificate(tmp_path: Path) -> None:
    made(tmp_path, HERE)
    both, why = made(tmp_path, ELSEWHERE)
    assert ELSEWHERE in why
    for address in (HERE, ELSEWHERE):
        assert made(tmp_path, address) == (both, "")


def test_the_addresses_of_a_certificate_are_bounded(tmp_path: Path) -> None:
    for number in range(1, MOST_ADDRESSES + 4):
        made(tmp_path, f"192.0.2.{number}")
    names = made(tmp_path, HERE)[0].extensions.get_extension_for_class(x509.SubjectAlternativeName)
    found = [str(one) for one in names.value.get_values_for_type(x509.IPAddress)]
    assert len(found) == MOST_ADDRESSES
    assert HERE in found


@pytest.mark.parametrize("damage", [b"", b"-----BEGIN CERTIFICATE-----\nx\n", b"\xff" * 80])
def test_a_damaged_file_is_replaced_and_that_is_said(tmp_path: Path, damage: bytes) -> None:
    made(tmp_path)
    (tmp_path / NAME).write_bytes(damage)
    _, why = made(tmp_path)
    assert "could not be read" in why
    assert made(tmp_path)[1] == ""


def test_a_key_of_another_certificate_is_replaced(tmp_path: Path) -> None:
    made(tmp_path)
    made(tmp_path / "other")
    certificate = (tmp_path / NAME).read_text().partition("-----BEGIN PRIVATE")[0]
    key = (
        "-----BEGIN PRIVATE"
        + (tmp_path / "other" / NAME).read_text().partition("-----BEGIN PRIVATE")[2]
    )
    (tmp_path / NAME).write_text(certificate + key)
    assert "could not be read" in made(tmp_path)[1]


def test_a_folder_that_cannot_be_written_is_one_clear_paragraph(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    with pytest.raises(ConfigError, match="--certificate"):
        made(tmp_path / "file")


def test_the_fingerprint_is_that_of_the_certificate(tmp_path: Path) -> None:
    from cryptography.hazmat.primitives import hashes

    certificate, _ = made(tmp_path)
    expected = certificate.fingerprint(hashes.SHA256()).hex(":").upper()
    assert fingerprint_of((tmp_path / NAME).read_text()) == expected


# -- the user's own certificate ------------------------------------------------------------------


def test_a_certificate_needs_its_key(tmp_path: Path) -> None:
    for pair in ((tmp_path / "certificate.pem", None), (None, tmp_path / "key.pem")):
        with pytest.raises(ConfigError, match="give both"):
            given_encryption(*pair)


def test_without_a_named_certificate_there_is_none() -> None:
    assert given_encryption(None, None) is None


def test_a_named_certificate_is_used(tmp_path: Path) -> None:
    made(tmp_path)
    given = given_encryption(tmp_path / NAME, tmp_path / NAME)
    assert given is not None
    assert isinstance(given.context, ssl.SSLContext)
    assert not given.self_made


@pytest.mark.parametrize("body", ["", "no PEM", None])
def test_a_named_certificate_that_cannot_be_used_is_one_clear_paragraph(
    tmp_path: Path, body: str | None
) -> None:
    file = tmp_path / "certificate.pem"
    if body is not None:
        file.write_text(body)
    with pytest.raises(ConfigError, match=r"certificate\.pem") as told:
        given_encryption(file, file)
    assert "PEM" in str(told.value)


def test_a_key_with_a_password_is_refused_and_nothing_waits_for_one(tmp_path: Path) -> None:
    from cryptography.hazmat.primitives.serialization import (
        BestAvailableEncryption,
        Encoding,
        PrivateFormat,
        load_pem_private_key,
    )

    made(tmp_path)
    key = load_pem_private_key((tmp_path / NAME).read_bytes(), None)
    locked = BestAvailableEncryption(b"secret")
    (tmp_path / "key.pem").write_bytes(key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, locked))
    with pytest.raises(ConfigError, match="without a password"):
        given_encryption(tmp_path / NAME, tmp_path / "key.pem")

"""The live page over HTTPS, asked through real sockets."""

from __future__ import annotations

import contextlib
import hashlib
import socket
import ssl
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import httpx
import pytest

pytest.importorskip("cryptography", reason="encryption needs the extra web")

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from safety_check.web import connections, guard
from safety_check.web.encryption import own_encryption
from safety_check.web.room import MOST_PER_CLIENT
from safety_check.web.server import LOOPBACK
from tests.live import Live, Served, at_home, running, serving
from tests.web.sockets import PATIENCE, closes, connect

KEY = "the-key-of-this-test"
GREETING = "ahoy" * 15_000


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory):
    return tmp_path_factory.mktemp("certificate")


@pytest.fixture(scope="module")
def secure(folder, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Live]:
    """Return the invented scenario over HTTPS, and a client that trusts its certificate."""
    encryption = own_encryption(folder, LOOPBACK)
    home = tmp_path_factory.mktemp("home")
    with at_home(home), running(KEY, encryption, trusting(folder)) as made:
        yield made


@pytest.fixture(scope="module")
def greeting(folder: Path) -> Iterator[Served]:
    """Serve one short text over HTTPS."""

    def answer(request: Request) -> Response:
        return PlainTextResponse(GREETING)

    encryption = own_encryption(folder, LOOPBACK)
    app = Starlette(routes=[Route("/", answer)])
    with serving(app, send_buffer=2048, encryption=encryption) as made:
        made.server.config.timeout_keep_alive = 3600  # only the limits of this module close
        yield made


def trusting(folder) -> ssl.SSLContext:
    """Return the context of a client that trusts the certificate in a folder, and no other."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    context.load_verify_locations(folder / "serve.pem")
    context.verify_flags &= ~getattr(ssl, "VERIFY_X509_STRICT", 0)  # it is not an authority
    return context


def test_a_client_that_trusts_the_certificate_is_answered_under_each_of_its_names(
    greeting: Served, folder
) -> None:
    for name in (LOOPBACK, socket.gethostname().casefold()):
        with (
            connect(greeting.address) as plain,
            trusting(folder).wrap_socket(plain, server_hostname=name) as inner,
        ):
            der = inner.getpeercert(binary_form=True)
            assert der is not None
            assert greeting.address.encryption is not None
            shown = hashlib.sha256(der).digest().hex(":").upper()
            assert shown == greeting.address.encryption.fingerprint


def test_the_whole_answer_comes_through(greeting: Served, folder) -> None:
    with httpx.Client(verify=trusting(folder)) as client:
        for _ in range(3):  # on one connection
            assert client.get(greeting.address.link).text == GREETING


def test_a_request_that_comes_with_the_end_of_the_handshake_is_answered(
    greeting: Served, folder
) -> None:
    for _ in range(5):
        with connect(greeting.address) as plain:
            incoming, outgoing = ssl.MemoryBIO(), ssl.MemoryBIO()
            inner = trusting(folder).wrap_bio(incoming, outgoing, server_hostname=LOOPBACK)
            while True:
                try:
                    inner.do_handshake()
                    break
                except ssl.SSLWantReadError:
                    plain.sendall(outgoing.read())
                    incoming.write(plain.recv(65536))
            inner.write(f"GET / HTTP/1.1\r\nHost: {LOOPBACK}\r\nConnection: close\r\n\r\n".encode())
            plain.sendall(outgoing.read())  # the last of the handshake and the request, at once
            answer = b""
            while not answer.endswith(GREETING.encode()):
                got = plain.recv(65536)
                assert got
                incoming.write(got)
                with contextlib.suppress(ssl.SSLWantReadError):
                    while read := inner.read(65536):
                        answer += read


def test_a_client_that_does_not_know_the_certificate_refuses_it(greeting: Served) -> None:
    with pytest.raises(httpx.ConnectError, match="CERTIFICATE_VERIFY_FAILED"):
        httpx.get(greeting.address.link)


def test_a_plain_request_gets_nothing(greeting: Served) -> None:
    with pytest.raises(httpx.HTTPError):
        httpx.get(greeting.address.link.replace("https", "http"))
    with connect(greeting.address, b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n") as one:
        assert closes(one)


def test_the_link_lets_in_and_its_cookie_is_sent_over_encrypted_connections_only(
    secure: Live,
) -> None:
    assert secure.address.link == f"{secure.base}/?key={KEY}"
    assert secure.base.startswith("https://")
    answer = secure.client.get("/", params={"key": KEY}, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    cookie = answer.headers["set-cookie"].casefold()
    assert cookie.startswith(f"{guard.COOKIE}={KEY}".casefold())
    for flag in ("secure", "httponly", "samesite=lax"):
        assert f"; {flag}" in cookie
    assert secure.client.get("/").status_code == 200


def test_a_form_from_its_own_page_is_accepted_and_one_from_a_plain_page_is_not(
    secure: Live,
) -> None:
    secure.client.get("/", params={"key": KEY})
    token = {"token": secure.token(), "water": "Marrowick Arm (invented)", "notes": "x"}
    plain = {"origin": secure.base.replace("https", "http")}
    assert secure.client.post("/trips", data=token, headers=plain).status_code == 403
    own = {"origin": secure.base}
    assert secure.client.post("/trips", data=token, headers=own).status_code != 403


# -- connections that never begin ----------------------------------------------------------------


def test_clients_that_begin_no_handshake_lock_nobody_out(greeting: Served, folder) -> None:
    with contextlib.ExitStack() as open_ones:
        made = [
            open_ones.enter_context(connect(greeting.address)) for _ in range(3 * MOST_PER_CLIENT)
        ]
        with httpx.Client(verify=trusting(folder)) as client:
            assert client.get(greeting.address.link).text == GREETING
        assert all(closes(one) for one in made[:MOST_PER_CLIENT])


@pytest.mark.parametrize("sent", [b"", b"\x16\x03\x01"], ids=["nothing", "half a record"])
def test_a_handshake_must_be_done_in_time(
    greeting: Served, monkeypatch: pytest.MonkeyPatch, sent: bytes
) -> None:
    monkeypatch.setattr(connections, "HANDSHAKE_SECONDS", 0.2)
    with connect(greeting.address, sent) as one:
        assert closes(one)


def test_an_encrypted_request_must_be_whole_in_time(
    greeting: Served, folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connections, "REQUEST_SECONDS", 0.2)
    with (
        connect(greeting.address) as plain,
        trusting(folder).wrap_socket(plain, server_hostname=LOOPBACK) as inner,
    ):
        inner.sendall(b"GET / HTTP/1.1\r\n")
        assert closes(inner)


def test_an_encrypted_answer_must_be_read_in_time(
    greeting: Served, folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    greeting.wait_for_connections(0)
    monkeypatch.setattr(connections, "READING_SECONDS", 0.2)
    plain = socket.socket()
    plain.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
    plain.settimeout(PATIENCE)
    plain.connect((greeting.address.host, greeting.address.port))
    with plain, trusting(folder).wrap_socket(plain, server_hostname=LOOPBACK) as inner:
        inner.sendall(f"GET / HTTP/1.1\r\nHost: {LOOPBACK}\r\n\r\n".encode())
        greeting.wait_for_connections(1)
        greeting.wait_for_connections(0)
        count = 0
        with contextlib.suppress(OSError):  # the connection breaks off within a record
            while got := inner.recv(65536):
                count += len(got)
        assert count < len(GREETING)


def test_the_name_of_another_server_is_refused(secure: Live) -> None:
    assert secure.client.get("/", headers={"host": "evil.example"}).status_code == 400


def test_the_addresses_without_encryption_are_as_before(greeting: Served) -> None:
    assert replace(greeting.address, encryption=None).link.startswith("http://")

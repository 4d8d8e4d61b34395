"""Slow and idle connections lock nobody out, and what a user gets wrong is never a 500."""

from __future__ import annotations

import contextlib
import socket
import time
from collections.abc import Iterator

import httpx
import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from safety_check.web import connections
from safety_check.web.connections import MOST_PER_CLIENT
from safety_check.web.server import MOST_CONNECTIONS, Address
from tests.live import Live, at_home, running, serving
from tests.web.test_checking import SHORT

HALF_A_HEAD = b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n"


def connect(live: Live, sent: bytes = b"") -> socket.socket:
    made = socket.create_connection((live.address.host, live.address.port), timeout=10)
    made.sendall(sent)
    return made


def closed_within(one: socket.socket, seconds: float) -> bool:
    one.settimeout(seconds)
    try:
        return one.recv(1) == b""
    except ConnectionError:
        return True
    except TimeoutError:
        return False


@pytest.mark.parametrize("sent", [b"", HALF_A_HEAD], ids=["idle", "half a head"])
def test_many_waiting_connections_of_one_client_lock_nobody_out(live: Live, sent: bytes) -> None:
    with contextlib.ExitStack() as open_ones:
        for _ in range(MOST_CONNECTIONS + 20):
            open_ones.enter_context(connect(live, sent))
        assert httpx.get(f"{live.base}/", timeout=10).status_code == 200


def test_one_client_has_a_bounded_number_of_connections(live: Live) -> None:
    with contextlib.ExitStack() as open_ones:
        made = [open_ones.enter_context(connect(live)) for _ in range(MOST_PER_CLIENT + 3)]
        assert all(closed_within(one, 5) for one in made[:2])
        assert not closed_within(made[-1], 0.2)


@pytest.mark.parametrize(
    "sent",
    [
        b"",
        HALF_A_HEAD,
        b"POST /check HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 900\r\n\r\ntoken=",
    ],
    ids=["nothing", "half a head", "half a form"],
)
def test_a_request_must_be_whole_in_time_even_where_a_byte_comes_now_and_then(
    live: Live, monkeypatch: pytest.MonkeyPatch, sent: bytes
) -> None:
    monkeypatch.setattr(connections, "REQUEST_SECONDS", 0.6)
    one = connect(live, sent)
    with one:
        begun = time.monotonic()
        while time.monotonic() - begun < 5:
            try:
                one.sendall(b"x")
            except ConnectionError:
                break
            if closed_within(one, 0.2):
                break
        assert time.monotonic() - begun < 3


@pytest.mark.parametrize("sent", [HALF_A_HEAD, b"G"], ids=["half a head", "one byte"])
def test_a_later_request_of_a_connection_must_be_whole_in_time_too(
    live: Live, monkeypatch: pytest.MonkeyPatch, sent: bytes
) -> None:
    monkeypatch.setattr(connections, "REQUEST_SECONDS", 0.6)
    with connect(live, b"GET /nowhere HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n") as one:
        assert b"404" in one.recv(65536)
        one.sendall(sent)
        begun = time.monotonic()
        assert closed_after_the_rest(one, 5)
        assert 0.3 < time.monotonic() - begun < 3  # by the limit of a request


def closed_after_the_rest(one: socket.socket, seconds: float) -> bool:
    """Return whether a connection closes in time, after what it still has to say."""
    one.settimeout(seconds)
    try:
        while one.recv(65536):
            pass
    except ConnectionError:
        return True
    except TimeoutError:
        return False
    return True


# Each answer is more than the system takes of it: the small one stays below the 64 KiB from
# which on a server is usually told that nobody reads, and is whole for the server at once.
ANSWERS = {"small": 60_000, "large": 4_000_000}
LITTLE = 2048  # bytes; the system takes at most a few times as much


@pytest.fixture(scope="module")
def answering() -> Iterator[Address]:
    """Serve answers of some length, from a system that itself takes little of them."""

    def answer(request: Request) -> Response:
        closing = {"connection": "close"} if "closing" in request.query_params else {}
        return PlainTextResponse("x" * ANSWERS[request.path_params["size"]], headers=closing)

    with serving(Starlette(routes=[Route("/{size}", answer)]), send_buffer=LITTLE) as at:
        yield at


def leave_unread(at: Address, target: str) -> socket.socket:
    """Ask for an answer on a connection that takes almost nothing of it."""
    one = socket.socket()
    one.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, LITTLE)
    one.settimeout(10)
    one.connect((at.host, at.port))
    one.sendall(f"GET /{target} HTTP/1.1\r\nHost: {at.host}\r\n\r\n".encode())
    return one


def read_all(one: socket.socket) -> int:
    """Return how many bytes a connection still has, until it is closed."""
    count = 0
    with contextlib.suppress(ConnectionError):
        while got := one.recv(65536):
            count += len(got)
    return count


@pytest.mark.parametrize("how", ["", "?closing"], ids=["kept open", "to be closed"])
@pytest.mark.parametrize("size", ANSWERS)
def test_an_answer_must_be_read_in_time(
    answering: Address, monkeypatch: pytest.MonkeyPatch, size: str, how: str
) -> None:
    monkeypatch.setattr(connections, "READING_SECONDS", 0.5)
    with leave_unread(answering, f"{size}{how}") as unread:
        begun = time.monotonic()
        while time.monotonic() - begun < 1.5:  # others are served all along
            url = f"http://{answering.host}:{answering.port}/small"
            assert len(httpx.get(url, timeout=5).content) == ANSWERS["small"]
            time.sleep(0.2)
        assert read_all(unread) < ANSWERS[size]


@pytest.mark.parametrize("size", ANSWERS)
def test_an_answer_that_is_read_in_time_comes_whole(
    answering: Address, monkeypatch: pytest.MonkeyPatch, size: str
) -> None:
    monkeypatch.setattr(connections, "READING_SECONDS", 20.0)
    with leave_unread(answering, f"{size}?closing") as late:
        time.sleep(0.5)
        assert read_all(late) > ANSWERS[size]


def test_many_unread_answers_of_one_client_lock_nobody_out(answering: Address) -> None:
    with contextlib.ExitStack() as open_ones:
        for _ in range(MOST_CONNECTIONS + 20):
            open_ones.enter_context(leave_unread(answering, "small?closing"))
        url = f"http://{answering.host}:{answering.port}/small"
        assert httpx.get(url, timeout=10).status_code == 200


# -- what a user gets wrong ----------------------------------------------------------------------


@pytest.fixture(scope="module")
def tried(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Live]:
    with at_home(tmp_path_factory.mktemp("tried")), running() as made:
        yield made


ODD = [
    "",
    "x",
    "nan",
    "inf",
    "-1",
    "9" * 400,
    "1e999",
    "\u0000",
    "\ud7ff\u202e",
    "9999-12-31T23:00",
]


@pytest.mark.parametrize("odd", ODD, ids=range(len(ODD)))
@pytest.mark.parametrize(
    "field",
    [
        *("start", "hours", "reach", "water_temperature", "craft", "place"),
        *("current", "high_water", "gauge", "release"),
    ],
)
def test_a_wrong_field_of_a_check_is_explained(tried: Live, field: str, odd: str) -> None:
    data = {"token": tried.token(), **SHORT, field: odd}
    answer = tried.client.post("/check", data=data)
    assert answer.status_code < 500, answer.text


@pytest.mark.parametrize("odd", ODD, ids=range(len(ODD)))
def test_a_wrong_limit_is_explained(tried: Live, odd: str) -> None:
    made = tried.client.post("/check", data={"token": tried.token(), **SHORT})
    path = f"{made.url.path}/limit"
    for table in ({"marginal": odd}, {"no_go": odd}, {"marginal": "90 mph", "no_go": "95 mph"}):
        data = {"token": tried.token(), "quantity": "wind_speed", **table}
        answer = tried.client.post(path, data=data)
        assert 400 <= answer.status_code < 500 or odd == "", answer.text
        assert answer.status_code < 500


@pytest.mark.parametrize("number", ["x", "-1", "9" * 5000, "1.5", "%00", "१"])
def test_an_address_of_no_check_is_not_found(tried: Live, number: str) -> None:
    for path in (f"/check/{number}", f"/check/{number}/file"):
        assert tried.client.get(path).status_code in (400, 404)


@pytest.mark.parametrize("odd", ODD, ids=range(len(ODD)))
@pytest.mark.parametrize("field", ["began", "wind", "waves", "comfort", "water"])
def test_a_wrong_field_of_a_trip_is_explained(tried: Live, field: str, odd: str) -> None:
    data = {"token": tried.token(), "went": "yes", field: odd}
    assert tried.client.post("/trips", data=data).status_code < 500

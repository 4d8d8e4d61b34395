"""Slow and idle connections lock nobody out."""

from __future__ import annotations

import contextlib
import socket
import time
from collections.abc import Iterator
from dataclasses import dataclass

import httpx
import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from safety_check.web import connections
from safety_check.web.room import MOST_CONNECTIONS, MOST_PER_CLIENT, make_room
from tests.live import PATIENCE, Served, serving
from tests.web.sockets import closes, connect

HALF_A_HEAD = b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n"
HALF_A_FORM = b"POST /small HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 900\r\n\r\ntoken="

# Each answer is more than the system takes of it: the small one stays below the 64 KiB from
# which on a server is usually told that nobody reads, and is whole for the server at once.
ANSWERS = {"small": 60_000, "large": 4_000_000}
LITTLE = 2048  # bytes; the system takes at most a few times as much
SHORTLY = 0.2  # s; in place of a limit, so that a test waits for it only briefly
LATE = 3600.0  # s; in place of a limit that must not be reached


@pytest.fixture(scope="module")
def answering() -> Iterator[Served]:
    """Serve answers of some length, from a system that itself takes little of them."""

    async def answer(request: Request) -> Response:
        await request.body()
        closing = {"connection": "close"} if "closing" in request.query_params else {}
        return PlainTextResponse("x" * ANSWERS[request.path_params["size"]], headers=closing)

    app = Starlette(routes=[Route("/{size}", answer, methods=["GET", "POST"])])
    with serving(app, send_buffer=LITTLE) as made:
        made.server.config.timeout_keep_alive = int(LATE)  # only the limits of this module close
        yield made


def answers(served: Served) -> bool:
    """Return whether a new client gets an answer."""
    return len(httpx.get(f"{served.base}/small", timeout=PATIENCE).content) == ANSWERS["small"]


@pytest.mark.parametrize("sent", [b"", HALF_A_HEAD], ids=["idle", "half a head"])
def test_many_waiting_connections_of_one_client_lock_nobody_out(
    answering: Served, sent: bytes
) -> None:
    with contextlib.ExitStack() as open_ones:
        for _ in range(MOST_CONNECTIONS + 20):
            open_ones.enter_context(connect(answering.address, sent))
        assert answers(answering)


def test_one_client_has_a_bounded_number_of_connections(answering: Served) -> None:
    with contextlib.ExitStack() as open_ones:
        made = [
            open_ones.enter_context(connect(answering.address)) for _ in range(MOST_PER_CLIENT + 3)
        ]
        assert all(closes(one) for one in made[:3])
        made[-1].sendall(b"GET /nowhere/at/all HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
        assert b"404" in made[-1].recv(65536)


@pytest.mark.parametrize(
    "sent", [b"", HALF_A_HEAD, HALF_A_FORM], ids=["nothing", "half a head", "half a form"]
)
def test_a_request_must_be_whole_in_time_even_where_a_byte_comes_now_and_then(
    answering: Served, monkeypatch: pytest.MonkeyPatch, sent: bytes
) -> None:
    monkeypatch.setattr(connections, "REQUEST_SECONDS", SHORTLY)
    with connect(answering.address, sent) as one, contextlib.suppress(ConnectionError):
        for _ in range(40):  # for ten times as long as a request may take
            one.sendall(b"x")
            time.sleep(SHORTLY / 4)
            if len(answering.server.server_state.connections) == 0:
                return
        pytest.fail("the connection stays open")


@pytest.mark.parametrize("sent", [HALF_A_HEAD, b"G"], ids=["half a head", "one byte"])
def test_a_later_request_of_a_connection_must_be_whole_in_time_too(
    answering: Served, monkeypatch: pytest.MonkeyPatch, sent: bytes
) -> None:
    with connect(answering.address, b"GET /no/where HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n") as one:
        assert b"404" in one.recv(65536)
        monkeypatch.setattr(connections, "REQUEST_SECONDS", SHORTLY)
        one.sendall(sent)
        assert closes(one)


def leave_unread(served: Served, target: str) -> socket.socket:
    """Ask for an answer on a connection that takes almost nothing of it."""
    one = socket.socket()
    one.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, LITTLE)
    one.settimeout(PATIENCE)
    at = served.address
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
    answering: Served, monkeypatch: pytest.MonkeyPatch, size: str, how: str
) -> None:
    answering.wait_for_connections(0)
    monkeypatch.setattr(connections, "READING_SECONDS", SHORTLY)
    with leave_unread(answering, f"{size}{how}") as unread:
        answering.wait_for_connections(1)
        answering.wait_for_connections(0)
        assert read_all(unread) < ANSWERS[size]


@pytest.mark.parametrize("size", ANSWERS)
def test_an_answer_that_is_read_in_time_comes_whole(
    answering: Served, monkeypatch: pytest.MonkeyPatch, size: str
) -> None:
    monkeypatch.setattr(connections, "READING_SECONDS", LATE)
    with leave_unread(answering, f"{size}?closing") as late:
        assert answers(answering)  # others are served meanwhile
        assert read_all(late) > ANSWERS[size]


def test_many_unread_answers_of_one_client_lock_nobody_out(answering: Served) -> None:
    with contextlib.ExitStack() as open_ones:
        for _ in range(MOST_CONNECTIONS + 20):
            open_ones.enter_context(leave_unread(answering, "small?closing"))
        assert answers(answering)


# -- of several clients --------------------------------------------------------------------------


@dataclass
class Pretended:
    """A connection that only says whose it is and whether it waits for an answer."""

    client: tuple[str, int] | None
    opened: float
    busy: bool = False
    cut_off: bool = False

    def waits_for_an_answer(self) -> bool:
        return self.busy

    def cut(self) -> None:
        self.cut_off = True


def fill(count: int, busy: bool) -> list[Pretended]:
    """Return connections, each of a client of its own, as `make_room` leaves them."""
    made: list[Pretended] = []
    for number in range(count):
        made.append(Pretended((f"192.0.2.{number}", 1), float(number), busy))
        make_room(made, made[-1])
    return made


def test_idle_connections_of_many_clients_leave_room_for_the_next_one() -> None:
    made = fill(2 * MOST_CONNECTIONS, busy=False)
    there = [one for one in made if not one.cut_off]
    assert there == made[-(MOST_CONNECTIONS - 1) :]  # the newest


def test_connections_that_wait_for_an_answer_are_never_closed_for_a_new_one() -> None:
    made = fill(MOST_CONNECTIONS - 1, busy=True)
    new = Pretended(("198.51.100.1", 1), 1e9)
    make_room([*made, new], new)
    assert [one for one in (*made, new) if one.cut_off] == [new]


def test_a_client_whose_address_is_unknown_is_not_another_one() -> None:
    made = [Pretended(None, float(number)) for number in range(MOST_PER_CLIENT + 2)]
    make_room(made, made[-1])
    assert not any(one.cut_off for one in made)

"""The live page on a free port of this machine, for the tests that ask it."""

from __future__ import annotations

import re
import socket
import ssl
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import httpx
import pytest
import uvicorn
from starlette.applications import Starlette

from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.use_cases.sample import SampleFile
from safety_check.web import demonstration, server
from safety_check.web.encryption import Encryption
from safety_check.web.server import Address
from safety_check.web.session import Session

PATIENCE = 120.0  # s; the machine may be shared


@dataclass(frozen=True)
class Live:
    """A running server, and a client that has its cookies."""

    address: Address
    session: Session
    client: httpx.Client

    @property
    def base(self) -> str:
        scheme = "https" if self.address.encryption else "http"
        return f"{scheme}://{self.address.host}:{self.address.port}"

    def token(self) -> str:
        """Return what its forms carry."""
        found = re.search(r'name="token" value="([^"]+)"', self.client.get("/paddler").text)
        assert found is not None
        return found[1]

    def send(self, path: str, **fields: Any) -> httpx.Response:
        """Send a form as a page of its own would, and follow where it leads."""
        return self.client.post(path, data={"token": self.token(), **fields})


@contextmanager
def running(
    key: str | None = None,
    encryption: Encryption | None = None,
    trusted: ssl.SSLContext | bool = True,
    session: Session | None = None,
) -> Iterator[Live]:
    """Run the invented scenario, or a session, in the folders of now, until the block ends.

    `trusted` is what its client takes for the server's certificate.
    """
    at = replace(server.open_address(0, encrypt=lambda host: encryption), key=key)
    session = session or demonstration.sample_session()
    base = at.link.partition("?")[0]
    with (
        _in_background(server.server(at, session), at),
        httpx.Client(
            base_url=base,
            follow_redirects=True,
            timeout=PATIENCE,
            verify=trusted,
        ) as client,
    ):
        yield Live(at, session, client)


def new_user() -> Session:
    """Return the session of a user who has said nothing yet, on the invented forecast."""
    folder = shipped_file("sample")
    said = toml_file.read(folder / "plan.toml", SampleFile)
    return Session(folder / said.forecast, said.as_of)


@dataclass(frozen=True)
class Served:
    """An application that is served, and its server."""

    address: Address
    server: uvicorn.Server

    @property
    def base(self) -> str:
        return self.address.link.rstrip("/")

    def wait_for_connections(self, count: int) -> None:
        """Wait until the server has so many open connections."""
        end = time.monotonic() + PATIENCE
        while (there := len(self.server.server_state.connections)) != count:
            assert time.monotonic() < end, f"{there} connections"
            time.sleep(0.01)


@contextmanager
def serving(
    app: Starlette, send_buffer: int | None = None, encryption: Encryption | None = None
) -> Iterator[Served]:
    """Serve an application as the live page is served, until the block ends.

    `send_buffer` is how many bytes the system itself takes of an answer that nobody reads.
    """
    at = server.open_address(0, encrypt=lambda host: encryption)
    if send_buffer is not None:
        at.listening.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, send_buffer)
    made = server.serving(app, at)
    with _in_background(made, at):
        yield Served(at, made)


@contextmanager
def _in_background(made: uvicorn.Server, at: Address) -> Iterator[None]:
    thread = threading.Thread(target=made.run, args=([at.listening],), daemon=True)
    thread.start()
    end = time.monotonic() + PATIENCE
    while not made.started and time.monotonic() < end:
        time.sleep(0.01)
    try:
        yield
    finally:
        made.should_exit = True
        thread.join(PATIENCE)
    assert not thread.is_alive()


@contextmanager
def at_home(folder: Path) -> Iterator[None]:
    """Let the program take a folder for the user's own."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SAFETY_CHECK_HOME", str(folder))
        yield

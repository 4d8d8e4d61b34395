"""The live page on a free port of this machine, for the tests that ask it."""

from __future__ import annotations

import re
import socket
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

from safety_check.web import demonstration, server
from safety_check.web.server import Address
from safety_check.web.session import Session

PATIENCE = 30.0  # s; the machine may be shared


@dataclass(frozen=True)
class Live:
    """A running server, and a client that has its cookies."""

    address: Address
    session: Session
    client: httpx.Client

    @property
    def base(self) -> str:
        return f"http://{self.address.host}:{self.address.port}"

    def token(self) -> str:
        """Return what its forms carry."""
        found = re.search(r'name="token" value="([^"]+)"', self.client.get("/").text)
        assert found is not None
        return found[1]

    def send(self, path: str, **fields: Any) -> httpx.Response:
        """Send a form as a page of its own would, and follow where it leads."""
        return self.client.post(path, data={"token": self.token(), **fields})


@contextmanager
def running(key: str | None = None) -> Iterator[Live]:
    """Run the invented scenario in the folders of now, until the block ends."""
    opened = server.open_address(0)
    at = replace(opened, key=key)
    session = demonstration.sample_session()
    base = f"http://{at.host}:{at.port}"
    with (
        _in_background(server.server(at, session), at),
        httpx.Client(base_url=base, follow_redirects=True, timeout=PATIENCE) as client,
    ):
        yield Live(at, session, client)


@contextmanager
def serving(app: Starlette, send_buffer: int | None = None) -> Iterator[Address]:
    """Serve an application as the live page is served, until the block ends.

    `send_buffer` is how many bytes the system itself takes of an answer that nobody reads.
    """
    at = server.open_address(0)
    if send_buffer is not None:
        at.listening.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, send_buffer)
    with _in_background(server.serving(app, at), at):
        yield at


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

"""Bare connections to the live page, for clients that no library would imitate."""

from __future__ import annotations

import socket
import time
from collections.abc import Callable
from typing import TypeVar

from safety_check.web.server import Address

Answer = TypeVar("Answer")
PATIENCE = 120.0  # s; the machine may be shared


def connect(at: Address, sent: bytes = b"") -> socket.socket:
    """Return an open connection on which some bytes have been sent."""
    made = socket.create_connection((at.host, at.port), timeout=PATIENCE)
    made.sendall(sent)
    return made


def closes(one: socket.socket) -> bool:
    """Return whether the server closes a connection, after what it still has to say."""
    one.settimeout(PATIENCE)
    try:
        while one.recv(65536):
            pass
    except TimeoutError:
        return False
    except OSError:
        return True
    return True


def until(ask: Callable[[], Answer], fits: Callable[[Answer], object]) -> Answer:
    """Return the first answer that fits; ask again until then."""
    end = time.monotonic() + 2 * PATIENCE
    while not fits(answer := ask()):
        assert time.monotonic() < end, answer
        time.sleep(0.02)
    return answer

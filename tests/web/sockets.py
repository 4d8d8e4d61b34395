"""Bare connections to the live page, for clients that no library would imitate."""

from __future__ import annotations

import socket

from safety_check.web.server import Address

PATIENCE = 30.0  # s; the machine may be shared


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

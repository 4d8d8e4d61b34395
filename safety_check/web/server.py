"""Run the live page: its address, its names, and the link to it."""

from __future__ import annotations

import secrets
import socket
from collections.abc import Callable
from dataclasses import dataclass

import uvicorn
from starlette.applications import Starlette

from safety_check.errors import ConfigError
from safety_check.web.app import build_application
from safety_check.web.connections import IDLE_SECONDS, BoundedProtocol, encrypted
from safety_check.web.encryption import Encryption, own_names
from safety_check.web.room import MOST_CONNECTIONS
from safety_check.web.session import Session

LOOPBACK = "127.0.0.1"
OWN_NAMES = ("localhost", LOOPBACK)
SECONDS_TO_CLOSE = 3
TEST_NETWORK = ("192.0.2.1", 9)  # RFC 5737, for documentation; nothing is sent to it


@dataclass(frozen=True)
class Address:
    """The address of the live page.

    Parameters
    ----------
    listening
        The open socket.
    host, port
        The address in the link.
    key
        The secret in the link; None on the loopback address.
    encryption
        Of its connections; None for plain ones.
    """

    listening: socket.socket
    host: str
    port: int
    key: str | None = None
    encryption: Encryption | None = None

    @property
    def link(self) -> str:
        """What to open in a browser."""
        scheme = "https" if self.encryption else "http"
        return f"{scheme}://{self.host}:{self.port}/" + (f"?key={self.key}" if self.key else "")


def open_address(
    port: int, lan: bool = False, encrypt: Callable[[str], Encryption | None] | None = None
) -> Address:
    """Return an address to serve: on this machine only, or on the local network with a key.

    Parameters
    ----------
    port
        0 for any free port.
    lan
        Whether other devices on the local network may connect.
    encrypt
        Returns the encryption for a host; None for plain connections.

    Raises
    ------
    ConfigError
        Where the port is taken, or the machine has no address on a network.
    """
    host = _lan_address() if lan else LOOPBACK
    encryption = encrypt(host) if encrypt else None
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
        listening.listen()
    except (OSError, OverflowError) as trouble:
        listening.close()
        raise ConfigError(
            f"serve: port {port} of {host} cannot be used ({trouble}). Choose another --port."
        ) from trouble
    key = secrets.token_urlsafe(16) if lan else None
    return Address(listening, host, listening.getsockname()[1], key, encryption)


def _lan_address() -> str:
    """Return this machine's address on its network; no packet is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(TEST_NETWORK)
            return str(probe.getsockname()[0])
        except OSError as trouble:
            raise ConfigError(
                "serve --lan: this machine has no address on a network. Connect it to one, or"
                " leave out --lan."
            ) from trouble


def server(at: Address, session: Session) -> uvicorn.Server:
    """Return a server that is ready to run."""
    names = own_names() if at.encryption else ()
    return serving(build_application(session, [*OWN_NAMES, at.host, *names], at.key), at)


def serving(app: Starlette, at: Address) -> uvicorn.Server:
    """Return a server of an application that writes no access log."""
    protocol = encrypted(at.encryption.context) if at.encryption else BoundedProtocol
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        http=protocol,  # type: ignore[arg-type]  # uvicorn only calls it
        ws="none",
        limit_concurrency=MOST_CONNECTIONS,
        timeout_keep_alive=IDLE_SECONDS,
        timeout_graceful_shutdown=SECONDS_TO_CLOSE,
    )
    return uvicorn.Server(config)


def run(at: Address, session: Session) -> None:
    """Serve until the user stops it."""
    server(at, session).run(sockets=[at.listening])

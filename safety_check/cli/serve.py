"""Serve the verdict live to a browser, on this machine or the local network."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from safety_check.cli.check import Sample
from safety_check.cli.options import AsOf, ForecastFile

if TYPE_CHECKING:
    from safety_check.web.encryption import Encryption
    from safety_check.web.server import Address

WANTED = ("starlette", "uvicorn", "python_multipart")
WANTED_ON_LAN = ("cryptography", "segno")
EXPOSED = (
    "Not encrypted: everyone on this network can read what you enter, use the link, and change"
    " what you see. Use this only on a network where you trust every device."
)


def serve(
    port: Annotated[
        int, typer.Option("--port", min=0, max=65535, help="Port; 0 takes any free one.")
    ] = 8765,
    lan: Annotated[
        bool,
        typer.Option(
            "--lan",
            help="Let devices on the local network connect, encrypted and with a secret link.",
        ),
    ] = False,
    certificate: Annotated[
        Path | None,
        typer.Option(
            "--certificate", help="PEM certificate to use in place of its own.", show_default=False
        ),
    ] = None,
    key: Annotated[
        Path | None,
        typer.Option("--key", help="PEM private key of the certificate.", show_default=False),
    ] = None,
    plain_http: Annotated[
        bool,
        typer.Option("--plain-http", help="With --lan: no encryption; others can read along."),
    ] = False,
    no_qr: Annotated[
        bool, typer.Option("--no-qr", help="With --lan: print no QR code of the link.")
    ] = False,
    forecast: ForecastFile = None,
    as_of: AsOf = None,
    sample: Sample = False,
) -> None:
    """Serve a live page until Ctrl-C: check a trip, change a limit, log a trip.

    It answers only this machine; with --lan also anyone on the local network who has the printed
    link. That connection is encrypted with a certificate that the program makes once. Browsers
    warn of it; compare the printed fingerprint before you go on. A phone stores the last check
    for use without a signal only with a certificate that it trusts (--certificate, --key) or
    from its own localhost; "Save as a file" always works.

    Example: safety-check serve --sample
    """
    _require_web(lan)
    from safety_check.cli.link import print_link
    from safety_check.web import server

    at = server.open_address(port, lan, _encryption(lan, certificate, key, plain_http))
    print_link(at, qr=lan and not no_qr)
    if plain_http:
        typer.echo(EXPOSED, err=True)
    typer.echo("Press Ctrl-C to stop.", err=True)
    if sample:
        _serve_sample(at)
    else:
        from safety_check.web.session import Session

        server.run(at, Session(forecast, as_of))


def _encryption(
    lan: bool, certificate: Path | None, key: Path | None, plain_http: bool
) -> Callable[[str], Encryption | None]:
    """Return what gives the encryption for a host."""
    from safety_check.errors import ConfigError
    from safety_check.settings.folders import find_folders
    from safety_check.web.encryption import given_encryption, own_encryption

    given = given_encryption(certificate, key)
    if plain_http and given:
        raise ConfigError("serve: --plain-http and --certificate contradict each other.")
    if plain_http and not lan:
        raise ConfigError(
            "serve: --plain-http needs --lan; without it nothing leaves this machine."
        )
    if given or plain_http or not lan:
        return lambda host: given
    return lambda host: own_encryption(find_folders().data, host)


def _serve_sample(at: Address) -> None:
    """Serve the invented scenario from a temporary folder that is deleted afterwards."""
    import os
    import tempfile

    from safety_check.web import demonstration, server

    with tempfile.TemporaryDirectory() as home:
        os.environ["SAFETY_CHECK_HOME"] = home
        server.run(at, demonstration.sample_session())


def _require_web(lan: bool) -> None:
    from importlib.util import find_spec

    from safety_check.errors import ConfigError

    wanted = (*WANTED, *WANTED_ON_LAN) if lan else WANTED
    lacking = [package for package in wanted if find_spec(package) is None]
    if lacking:
        raise ConfigError(
            f"serve: {', '.join(lacking)} is not installed, and the live page needs"
            ' it. Install it with: pip install "safety-check[web]"'
        )

"""Serve the verdict live to a browser, on this machine or the local network."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from safety_check.cli.check import Sample
from safety_check.cli.options import AsOf, ForecastFile

if TYPE_CHECKING:
    from safety_check.web.server import Address

WANTED = ("starlette", "uvicorn", "python_multipart")


def serve(
    port: Annotated[
        int, typer.Option("--port", min=0, max=65535, help="Port; 0 takes any free one.")
    ] = 8765,
    lan: Annotated[
        bool,
        typer.Option("--lan", help="Let devices on the local network connect with a secret link."),
    ] = False,
    certificate: Annotated[
        Path | None,
        typer.Option(
            "--certificate", help="PEM certificate for an encrypted connection.", show_default=False
        ),
    ] = None,
    key: Annotated[
        Path | None,
        typer.Option("--key", help="PEM private key of the certificate.", show_default=False),
    ] = None,
    forecast: ForecastFile = None,
    as_of: AsOf = None,
    sample: Sample = False,
) -> None:
    """Serve a live page until Ctrl-C: check a trip, change a limit, log a trip.

    It answers only this machine; with --lan also anyone on the local network who has the printed
    link. A phone stores the last check for use without a signal only over an encrypted
    connection (--certificate, --key) or from its own localhost; "Save as a file" always works.

    Example: safety-check serve --sample
    """
    _require_web()
    from safety_check.web import server

    at = server.open_address(port, lan, certificate, key)
    typer.echo(f"Open {at.link}")
    typer.echo("Press Ctrl-C to stop.", err=True)
    if sample:
        _serve_sample(at)
    else:
        from safety_check.web.session import Session

        server.run(at, Session(forecast, as_of))


def _serve_sample(at: Address) -> None:
    """Serve the invented scenario from a temporary folder that is deleted afterwards."""
    import os
    import tempfile

    from safety_check.web import demonstration, server

    with tempfile.TemporaryDirectory() as home:
        os.environ["SAFETY_CHECK_HOME"] = home
        server.run(at, demonstration.sample_session())


def _require_web() -> None:
    from importlib.util import find_spec

    from safety_check.errors import ConfigError

    lacking = [package for package in WANTED if find_spec(package) is None]
    if lacking:
        raise ConfigError(
            f"serve: {', '.join(lacking)} is not installed, and the live page needs"
            ' it. Install it with: pip install "safety-check[web]"'
        )

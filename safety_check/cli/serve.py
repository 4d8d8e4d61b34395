"""The verdict live in a browser, on this machine or on the local network."""

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
    port: Annotated[int, typer.Option("--port", min=0, max=65535, help="0: any free.")] = 8765,
    lan: Annotated[
        bool, typer.Option("--lan", help="Let devices on the local network ask, by a secret link.")
    ] = False,
    certificate: Annotated[
        Path | None,
        typer.Option("--certificate", help="PEM, for an encrypted connection.", show_default=False),
    ] = None,
    key: Annotated[
        Path | None, typer.Option("--key", help="PEM, its private key.", show_default=False)
    ] = None,
    forecast: ForecastFile = None,
    as_of: AsOf = None,
    sample: Sample = False,
) -> None:
    """Serve the page live, until Ctrl-C: check, change a limit, log a trip.

    Only this machine is answered; --lan answers the local network too, to whoever has the link
    that is printed. A phone keeps the last check for a place without a signal only over an
    encrypted connection (--certificate, --key) or from its own localhost; "Keep as a file" works
    always.

    Example: safety-check serve --sample
    """
    _require_web()
    from safety_check.web import server

    at = server.door(port, lan, certificate, key)
    typer.echo(f"Open {at.link}")
    typer.echo("Ctrl-C ends it.", err=True)
    if sample:
        _serve_sample(at)
    else:
        from safety_check.web.desk import Session

        server.run(at, Session(forecast, as_of))


def _serve_sample(at: Address) -> None:
    """Serve the invented scenario from a home that is gone afterwards."""
    import os
    import tempfile

    from safety_check.web import demonstration, server

    with tempfile.TemporaryDirectory() as home:
        os.environ["SAFETY_CHECK_HOME"] = home
        server.run(at, demonstration.desk())


def _require_web() -> None:
    from importlib.util import find_spec

    from safety_check.errors import ConfigError

    lacking = [each for each in WANTED if find_spec(each) is None]
    if lacking:
        raise ConfigError(
            f"serve: {', '.join(lacking)} is not installed. Install the program with what the live"
            ' page needs: pip install "safety-check[web]"'
        )

"""Print requests, answers and their duration to standard error."""

from __future__ import annotations

import sys

import typer


def print_requests(context: typer.Context, asked: bool) -> bool:
    """Print each request of this process from now on, if the user asked for that.

    Parameters
    ----------
    context
        Of the command line; completion of a shell asks for nothing.
    asked
        The value of --verbose.
    """
    if asked and not context.resilient_parsing:
        import logging

        from safety_check.model.clean_text import remove_invisible

        class ToStderr(logging.Handler):
            def emit(self, record: logging.LogRecord) -> None:
                message = remove_invisible(record.getMessage())
                print(f"safety-check: {message}", file=sys.stderr)  # noqa: T201

        log = logging.getLogger("safety_check.requests")
        log.setLevel(logging.INFO)
        log.handlers = [ToStderr()]
    return asked

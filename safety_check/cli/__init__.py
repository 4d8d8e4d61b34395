"""The command line: parse the arguments, call one use case, print the result."""

from __future__ import annotations


def main() -> None:
    """Run the command line; show any expected error as one paragraph."""
    import sys

    from safety_check.cli.app import app
    from safety_check.errors import SafetyCheckError

    try:
        app(prog_name="safety-check")
    except SafetyCheckError as trouble:
        print(f"safety-check: {trouble}", file=sys.stderr)  # noqa: T201 - the one place that prints errors
        sys.exit(trouble.exit_status)

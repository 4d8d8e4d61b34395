"""The command line: parse the arguments, call one use case, print the result."""

from __future__ import annotations


def main() -> None:
    """Run the command line; show any expected error as one paragraph."""
    import atexit
    import gc
    import os
    import sys

    gc.set_threshold(100_000)  # importing makes many objects and almost no garbage
    atexit.register(gc.freeze)  # the rest is freed when the process ends
    os.environ["PYDANTIC_DISABLE_PLUGINS"] = "__all__"  # nobody else's code checks a limit
    from safety_check.cli.app import run
    from safety_check.cli.printed import safe_streams, shortened
    from safety_check.errors import SafetyCheckError, describe_os_error

    arguments = sys.argv[1:] or _first_steps()
    with safe_streams():
        try:
            run(arguments)
        except (SafetyCheckError, OSError) as trouble:
            told = describe_os_error(trouble) if isinstance(trouble, OSError) else trouble
            status = 1 if isinstance(trouble, OSError) else trouble.exit_status
            said = f"safety-check: {shortened(str(told))}"
            if "--json" in arguments:
                said = _as_json(type(trouble).__name__, str(told), status)
            print(said, file=sys.stderr)  # noqa: T201 - the one place that prints errors
            sys.exit(status)


def _as_json(kind: str, message: str, status: int) -> str:
    """Return an error for a program, on one line."""
    import json

    said = {"kind": kind, "message": message, "exit_status": status}
    return json.dumps({"error": said}, ensure_ascii=False)


def _first_steps() -> list[str]:
    """Return what no arguments mean: on a terminal a check that asks for all that it needs."""
    import sys

    return ["check"] if sys.stdin.isatty() and sys.stdout.isatty() else []

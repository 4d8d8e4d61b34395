"""Print docs/round.md anew: every command in it is run, and what it says is put below it.

Run with `python -m docs.round`. The clock of a watch is the story's own, and passes by itself.
"""

from __future__ import annotations

import io
import os
import re
import shlex
import sys
import tempfile
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout, suppress
from datetime import datetime, timedelta
from pathlib import Path
from unittest.mock import patch

from safety_check.cli import main
from safety_check.use_cases import watch

STORY = Path(__file__).with_name("round.md")
BLOCK = re.compile(r"(?:<!-- (?P<note>[^>]*) -->\n)?```console\n(?P<lines>(?:.*\n)*?)```")
COMMAND = re.compile(r"^\$ (?:.*\\\n)*.*\n", re.MULTILINE)
SHOWN = re.compile(r"shows (\d+) lines")
CLOCK = re.compile(r"clock (\S+)")


def print_round() -> None:
    """Write the story into its place."""
    STORY.write_text(told(STORY.read_text(encoding="utf-8")), encoding="utf-8")
    sys.stdout.write(f"docs/{STORY.name}\n")


def told(story: str) -> str:
    """Return a story with what its commands say now, in a home that begins empty."""
    with tempfile.TemporaryDirectory() as home:
        return BLOCK.sub(lambda found: _block(found, Path(home)), story)


def _block(found: re.Match[str], home: Path) -> str:
    note = found["note"] or ""
    shown, clock = SHOWN.search(note), CLOCK.search(note)
    lines = []
    for command in COMMAND.findall(found["lines"]):
        said = [line.rstrip() for line in spoken(command, home, clock[1] if clock else "")]
        if shown and len(said) > int(shown[1]):
            said = [*said[: int(shown[1])], "…"]
        lines += [command.rstrip("\n"), *said]
    head = f"<!-- {note} -->\n" if note else ""
    return f"{head}```console\n" + "\n".join(lines) + "\n```"


def spoken(command: str, home: Path, clock: str) -> list[str]:
    """Return what a command says, line by line, both streams as a terminal shows them."""
    program, *arguments = shlex.split(command.removeprefix("$ ").replace("\\\n", " "))
    heard = io.StringIO()
    with (
        patch.dict(os.environ, {"SAFETY_CHECK_HOME": str(home), "COLUMNS": "80"}),
        patch.object(sys, "argv", [program, *arguments]),
        patch.object(watch, "system_clock", _passing(clock)),
        redirect_stdout(heard),
        redirect_stderr(heard),
        suppress(SystemExit),
    ):
        main()
    return heard.getvalue().replace("\a", "").splitlines()


def _passing(start: str) -> Callable[[], watch.Clock]:
    """Return a clock on which sleeping is what makes time pass."""
    moments = [datetime.fromisoformat(start)] if start else []

    def sleep(seconds: float) -> None:
        moments.append(moments.pop() + timedelta(seconds=seconds))

    return lambda: watch.Clock(lambda: moments[0], sleep)


if __name__ == "__main__":
    print_round()

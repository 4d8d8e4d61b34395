"""Run the command line on a pseudo-terminal, so that it asks its questions."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

CODE = "from safety_check.cli import main; main()"


def run_on_terminal(
    home: Path, arguments: Sequence[object], answers: Sequence[str]
) -> tuple[int, str]:
    """Return the exit status and all that a command printed on a terminal.

    Parameters
    ----------
    home
        The user's folder.
    arguments
        Of the command line.
    answers
        One line for each question, typed ahead.
    """
    outer, inner = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-c", CODE, *map(str, arguments)],
        stdin=inner,
        stdout=inner,
        stderr=inner,
        env=os.environ | {"SAFETY_CHECK_HOME": str(home)},
        close_fds=True,
    )
    os.close(inner)
    os.write(outer, ("\n".join(answers) + "\n\x04").encode())  # then the end of the input
    printed = _read_to_end(outer)
    return process.wait(timeout=300), printed


def _read_to_end(descriptor: int) -> str:
    parts = []
    while True:
        try:
            part = os.read(descriptor, 4096)
        except OSError:  # how a terminal reports that its other end has closed
            break
        if not part:
            break
        parts.append(part)
    os.close(descriptor)
    return b"".join(parts).decode(errors="replace")

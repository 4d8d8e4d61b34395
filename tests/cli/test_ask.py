"""A first check on a terminal asks the few questions that it needs, and keeps the answers."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
import tomllib
from pathlib import Path

CODE = "from safety_check.cli import main; main()"
ANSWERS = ("canoe", "1", "wetsuit", "zzz", "alone", "no")


def test_a_first_check_asks_and_keeps_the_answers(tmp_path: Path) -> None:
    outer, inner = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-c", CODE, "check", "pond"],
        stdin=inner,
        stdout=inner,
        stderr=inner,
        env=os.environ | {"SAFETY_CHECK_HOME": str(tmp_path)},
        close_fds=True,
    )
    os.close(inner)
    os.write(outer, ("\n".join(ANSWERS) + "\n").encode())
    said = _all(outer)
    assert process.wait(timeout=30) == 2
    assert "life jacket" in said
    assert "'zzz' is none of them" in said
    assert "water 'pond' is not known" in said
    kept = tomllib.loads((tmp_path / "settings.toml").read_text(encoding="utf-8"))
    assert kept["craft"] == {"my craft": {"class": "canoe"}}
    assert kept["paddler"] == {
        "life_jacket": "worn",
        "wearing": "wetsuit",
        "company": "alone",
        "light": False,
    }


def _all(descriptor: int) -> str:
    parts = []
    while True:
        try:
            part = os.read(descriptor, 4096)
        except OSError:  # how a terminal says that its other end has closed
            break
        if not part:
            break
        parts.append(part)
    os.close(descriptor)
    return b"".join(parts).decode(errors="replace")

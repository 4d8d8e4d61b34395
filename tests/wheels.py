"""Wheels built by tests."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

ROOT = Path(__file__).parents[1]


def build(folder: Path, source: Path = ROOT, umask: int = -1, **environment: str) -> Path:
    """Return the wheel built from a source folder into another folder."""
    done = subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=source,
        env=os.environ | environment,
        umask=umask,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return next(folder.glob("*.whl"))


def unpacked(folder: Path) -> Path:
    """Return the folder with what the wheel built from this checkout holds."""
    inside = folder / "inside"
    with zipfile.ZipFile(build(folder)) as wheel:
        wheel.extractall(inside)
    return inside

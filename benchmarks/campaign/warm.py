"""Imported once by the process that commands are forked from, so that each need not start up."""

from __future__ import annotations

import tempfile
from pathlib import Path

import httpx
import stamina

from safety_check.sources import gather
from tests.cli.conftest import run_at

__all__ = ["gather", "httpx", "stamina"]

with tempfile.TemporaryDirectory() as _folder:
    for _arguments in (
        ("page", "--sample", "--out", f"{_folder}/page.html"),
        ("settings", "set", "units.wind", "kt"),
    ):
        run_at(Path(_folder) / "home", *_arguments)

"""Run the command line many times in one process, with a folder that nobody can write.

Printed is a JSON list with status, both streams and the traceback of each command.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import shutil
import subprocess
import sys
import traceback
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Run

ROOT = Path(__file__).parents[2]
MOUNT = 'mount --bind "$0" "$0" && mount -o remount,ro,bind "$0" && exec "$@"'


def run_read_only(folder: Path, home: Path, commands: Iterable[Sequence[object]]) -> list[Run]:
    """Return what each command did while nothing in a folder could be written.

    An administrator may write anywhere, so for one the folder is mounted read-only.
    """
    program = [sys.executable, "-m", "tests.cli.read_only"]
    if os.name == "nt":
        pytest.skip("system: folders have other rights on Windows")
    administrator = os.geteuid() == 0
    if administrator:
        if shutil.which("unshare") is None:
            pytest.skip("mount: an administrator may write anywhere, and nothing can be mounted")
        program = ["unshare", "-m", "sh", "-c", MOUNT, str(folder), *program]
    try:
        _set_rights(folder, 0o555)
        done = subprocess.run(
            program,
            cwd=ROOT,
            input=json.dumps([[str(part) for part in command] for command in commands]),
            env=os.environ | {"SAFETY_CHECK_HOME": str(home), "COLUMNS": "80"},
            capture_output=True,
            text=True,
            check=False,
        )
    finally:
        _set_rights(folder, 0o755)
    if administrator and "mount" in done.stderr:
        pytest.skip("mount: nothing can be mounted here")
    assert done.returncode == 0, done.stderr
    return [Run(*entry) for entry in json.loads(done.stdout)]


def _set_rights(folder: Path, rights: int) -> None:
    for path in (folder, *folder.rglob("*")):
        if path.is_dir():
            path.chmod(rights)


def run_one(command: Sequence[str]) -> tuple[int, str, str]:
    """Return status and both streams of a command; a traceback is status 99."""
    from safety_check.cli import main

    sys.argv = ["safety-check", *command]
    out, err = io.StringIO(), io.StringIO()
    code: Any = None
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main()
        except SystemExit as leaving:
            code = leaving.code
        except BaseException:  # noqa: BLE001 - the test reports it
            code = 99
            err.write(traceback.format_exc())
    return (code if isinstance(code, int) else 0), out.getvalue(), err.getvalue()


if __name__ == "__main__":
    json.dump([run_one(value) for value in json.load(sys.stdin)], sys.stdout)

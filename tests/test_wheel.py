"""The wheel that is built carries its config, and works away from the checkout."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

ROOT = Path(__file__).parents[1]


def test_the_built_wheel_runs_the_sample_from_its_own_config(tmp_path: Path) -> None:
    built = subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert built.returncode == 0, built.stderr
    inside = tmp_path / "inside"
    zipfile.ZipFile(next(tmp_path.glob("*.whl"))).extractall(inside)
    assert (inside / "safety_check" / "config" / "limits.toml").exists()
    code = (
        "import safety_check; print(safety_check.__file__);"
        "from safety_check.cli import main; main()"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, "check", "--sample"],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(inside), "SAFETY_CHECK_HOME": str(tmp_path / "home")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 30, done.stderr
    where, verdict, *_ = done.stdout.splitlines()
    assert Path(where).is_relative_to(inside)
    assert verdict.startswith("NO-GO")

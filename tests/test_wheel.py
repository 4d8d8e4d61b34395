"""The wheel that is built carries its config, and works away from the checkout."""

from __future__ import annotations

import email.parser
import os
import subprocess
import sys
from pathlib import Path

import pytest

from safety_check import __version__
from tests.wheels import unpacked


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the wheel built from this checkout, unpacked."""
    return unpacked(tmp_path_factory.mktemp("wheel"))


def test_the_wheel_has_the_version_that_the_program_prints(wheel: Path) -> None:
    metadata = next(wheel.glob("*.dist-info")) / "METADATA"
    headers = email.parser.Parser().parsestr(metadata.read_text(encoding="utf-8"))
    assert headers["Version"] == __version__


def test_the_wheel_tells_type_checkers_that_it_is_typed(wheel: Path) -> None:
    assert (wheel / "safety_check" / "py.typed").exists()


@pytest.mark.promise("the versions of Python")
def test_the_built_wheel_runs_the_sample_from_its_own_config(wheel: Path, tmp_path: Path) -> None:
    assert (wheel / "safety_check" / "config" / "limits.toml").exists()
    code = (
        "import safety_check; print(safety_check.__file__);"
        "from safety_check.cli import main; main()"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, "check", "--sample"],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(wheel), "SAFETY_CHECK_HOME": str(tmp_path / "home")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 30, done.stderr
    where, verdict, *_ = done.stdout.splitlines()
    assert Path(where).is_relative_to(wheel)
    assert verdict.startswith("NO-GO")

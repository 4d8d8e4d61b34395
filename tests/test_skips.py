"""Nothing is left out silently: each cause is counted, and an unexpected one fails the run."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.skips import CAUSES, EXPECTED, count_causes, find_unexpected

ROOT = Path(__file__).parents[1]
SKIPPING = """
import pytest

def test_that_runs(): pass

@pytest.mark.parametrize("number", range(3))
def test_left_out(number): pytest.skip("browser: chromium is not installed")

@pytest.mark.skipif(True, reason="forgotten")
def test_forgotten(): pass
"""


@pytest.mark.promise("skipped tests are counted")
def test_each_test_is_counted_once_under_its_cause():
    skips = [
        ("one", "Skipped: browser: absent"),
        ("two", "browser: absent"),
        ("two", "browser: absent"),
        ("three", "Skipped: recordings: no folder"),
        ("four", "Skipped: browsers are slow"),
        ("five", "unconditional skip"),
    ]
    assert count_causes(skips) == {"browser": 2, "other": 2, "recordings": 1}


def test_only_a_run_that_says_what_it_expects_is_held_to_it():
    counts = {"browser": 2, "other": 1}
    assert find_unexpected(counts, None) == []
    assert find_unexpected(counts, "") == ["browser", "other"]
    assert find_unexpected(counts, "browser recordings") == ["other"]


@pytest.mark.promise("skipped tests are counted")
def test_an_unexpected_skip_fails_the_run_and_is_named(tmp_path: Path) -> None:
    _runs_and_names_what_it_left_out(tmp_path)


@pytest.mark.thorough
def test_an_unexpected_skip_in_a_worker_fails_the_run_and_is_named(tmp_path: Path) -> None:
    _runs_and_names_what_it_left_out(tmp_path, "-n", "1")


def _runs_and_names_what_it_left_out(tmp_path: Path, *workers: str) -> None:
    (tmp_path / "conftest.py").write_text(
        "from tests.skips import pytest_sessionfinish, pytest_terminal_summary\n"
    )
    (tmp_path / "test_left_out.py").write_text(SKIPPING)
    (tmp_path / "pytest.ini").write_text("[pytest]\n")
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *workers]
    plain = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST")}
    done = subprocess.run(
        command, cwd=tmp_path, capture_output=True, text=True, check=False,
        env=plain | {EXPECTED: "browser", "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert done.returncode == pytest.ExitCode.TESTS_FAILED, done.stdout + done.stderr
    assert "1 passed, 4 skipped" in done.stdout
    assert f"3 tests: browser ({CAUSES['browser']})\n" in done.stdout
    assert re.search(r"1 tests: other \(.*\)  NOT EXPECTED", done.stdout)


def test_every_reason_of_a_skip_in_the_tests_begins_with_its_cause_or_is_never_met():
    """Only the extras, which the lock file installs, are asked for without a cause."""
    told = re.compile(r'(?:\bskip\(\s*f?|reason=f?)"([^"]*)"')
    reasons = {
        reason
        for path in (ROOT / "tests").rglob("*.py")
        if path != Path(__file__)
        for reason in told.findall(path.read_text(encoding="utf-8"))
    }
    of_extras = {reason for reason in reasons if "the extra " in reason}
    assert {reason.partition(":")[0] for reason in reasons - of_extras} == set(CAUSES)

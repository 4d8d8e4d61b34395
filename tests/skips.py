"""Why tests may be left out, and a run that fails where one is left out for any other reason.

The reason of a skip begins with its cause, as in "browser: chromium is not installed". Each run
counts the tests that it left out for each cause. `SAFETY_CHECK_MAY_SKIP` names the causes that a
run expects, such as "browser recordings", or nothing; once it is set, any other skip fails the run.
"""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

import pytest

EXPECTED = "SAFETY_CHECK_MAY_SKIP"
CAUSES = {
    "browser": "no chromium, or no playwright to drive it",
    "accessibility": "no npm to fetch the accessibility checker",
    "formats": "no library that reads GRIB, NetCDF or kerchunk references",
    "recordings": "no folder ../shared with recorded answers beside the checkout",
    "oracle": "a library that only checks our values is not installed",
    "mount": "an administrator may write anywhere, and nothing can be mounted read-only here",
    "system": "this operating system does not have what is tested",
}


def count_causes(skips: Iterable[tuple[str, str]]) -> dict[str, int]:
    """Return how many tests were left out for each cause; what has no cause counts as "other".

    `skips` has the identifier of each test or module and its reason.
    """
    tests: dict[str, set[str]] = defaultdict(set)
    for name, reason in skips:
        cause = reason.removeprefix("Skipped: ").partition(":")[0]
        tests[cause if cause in CAUSES else "other"].add(name)
    return {cause: len(names) for cause, names in sorted(tests.items())}


def find_unexpected(counts: Mapping[str, int], expected: str | None) -> list[str]:
    """Return the causes that a run did not expect; without a word on it, it expects any."""
    if expected is None:
        return []
    return [cause for cause in counts if cause not in expected.split()]


def _counts(config: pytest.Config) -> dict[str, int]:
    terminal: Any = config.pluginmanager.get_plugin("terminalreporter")
    skipped = terminal.stats.get("skipped", []) if terminal else []
    return count_causes((report.nodeid, report.longrepr[2]) for report in skipped)


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Fail the run where something was left out that it did not expect."""
    if find_unexpected(_counts(session.config), os.environ.get(EXPECTED)):
        session.exitstatus = session.exitstatus or pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: Any, config: pytest.Config) -> None:
    """Say how many tests were left out, and why."""
    counts = _counts(config)
    unexpected = find_unexpected(counts, os.environ.get(EXPECTED))
    if counts:
        terminalreporter.section("left out")
    for cause, number in counts.items():
        mark = f"  NOT EXPECTED: {EXPECTED} does not name it" if cause in unexpected else ""
        why = CAUSES.get(cause, "no known cause; see the reasons above")
        terminalreporter.line(f"{number} tests: {cause} ({why}){mark}")

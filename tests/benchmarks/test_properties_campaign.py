"""The campaign of properties counts each property with its cases, and names those that failed."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchmarks.campaign import properties

ROOT = properties.ROOT
MADE = """
from pathlib import Path
from hypothesis import given, settings
from hypothesis.strategies import integers

COUNTED = Path(__file__).with_name("cases")

@given(integers())
@settings(database=None)
def test_holds(number):
    with COUNTED.open("a") as file:
        file.write("x")

@given(integers())
@settings(database=None)
def test_does_not_hold(number):
    assert number < 10

def test_is_no_property():
    assert False
"""


@pytest.mark.thorough
def test_each_property_counts_with_all_its_cases_and_failures_are_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = tmp_path / "tests"  # beside the project's own
    made.mkdir()
    (tmp_path / "pytest.ini").write_text("[pytest]\n")
    (made / "conftest.py").write_text("from tests.properties import load_profile\nload_profile()\n")
    (made / "test_made.py").write_text(MADE)
    monkeypatch.setattr(properties, "PROMISES", ("tests",))
    monkeypatch.setattr(properties, "ROOT", tmp_path)
    monkeypatch.setenv("PYTHONPATH", str(ROOT))
    monkeypatch.setattr("os.cpu_count", lambda: 1)
    monkeypatch.setenv("PYTEST_DISABLE_PLUGIN_AUTOLOAD", "1")  # the others take seconds to load
    monkeypatch.setenv("PYTEST_PLUGINS", "xdist.plugin,_hypothesis_pytestplugin")
    for variable in ("PYTEST_XDIST_WORKER", "PYTEST_XDIST_WORKER_COUNT"):
        monkeypatch.delenv(variable, raising=False)

    tries, failures = properties.run(600.0, 1, 37)

    assert tries == 2 * 37
    assert failures == ["tests/test_made.py::test_does_not_hold"]
    assert len((made / "cases").read_text()) == 37

"""The Python interface does what its page says."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from safety_check import api
from safety_check.model.place import FetchTable
from safety_check.waters import files
from tests import scenes
from tests.cli import forecasts

PAGE = (Path(__file__).parents[1] / "docs" / "api.md").read_text(encoding="utf-8")
TABLE = FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.full(4, 300.0))


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SAFETY_CHECK_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    saved = files.save(replace(scenes.WATER, fetch_table=TABLE), tmp_path / "waters")
    saved.rename(tmp_path / "lake.geojson")
    forecasts.write(tmp_path).rename(tmp_path / "forecast.json")
    return tmp_path


def example() -> str:
    found = re.search(r"```python\n(.*?)```", PAGE, re.DOTALL)
    assert found
    return found[1]


def test_the_example_of_the_page_runs(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    exec(compile(example(), "docs/api.md", "exec"), {})
    said = capsys.readouterr().out
    assert said.splitlines()[0] in {"GO", "MARGINAL", "NO-GO", "UNKNOWN"}
    assert "--life-jacket worn" in said  # the user has declared nothing yet


def test_nothing_is_stored(folder: Path) -> None:
    exec(compile(example(), "docs/api.md", "exec"), {})
    assert not list((folder / "home").rglob("*.db*"))


def test_the_page_names_all_that_is_public() -> None:
    for name in api.__all__:
        assert hasattr(api, name)
        assert f"`{name}" in PAGE or name in ("Plan", "Settings", "Water"), name


def test_a_missing_forecast_is_an_error_of_the_tree(folder: Path) -> None:
    request = api.PlanRequest(
        craft="sit-on-top-kayak",
        start="2026-06-13 06:00",
        hours=4,
        as_of="2026-06-12 20:00",
    )
    water = api.load_water(folder / "lake.geojson")
    with pytest.raises(api.SafetyCheckError):
        api.check_saved_forecast(request, folder / "none.json", api.load_settings(), water)

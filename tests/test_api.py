"""The Python interface does what its page says."""

from __future__ import annotations

import inspect
import io
import json
import os
import re
import subprocess
import sys
from contextlib import redirect_stdout
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from jsonschema import Draft202012Validator

from safety_check import api
from safety_check.model.place import FetchTable
from safety_check.waters import files
from tests import scenes
from tests.cli import forecasts
from tests.wheels import unpacked

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs" / "api.md").read_text(encoding="utf-8")
TABLE = FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.full(4, 300.0))
HOURS = np.datetime64("2026-06-12T00:00") + np.arange(72) * np.timedelta64(1, "h")
NOW = datetime(2026, 6, 13, 2, tzinfo=UTC)

# A change here is a change for everyone who uses the interface.
SIGNATURES = {
    "as_json": "(verdict)",
    "check_saved_forecast": "(request, forecast, settings, water=None)",
    "hindcast": "(plan, record, settings)",
    "judge_many": "(plans, briefings, settings)",
    "judge_plan": "(plan, briefing, settings)",
    "load_settings": "(home=None)",
    "load_water": "(path)",
    "make_briefing": "(at, forecasts, observations=(), warnings_read=None)",
    "make_forecast": "(time, quantities, *, models, issued)",
    "make_plan": "(request, settings, water=None, now=None)",
    "outlook_many": "(plans, briefings, settings)",
}
TYPES = {
    *("Briefing", "ConfigError", "Craft", "DataError", "Decided", "FetchTable", "Finding"),
    *("Forecast", "Hindcast", "HourVerdict", "Launch", "Observation", "OutlookArrays", "Paddler"),
    *("Plan", "PlanError", "PlanRequest", "Provenance", "SafetyCheckError", "Settings", "Severity"),
    *("SourceError", "Unknown", "Verdict", "VerdictArrays", "Water", "WaterKind", "Window"),
}


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> dict:
    """Run the examples of the page as one program; return its names, and what it printed."""
    names: dict = {}
    printed = []
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(tmp_path_factory.mktemp("api"))
        patch.setenv("SAFETY_CHECK_HOME", str(tmp_path_factory.mktemp("home")))
        for example in re.findall(r"```python\n(.*?)```", PAGE, re.DOTALL):
            out = io.StringIO()
            with redirect_stdout(out):
                exec(compile(example, "docs/api.md", "exec"), names)
            printed.append(out.getvalue())
        names["left_behind"] = [str(path) for path in Path().rglob("*") if path.is_file()]
    return {**names, "printed": printed}


def test_the_examples_print_what_the_page_says(page: dict) -> None:
    assert page["printed"] == re.findall(r"```text\n(.*?)```", PAGE, re.DOTALL)


def test_nothing_is_stored_but_open_water(page: dict) -> None:
    assert all("open_water" in path or "whole_water" in path for path in page["left_behind"])


def test_names_and_signatures_are_stable_and_on_the_page() -> None:
    assert set(api.__all__) == TYPES | set(SIGNATURES)
    for name, expected in SIGNATURES.items():
        parameters = inspect.signature(getattr(api, name)).parameters.values()
        bare = [one.replace(annotation=inspect.Parameter.empty) for one in parameters]
        assert str(inspect.Signature(bare)) == expected, name
    for name in api.__all__:
        assert f"`{name}" in PAGE, name


def test_many_plans_have_the_verdicts_of_each_by_itself(page: dict) -> None:
    alone = [
        api.judge_plan(plan, page["briefing"], page["settings"]).severity
        for plan in page["plans"][::2]
    ]
    assert page["found"].plans.severity[::2].tolist() == [int(one) for one in alone]
    assert len(set(alone)) > 1


@pytest.mark.thorough
def test_past_trips_have_the_verdicts_of_each_by_itself(page: dict) -> None:
    trips, plan = page["trips"], page["plan"]
    # What a record can't show is given here, so that it decides nothing.
    for at in range(0, len(trips.start), 61):
        start = trips.start[at].item().replace(tzinfo=UTC)
        known = api.make_forecast(
            page["past"],
            {name: values[:1] for name, values in page["weather"](page["summer"]).items()},
            models=["reanalysis"],
            issued=start - timedelta(hours=1),
        )
        briefing = api.make_briefing(start, [known], warnings_read=start)
        moved = replace(plan, start=start, end=start + (plan.end - plan.start))
        verdict = api.judge_plan(moved, briefing, page["settings"])
        assert trips.severity[at] == verdict.severity


def test_a_verdict_as_json_keeps_the_schema(page: dict) -> None:
    schema = json.loads((ROOT / "docs/schema/report.json").read_text(encoding="utf-8"))
    made = api.as_json(page["verdict"])
    Draft202012Validator(schema).validate(made)
    assert made["verdict"] == "GO"


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"time": HOURS[::-1]}, "does not follow"),
        ({"time": HOURS[[0, 1, 3]]}, "does not follow"),
        ({"time": HOURS + np.timedelta64(30, "m")}, "not a whole hour"),
        ({"time": [datetime(2026, 6, 12), datetime(2026, 6, 12, 1)]}, "no time zone"),  # noqa: DTZ001
        ({"quantities": {"wind_speed": np.full(72, -1.0)}}, "between 0 and"),
        ({"quantities": {"wind_speed": np.full(72, np.inf)}}, "between 0 and"),
        ({"quantities": {"air_temperature": np.full(72, 21.0)}}, "SI units"),
        ({"quantities": {"wind": np.full(72, 1.0)}}, "not known"),
        ({"quantities": {"wind_speed": np.ones((2, 72))}}, "1 members and 72 hours"),
        ({"models": []}, "at least one"),
        ({"issued": datetime(2026, 6, 12)}, "no time zone"),  # noqa: DTZ001
    ],
)
def test_arrays_that_are_no_forecast_are_refused(changes: dict, says: str) -> None:
    right: dict[str, Any] = {
        "time": HOURS,
        "quantities": {"wind_speed": np.ones(72)},
        "models": ["a"],
        "issued": NOW,
    }
    api.make_forecast(**right)
    with pytest.raises(api.DataError, match=says):
        api.make_forecast(**(right | changes))


def test_a_later_change_of_the_callers_array_changes_nothing() -> None:
    wind = np.ones(72)
    made = api.make_forecast(HOURS, {"wind_speed": wind}, models=["a"], issued=NOW)
    wind[:] = 30.0
    assert made.quantities["wind_speed"].max() == 1.0


@pytest.mark.promise("missing data never permits")
def test_old_future_and_missing_weather_is_never_a_go(page: dict) -> None:
    plan, settings, forecast = page["plan"], page["settings"], page["forecast"]
    read = NOW - timedelta(hours=1)

    def verdict(*given: api.Forecast) -> api.Severity:
        return api.judge_plan(plan, api.make_briefing(NOW, given, (), read), settings).severity

    def without(name: str) -> api.Forecast:
        kept = {key: value for key, value in forecast.quantities.items() if key != name}
        return replace(forecast, quantities=kept)

    def made_at(moment: datetime) -> api.Forecast:
        return replace(forecast, provenance=replace(forecast.provenance, issued=moment))

    assert verdict(forecast) == api.Severity.GO
    assert verdict() == api.Severity.UNKNOWN
    assert verdict(made_at(NOW - timedelta(hours=13))) == api.Severity.UNKNOWN
    for name in ("wind_speed", "wind_speed_of_gust"):
        assert verdict(without(name)) == api.Severity.UNKNOWN, name
    assert verdict(without("visibility_in_air")) == api.Severity.MARGINAL
    with pytest.raises(api.DataError, match="from the future"):
        verdict(made_at(NOW + timedelta(hours=1)))
    with pytest.raises(api.DataError, match="after the check"):
        api.make_briefing(NOW, [forecast], warnings_read=NOW + timedelta(hours=1))
    unread = api.judge_plan(plan, api.make_briefing(NOW, [forecast]), settings)
    assert unread.severity == api.Severity.MARGINAL


def test_plans_that_cannot_be_judged_are_refused(page: dict) -> None:
    plan, briefing, settings = page["plan"], page["briefing"], page["settings"]
    backwards = replace(plan, end=plan.start - timedelta(hours=1))
    with pytest.raises(api.PlanError, match="not after the start"):
        api.judge_plan(backwards, briefing, settings)
    with pytest.raises(api.PlanError, match="not after the start"):
        api.judge_many([plan, backwards], [briefing] * 2, settings)
    with pytest.raises(api.PlanError, match="not after the start"):
        api.outlook_many([backwards], [briefing], settings)
    with pytest.raises(api.PlanError, match="1 plans and 2 briefings"):
        api.judge_many([plan], [briefing] * 2, settings)
    with pytest.raises(api.PlanError, match="0 plans"):
        api.outlook_many([], [], settings)
    half = replace(plan, end=plan.end + timedelta(minutes=30))
    with pytest.raises(api.PlanError, match="whole hours"):
        api.hindcast(half, page["record"], settings)
    with pytest.raises(api.PlanError, match="3 members"):
        api.hindcast(plan, page["forecast"], settings)
    no_shore = replace(plan, water=replace(plan.water, fetch_table=None))
    with pytest.raises(api.ConfigError, match="shoreline"):
        api.judge_plan(no_shore, briefing, settings)


# -- files ---------------------------------------------------------------------------------------


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    saved = files.save(replace(scenes.WATER, fetch_table=TABLE), tmp_path / "waters")
    saved.rename(tmp_path / "lake.geojson")
    forecasts.write(tmp_path).rename(tmp_path / "forecast.json")
    return tmp_path


REQUEST = api.PlanRequest(
    craft="sit-on-top-kayak",
    start="2026-06-13 06:00",
    hours=4,
    reach="0.5 mi",
    water_temperature="74 F",
    as_of="2026-06-12 20:00",
)


def test_a_saved_forecast_is_checked_with_settings_of_another_home(folder: Path) -> None:
    settings = api.load_settings(folder / "home")
    water = api.load_water(folder / "lake.geojson")
    verdict = api.check_saved_forecast(REQUEST, folder / "forecast.json", settings, water)
    assert verdict.plan == api.make_plan(REQUEST, settings, water)
    assert verdict.severity in api.Severity
    assert not list((folder / "home").rglob("*.db*"))


def test_a_missing_forecast_is_an_error_of_the_tree(folder: Path) -> None:
    water = api.load_water(folder / "lake.geojson")
    settings = api.load_settings(folder / "home")
    with pytest.raises(api.SafetyCheckError):
        api.check_saved_forecast(REQUEST, folder / "none.json", settings, water)


# -- types ---------------------------------------------------------------------------------------


@pytest.mark.thorough
def test_the_examples_pass_a_strict_type_check_against_what_the_wheel_holds(tmp_path: Path) -> None:
    program = "\n".join(re.findall(r"```python\n(.*?)```", PAGE, re.DOTALL))
    typed = program.replace("def weather(wind):", "def weather(wind: Array) -> dict[str, Array]:")
    typed = typed.replace(
        "from safety_check import api\n",
        "from numpy.typing import NDArray\nfrom safety_check import api\n\n"
        "Array = NDArray[np.float64]\n",
        1,
    )
    (tmp_path / "program.py").write_text(typed, encoding="utf-8")
    wheel = unpacked(tmp_path / "wheel")
    assert (wheel / "safety_check" / "py.typed").exists()
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--verbose",
         "--cache-dir", str(tmp_path / "cache"), "program.py"],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(wheel)},  # as if it were installed there
        capture_output=True,
        text=True,
        check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout
    assert str(wheel / "safety_check" / "api.py") in done.stderr

"""Many launches at once: the verdicts of an outlook, rows refused by name, and runs that go on."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pyarrow import parquet

from safety_check.arrays import hour_axis
from safety_check.assess.best_trips import best_trips
from safety_check.assess.blocks import prepare_site, shape_of, stackable
from safety_check.assess.outlook import build_outlook
from safety_check.errors import ConfigError, DataError
from safety_check.model.verdict import Severity
from safety_check.settings.survey_file import load_survey_file
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.survey import run
from safety_check.use_cases.survey.block import (
    SurveyTask,
    judge_block,
    make_cases,
    survey_rulebook,
    try_block,
)
from safety_check.use_cases.survey.run import Cluster, run_survey
from safety_check.use_cases.survey.table import read_launches
from tests import scenes
from tests.sources.gridded.grids import SOUTH, WEST, grid, write

AT = datetime(2026, 6, 12, 20, tzinfo=UTC)
HEADING = "name,latitude,longitude,fetch,craft\n"
SECTORS = '"N 800 m, E 2 km, S 500 m, W 1 km"'


def table(folder: Path, *rows: str, number: int = 3) -> Path:
    launches = [
        f"launch {place},{SOUTH + 0.2 * place + 0.1},{WEST + 0.3},{SECTORS},canoe"
        for place in range(number)
    ]
    path = folder / "launches.csv"
    path.write_text(HEADING + "\n".join([*launches, *rows]) + "\n", encoding="utf-8")
    return path


@pytest.fixture
def task(tmp_path: Path) -> SurveyTask:
    forecasts = tuple(
        f"{name}={write(grid(members, seed), tmp_path / f'{name}.zarr')}"
        for name, members, seed in (("gfs", 3, 1), ("icon", 1, 2))
    )
    settings = scenes.settings()
    settings = replace(settings, folders=replace(settings.folders, cache=tmp_path / "cache"))
    asked = PlanRequest(reach="0.5 mi", water_temperature="72 F", life_jacket="worn",
                        wearing="none", company="group", light=True)  # fmt: skip
    return SurveyTask(forecasts, asked, 4, 3, AT, settings)


@pytest.fixture
def here(monkeypatch: pytest.MonkeyPatch) -> None:
    """Judge in this process, one launch a block, in place of a cluster."""

    def judged(blocks, left, task, cluster):
        return ((number, try_block(blocks[number], task)) for number in left)

    monkeypatch.setattr(run, "_judged", judged)
    monkeypatch.setattr(
        run, "load_survey_file",
        lambda: replace_block(original(), 1),
    )  # fmt: skip


original = load_survey_file


def replace_block(file: Any, launches: int) -> Any:
    return file.model_copy(update={"block": file.block.model_copy(update={"launches": launches})})


def rows_of(out: Path, kind: str = "verdicts") -> list[dict[str, Any]]:
    return [
        row for part in sorted((out / kind).glob("*.parquet"))
        for row in parquet.read_table(part).to_pylist()
    ]  # fmt: skip


@pytest.mark.thorough
def test_each_day_is_judged_as_in_an_outlook(tmp_path: Path, task: SurveyTask) -> None:
    launches, _ = read_launches(table(tmp_path))
    cases = [case for _, case in make_cases(launches, task)[0]]
    rulebook, _ = survey_rulebook(task.asked)
    found = list(best_trips(cases, 4, rulebook))
    severities = set()
    for case, days in zip(cases, found, strict=True):
        outlook = build_outlook(case, 4, rulebook)
        for best, day in zip(days, outlook.days, strict=True):
            assert best.day == day.date
            assert (best.severity is None) == (day.severity is None)
            if best.severity is not None and day.severity is not None:
                assert best.severity == day.severity
                severities.add(best.severity)
    assert len(severities) > 1


@pytest.mark.thorough
def test_launches_share_what_is_the_same_for_all_so_that_they_are_weighed_together(
    tmp_path: Path, task: SurveyTask
) -> None:
    launches, _ = read_launches(table(tmp_path, number=6))
    rulebook, _ = survey_rulebook(task.asked)
    shapes, zones = set(), set()
    for launch, case in make_cases(launches, task)[0]:
        site = prepare_site(case, hour_axis(case.plan.start, case.plan.end), rulebook)
        assert stackable(site)
        shapes.add(shape_of(site))
        zones.add(launch.water.time_zone)
    assert len(shapes) == len(zones)


@pytest.mark.thorough
def test_a_damaged_part_of_a_forecast_costs_its_launches_alone(
    tmp_path: Path, task: SurveyTask, here: None
) -> None:
    launches, out = table(tmp_path), tmp_path / "out"
    store = Path(write(grid().chunk({"latitude": 1}), tmp_path / "gfs.zarr"))
    asked = replace(task, forecasts=(str(store),))
    run_survey(launches, tmp_path / "whole", asked, Cluster())
    southernmost = store / "wind_speed" / "c" / "0" / "0" / "0" / "0"
    southernmost.write_bytes(b"no chunk")
    for _ in range(2):
        with pytest.raises(DataError, match="Around 1 launches, launch 0 among them"):
            run_survey(launches, out, asked, Cluster())
    others = [row for row in rows_of(tmp_path / "whole") if row["launch"] != "launch 0"]
    assert rows_of(out) == others
    assert {row["launch"] for row in others} == {"launch 1", "launch 2"}


def test_nobody_read_the_warnings_so_no_row_is_a_go(tmp_path: Path, task: SurveyTask) -> None:
    launches, _ = read_launches(table(tmp_path))
    rows = judge_block(launches, task).verdicts
    assert {row["weather"] for row in rows} > {"GO"}
    for row in rows:
        assert row["verdict"] != "GO"
        expected = "MARGINAL" if row["weather"] == "GO" else row["weather"]
        assert row["verdict"] == expected
    read = replace(task.asked, warnings="none", read_at="2026-06-12T14:30")
    said = judge_block(launches, replace(task, asked=read)).verdicts
    assert [row["weather"] for row in said] == [row["verdict"] for row in said]
    assert "GO" in {row["verdict"] for row in said}


def test_rows_that_can_not_be_judged_are_named_and_the_rest_is_done(
    tmp_path: Path, task: SurveyTask, here: None
) -> None:
    rows = (
        f"launch 0,45,-100,{SECTORS},canoe",
        f"far,10,20,{SECTORS},canoe",
        "no shore,45,-100,,canoe",
        f"no place,north,-100,{SECTORS},canoe",
        f"no craft,45,-100,{SECTORS},airship",
    )
    done = run_survey(table(tmp_path, *rows), tmp_path / "out", task, Cluster())
    assert done.launches == 2
    why = {row["launch"]: row["why"] for row in done.refused}
    assert "stands in 2 rows" in why["launch 0"]
    assert "no model's grid" in why["far"]
    assert "how open the water is" in why["no shore"]
    assert "latitude 'north'" in why["no place"]
    assert "airship" in why["no craft"]
    assert {row["launch"] for row in rows_of(tmp_path / "out")} == {"launch 1", "launch 2"}


@pytest.mark.thorough
def test_a_run_that_was_ended_goes_on_and_ends_the_same(
    tmp_path: Path, task: SurveyTask, here: None
) -> None:
    path = table(tmp_path, number=4)
    run_survey(path, tmp_path / "whole", task, Cluster())

    class Ended(BaseException):
        """The process was killed."""

    def end_after(blocks: int):
        def progress(done: int, number: int) -> None:
            if done >= blocks:
                raise Ended

        return progress

    for blocks in (1, 2, 3):
        with pytest.raises(Ended):
            run_survey(path, tmp_path / "broken", task, Cluster(), end_after(blocks))
    written = {part.name: part.stat().st_mtime_ns for part in
               (tmp_path / "broken" / "verdicts").glob("*.parquet")}  # fmt: skip
    assert len(written) == 3
    done = run_survey(path, tmp_path / "broken", task, Cluster())
    assert (done.resumed, done.launches) == (3, 4)
    for name, changed in written.items():
        assert (tmp_path / "broken" / "verdicts" / name).stat().st_mtime_ns == changed
    for part in (tmp_path / "whole" / "verdicts").glob("*.parquet"):
        assert part.read_bytes() == (tmp_path / "broken" / "verdicts" / part.name).read_bytes()


@pytest.mark.thorough
def test_a_folder_of_another_survey_is_left_alone(
    tmp_path: Path, task: SurveyTask, here: None
) -> None:
    path = table(tmp_path)
    run_survey(path, tmp_path / "out", task, Cluster())
    before = rows_of(tmp_path / "out")
    with pytest.raises(ConfigError, match="another survey"):
        run_survey(path, tmp_path / "out", replace(task, hours=3), Cluster())
    assert rows_of(tmp_path / "out") == before
    full = tmp_path / "full"
    full.mkdir()
    (full / "notes.txt").write_text("mine")
    with pytest.raises(ConfigError, match="holds no survey"):
        run_survey(path, full, task, Cluster())


@pytest.mark.promise("missing data never permits")
def test_missing_hours_and_blocks_of_nan_are_unknown_and_never_a_go(
    tmp_path: Path, task: SurveyTask
) -> None:
    launches, _ = read_launches(table(tmp_path))
    whole = judge_block(launches, task).verdicts
    holed = grid(3, 1)
    holed["wind_speed"][:, 40:60] = np.nan
    short = grid(1, 2).isel(time=slice(0, 80))
    spoilt = replace(
        task,
        forecasts=(
            f"gfs={write(holed, tmp_path / 'holed.zarr')}",
            f"icon={write(short, tmp_path / 'short.zarr')}",
        ),
    )
    found = judge_block(launches, spoilt).verdicts
    order = {str(level): level for level in Severity}
    for one, other in zip(whole, found, strict=True):
        assert order[other["verdict"]] >= min(order[one["verdict"]], Severity.UNKNOWN)
    assert any(row["verdict"] in ("UNKNOWN", "NO-GO") for row in found)


def test_a_table_can_be_parquet_or_geojson_with_its_waters(tmp_path: Path) -> None:
    import pyarrow

    first, _ = read_launches(table(tmp_path))
    rows = [{"name": "a", "latitude": 45.0, "longitude": -100.0,
             "fetch": "N 800 m, E 2 km, S 500 m, W 1 km"}]  # fmt: skip
    parquet.write_table(pyarrow.Table.from_pylist(rows), tmp_path / "l.parquet")
    (launch,), refused = read_launches(tmp_path / "l.parquet")
    assert (launch.name, refused) == ("a", [])
    ring = [[-100.0, 45.0], [-99.98, 45.0], [-99.98, 45.02], [-100.0, 45.02], [-100.0, 45.0]]
    features = [
        {"type": "Feature", "properties": {"name": "Tesk Pond"},
         "geometry": {"type": "Polygon", "coordinates": [ring]}},
        {"type": "Feature", "properties": {"name": "ramp", "water": "Tesk Pond"},
         "geometry": {"type": "Point", "coordinates": [-100.0, 45.01]}},
        {"type": "Feature", "properties": {"name": "lost", "water": "Tesk Pond"},
         "geometry": {"type": "Point", "coordinates": [-99.5, 45.5]}},
    ]  # fmt: skip
    path = tmp_path / "l.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    (launch,), (lost,) = read_launches(path)
    assert launch.water.shoreline
    assert lost.name == "lost"
    assert first[0].craft == "canoe"


def test_a_row_whose_text_could_command_a_terminal_is_refused(tmp_path: Path) -> None:
    row = f'"hid\x14den",{SOUTH + 0.1},{WEST + 0.3},{SECTORS},canoe\x1b[2J'
    found, (refused,) = read_launches(table(tmp_path, row, number=1))
    assert [one.name for one in found] == ["launch 0"]
    assert (refused.name, refused.why) == (
        "hidden",
        r"craft 'canoe\x1b[2J': give printable characters",
    )


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("l.csv", "name,latitude\na,1\n", "no column longitude"),
        ("l.geojson", "{", "cannot be read as a table"),
        ("l.xlsx", "", "ending '.xlsx' is not known"),
    ],
)
def test_a_file_that_is_no_table_is_refused(
    tmp_path: Path, name: str, content: str, says: str
) -> None:
    (tmp_path / name).write_text(content)
    with pytest.raises(ConfigError, match=says):
        read_launches(tmp_path / name)

"""Past trips: which years, which hours and which hazards count, and what is refused."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from safety_check.errors import PlanError, SourceError
from safety_check.model.place import FetchTable, WaterKind
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity
from safety_check.model.water_estimate import EstimateBasis
from safety_check.model.weather import Forecast
from safety_check.settings.settings import Settings
from safety_check.use_cases import climate
from safety_check.use_cases.climate import ClimateRequest, daily_air, judge_record, recall_years
from safety_check.use_cases.own_weather import make_forecast
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.planning import make_plan
from safety_check.waters import files
from tests import scenes

ROUND = replace(
    scenes.WATER, fetch_table=FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.full(4, 300.0))
)
NOW = datetime(2026, 6, 12, 22, tzinfo=UTC)
ISSUED = datetime(2026, 6, 1, tzinfo=UTC)
HOUR = np.timedelta64(3600, "s")
ASKED = PlanRequest(
    water="Invented Lake", craft="sit-on-top-kayak", reach="0.5 mi", water_temperature="72 F"
)


@pytest.fixture
def own(tmp_path: Path) -> Settings:
    made = scenes.settings()
    found = replace(made, folders=type(made.folders)(tmp_path, tmp_path, tmp_path))
    files.save(ROUND, found.folders.waters)
    return found


def trip(hours: float = 2) -> Plan:
    return replace(scenes.plan(hours=hours), water=ROUND)


def record(hours: int, members: int = 1, start: str = "2025-06-12T15", **said: float) -> Forecast:
    """Return hours of unchanging weather, from ten in the morning at the water."""
    time = np.datetime64(start, "s") + np.arange(hours) * HOUR
    weather = {**scenes.CALM, **said}
    given = {name: np.full((members, hours), value) for name, value in weather.items()}
    return make_forecast(time, given, models=["reanalysis"] * members, issued=ISSUED)


# -- a record ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("wind", "severity"), [(1.5, Severity.GO), (20.0, Severity.NO_GO)])
def test_trips_begin_after_a_day_that_leads_in(
    own: Settings, wind: float, severity: Severity
) -> None:
    given = record(29, wind_speed=wind)  # a day, two hours and three around them
    found = judge_record(trip(), given, own)
    assert found.start[0] == given.time[24]
    assert set(found.severity.tolist()) == {severity}


@pytest.mark.parametrize(
    ("hours", "members", "says"),
    [
        (28, 1, "28 hours and 1 members. Give one member and at least 29 hours"),
        (29, 2, "29 hours and 2 members. Give one member and at least 29 hours"),
        (1000, 2, "1000 hours and 2 members"),
    ],
)
def test_a_record_is_one_run_that_is_long_enough(
    own: Settings, hours: int, members: int, says: str
) -> None:
    with pytest.raises(PlanError, match=says) as told:
        judge_record(trip(), record(hours, members), own)
    assert told.value.field == "record"


@pytest.mark.parametrize("hours", [0, 0.5, 1.5, 25])
def test_past_trips_last_one_to_twenty_four_whole_hours(own: Settings, hours: float) -> None:
    with pytest.raises(PlanError, match=f"{hours:g} hours is not 1 to 24 whole hours") as told:
        judge_record(trip(hours), record(60), own)
    assert told.value.field == "end"


@pytest.mark.parametrize("hours", [1, 24])
def test_the_shortest_and_the_longest_past_trip_are_judged(own: Settings, hours: int) -> None:
    assert len(judge_record(trip(hours), record(60), own).start)


ALWAYS = {"thunderstorms", "fog", "official warnings", "errors of the forecast", "ice",
          "gusts and lulls of this water"}  # fmt: skip
WATER, TIDE = "the temperature of the water", "tide, current, river and swell"


@pytest.mark.parametrize(
    ("temperature", "kind", "also"),
    [
        (295.0, WaterKind.STILL, set()),
        (None, WaterKind.STILL, {WATER}),
        (295.0, WaterKind.TIDAL, {TIDE}),
        (None, WaterKind.FLOWING, {WATER, TIDE}),
    ],
)
def test_what_a_record_cannot_show_is_told_and_does_not_count(
    own: Settings, temperature: float | None, kind: WaterKind, also: set[str]
) -> None:
    plan = replace(trip(), water_temperature=temperature, water=replace(ROUND, kind=kind))
    found = judge_record(plan, record(29), own)
    assert {one.what for one in found.not_counted} == ALWAYS | also
    assert found.severity[0] == Severity.GO
    assert "official_warning" not in found.by_hazard


# -- which years ---------------------------------------------------------------------------------


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[range]:
    """Return the years that a service is asked for; it does not answer."""
    found: list[range] = []

    def silent(
        _: object, years: range, __: object, begins: Callable[[int], None]
    ) -> AsyncIterator[Forecast]:
        found.append(years)
        begins(years[0])
        begins(years[-1])
        raise SourceError("the service did not answer")

    monkeypatch.setattr(climate, "load_years", silent)
    return found


def recall(own: Settings, years: int | None = None, **said: Any) -> list[tuple[int, int]]:
    """Ask for past years and return which were told to begin."""
    begun: list[tuple[int, int]] = []
    request = ClimateRequest(replace(ASKED, **said), years)
    with pytest.raises(SourceError):
        recall_years(request, own, NOW, lambda done, number: begun.append((done, number)))
    return begun


@pytest.mark.parametrize(
    ("years", "first", "number"), [(None, 2006, 20), (1, 2025, 1), (2, 2024, 2), (40, 1986, 40)]
)
def test_the_years_that_count_are_the_last_ones_that_are_over(
    own: Settings, asked: list[range], years: int | None, first: int, number: int
) -> None:
    assert recall(own, years) == [(0, number), (number - 1, number)]
    assert asked == [range(first, 2026)]


@pytest.mark.parametrize(("now", "first"), [(1942, 1940), (1943, 1941)])
def test_no_year_before_the_archive_begins_is_asked_for(
    own: Settings, asked: list[range], now: int, first: int
) -> None:
    early = datetime(now, 6, 12, 22, tzinfo=UTC)
    with pytest.raises(SourceError):
        recall_years(ClimateRequest(ASKED, 2), own, early)
    with pytest.raises(SourceError):
        recall_years(ClimateRequest(ASKED, 40), own, early)
    assert asked == [range(first, now), range(1940, now)]


@pytest.mark.parametrize("years", [0, 41, -1])
def test_no_year_and_too_many_are_refused(own: Settings, asked: list[range], years: int) -> None:
    with pytest.raises(PlanError, match=f"--years {years}: give from 1 to 40"):
        recall_years(ClimateRequest(ASKED, years), own, NOW)
    assert asked == []


def test_an_estimated_water_needs_the_year_before(own: Settings, asked: list[range]) -> None:
    basis = EstimateBasis(depth="pond", excluded=())
    allowed = replace(ROUND, estimate=basis, elevation=500.0)
    files.change("Invented Lake", own.folders.waters, lambda _: allowed)
    assert recall(own, 2, water_temperature=None) == [(0, 3), (2, 3)]
    recall(own, 2)  # its temperature is entered
    assert asked == [range(2023, 2026), range(2024, 2026)]


@pytest.mark.parametrize("hours", ["4:30", "0.5", "25", "24.5"])
def test_a_trip_of_no_whole_hours_is_refused(own: Settings, asked: list[range], hours: str) -> None:
    with pytest.raises(PlanError, match=f"--hours {hours}: past trips begin and end on whole"):
        recall_years(ClimateRequest(replace(ASKED, hours=hours), 1), own, NOW)
    assert asked == []


@pytest.mark.parametrize(("said", "hours"), [(None, 4), ("1", 1), ("24", 24), ("6h", 6)])
def test_a_trip_is_of_four_hours_unless_told(
    own: Settings, asked: list[range], monkeypatch: pytest.MonkeyPatch, said: str, hours: int
) -> None:
    plans: list[Plan] = []
    monkeypatch.setattr(climate, "make_plan", recording(make_plan, plans))
    recall(own, 1, hours=said)
    assert [plan.end - plan.start for plan in plans] == [timedelta(hours=hours)]


def recording(made: Callable[..., Any], plans: list[Plan]) -> Callable[..., Any]:
    def make(*args: Any) -> Any:
        plan, now = made(*args)
        plans.append(plan)
        return plan, now

    return make


def test_the_year_before_leads_in_and_is_not_judged_itself() -> None:
    years = {year: record(48, start=f"{year}-01-01T00") for year in (2023, 2024, 2025)}
    judged: list[tuple[Forecast | None, Forecast]] = []

    async def weather() -> AsyncIterator[Forecast]:
        for one in years.values():
            yield one

    def judge(before: Forecast | None, given: Forecast) -> str:
        judged.append((before, given))
        return "trips"

    site: Any = SimpleNamespace(judge=judge)
    found, origins = asyncio.run(climate._judge_years(site, weather(), range(2024, 2026)))
    assert judged == [(years[2023], years[2024]), (years[2024], years[2025])]
    assert (len(found), origins) == (2, [years[2024].provenance, years[2025].provenance])


# -- two years together --------------------------------------------------------------------------


def counted(start: str, hours: int) -> Forecast:
    """Return hours whose temperature is 280 K and as many hundredths as they are into a year."""
    made = record(hours, start=start)
    values = np.linspace(280.0, 280.0 + 0.01 * (hours - 1), hours)
    return replace(made, quantities={"air_temperature": values[None, :]})


def test_the_last_hours_of_a_year_are_put_before_the_next() -> None:
    before, after = counted("2024-12-30T00", 48), counted("2025-01-01T00", 30)
    joined = climate._joined(before, after, 5)
    assert joined.time.tolist() == [*before.time[-5:].tolist(), *after.time.tolist()]
    found = joined.quantities["air_temperature"][0]
    assert found[[0, 4, 5, -1]] == pytest.approx([280.43, 280.47, 280.0, 280.29])
    assert joined.provenance == after.provenance


def test_years_with_a_gap_between_them_are_not_joined() -> None:
    after = counted("2025-01-01T01", 30)
    assert climate._joined(counted("2024-12-30T00", 48), after, 5) is after


def test_the_air_of_a_day_is_the_mean_of_its_hours_and_a_part_of_a_day_is_left_out() -> None:
    air = daily_air(counted("2024-12-30T00", 48), counted("2025-01-01T00", 30))
    assert air.day.tolist() == [
        datetime(2024, 12, 30).date(),  # noqa: DTZ001
        datetime(2024, 12, 31).date(),  # noqa: DTZ001
        datetime(2025, 1, 1).date(),  # noqa: DTZ001
    ]
    # the mean of 0 … 23 is 11.5
    assert air.temperature == pytest.approx([280.115, 280.355, 280.115])
    assert air.ahead.tolist() == [0.0] * 3


def test_a_day_with_an_unknown_hour_is_unknown() -> None:
    before, after = counted("2024-12-31T00", 24), counted("2025-01-01T00", 24)
    before.quantities["air_temperature"][0, 7] = np.nan
    assert np.isnan(daily_air(before, after).temperature).tolist() == [True, False]


@pytest.mark.parametrize("hours", [1, 2, 5])
def test_over_a_new_year_no_trip_is_left_out_and_none_is_judged_twice(
    own: Settings, hours: int
) -> None:
    site = climate._Site.of(trip(hours), own, ())
    before, year = record(48, start="2024-12-30T00"), record(48, start="2025-01-01T00")
    last = site.judge(None, before).start[-1]
    assert site.judge(before, year).start[0] == last + HOUR


def test_without_a_model_of_the_water_or_of_its_basis_nothing_is_estimated(own: Settings) -> None:
    before, year = record(48, start="2024-12-30T00"), record(48, start="2025-01-01T00")
    site = climate._Site.of(trip(), own, ())
    assert site.model is None
    assert site._estimate(before, year) is None
    allowed = replace(ROUND, estimate=EstimateBasis(depth="pond", excluded=()), elevation=500.0)
    known = replace(site, plan=replace(site.plan, water=allowed))
    assert known._estimate(before, year) is None  # the basis alone is not enough


def test_after_a_gap_the_first_day_of_a_year_leads_in(own: Settings) -> None:
    site = climate._Site.of(trip(), own, ())
    year = record(48, start="2025-01-01T00")
    for before in (None, record(47, start="2024-12-30T00")):
        assert site.judge(before, year).start[0] == year.time[24]

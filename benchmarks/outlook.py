"""The outlook over seven days and five waters, against one check, and against a check a trip.

Run with `python -m benchmarks.outlook`. The forecasts are invented: four models and an ensemble
of 51, hourly for a week. Waters are prepared beforehand for both sides, as a second check of a
water finds them. The last line is the time of the whole outlook over that of one check.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.assess.outlook import build_outlook
from safety_check.assess.verdict import judge
from safety_check.conditions.case import Case
from safety_check.model.craft import Paddler
from safety_check.model.place import OpenWater, WaterKind
from safety_check.model.plan import Plan
from safety_check.model.weather import OWN_WORD, Briefing, Forecast, Provenance
from safety_check.settings.folders import Folders, shipped_file
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import UserSettings
from safety_check.use_cases.outlook import last_hour
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from safety_check.waters import files
from safety_check.waters.open_water import open_water

NOW = datetime(2026, 6, 12, 10, tzinfo=UTC)
DAYS, TRIP, REPEATS = 7, 4, 3
MODELS = ("ncep_gfs_seamless", "ecmwf_ifs", "dwd_icon_seamless", "cmc_gem_seamless")
ENSEMBLE = 51
REACHES = (500.0, 1000.0, 1609.0, 2500.0, 4000.0)  # m; five waters of the same shore, each its own


def forecast(rng: np.random.Generator, models: tuple[str, ...], source: str) -> Forecast:
    """Return eight invented days, wind by the time of day, each member a little off."""
    first = np.datetime64(NOW.replace(tzinfo=None), "h") - 36
    clock = np.arange(first, first + 24 * (DAYS + 3)).astype("datetime64[s]")
    hour = (clock - clock[0]) / np.timedelta64(3600, "s")
    shape = (len(models), len(clock))
    by_day = 3.0 + 2.5 * np.cos(2 * np.pi * (hour - 22) / 24)  # strongest at 15:00 there
    wind = np.maximum(by_day + rng.normal(0, 0.5, shape), 0.0)

    def all_of(value: float) -> FloatArray:
        return np.full(shape, value)

    return Forecast(
        time=clock,
        models=models,
        members=tuple(map(str, range(len(models)))),
        quantities={
            "wind_speed": wind,
            "wind_speed_of_gust": 1.5 * wind,
            "wind_from_direction": (300 + rng.normal(0, 20, shape)) % 360,
            "air_temperature": all_of(295.0),
            "relative_humidity": all_of(0.5),
            "precipitation_amount": all_of(0.0),
            "visibility_in_air": all_of(20_000.0),
            "weather_code": all_of(1.0),
            "atmosphere_convective_available_potential_energy": all_of(100.0),
            "air_pressure_at_mean_sea_level": all_of(101_300.0),
        },
        provenance=Provenance(source, "", "", NOW, NOW, recorded=True),
    )


def waters(settings: Settings) -> list[tuple[Plan, OpenWater]]:
    """Return a plan for the week at each water, and the water prepared."""
    shore = files.load_file(shipped_file("sample") / "marrowick_arm.geojson")
    paddler = Paddler(life_jacket="worn", wearing="none", company="alone", light=True)
    found = []
    for number, reach in enumerate(REACHES):
        plan = Plan(
            water=replace(shore, name=f"water {number}", kind=WaterKind.STILL),
            launch=shore.launches[0],
            craft=settings.craft("sit-on-top-kayak"),
            paddler=paddler,
            start=NOW,
            end=last_hour(NOW, DAYS, shore.time_zone),
            reach=reach,
            water_temperature=295.5,
        )
        found.append((plan, open_water(plan, settings.folders.cache)))
    return found


def seconds(work: Callable[[], object]) -> float:
    """Return the best of several wall times."""
    spent = []
    for _ in range(REPEATS):
        began = time.perf_counter()
        work()
        spent.append(time.perf_counter() - began)
    return min(spent)


def main() -> None:
    """Print the times; the ratio comes last."""
    rng = np.random.default_rng(20261125)
    single = forecast(rng, MODELS, "Open-Meteo")
    ensemble = forecast(rng, ("ecmwf_ifs025",) * ENSEMBLE, "Open-Meteo ensembles")
    read = Provenance(OWN_WORD, "", "", NOW, NOW, recorded=True)
    briefing = Briefing(NOW, (single, ensemble), warnings_read=(read,))
    folder = Path(tempfile.mkdtemp())
    settings = Settings(Folders(folder, folder, folder), UserSettings())
    places, trust, rulebook = waters(settings), load_trust(), load_rulebook()
    one_plan, one_water = places[0]
    start = NOW + timedelta(hours=25)
    one_trip = replace(one_plan, start=start, end=start + timedelta(hours=TRIP))

    check = seconds(lambda: judge(Case(one_trip, briefing, one_water, settings, trust), rulebook))
    print(f"one check, {len(MODELS)} models and {ENSEMBLE} members: {check:.3f} s")

    def ahead(count: int) -> None:
        for plan, water in places[:count]:
            build_outlook(Case(plan, briefing, water, settings, trust), TRIP, rulebook)

    ratio = 0.0
    for count in (1, 2, len(places)):
        spent = seconds(partial(ahead, count))
        ratio = spent / check
        print(f"outlook over {DAYS} days, {count} waters: {spent:.3f} s, {ratio:.1f} checks")
    searched = trips(one_plan) * len(places)
    print(f"about {searched} trips searched, as fast as {ratio:.1f} checks")
    print(f"outlook_per_check: {ratio:.1f}")


def trips(plan: Plan) -> int:
    """Return how many trips of whole hours lie in the daylight of a plan's days: about."""
    daylight = 15  # whole hours between sunrise and sunset in June at the invented water
    days = round((plan.end - plan.start) / timedelta(days=1))
    return days * daylight * (daylight - 1) // 2


if __name__ == "__main__":
    main()

"""A hindcast year judged hour by hour: alone, forty years as sites, and a block of launches.

Run with `python -m benchmarks.hindcast_years`. The weather is invented: hourly for a year, with a
daily and a slow cycle. Each case is the outlook of one launch over its hours: every hour and every
trip of whole hours is judged. Beside it stands the sea alone against a plain loop in Python over
the sectors of each hour, on a sample, scaled. The last line is that ratio in a block.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from benchmarks.looped_sea import looped_sea
from safety_check.arrays import FloatArray
from safety_check.assess.many import outlook_many
from safety_check.conditions.case import Case
from safety_check.model.craft import Paddler
from safety_check.model.place import WaterKind
from safety_check.model.plan import Plan
from safety_check.model.weather import OWN_WORD, Briefing, Forecast, Provenance
from safety_check.physics.growth_through_hours import SECTORS, height_through_hours
from safety_check.physics.off_wind import smoothed_radials
from safety_check.physics.wind_stress import stress_wind
from safety_check.settings.folders import Folders, shipped_file
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import UserSettings
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from safety_check.waters import files
from safety_check.waters.open_water import open_water

START = datetime(2025, 1, 2, tzinfo=UTC)
HOURS, YEARS, LAUNCHES, BLOCK = 8760, 40, 16, 16
SAMPLE = 60  # hours of the plain loop
BEARING = np.arange(0.0, 360.0, 5.0)


def weather(rng: np.random.Generator, hours: int) -> dict[str, FloatArray]:
    """Return invented quantities of one model, each (1, hour)."""
    hour = np.arange(hours)
    daily = 4.0 + 2.5 * np.cos(2 * np.pi * (hour - 21) / 24) + 2.0 * np.sin(2 * np.pi * hour / 170)
    wind = np.maximum(daily + rng.normal(0, 0.8, hours), 0.0)[None]
    turned = np.cumsum(rng.normal(0, 8, hours))

    def all_of(value: float) -> FloatArray:
        return np.full((1, hours), value)

    return {
        "wind_speed": wind,
        "wind_speed_of_gust": 1.5 * wind,
        "wind_from_direction": (240 + turned)[None] % 360,
        "air_temperature": all_of(295.0),
        "relative_humidity": all_of(0.5),
        "precipitation_amount": all_of(0.0),
        "visibility_in_air": all_of(20_000.0),
        "weather_code": all_of(1.0),
        "atmosphere_convective_available_potential_energy": all_of(100.0),
        "air_pressure_at_mean_sea_level": all_of(101_300.0),
    }


def seconds(work: Callable[[], object]) -> float:
    """Return the processor time of the work."""
    began = time.process_time()
    work()
    return time.process_time() - began


def cases(count: int) -> list[Case]:
    """Return the outlook over a year at one launch, each with weather of its own."""
    rng, folder = np.random.default_rng(20261127), Path(tempfile.mkdtemp())
    settings, trust = Settings(Folders(folder, folder, folder), UserSettings()), load_trust()
    shore = files.load_file(shipped_file("sample") / "marrowick_arm.geojson")
    plan = Plan(
        water=replace(shore, kind=WaterKind.STILL),
        launch=shore.launches[0],
        craft=settings.craft("sit-on-top-kayak"),
        paddler=Paddler(life_jacket="worn", wearing="none", company="alone", light=True),
        start=START,
        end=START + timedelta(hours=HOURS - 1),
        reach=1609.0,
        water_temperature=295.5,
    )
    water = open_water(plan, settings.folders.cache)
    first = np.datetime64(START.replace(tzinfo=None), "s") - np.timedelta64(24, "h")
    clock = first + np.arange(HOURS + 25) * np.timedelta64(3600, "s")
    read = Provenance(OWN_WORD, "", "", START, START, recorded=True)
    made = Provenance("Open-Meteo", "", "", START, START, recorded=True)
    found = []
    for _ in range(count):
        year = Forecast(clock, ("era5",), ("",), weather(rng, len(clock)), made)
        briefing = Briefing(START, (year,), warnings_read=(read,))
        found.append(Case(plan, briefing, water, settings, trust))
    return found


def compare_sea(sites: int) -> float:
    """Print the sea of a year at some launches against a plain loop; return the ratio."""
    rng = np.random.default_rng(1)
    said = [weather(rng, HOURS) for _ in range(sites)]
    wind, direction = (
        np.stack([one[name] for one in said]) for name in ("wind_speed", "wind_from_direction")
    )
    fetch = rng.uniform(1_000, 30_000, (sites, len(BEARING)))
    taken = seconds(lambda: height_through_hours(wind, direction, BEARING, fetch)) / sites
    blown = stress_wind(wind[0, 0, :SAMPLE]).tolist()
    water = smoothed_radials(BEARING, fetch[0])[SECTORS.astype(int)].tolist()
    facing = direction[0, 0, :SAMPLE].tolist()
    looped = seconds(lambda: looped_sea(blown, facing, water)) / SAMPLE * HOURS
    print(
        f"sea of a year, {sites} launches: {taken:.3f} s a launch,"
        f" plain loop {looped:.1f} s: {looped / taken:.0f} times"
    )
    return looped / taken


def main() -> None:
    """Print processor times and ratios; the headline comes last."""
    rulebook, years = load_rulebook(), cases(YEARS)
    two_days = replace(years[0].plan, end=START + timedelta(days=2))
    outlook_many([replace(years[0], plan=two_days)], rulebook)  # reads what is read once
    alone = seconds(lambda: outlook_many(years[:1], rulebook))
    print(f"a hindcast year at one launch: {alone:.3f} s, {1e6 * alone / HOURS:.0f} µs an hour")
    forty = seconds(lambda: outlook_many(years, rulebook, block=BLOCK)) / YEARS
    print(f"forty years, {BLOCK} at once: {forty:.3f} s a year, {alone / forty:.1f} times alone")
    compare_sea(1)
    ratio = compare_sea(LAUNCHES)
    print(f"times_the_loop: {ratio:.0f}")


if __name__ == "__main__":
    main()

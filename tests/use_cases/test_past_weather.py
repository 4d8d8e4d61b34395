"""Past weather is asked for once, stored for good, and asked for again where it is damaged."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from safety_check.errors import SourceError
from safety_check.model.place import Launch
from safety_check.model.weather import Forecast, Provenance
from safety_check.settings.reanalysis_file import load_reanalysis_file
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import ContactTable
from safety_check.sources.http import client
from safety_check.sources.http.asker import RetryPolicy
from safety_check.use_cases import past_weather
from safety_check.use_cases.past_weather import load_years
from safety_check.waters import array_cache
from tests import scenes

QUANTITIES = load_reanalysis_file().asked.quantities
FETCHED = datetime(2026, 6, 12, 9, 30, tzinfo=UTC)


def year_of(year: int, elevation: float | None = 310.0) -> Forecast:
    """Return three hours of a year as a service gave them; each value is another."""
    start = np.datetime64(f"{year}-01-01T00:00", "s")
    values = np.arange(3.0) + year
    return Forecast(
        time=start + np.arange(3) * np.timedelta64(3600, "s"),
        models=("era5",),
        members=("",),
        quantities={name: values[None, :] + at for at, name in enumerate(QUANTITIES)},
        provenance=Provenance("as it came", "era5", "https://invented", None, FETCHED, False, ""),
        cell=(44.75, -99.5),
        elevation=elevation,
    )


class Service:
    """A service that answers once for each year; asked again, the test fails."""

    def __init__(self, elevation: float | None = 310.0) -> None:
        self.asked: list[int] = []
        self.elevation = elevation

    async def __call__(self, here: tuple[float, float], year: int, settings: Settings) -> Forecast:
        self.asked.append(year)
        return year_of(year, self.elevation)


@pytest.fixture
def own(tmp_path: Path) -> Settings:
    made = scenes.settings()
    return replace(made, folders=replace(made.folders, data=tmp_path))


@pytest.fixture
def service(monkeypatch: pytest.MonkeyPatch) -> Service:
    made = Service()
    monkeypatch.setattr(past_weather, "_asked", made)
    return made


def load(
    own: Settings,
    *years: int,
    launch: Launch = scenes.LAUNCH,
    begins: Callable[[int], None] = lambda year: None,
) -> list[Forecast]:
    async def whole() -> list[Forecast]:
        return [one async for one in load_years(launch, years, own, begins)]

    return asyncio.run(whole())


def test_a_year_is_asked_for_once_and_comes_back_as_it_was(own: Settings, service: Service) -> None:
    begun: list[int] = []
    first = load(own, 2024, 2025, begins=begun.append)
    again = load(own, 2024, 2025, begins=begun.append)
    assert service.asked == [2024, 2025]
    assert begun == [2024, 2025, 2024, 2025]
    for fresh, stored in zip(first, again, strict=True):
        assert stored.time.tolist() == fresh.time.tolist()
        assert stored.time.dtype == "datetime64[s]"
        assert stored.quantities.keys() == set(QUANTITIES)
        for name in QUANTITIES:
            assert (stored.quantities[name] == fresh.quantities[name]).all()
        assert (stored.models, stored.members) == (("era5",), ("",))
        assert (stored.cell, stored.elevation) == ((44.75, -99.5), 310.0)
        origin = stored.provenance
        assert (origin.model, origin.fetched, origin.recorded) == ("era5", FETCHED, True)
        assert origin.issued is None


def test_a_height_that_the_service_does_not_give_stays_unknown(
    own: Settings, service: Service
) -> None:
    service.elevation = None
    load(own, 2025)
    assert load(own, 2025)[0].elevation is None
    assert service.asked == [2025]


def test_places_that_the_service_cannot_tell_apart_share_a_year(
    own: Settings, service: Service
) -> None:
    beside = replace(scenes.LAUNCH, latitude=scenes.LAUNCH.latitude + 1e-6)
    far = replace(scenes.LAUNCH, latitude=scenes.LAUNCH.latitude + 0.5)
    for launch in (scenes.LAUNCH, beside, far):
        load(own, 2025, launch=launch)
    assert service.asked == [2025, 2025]


def stored_file(own: Settings) -> Path:
    (path,) = (own.folders.data / "past_weather").iterdir()
    return path


def test_a_damaged_file_and_one_of_another_year_are_asked_for_again(
    own: Settings, service: Service
) -> None:
    load(own, 2025)
    path = stored_file(own)
    whole = path.read_bytes()
    path.write_bytes(whole[:-40])
    load(own, 2025)
    path.with_name(path.name.replace("2025", "2024")).write_bytes(whole)
    assert load(own, 2024)[0].quantities["wind_speed"][0, 0] == 2024.0
    assert service.asked == [2025, 2025, 2024]


def test_a_file_that_lacks_a_quantity_is_asked_for_again(
    own: Settings, service: Service, monkeypatch: pytest.MonkeyPatch
) -> None:
    load(own, 2025)
    read = array_cache.read_arrays
    for lost in (*QUANTITIES, "time", "fetched", "cell", "height"):

        def without(path: Path, name: str, lost: str = lost) -> dict[str, np.ndarray] | None:
            found = read(path, name)
            return found and {key: values for key, values in found.items() if key != lost}

        monkeypatch.setattr(past_weather, "read_arrays", without)
        load(own, 2025)
    assert service.asked == [2025] * (1 + len(QUANTITIES) + 4)


def test_years_that_came_before_the_service_fell_silent_are_stored(
    own: Settings, service: Service, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def silent(here: tuple[float, float], year: int, settings: Settings) -> Forecast:
        if year == 2025:
            raise SourceError("the service did not answer")
        return await service(here, year, settings)

    monkeypatch.setattr(past_weather, "_asked", silent)
    with pytest.raises(SourceError):
        load(own, 2023, 2024, 2025)
    assert len(load(own, 2023, 2024)) == 2
    assert service.asked == [2023, 2024]


def test_a_service_may_take_a_minute_and_a_half_for_a_year(
    own: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[tuple[Path, dict[str, Any]]] = []

    @asynccontextmanager
    async def fake(folder: Path, **told: Any) -> AsyncIterator[str]:
        opened.append((folder, told))
        yield "a client"

    async def answer(asked: object, here: tuple[float, float], year: int) -> Forecast:
        assert (asked, here) == ("a client", (44.9, -99.6))
        return year_of(year)

    monkeypatch.setattr(client, "open_client", fake)
    monkeypatch.setattr(past_weather, "ask_year", answer)
    contact = ContactTable(email="paddler@example.org")
    user = own.user.model_copy(update={"contact": contact})
    assert load(replace(own, user=user), 2025)[0].provenance.source == "as it came"
    policy = RetryPolicy(deadline=90.0, patience=30.0)  # a forecast may take ten seconds
    told = {"contact": "paddler@example.org", "addresses": user.services, "policy": policy}
    assert opened == [(own.folders.data, told)]

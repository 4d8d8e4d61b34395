"""The air of the last two years is asked for once, stored, and its loss is said."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from safety_check.model.place import FetchTable, WaterKind
from safety_check.model.water_estimate import EstimateBasis
from safety_check.settings.folders import Folders
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import UserSettings
from safety_check.store.air_days import place_of
from safety_check.store.store import Store
from safety_check.use_cases.water_estimate import estimate_from_store, size_of, store_air
from tests import scenes
from tests.sources.fake_server import FakeServer, json_reply, status

NOW = datetime(2026, 6, 12, 9, tzinfo=UTC)


def trip(**said):
    plan = scenes.plan(start=NOW + timedelta(hours=2), water_temperature=None, **said)
    around = FetchTable(np.array([0.0, 180.0]), np.array([300.0, 300.0]))
    basis = EstimateBasis("pond", excluded=())
    water = replace(plan.water, estimate=basis, elevation=100.0, fetch_table=around)
    return replace(plan, water=water)


def year(first: datetime, days: int, celsius: float, here):
    """Return an answer with the same air at every hour."""
    start = int(first.timestamp())
    return json_reply(
        {
            "latitude": here[0],
            "longitude": here[1],
            "utc_offset_seconds": 0,
            "hourly_units": {"time": "unixtime", "temperature_2m": "°C"},
            "hourly": {
                "time": [start + 3600 * hour for hour in range(24 * days)],
                "temperature_2m": [celsius] * (24 * days),
            },
        }
    )


@pytest.fixture
def server():
    with FakeServer() as fake:
        yield fake


def own(server, folder):
    addresses = {"open_meteo_archive": server.url, "open_meteo_recent": server.url}
    return Settings(Folders(folder, folder, folder), UserSettings(services=addresses))


def serve(server, plan):
    here = (plan.launch.latitude, plan.launch.longitude)
    midnight = NOW.replace(hour=0)
    older = year(midnight - timedelta(days=730), 365, 10.0, here)
    newer = year(midnight - timedelta(days=365), 359, 10.0, here)
    server.serve("/v1/archive", older, newer)
    server.serve("/v1/forecast", year(midnight - timedelta(days=14), 30, 14.0, here))


def test_air_is_stored_and_only_the_rest_is_asked_for(server, tmp_path):
    plan, settings = trip(), own(server, tmp_path)
    serve(server, plan)
    assert store_air(plan, NOW, settings) == ()
    with Store.open(tmp_path) as store:
        found = estimate_from_store(store, plan, NOW)
        days = store.lasting_days(place_of(plan.launch.latitude, plan.launch.longitude))
    assert found is not None
    assert found.why_not == ""
    assert found.cold < found.warm
    assert len(days) == 724
    server.serve("/v1/archive", status(500))
    assert store_air(plan, NOW, settings) == ()


def test_a_lost_archive_is_said_and_nothing_is_estimated(server, tmp_path):
    plan, settings = trip(), own(server, tmp_path)
    serve(server, plan)
    server.serve("/v1/archive", status(404))
    said = store_air(plan, NOW, settings)
    assert any("archive" in line and "water temperature" in line for line in said)
    with Store.open(tmp_path) as store:
        found = estimate_from_store(store, plan, NOW)
    assert found is not None
    assert "not known in full" in found.why_not


def test_nothing_is_asked_where_no_estimate_is_allowed_or_needed(server, tmp_path):
    settings = own(server, tmp_path)
    forbidden = replace(trip(), water=replace(trip().water, estimate=None))
    measured = replace(trip(), water_temperature=290.0)
    for plan in (forbidden, measured):
        assert store_air(plan, NOW, settings) == ()
    with Store.open(tmp_path) as store:
        assert estimate_from_store(store, forbidden, NOW) is None


@pytest.mark.one_in(2)
@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"kind": WaterKind.TIDAL}, "connected with the sea"),
        ({"kind": None, "by_sea": True}, "connected with the sea"),
        ({"kind": WaterKind.FLOWING}, "it flows"),
        ({"dam": True}, "below a dam"),
    ],
)
def test_water_that_moves_is_not_estimated_and_no_air_is_asked_for(server, tmp_path, said, why):
    plan, settings = trip(), own(server, tmp_path)
    moving = replace(plan, water=replace(plan.water, **said))
    serve(server, plan)
    assert store_air(plan, NOW, settings) == ()
    server.asked.clear()
    assert store_air(moving, NOW, settings) == ()
    assert server.asked == []
    with Store.open(tmp_path) as store:
        still, found = (estimate_from_store(store, one, NOW) for one in (plan, moving))
    assert still is not None
    assert found is not None
    assert still.why_not == ""
    assert why in found.why_not


def test_the_size_of_a_water_is_that_of_its_outer_shore():
    water = trip().water
    square = [(0.0, 50.0), (0.1, 50.0), (0.1, 50.1), (0.0, 50.1), (0.0, 50.0)]
    area, length = size_of(replace(water, shoreline=(np.array(square),)))
    # 0.1 degree is 11.1 km north and 7.1 km east at 50 degrees
    assert area == pytest.approx(11.1e3 * 7.14e3, rel=0.02)
    assert length == pytest.approx(13.2e3, rel=0.02)
    # By the shoelace rule five corners (0, 0), (4, 1), (3, 4), (1, 5), (-1, 3) hold 16 squares.
    corners = 0.001 * np.array([[0, 0], [4, 1], [3, 4], [1, 5], [-1, 3], [0, 0]])
    on_the_equator = size_of(replace(water, shoreline=(corners,)))[0]
    assert on_the_equator == pytest.approx(16 * 111.2**2, rel=0.002)
    island = 0.0001 * np.array([[10, 10], [12, 10], [12, 12], [10, 12], [10, 10]])
    with_island = size_of(replace(water, shoreline=(island, corners)))[0]
    assert with_island == pytest.approx(on_the_equator, rel=1e-6)  # it counts as water
    table = FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.array([1e3, 1e3, 1e3, 12e3]))
    area, length = size_of(replace(water, shoreline=(), fetch_table=table))
    assert area == pytest.approx(np.pi * (3 * 1e6 + 144e6) / 4)
    assert length == 24e3
    nothing = size_of(replace(water, shoreline=(), fetch_table=None))
    assert all(np.isnan(nothing))

"""Which services apply where, and that no part of the United States is left out."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from tzfpy import get_tz

from safety_check.sources import coverage, registry
from safety_check.sources.open_meteo.variables import FORECAST

SERVICES = ("nws_alerts", "ndbc", "coops", "usgs")

# Zones of the tz database that lie wholly in the United States and its territories.
ZONES = {
    *("America/New_York", "America/Chicago", "America/Denver", "America/Los_Angeles"),
    *("America/Phoenix", "America/Detroit", "America/Boise", "America/Anchorage"),
    *("America/Juneau", "America/Sitka", "America/Nome", "America/Adak", "America/Yakutat"),
    *("America/Metlakatla", "America/Menominee", "America/Indiana/Indianapolis"),
    *("America/Kentucky/Louisville", "America/North_Dakota/Center", "Pacific/Honolulu"),
    *("America/Puerto_Rico", "America/St_Thomas", "Pacific/Guam", "Pacific/Saipan"),
    *("Pacific/Pago_Pago", "Pacific/Midway"),
}


@pytest.mark.thorough
def test_every_place_with_a_clock_of_the_united_states_is_covered():
    places = [
        (latitude, longitude)
        for latitude in np.arange(-16.0, 73.0)
        for longitude in np.arange(-180.0, 180.0)
        if get_tz(longitude, latitude) in ZONES
    ]

    assert len(places) > 1000
    assert [place for place in places if not coverage.covers("nws_alerts", *place)] == []


@pytest.mark.parametrize("service", SERVICES)
@pytest.mark.parametrize(
    "place", [(59.9, 10.7), (47.8, 12.3), (-33.9, 151.2), (35.7, 139.7), (64.1, -21.9), (0, 0)]
)
def test_other_continents_are_not_covered(service, place):
    assert not coverage.covers(service, *place)


@pytest.mark.parametrize(
    ("place", "covered"),
    [
        ((43.63, -79.38), False),  # Toronto
        ((25.05, -77.35), False),  # Nassau
        ((31.85, -116.62), False),  # Ensenada
        ((42.32, -83.05), True),  # Windsor, across the river from Detroit
        ((32.53, -117.13), True),  # Tijuana, at the border
        ((41.0, -68.0), True),  # Georges Bank, far from every coast
        ((18.33, -64.93), True),  # Saint Thomas
    ],
)
def test_the_weather_service_is_not_asked_near_other_countries_only(place, covered):
    for source in ("nws_alerts", "nws_grid", "nws_observations", "nws_points"):
        assert coverage.covers(source, *place) == covered
    assert coverage.covers("ndbc", *place)


def test_where_only_the_boxes_of_the_weather_service_reach_nobody_warns():
    assert not coverage.warnings_covered(25.05, -77.35)  # Nassau


def test_longitudes_beyond_180_are_the_same_places():
    assert (
        coverage.covers("nws_alerts", 52.0, 187.0)
        == coverage.covers("nws_alerts", 52.0, -173.0)
        is True
    )


def test_what_a_source_covers_is_the_world_or_a_group_with_regions():
    groups = {region.group for region in coverage.regions()}

    assert {source.covers for source in registry.load_sources().values()} == groups | {
        "world",
        "countries",
    }


def test_what_the_grid_lacks_are_quantities_that_are_weighed():
    assert registry.lacks()["nws"] <= FORECAST.keys()
    assert "nws" not in registry.load_models()


def region(west: float, east: float) -> coverage.Region:
    return coverage.Region(
        name="x", group="x", south=-10, north=10, west=west, east=east,
        source="a test", checked=date(2026, 11, 28),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("west", "east", "longitude", "inside"),
    [
        *((10, 20, 10, True), (10, 20, 20, True), (10, 20, 9.9, False), (10, 20, 20.1, False)),
        *((10, 20, 370, True), (10, 20, 380, True), (10, 20, -340, True), (10, 20, 369.9, False)),
        *((170, -170, 170, True), (170, -170, -170, True), (170, -170, 190, True)),
        *((170, -170, 180, True), (170, -170, -180, True), (170, -170, 0, False)),
        *((170, -170, 169.9, False), (170, -170, -169.9, False)),
        *((10, 10, 10, True), (10, 10, 11, False)),  # a line
    ],
)
def test_a_region_holds_its_edges_on_either_side_of_the_antimeridian(west, east, longitude, inside):
    assert region(west, east).holds(0.0, longitude) == inside


@pytest.mark.parametrize(
    ("latitude", "inside"), [(10, True), (-10, True), (10.1, False), (-10.1, False)]
)
def test_a_region_ends_in_the_north_and_in_the_south(latitude, inside):
    assert region(10, 20).holds(latitude, 15.0) == inside

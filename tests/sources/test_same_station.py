"""A station that two services report counts once, and the more cautious value stays."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.model.weather import Observation
from safety_check.sources.same_station import count_once
from tests.sources.fake_server import json_reply
from tests.sources.fakes import NOW, aerodrome, observation
from tests.sources.gathering import briefing
from tests.sources.spoiled import provenance

WIND = Observation(
    "wind_speed", 5.0, NOW, "KXYZ Invented Airport", 3000.0, provenance(source="one service")
)
OTHER = replace(WIND, station="KXYZ", provenance=provenance(source="another service"))


def test_the_same_measurement_from_two_services_counts_once():
    assert count_once([WIND, OTHER]) == (WIND,)


def test_of_two_values_of_one_measurement_the_higher_stays():
    higher = replace(OTHER, value=6.0)

    assert count_once([WIND, higher]) == (higher,)
    assert count_once([higher, WIND]) == (higher,)


DISTINCT = {
    "another minute": replace(OTHER, time=NOW + timedelta(minutes=1)),
    "another quantity": replace(OTHER, quantity="wind_speed_of_gust"),
    "another station": replace(OTHER, station="KXYA"),
    "another sensor of the same service": replace(WIND, value=4.0),
}


@pytest.mark.parametrize("what", DISTINCT)
def test_what_is_another_measurement_stays(what):
    assert count_once([WIND, DISTINCT[what]]) == (WIND, DISTINCT[what])


@pytest.mark.parametrize(
    "name", ["45999", "1 Invented Pier", "Invented Creek", "KXYZA", "own eyes"]
)
def test_stations_without_the_letters_of_an_aerodrome_are_left_alone(name):
    pair = (replace(WIND, station=name), replace(OTHER, station=name))

    assert count_once(pair) == pair


@given(
    st.lists(
        st.builds(
            lambda value, station, service: replace(
                WIND, value=value, station=station, provenance=provenance(source=service)
            ),
            st.floats(0, 40),
            st.sampled_from(["KXYZ", "KXYZ Invented Airport", "KABC", "45999"]),
            st.sampled_from(["one", "two", "three"]),
        )
    )
)
def test_the_highest_wind_of_every_station_is_never_lost(observations):
    kept = count_once(observations)

    def highest(of: Iterable[Observation]) -> dict[str, float]:
        found: dict[str, float] = {}
        for seen in of:
            name = seen.station[:4]
            found[name] = max(seen.value, found.get(name, 0.0))
        return found

    assert highest(kept) == highest(observations)


def test_an_aerodrome_of_both_weather_services_counts_once_in_a_check(services, tmp_path):
    same = observation(alarmed=True)
    same["properties"]["timestamp"] = "2026-06-13T13:55:00+00:00"
    same["properties"]["windSpeed"] = {"value": 22.224, "unitCode": "wmoUnit:km_h-1"}  # 12 kt
    services.server.serve("/stations/KXYZ/observations/latest", json_reply(same))
    [twin] = aerodrome(alarmed=True)
    twin |= {"icaoId": "KXYZ", "rawOb": "METAR KXYZ 131355Z 27012KT 10SM CLR 22/12 A2998"}
    services.server.serve("/api/data/metar", json_reply([twin]))

    told = briefing(services, tmp_path)

    winds = [
        seen
        for seen in told.observations
        if seen.quantity == "wind_speed" and seen.station.startswith("KXYZ")
    ]
    assert len(winds) == 1
    assert winds[0].value == pytest.approx(12 * 1852 / 3600)

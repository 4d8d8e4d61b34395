"""A sea service that fails holds back no lake hundreds of kilometres from its stations."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import pytest

from benchmarks.sea_stations import buoy_places, covered_places, tide_places
from safety_check.model.verdict import Severity
from safety_check.sources.coverage import load_station_list, may_have_station
from tests.recordings import shared_folder
from tests.sources.fake_server import status
from tests.sources.fakes import NOW, SAYS, Services
from tests.sources.gathering import briefing, severity_of, silent, trip

LATER = NOW + timedelta(days=200)
SEA_SERVICES = {"ndbc": "National Data Buoy Center", "coops": "NOAA CO-OPS"}

INLAND = {
    "Denver": (39.7, -105.0),
    "Kansas City": (39.1, -94.6),
    "the invented lake in South Dakota": (44.9, -99.6),
    "Boise": (43.6, -116.2),
    "Fairbanks": (64.8, -147.7),
}
COASTS = {
    "Seattle": (47.6, -122.4),
    "Duluth": (46.8, -92.1),
    "Chicago": (41.9, -87.6),
    "Cape Cod": (41.7, -70.3),
    "Miami": (25.8, -80.1),
    "Galveston": (29.3, -94.8),
    "San Diego": (32.7, -117.2),
    "Honolulu": (21.3, -157.9),
    "San Juan": (18.5, -66.1),
    "Guam": (13.4, 144.7),
    "Pago Pago": (-14.3, -170.7),
    "Anchorage": (61.2, -149.9),
}


@pytest.mark.parametrize("source", SEA_SERVICES)
@pytest.mark.parametrize("place", INLAND)
def test_far_from_the_coast_no_sea_station_is_near(source, place):
    assert not may_have_station(source, *INLAND[place])


@pytest.mark.parametrize("source", SEA_SERVICES)
@pytest.mark.parametrize("place", COASTS)
def test_on_the_coasts_and_the_great_lakes_one_may_be_near(source, place):
    assert may_have_station(source, *COASTS[place])


@pytest.mark.parametrize("source", ["usgs", "nws_observations"])
def test_a_source_without_a_list_may_have_a_station_anywhere(source):
    assert may_have_station(source, *INLAND["Denver"])


def test_the_shipped_list_is_that_of_the_recordings():
    buoys = shared_folder("recorded", "noaa", "ndbc") / "latest_obs_20180730T2137Z.txt"
    tides = shared_folder("recorded", "tides", "coops") / "mdapi_stations_list_cut.json"
    recorded = [*buoy_places(buoys.read_text("latin-1")), *tide_places(tides.read_text())]

    shipped = load_station_list("sea_stations.toml")

    assert list(map(tuple, shipped.places)) == covered_places(recorded)
    assert shipped.recorded.isoformat() == "2018-07-30"
    assert shipped.lacks


# -- in a check --------------------------------------------------------------------------------


@pytest.fixture
def inland() -> Iterator[Services]:
    with Services(inland=True) as services:
        yield services


def failed(services: Services, name: str) -> None:
    services.spoil(name, lambda reply: status(503))


@pytest.mark.parametrize("name", SEA_SERVICES)
def test_its_failure_holds_back_no_inland_lake(inland, name, tmp_path):
    failed(inland, name)

    briefed = briefing(inland, tmp_path)

    assert [note.applies for note in silent(briefed, SEA_SERVICES[name])] == [False]
    assert severity_of(briefed) == Severity.GO


@pytest.mark.parametrize("name", SEA_SERVICES)
def test_its_own_last_list_shows_a_station_that_the_shipped_list_lacks(inland, name, tmp_path):
    briefing(inland, tmp_path)  # its list of then names the station on this lake
    failed(inland, name)

    later = briefing(inland, tmp_path, trip(now=LATER), now=LATER)

    assert any(note.applies for note in silent(later, SEA_SERVICES[name]))


@pytest.mark.parametrize("name", SEA_SERVICES)
def test_near_its_stations_its_failure_counts(name, tmp_path):
    with Services() as services:
        services.spoil(name, lambda reply: status(503))

        assert severity_of(briefing(services, tmp_path)) > Severity.GO


def test_every_fake_of_a_sea_service_is_tried_here():
    assert SEA_SERVICES.keys() < SAYS.keys()

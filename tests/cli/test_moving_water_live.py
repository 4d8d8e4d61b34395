"""Tidal water and a river as a new user meets them, with the services over real sockets."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest

from safety_check.use_cases import check
from tests.cli.conftest import Run, Runner, point_at
from tests.cli.test_water_estimate_live import Clock
from tests.sources.fake_server import Reply, cut_off, html_page, json_reply, status
from tests.sources.fakes import Services
from tests.sources.test_moving_water import (
    CONTINUOUS,
    DATA,
    FAR_PASS,
    GAUGE,
    LATEST,
    NORMALS,
    PIER,
    PREDICTED,
    RIVER_REPLIES,
    STATIONS,
    level,
)

TRIP = ("--start", "2026-06-13T10:30", "--hours", "2", "--water-temp", "74 F")  # 15:30 UTC
GO, MARGINAL, NO_GO, UNKNOWN = 0, 20, 30, 40
Told = dict[str, Any]


@pytest.fixture
def services(ready: Runner, home: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Services]:
    """Serve every source, with a weak current at a pier beside the pond, and a calm river."""
    monkeypatch.setattr(check, "datetime", Clock)
    with Services() as running:
        more = dict.fromkeys(("nwps", "iwls", "kartverket"), running.server.url)
        point_at(home, running.addresses() | more)
        running.server.serve(STATIONS, json_reply({"stations": [PIER]}))
        running.server.serve(DATA, json_reply(weak()))
        running.server.serve("/api/v1/stations", json_reply([FAR_PASS]))
        for path, told in calm_river().items():
            running.server.serve(path, json_reply(told))
        yield running


def weak() -> Told:
    """Return the tide, and currents of up to 15 cm/s."""
    told = deepcopy(PREDICTED)
    for row in told["current_predictions"]["cp"]:
        row["Velocity_Major"] = min(15.0, max(-15.0, row["Velocity_Major"]))
    return told


def calm_river() -> dict[str, Told]:
    """Return a river at the median of the day, which does not rise."""
    told = deepcopy(RIVER_REPLIES)
    told[LATEST]["features"] = [
        level("00065", "5.0", "ft", "13:45"), level("00060", "200", "ft^3/s", "13:45"),
    ]  # fmt: skip
    told[CONTINUOUS]["features"] = [
        level("00065", "5.0", "ft", "09:45"), level("00065", "5.0", "ft", "13:45"),
    ]  # fmt: skip
    for name in ("observed", "forecast"):
        told[GAUGE]["status"][name] |= {"primary": 5.0, "floodCategory": "no_flooding"}
    return told


def checked(run: Runner, *more: str) -> Run:
    return run("check", "pond", *TRIP, *more)


def events(told: Told) -> list[Told]:
    rows: list[Told] = told["current_predictions"]["cp"]
    return rows


def changed(change: Callable[[Told], object]) -> Reply:
    told = weak()
    change(told)
    return json_reply(told)


REFUSED = {"error": {"message": "No Predictions data was found."}}
BAY_FAULTS: dict[str, tuple[str, Callable[[], Reply]]] = {
    "no such address": (DATA, lambda: status(404)),
    "a gateway's page": (DATA, html_page),
    "an error with status 200": (DATA, lambda: json_reply(REFUSED)),
    "cut off": (DATA, lambda: cut_off(json_reply(weak()))),
    "-9999": (DATA, lambda: changed(lambda told: events(told)[1].update(Velocity_Major=-9999))),
    "no unit": (
        DATA,
        lambda: changed(lambda told: told["current_predictions"].update(units="furlongs")),
    ),
    "a type that nobody knows": (
        DATA,
        lambda: changed(lambda told: events(told)[1].update(Type="weak")),
    ),
    "another bin": (DATA, lambda: changed(lambda told: events(told)[1].update(Bin="9"))),
    "a lost ebb": (DATA, lambda: changed(lambda told: events(told).pop(1))),
    "another day": (
        DATA,
        lambda: changed(
            lambda told: [row.update(Time=f"2026-05-{row['Time'][8:]}") for row in events(told)]
        ),
    ),
    "no events": (DATA, lambda: changed(lambda told: events(told).clear())),
    "a tide of -9999": (
        DATA,
        lambda: changed(lambda told: told["predictions"][1].update(v="-9999")),
    ),
    "no tide": (DATA, lambda: changed(lambda told: told.pop("predictions"))),
    "a weak and variable station": (
        STATIONS,
        lambda: json_reply({"stations": [PIER | {"type": "W"}]}),
    ),
    "a station far away": (STATIONS, lambda: json_reply({"stations": [PIER | {"lat": 45.9}]})),
    "stations without a place": (
        STATIONS,
        lambda: json_reply({"stations": [PIER | {"lat": None}]}),
    ),
}


def test_a_calm_bay_with_a_weak_current_is_a_go(ready: Runner, services: Services) -> None:
    still = checked(ready, "--full")
    ready("water", "set", "pond", "--kind", "tidal")
    done = checked(ready, "--full")
    assert (still.status, done.status) == (GO, GO), done.out
    assert "Tide, current and river" not in still.out
    assert "Current: ebb 10:00 (0.3 kt), slack 13:00, flood 16:00 (0.3 kt)." in done.out


@pytest.mark.one_in(8)
@pytest.mark.parametrize("fault", BAY_FAULTS)
def test_a_bay_without_its_tide_or_current_is_unknown(
    ready: Runner, services: Services, fault: str
) -> None:
    ready("water", "set", "pond", "--kind", "tidal")
    path, reply = BAY_FAULTS[fault]
    services.server.serve(path, reply())
    done = checked(ready)
    assert done.status == UNKNOWN, done.out
    assert "not known" in done.out


def test_a_launch_that_is_dry_has_no_water_rather_than_less(
    ready: Runner, services: Services
) -> None:
    ready("water", "set", "pond", "--kind", "tidal")
    ready("water", "set", "pond", "--launch", "ramp", "--dries", "0.5 m")
    done = checked(ready)
    assert done.status == NO_GO
    assert "The launch has 0.0 ft of water between 12:00 and 13:00" in " ".join(done.out.split())


# -- a river -------------------------------------------------------------------------------------


def river(told: dict[str, Told], services: Services) -> None:
    for path, answer in told.items():
        services.server.serve(path, json_reply(answer))


def test_a_river_below_the_ninetieth_percentile_is_a_go_and_names_its_services(
    ready: Runner, services: Services
) -> None:
    ready("water", "set", "pond", "--kind", "flowing")
    done = checked(ready, "--full")
    assert done.status == GO, done.out
    assert "National Water Prediction Service" in done.out.split("Based on")[1]


RIVER_FAULTS: dict[str, tuple[str, Callable[[dict[str, Told]], object], int]] = {
    "-999, the level known elsewhere": (
        GAUGE, lambda told: told[GAUGE]["status"]["observed"].update(
            primary=-999, secondary=-999, floodCategory="no_flooding"), GO,
    ),
    "-999 and no thresholds": (
        GAUGE, lambda told: told[GAUGE].update(
            flood={"stageUnits": "ft", "flowUnits": "cfs", "categories": {
                "action": {"stage": -9999, "flow": -9999}}},
            status={"observed": {"primary": -999, "floodCategory": "no_flooding",
                                 "validTime": "2026-06-13T13:45:00Z"}}), UNKNOWN,
    ),
    "a reading of year 1": (
        GAUGE, lambda told: told[GAUGE].update(
            flood={}, status={"observed": {"primary": 5.0, "floodCategory": "no_flooding",
                                           "validTime": "0001-01-01T00:00:00Z"}}), UNKNOWN,
    ),
    "an old category": (
        GAUGE, lambda told: told[GAUGE].update(
            flood={}, status={"observed": {"primary": 5.0, "floodCategory": "obs_not_current",
                                           "validTime": "2026-06-13T13:45:00Z"}}), UNKNOWN,
    ),
    "a stage above the threshold of minor flood": (
        GAUGE, lambda told: told[LATEST].update(features=[
            level("00065", "15.5", "ft", "13:45"), level("00060", "200", "ft^3/s", "13:45")]),
        NO_GO,
    ),
    "a forecast of flood": (
        GAUGE, lambda told: told[GAUGE]["status"]["forecast"].update(floodCategory="moderate"),
        NO_GO,
    ),
    "an old level": (
        LATEST, lambda told: told[LATEST].update(features=[
            level("00065", "5.0", "ft", "00:45"), level("00060", "200", "ft^3/s", "00:45")]),
        UNKNOWN,
    ),
    "a level of -999999": (
        LATEST, lambda told: told[LATEST].update(features=[
            level("00065", "-999999", "ft", "13:45"), level("00060", "-999999", "ft^3/s", "13:45"),
        ]), UNKNOWN,
    ),
    "another unit": (
        LATEST, lambda told: told[LATEST].update(features=[
            level("00065", "5.0", "furlong", "13:45"), level("00060", "200", "acre", "13:45")]),
        UNKNOWN,
    ),
}  # fmt: skip


@pytest.mark.one_in(3)
@pytest.mark.parametrize("fault", RIVER_FAULTS)
def test_a_river_whose_readings_lack_or_alarm_counts_as_it_must(
    ready: Runner, services: Services, fault: str
) -> None:
    ready("water", "set", "pond", "--kind", "flowing")
    told = calm_river()
    _, change, expected = RIVER_FAULTS[fault]
    change(told)
    river(told, services)
    done = checked(ready)
    assert done.status == expected, done.out


@pytest.mark.one_in(6)
@pytest.mark.promise("moving water must be known")
@pytest.mark.parametrize("path", [LATEST, CONTINUOUS, NORMALS, GAUGE])
@pytest.mark.parametrize("reply", [html_page(), status(503)], ids=["page", "503"])
def test_a_part_of_a_river_that_is_lost_is_never_a_go(
    ready: Runner, services: Services, path: str, reply: Reply
) -> None:
    ready("water", "set", "pond", "--kind", "flowing")
    services.server.serve(path, reply)
    assert checked(ready).status in (MARGINAL, UNKNOWN)

"""Every service with every fault: the check ends in time and its verdict is never better.

One service alone knows of the danger that makes the trip MARGINAL; all others tell of a calm
day. So a fault that lets what it said vanish in silence would show as a GO.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from safety_check.model.verdict import Severity
from tests.sources.fake_server import (
    Reply,
    cut_off,
    gzipped,
    hanging,
    html_page,
    huge,
    mislabelled,
    redirect,
    slow,
    status,
    too_many,
    unused_port,
    with_etag,
)
from tests.sources.fakes import ALARMS, FIRST, HOURS, SAYS, Services, document, saying
from tests.sources.gathering import HASTY, PATIENT, briefing, severity_of

LATE = 10.0  # s; parsing, and the end of threads on a busy machine
SHARED = {"usgs": ("usgs", "usgs_legacy")}  # one service behind two addresses
HUGE = huge(9_000_000)

Fault = Callable[[Reply], Reply | list[Reply]]


def parts(name: str) -> tuple[str, ...]:
    return SHARED.get(name, (name,))


def alarm(services: Services, name: str) -> None:
    for part in parts(name):
        services.say(part, alarmed=True)


def spoil(services: Services, name: str, fault: Fault) -> None:
    for part in parts(name):
        services.spoil(part, fault, alarmed=True)


@pytest.mark.one_in(4)
@pytest.mark.parametrize("name", ALARMS)
def test_one_service_alone_turns_a_calm_day_marginal(services, name, tmp_path):
    # without this, the tests below would prove nothing
    assert severity_of(briefing(services, tmp_path)) == Severity.GO

    alarm(services, name)

    assert severity_of(briefing(services, tmp_path / "anew")) == Severity.MARGINAL


# -- faults on the way -------------------------------------------------------------------------

FATAL: dict[str, Fault] = {
    "slow": lambda reply: slow(reply, 5.0),
    "hanging half-way": hanging,
    "truncated": cut_off,
    "429 with Retry-After": lambda reply: too_many(60),
    "HTML error page": lambda reply: html_page(502),
    "HTML with status 200": lambda reply: html_page(200),
    "huge body": lambda reply: HUGE,
    "null": lambda reply: saying(reply, b"null"),
    "redirect loop": lambda reply: redirect("/again"),
    "redirect to another host": lambda reply: redirect("http://127.0.0.1:9/data"),
}


def ends_in_time(services: Services, folder: Path) -> Severity:
    began = time.monotonic()
    told = briefing(services, folder, policy=HASTY)
    assert time.monotonic() - began < HASTY.deadline + LATE
    return severity_of(told)


@pytest.mark.one_in(10)
@pytest.mark.parametrize("fault", FATAL)
@pytest.mark.parametrize("name", ALARMS)
def test_a_service_that_fails_never_betters_the_verdict(services, name, fault, tmp_path):
    services.server.serve("/again", redirect("/again"))
    spoil(services, name, FATAL[fault])

    assert ends_in_time(services, tmp_path) >= Severity.MARGINAL


@pytest.mark.one_in(4)
@pytest.mark.parametrize("name", ALARMS)
def test_a_service_that_refuses_never_betters_the_verdict(services, name, tmp_path):
    for part in parts(name):
        services.move(part, f"http://127.0.0.1:{unused_port()}")

    assert ends_in_time(services, tmp_path) >= Severity.MARGINAL


@pytest.mark.one_in(2)
@pytest.mark.parametrize("fault", FATAL)
def test_without_its_grid_cell_the_weather_service_is_missed(services, fault, tmp_path):
    services.spoil("nws_points", FATAL[fault])

    assert ends_in_time(services, tmp_path) >= Severity.MARGINAL


def test_nothing_but_silence_is_unknown_and_ends_in_time(services, tmp_path):
    for name in SAYS:
        services.spoil(name, hanging)

    assert ends_in_time(services, tmp_path) == Severity.UNKNOWN


# -- faults that lose nothing ------------------------------------------------------------------

HARMLESS: dict[str, Fault] = {
    "gzip": gzipped,
    "500 then 200": lambda reply: [status(500), reply],
    "429 with Retry-After, then 200": lambda reply: [too_many(0), reply],
}


@pytest.mark.one_in(8)
@pytest.mark.parametrize("fault", HARMLESS)
@pytest.mark.parametrize("name", ALARMS)
def test_a_fault_that_passes_loses_nothing(services, name, fault, tmp_path):
    spoil(services, name, HARMLESS[fault])

    told = briefing(services, tmp_path, policy=PATIENT)

    assert severity_of(told) == Severity.MARGINAL
    assert not any(failure.applies for failure in told.silences)


@pytest.mark.one_in(2)
@pytest.mark.parametrize("name", ALARMS)
def test_an_answer_under_a_wrong_type_is_refused_where_the_type_can_be_trusted(
    services, name, tmp_path
):
    spoil(services, name, mislabelled)

    told = briefing(services, tmp_path)

    assert severity_of(told) >= Severity.MARGINAL
    assert any(failure.applies for failure in told.silences) == (name != "coops")


@pytest.mark.one_in(4)
@pytest.mark.parametrize("name", ALARMS)
def test_an_unchanged_answer_counts_as_a_new_one(services, name, tmp_path):
    def tagged(reply: Reply) -> Reply:
        again = with_etag(reply, '"one"')
        return Reply(again.body, headers={**again.headers, "cache-control": "no-cache"})

    spoil(services, name, tagged)
    briefing(services, tmp_path)
    before = len(services.server.asked)

    told = briefing(services, tmp_path)

    asked = services.server.asked[before:]
    assert any("if-none-match" in request.headers for request in asked)
    assert severity_of(told) == Severity.MARGINAL
    assert told.silences == ()


# -- answers that are whole and wrong ----------------------------------------------------------

Spoiler = Callable[[Any], Any]


def with_units(unit: str) -> Spoiler:
    def spoil(told: Any) -> Any:
        units = {name: unit for name in told["hourly_units"]} | {"time": "unixtime"}
        return told | {"hourly_units": units}

    return spoil


def doubled_rows(told: Any) -> Any:
    return told | {"hourly": {name: column * 2 for name, column in told["hourly"].items()}}


def contradicted_rows(told: Any) -> Any:
    """Say every hour twice, the second time with less of everything."""
    hourly = {
        name: column * 2 if name == "time" else column + [value * 0.5 for value in column]
        for name, column in told["hourly"].items()
    }
    return told | {"hourly": hourly}


def turned_rows(told: Any) -> Any:
    return told | {"hourly": {name: column[::-1] for name, column in told["hourly"].items()}}


def local_rows(told: Any) -> Any:
    """Write the hours by the clock of the other half of the year, as the service does then."""
    offset = timedelta(hours=-6)  # while the lake keeps summer time, -5 h
    hours = [(FIRST + timedelta(hours=hour) + offset).isoformat()[:16] for hour in range(HOURS)]
    return told | {
        "utc_offset_seconds": int(offset.total_seconds()),
        "hourly_units": told["hourly_units"] | {"time": "iso8601"},
        "hourly": told["hourly"] | {"time": hours},
    }


def layers(change: Callable[[Any], Any]) -> Spoiler:
    def spoil(told: Any) -> Any:
        properties = {
            name: change(property_value) if _is_layer(property_value) else property_value
            for name, property_value in told["properties"].items()
        }
        return told | {"properties": properties}

    return spoil


def _is_layer(value: Any) -> bool:
    """Return whether a property of a grid cell is a layer with values in it."""
    return isinstance(value, dict) and bool(value.get("values"))


def in_days(layer: Any, *, order: int = 1, times: int = 1) -> Any:
    """Tell one interval as three of a day each, with the offsets on both sides of a change."""
    value = layer["values"][0]["value"]
    days = [
        {"validTime": f"2026-06-{day}T{hour:02d}:00:00-{hour:02d}:00/P1D", "value": value}
        for day, hour in ((12, 5), (13, 6), (14, 6))
    ]
    first = {"validTime": "2026-06-12T00:00:00+00:00/PT5H", "value": value}
    joint = {"validTime": "2026-06-13T04:00:00-06:00/PT2H", "value": value}
    return layer | {"values": ([first, *days, joint] * times)[::order]}


def amounts(told: Any, unit: str) -> Any:
    changed = {
        name: property_value | {"unitCode": unit}
        if isinstance(property_value, dict)
        else property_value
        for name, property_value in told["properties"].items()
    }
    return told | {"properties": changed}


OPEN_METEO = ("open_meteo", "open_meteo_ensemble", "open_meteo_marine")
UNKNOWN_UNIT: dict[str, Spoiler] = {
    **dict.fromkeys(OPEN_METEO, with_units("furlong")),
    "met_norway": lambda told: _renamed(told, "m/s", "kt"),
    "nws_grid": layers(lambda layer: layer | {"uom": "wmoUnit:kt"}),
    "nws_observations": lambda told: amounts(told, "wmoUnit:kt") if "properties" in told else told,
    "usgs": lambda told: _renamed(told, "degC", "degF", "deg C", "deg F"),
}


def _renamed(told: Any, *pairs: str) -> Any:
    text = json.dumps(told)
    for old, new in zip(pairs[::2], pairs[1::2], strict=True):
        text = text.replace(f'"{old}"', f'"{new}"')
    return json.loads(text)


def alert_without_zone(told: Any) -> Any:
    return _renamed(told, "2026-06-13T09:00:00-05:00", "2026-06-13T09:00:00")


def rows_of(told: Any, change: Callable[[list[Any]], list[Any]]) -> Any:
    """Change the rows of an answer of MET Norway."""
    properties = told["properties"]
    return told | {"properties": properties | {"timeseries": change(properties["timeseries"])}}


WRONG: dict[tuple[str, str], Spoiler] = {
    **{(name, "unknown unit"): spoiler for name, spoiler in UNKNOWN_UNIT.items()},
    **{(name, "hours twice, in contradiction"): contradicted_rows for name in OPEN_METEO},
    ("nws_alerts", "onset without a zone"): alert_without_zone,
    ("open_meteo", "all null"): lambda told: (
        told | {"hourly": {name: [None] * HOURS for name in told["hourly"]} | _time(told)}
    ),
    ("met_norway", "the first hours only"): lambda told: rows_of(told, lambda rows: rows[:2]),
    ("met_norway", "every other hour"): lambda told: rows_of(told, lambda rows: rows[::2]),
    ("open_meteo_ensemble", "rows cut short"): lambda told: (
        told | {"hourly": told["hourly"] | {"time": told["hourly"]["time"][:-1]}}
    ),
}


def _time(told: Any) -> dict[str, Any]:
    return {"time": told["hourly"]["time"]}


@pytest.mark.one_in(6)
@pytest.mark.parametrize(("name", "fault"), WRONG)
def test_an_answer_that_is_wrong_never_betters_the_verdict(services, name, fault, tmp_path):
    spoil(services, name, lambda reply: saying(reply, WRONG[name, fault](document(reply))))

    assert severity_of(briefing(services, tmp_path)) >= Severity.MARGINAL


def test_a_buoy_that_tells_knots_never_betters_the_verdict(services, tmp_path):
    def knots(reply: Reply) -> Reply:
        return saying(reply, reply.body.replace(b"degT m/s m/s", b"degT kts kts"))

    services.spoil("ndbc", knots, alarmed=True)

    assert severity_of(briefing(services, tmp_path)) >= Severity.MARGINAL


def test_a_tide_station_that_tells_fahrenheit_never_betters_the_verdict(services, tmp_path):
    # its answers name no unit: only what nature forbids shows that one is wrong
    def fahrenheit(reply: Reply) -> Reply:
        return saying(reply, reply.body.replace(b'"v": "23.0"', b'"v": "73.4"'))

    services.spoil("coops", fahrenheit)

    assert severity_of(briefing(services, tmp_path)) >= Severity.MARGINAL


DISORDER: dict[tuple[str, str], Spoiler] = {
    **{(name, "hours twice"): doubled_rows for name in OPEN_METEO},
    **{(name, "hours backwards"): turned_rows for name in OPEN_METEO},
    **{(name, "clock of the other season"): local_rows for name in OPEN_METEO},
    ("met_norway", "hours twice"): lambda told: rows_of(told, lambda rows: rows * 2),
    ("met_norway", "hours backwards"): lambda told: rows_of(told, lambda rows: rows[::-1]),
    ("nws_grid", "hours twice"): layers(lambda layer: in_days(layer, times=2)),
    ("nws_grid", "hours backwards"): layers(lambda layer: in_days(layer, order=-1)),
    ("nws_grid", "a change of clocks"): layers(in_days),
    ("nws_alerts", "alerts twice"): lambda told: told | {"features": told["features"] * 2},
    ("nws_alerts", "clock of the other season"): lambda told: _renamed(
        told,
        *("2026-06-13T09:00:00-05:00", "2026-06-13T08:00:00-06:00"),
        *("2026-06-13T20:00:00-05:00", "2026-06-13T19:00:00-06:00"),
    ),
    ("nws_observations", "clock of the other season"): lambda told: _renamed(
        told, "2026-06-13T13:53:00+00:00", "2026-06-13T07:53:00-06:00"
    ),
    ("aviation_weather", "reports twice"): lambda told: told * 2,
    ("coops", "rows twice"): lambda told: (
        told | {"data": told["data"] * 2} if "data" in told else told
    ),
    ("usgs", "gauges twice"): lambda told: (
        told | {"features": told["features"] * 2} if "features" in told else told
    ),
}


@pytest.mark.one_in(8)
@pytest.mark.parametrize(("name", "fault"), DISORDER)
def test_disorder_changes_nothing(services, name, fault, tmp_path):
    spoil(services, name, lambda reply: saying(reply, DISORDER[name, fault](document(reply))))

    told = briefing(services, tmp_path)

    assert severity_of(told) == Severity.MARGINAL
    assert told.silences == ()


def test_lines_of_a_buoy_may_stand_in_any_order(services, tmp_path):
    def backwards(reply: Reply) -> Reply:
        lines = reply.body.decode().splitlines(keepends=True)
        return saying(reply, "".join(lines[:2] + lines[:1:-1]).encode())

    services.spoil("ndbc", backwards, alarmed=True)

    told = briefing(services, tmp_path)

    assert severity_of(told) == Severity.MARGINAL
    assert told.silences == ()

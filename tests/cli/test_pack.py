"""Packing for the ramp: all is fetched and kept, and said until when it is good."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import datetime, timedelta, tzinfo
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from safety_check.report.schemas import schema_of
from safety_check.use_cases import check
from tests.cli.conftest import Runner, point_at
from tests.cli.test_credits import PARTS, SHORE
from tests.cli.test_water import LAKE, RAMP, collection, feature, polygon
from tests.sources.fake_server import cut_off
from tests.sources.fakes import NOW, SAYS, Services

TRIP = ("--start", "2026-06-13T10:30", "--hours", "2")  # at the pond; 15:30 UTC
WARM = ("--water-temp", "74 F")


class Clock(datetime):
    """A clock that stands where the fakes stand, and later when it is told."""

    later = timedelta(0)

    @classmethod
    def now(cls, tz: tzinfo | None = None) -> datetime:  # type: ignore[override]
        return (NOW + cls.later).astimezone(tz)


@pytest.fixture
def services(ready: Runner, home: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Services]:
    monkeypatch.setattr(check, "datetime", Clock)
    monkeypatch.setattr(Clock, "later", timedelta(0))
    with Services() as running:
        point_at(home, running.addresses())
        yield running


def no_signal(services: Services, monkeypatch: pytest.MonkeyPatch, later: timedelta) -> None:
    for name in SAYS:
        services.spoil(name, lambda reply: cut_off(reply, 0))
    monkeypatch.setattr(Clock, "later", later)


def packed(run: Runner) -> Any:
    packed = run("pack", "pond", *TRIP, *WARM, "--json").json
    jsonschema.validate(packed, schema_of("pack"))
    return packed


def test_it_says_until_when_each_service_is_good(ready: Runner, services: Services) -> None:
    told = packed(ready)

    until = {item["source"]: item["good_until"] for item in told["items"]}
    # observed at 13:50 and 13:53, an hour and a half to count (stations.toml)
    assert until["National Data Buoy Center"] == "2026-06-13T15:20:00+00:00"
    assert until["National Weather Service, alerts"] == "2026-06-13T19:58:00+00:00"
    assert until["Open-Meteo"] == "2026-06-14T14:00:00+00:00"
    # the grid is of 12:00, and as old as its run
    assert until["National Weather Service"] == "2026-06-14T12:00:00+00:00"
    assert told["go_until"] == min(until.values())
    assert told["known_until"] == "2026-06-14T12:00:00+00:00"
    assert (told["verdict"], told["missed"]) == ("GO", [])
    assert any("CC BY 4.0" in credit for credit in told["credits"])
    assert told["good_at_launch"] is False


def test_a_person_reads_it_in_the_water_s_own_time(ready: Runner, services: Services) -> None:
    done = ready("pack", "pond", *TRIP, *WARM)

    assert done.status == 0
    first, second, *_ = done.out.splitlines()
    # valid for 80 min, so 80 min before the launch at 10:30
    assert first.startswith("NOT valid at the launch (Sat 13 Jun 10:30). Pack again after Sat 13")
    assert "09:10" in first
    assert second == "Stored for pond, ramp; the current verdict is GO."
    assert "GO is possible until Sat 13 Jun 10:20" in done.out
    assert "from Sun 14 Jun 07:00 on only UNKNOWN" in done.out
    assert "National Weather Service, alerts: valid until Sat 13 Jun 14:58" in done.out
    assert "CC BY 4.0" in done.out


def test_at_the_ramp_without_signal_a_check_works_from_it(
    ready: Runner, services: Services, monkeypatch: pytest.MonkeyPatch
) -> None:
    ready("pack", "pond", *TRIP, *WARM)
    no_signal(services, monkeypatch, timedelta(hours=1))

    done = ready("check", "pond", *TRIP, *WARM, "--full")

    assert done.status == 0
    assert "received earlier" in done.out
    assert "asked live" not in done.out


@pytest.mark.thorough
@pytest.mark.parametrize(("hours", "verdict"), [(1, "GO"), (7, "MARGINAL"), (23, "UNKNOWN")])
def test_it_is_good_for_as_long_as_it_says(
    ready: Runner,
    services: Services,
    monkeypatch: pytest.MonkeyPatch,
    hours: int,
    verdict: str,
) -> None:
    told = packed(ready)
    no_signal(services, monkeypatch, timedelta(hours=hours))
    start = NOW + timedelta(hours=hours, minutes=30)
    spans = [told["go_until"], told["known_until"], "9"]
    expected = ("GO", "MARGINAL", "UNKNOWN")[
        next(
            at
            for at, until in enumerate(spans)
            if (NOW + timedelta(hours=hours)).isoformat() < until
        )
    ]

    done = ready("check", "pond", "--start", start.isoformat(), "--hours", 2, *WARM, "--json")

    assert done.json["verdict"] == verdict == expected


def test_a_warning_that_was_packed_still_forbids(
    ready: Runner, services: Services, monkeypatch: pytest.MonkeyPatch
) -> None:
    services.say("nws_alerts", alarmed=True)
    ready("pack", "pond", *TRIP, *WARM)
    no_signal(services, monkeypatch, timedelta(hours=1))

    told = ready("check", "pond", *TRIP, *WARM, "--json").json

    assert told["verdict"] == "MARGINAL"
    assert "Beach Hazards Statement" in str(told["findings"])


def test_what_was_missed_is_named_and_no_go_is_promised(ready: Runner, services: Services) -> None:
    services.spoil("nws_alerts", lambda reply: cut_off(reply, 0))

    done = ready("pack", "pond", *TRIP, *WARM)

    assert "Without a signal a GO is not possible" in done.out
    assert "Missing: National Weather Service, alerts" in done.out


@pytest.mark.thorough
def test_without_any_forecast_nothing_was_packed(
    ready: Runner, services: Services, monkeypatch: pytest.MonkeyPatch
) -> None:
    no_signal(services, monkeypatch, timedelta(0))

    done = ready("pack", "pond", *TRIP, *WARM)

    assert done.status == 1
    assert done.out.startswith("No usable forecast was stored for pond, ramp")


def test_another_day_can_not_be_asked_of_the_services(ready: Runner, services: Services) -> None:
    done = ready("check", "pond", *TRIP, *WARM, "--as-of", "2026-06-12T06:00")

    assert done.status == 2
    assert "--forecast" in done.err
    assert services.server.asked == []


@pytest.mark.thorough
@pytest.mark.parametrize("form", [(), ("--json",)])
def test_what_is_packed_names_the_credit_of_shore_and_forecast(
    ready: Runner, services: Services, tmp_path: Path, form: tuple[str, ...]
) -> None:
    shape = tmp_path / "orvel.geojson"
    content = collection(feature(polygon(LAKE), attribution=SHORE), RAMP)
    shape.write_text(json.dumps(content), encoding="utf-8")
    assert ready("water", "add", "orvel", "--file", shape).status == 0

    done = ready("pack", "orvel", *TRIP, *WARM, "--reach", "1/2 mi", *form)

    said = " ".join(done.out.split())
    for part in (*PARTS, "https://creativecommons.org/licenses/by/4.0/"):
        assert part in said, done.err


def test_answers_that_could_not_be_stored_are_not_promised(
    ready: Runner, home: Path, services: Services
) -> None:
    (home / "data" / "answers-1.sqlite").mkdir(parents=True)  # so that no file can be there

    done = ready("pack", "pond", *TRIP, *WARM)

    assert done.status == 1
    assert done.out.startswith("No usable forecast was stored for pond, ramp.")
    assert "The answers of the services could not be stored. Free some space" in done.err

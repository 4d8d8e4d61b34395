"""An estimate as a new user meets it: the services of the air as they are, and as they fail."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta, tzinfo
from pathlib import Path
from typing import Any

import pytest

from safety_check.sources.open_meteo.daily_air import missing_chunks
from safety_check.use_cases import check
from tests.cli.conftest import Runner, point_at
from tests.sources.fake_server import Reply, cut_off, html_page, json_reply, status
from tests.sources.fakes import HERE, NOW, Services, buoy, text_reply, tide_stations

TRIP = ("--start", "2026-06-13T10:30", "--hours", "2")  # at the pond; 15:30 UTC
ALLOWED = ("--elevation", "500 m", "--estimate", "--depth", "pond", "--excluded", "none")
TODAY = NOW.date()


class Clock(datetime):
    """A clock that stands where the fakes stand."""

    @classmethod
    def now(cls, tz: tzinfo | None = None) -> datetime:  # type: ignore[override]
        return NOW.astimezone(tz)


def air(first: date, last: date, celsius: float | None = 29.0, lacking: int = 0) -> Reply:
    """Return an answer of the same air at every hour; the last days may be lacking."""
    days = (last - first).days + 1
    start = int(datetime(first.year, first.month, first.day, tzinfo=UTC).timestamp())
    known = 24 * (days - lacking)
    return json_reply(
        {
            "latitude": HERE[0],
            "longitude": HERE[1],
            "utc_offset_seconds": 0,
            "hourly_units": {"time": "unixtime", "temperature_2m": "°C"},
            "hourly": {
                "time": [start + 3600 * hour for hour in range(24 * days)],
                "temperature_2m": [celsius] * known + [None] * (24 * days - known),
            },
        }
    )


Fault = Callable[[Reply], Reply]


@pytest.fixture
def services(ready: Runner, home: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Services]:
    """Serve every source; nobody measures the water."""
    monkeypatch.setattr(check, "datetime", Clock)
    with Services() as running:
        nothing: Any = {"features": []}
        running.server.serve("/ogcapi/v0/collections/latest-continuous/items", json_reply(nothing))
        point_at(home, running.addresses())
        latest, file = buoy(False, rest="0.1 3 MM")
        running.server.serve("/data/latest_obs/latest_obs.txt", text_reply(latest))
        running.server.serve("/data/realtime2/45999.txt", text_reply(file.replace("23.0", "MM")))
        far: Any = tide_stations()
        far["stations"][0]["lat"] = 48.9
        running.server.serve("/mdapi/prod/webapi/stations.json", json_reply(far))
        serve_air(running)
        yield running


def serve_air(running: Services, spoiled: Fault = lambda reply: reply, lacking: int = 0) -> None:
    """Serve two years and the days ahead, the newest span of the archive with a fault."""
    for first, last in missing_chunks((), TODAY):
        newest = last == TODAY - timedelta(days=7)
        reply = air(first, last, lacking=lacking if newest else 0)
        reply = spoiled(reply) if newest else reply
        running.server.serve_where("/v1/archive", "start_date", first.isoformat(), reply)
    recent = air(TODAY - timedelta(days=14), TODAY + timedelta(days=15))
    running.server.serve_where("/v1/forecast", "past_days", "14", recent)


def checked(run: Runner) -> Any:
    return run("check", "pond", *TRIP, "--json").json


@pytest.mark.thorough
def test_a_new_user_allows_an_estimate_and_gets_a_verdict(
    ready: Runner, services: Services
) -> None:
    assert checked(ready)["verdict"] == "UNKNOWN"
    ready("water", "set", "pond", *ALLOWED)
    told = checked(ready)
    assert told["verdict"] == "GO"
    assert told["water_temperature"]["source"] == "estimated from air temperature"
    sources = [origin["source"] for origin in told["provenance"]]
    assert "Open-Meteo archive" in sources
    assert "Open-Meteo, air of the last days" in sources
    assert any("ERA5" in credit for credit in told["credits"])
    page = ready("check", "pond", *TRIP, "--full").out
    assert "Water estimated" in " ".join(page.split())
    assert "ERA5" in page
    assert "Open-Meteo archive: received now" in page


@pytest.mark.one_in(3)
@pytest.mark.parametrize(
    "spoiled",
    [
        lambda reply: status(404),
        lambda reply: status(500),
        lambda reply: html_page(),
        lambda reply: cut_off(reply, 300),
        lambda reply: json_reply({"hourly": {}}),
    ],
    ids=["404", "500", "html", "cut off", "empty"],
)
def test_without_a_sound_archive_nothing_is_estimated_and_that_is_said(
    ready: Runner, services: Services, spoiled: Fault
) -> None:
    ready("water", "set", "pond", *ALLOWED)
    serve_air(services, spoiled)
    done = ready("check", "pond", *TRIP, "--json")
    assert done.json["verdict"] == "UNKNOWN"
    assert "last twelve months is not known" in done.json["water_temperature"]["why_not"]
    assert "for the water temperature" in done.err


@pytest.mark.thorough
@pytest.mark.parametrize(("lacking", "known"), [(20, False), (10, True)])
def test_a_long_gap_is_unknown_and_a_short_one_is_bridged(
    ready: Runner, services: Services, lacking: int, known: bool
) -> None:
    # of twenty lacking days the forecast's past of 14 days closes only a part
    ready("water", "set", "pond", *ALLOWED)
    serve_air(services, lacking=lacking)
    assert (checked(ready)["water_temperature"]["value"] is not None) is known


def test_a_cell_without_air_as_far_out_at_sea_is_unknown(ready: Runner, services: Services) -> None:
    ready("water", "set", "pond", *ALLOWED)
    for first, last in missing_chunks((), TODAY):
        nothing = air(first, last, None)
        services.server.serve_where("/v1/archive", "start_date", first.isoformat(), nothing)
    assert checked(ready)["verdict"] == "UNKNOWN"


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("launch", "more", "why"),
    [
        ("44.9,-99.6", ("--excluded", "sea"), "connected with the sea"),
        ("44.9,-99.6", ("--excluded", "dam"), "below a dam"),
        ("44.9,-99.6", ("--elevation", "3000 m"), "3000 m"),
        ("44.9,-99.6", ("--depth", "40 m"), "25 m"),
        ("-37.5,-60.1", (), "degrees north"),
    ],
)
def test_where_it_can_never_be_estimated_the_air_is_not_even_asked_for(
    ready: Runner, services: Services, launch: str, more: tuple[str, ...], why: str
) -> None:
    ready("water", "add", "other", "--fetch", "N 300 m, E 300 m, S 300 m, W 300 m",
          "--launch", f"ramp={launch}")  # fmt: skip
    ready("water", "set", "other", *ALLOWED)
    ready("water", "set", "other", *more)
    told = ready("check", "other", *TRIP, "--json").json
    assert told["verdict"] in ("UNKNOWN", "NO-GO")
    assert why in told["water_temperature"]["why_not"]
    assert not any(asked.path == "/v1/archive" for asked in services.server.asked)


def test_an_outlook_gives_each_day_its_range(
    ready: Runner, services: Services, monkeypatch: pytest.MonkeyPatch
) -> None:
    from safety_check.use_cases import outlook

    monkeypatch.setattr(outlook, "datetime", Clock)
    ready("water", "set", "pond", *ALLOWED)
    told = ready("outlook", "pond", "--days", "2", "--hours", "2", "--json").json["waters"][0]
    ranges = [day["water_temperature"] for day in told["days"] if day["verdict"]]
    assert ranges
    assert all(one["value"] < one["warmest"] for one in ranges)
    assert any("ERA5" in credit for credit in told["credits"])
    shown = ready("outlook", "pond", "--days", "2", "--hours", "2").out
    assert "By day: Sat 13 Jun 7" in " ".join(shown.split())
    assert "best 2 h" in shown.split("\n\n")[1]  # still a table of 80 columns

"""How often a water was a GO, through the service's address over real sockets."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import jsonschema
import numpy as np
import pytest

from safety_check.report.schemas import schema_of
from safety_check.sources.http import pace
from tests.cli.conftest import Runner
from tests.sources.fake_server import Reply, json_reply, too_many
from tests.sources.fakes import Server

NOW = datetime.now(UTC)
YEARS = (NOW.year - 2, NOW.year - 1)
HERE = (44.9, -99.6)
UNITS = {
    "wind_speed_10m": "m/s", "wind_gusts_10m": "m/s", "wind_direction_10m": "°",
    "temperature_2m": "°C", "relative_humidity_2m": "%", "precipitation": "mm",
    "pressure_msl": "hPa",
}  # fmt: skip
TRIP = ("climate", "pond", "--craft", "mine", "--hours", "4", "--reach", "0.2 mi", "--years", "2")


def weather(year: int, windy: float = 12.0, place: tuple[float, float] = HERE) -> Reply:
    """Return a year of calm mornings and of afternoons that blow, local time near UTC-6."""
    start = np.datetime64(f"{year}-01-01T00", "s")
    time = np.arange(start, np.datetime64(f"{year + 1}-01-01T00", "s"), np.timedelta64(3600, "s"))
    hour = (time.astype("datetime64[h]").astype(int) - 6) % 24
    wind = np.where((hour >= 12) & (hour < 20), windy, 1.5)
    columns = {
        "wind_speed_10m": wind, "wind_gusts_10m": 1.3 * wind, "wind_direction_10m": 0 * wind + 200,
        "temperature_2m": 0 * wind + 29, "relative_humidity_2m": 0 * wind + 50,
        "precipitation": 0 * wind, "pressure_msl": 0 * wind + 1015,
    }  # fmt: skip
    return json_reply(
        {
            "latitude": place[0],
            "longitude": place[1],
            "elevation": 500.0,
            "utc_offset_seconds": 0,
            "hourly_units": {"time": "unixtime", **UNITS},
            "hourly": {
                "time": time.astype(int).tolist(),
                **{name: values.tolist() for name, values in columns.items()},
            },
        }
    )


@pytest.fixture
def archive(ready: Runner, monkeypatch: pytest.MonkeyPatch) -> Iterator[Server]:
    """Serve two past years; the pause between two requests is not waited for."""
    monkeypatch.setattr(pace.Pace, "reserve", lambda *_: 0.0)
    with Server() as server:
        ready("settings", "set", "services.open_meteo_reanalysis", server.url)
        for year in YEARS:
            server.serve_where("/v1/archive", "start_date", f"{year}-01-01", weather(year))
        yield server


def test_a_user_sees_which_hours_were_a_go_and_the_years_are_asked_for_once(
    ready: Runner, archive: Server, tmp_path: Path
) -> None:
    told = ready(*TRIP)
    assert told.status == 0
    text = " ".join(told.out.split())
    assert "100 % were a GO" in text
    assert "permit nothing" in text
    assert "Not in these figures" in text
    assert "thunderstorms: the record has neither lightning" in text
    assert "the temperature of the water: nobody measured it" in text
    assert "ERA5" in text
    assert max(map(len, told.out.splitlines())) <= 80
    assert len(archive.asked) == len(YEARS)
    assert archive.asked[0].query["models"] == "era5"
    page = tmp_path / "years.html"
    again = ready(*TRIP, "--json", "--page", page)
    assert len(archive.asked) == len(YEARS)  # stored for good
    said = again.json
    jsonschema.validate(said, schema_of("climate"))
    june = {entry["hour"]: entry for entry in said["by_hour"] if entry["month"] == 6}
    assert june[7]["trips"]["GO"] == 1.0
    assert june[14]["trips"]["NO-GO"] == 1.0
    assert june[2]["dark"] == 1.0
    assert said["years"] == list(YEARS)
    month = said["months"][5]
    assert month["go_days"] == {"mean": 1.0, "low": 1.0, "high": 1.0}
    assert {one["hazard"] for one in month["decides"]} >= {"wind_too_strong", "gusts_too_strong"}
    assert "mostly NO-GO" in page.read_text(encoding="utf-8")


@pytest.mark.thorough
def test_water_that_was_entered_or_estimated_counts(ready: Runner, archive: Server) -> None:
    cold = ready(*TRIP, "--years", "1", "--water-temp", "40 F", "--json").json
    assert cold["water_temperature"] == "entered"
    assert not any(entry["trips"]["GO"] for entry in cold["by_hour"])
    assert "the temperature of the water" not in {one["what"] for one in cold["not_counted"]}
    ready("water", "set", "pond", "--elevation", "500 m", "--estimate", "--depth", "pond",
          "--excluded", "none")  # fmt: skip
    mild = ready(*TRIP, "--years", "1", "--json").json
    assert len(archive.asked) == len(YEARS)  # an estimate needs the year before the first
    assert mild["water_temperature"] == "estimated"
    june = {entry["hour"]: entry["trips"] for entry in mild["by_hour"] if entry["month"] == 6}
    assert june[7]["GO"] == 1.0


@pytest.mark.parametrize(
    ("reply", "says"),
    [
        (too_many(86_400), "Open-Meteo archive"),
        (json_reply({"error": True, "reason": "no data here"}), "no data here"),
        (weather(YEARS[0], place=(10.0, 10.0)), "another place"),
        (json_reply(b'{"hourly": {'), "not complete JSON"),
    ],
)
def test_a_year_that_the_service_does_not_give_is_an_error_that_says_so(
    ready: Runner, archive: Server, reply: Reply, says: str
) -> None:
    archive.serve_where("/v1/archive", "start_date", f"{YEARS[0]}-01-01", reply)
    told = ready(*TRIP)
    assert told.status == 1
    assert says in " ".join(told.err.split())
    assert told.out == ""


@pytest.mark.parametrize(
    ("option", "value", "says"),
    [("--years", "0", "give from 1 to 40"), ("--hours", "4:30", "whole hours"),
     ("--hours", "30", "1 to 24")],
)  # fmt: skip
def test_what_can_not_be_asked_is_refused(
    ready: Runner, option: str, value: str, says: str
) -> None:
    told = ready(*TRIP, option, value)
    assert told.status in (1, 2)
    assert says in " ".join(told.err.split())


def test_a_damaged_file_is_asked_for_again(ready: Runner, archive: Server, home: Path) -> None:
    one = (*TRIP, "--years", "1", "--json")
    ready(*one)
    kept = sorted((home / "data" / "past_weather").glob("*.npz"))
    assert len(kept) == 1
    whole = kept[-1].read_bytes()
    kept[-1].write_bytes(whole[:-100])
    assert ready(*one).status == 0
    assert len(kept[-1].read_bytes()) == len(whole)


def test_a_tidal_water_says_that_its_movement_is_not_in_it(ready: Runner, archive: Server) -> None:
    ready("water", "set", "pond", "--kind", "tidal")
    said = ready(*TRIP, "--years", "1", "--json").json
    assert "tide, current, river and swell" in {one["what"] for one in said["not_counted"]}
    assert any(entry["trips"]["GO"] for entry in said["by_hour"])

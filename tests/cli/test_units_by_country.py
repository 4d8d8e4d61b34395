"""A check of a German water: its texts in German units, its JSON in SI, its choice shown."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from safety_check.use_cases.plan_request import PlanRequest
from safety_check.web import views
from safety_check.web.session import Session
from tests.cli import forecasts
from tests.cli.conftest import Run, Runner

GERMAN = (52.46, 9.33)
AS_OF = ("--as-of", "2026-06-12T20:00")
FROM = re.compile(r"caution from [\d.]+ (km/h|mph)")
NOTE = "because the water is in Germany"


@pytest.fixture
def see(ready: Runner) -> Runner:
    ready("water", "add", "see", "--fetch", "N 300 m, E 300 m, S 300 m, W 300 m",
          "--launch", f"steg={GERMAN[0]},{GERMAN[1]}")  # fmt: skip
    return ready


def check(run: Runner, water: str, folder: Path, *more: str, place: bool = True) -> Run:
    said = forecasts.answer(wind_speed_10m=4.5, wind_gusts_10m=6.0)
    if place:
        said |= {"latitude": GERMAN[0], "longitude": GERMAN[1]}
    return run("check", water, "--start", "2026-06-13T06:00", "--hours", 4, "--water-temp", "23 C",
               "--forecast", forecasts.write(folder, said), *AS_OF, *more)  # fmt: skip


def flat(part: object) -> list[float]:
    """Return every number in a document."""
    if isinstance(part, dict | list):
        parts = part.values() if isinstance(part, dict) else part
        return [number for inner in parts for number in flat(inner)]
    return [float(part)] if isinstance(part, int | float) else []


def unit_of(limits: str) -> str:
    """Return the unit of the first speed in a list of limits."""
    found = FROM.search(limits)
    return found[1] if found else ""


def plain(text: str) -> str:
    return " ".join(text.split())


def test_a_german_water_speaks_in_kilometres_and_celsius(see, tmp_path):
    said = plain(check(see, "see", tmp_path, "--full").out)

    assert NOTE in said
    assert "safety-check settings set units.wind Bft" in said
    assert "km/h" in said
    assert "°C" in said
    assert not re.search(r"\d (mph|ft|mi|°F)\b", said)


def test_the_short_report_shows_the_choice_too(see, tmp_path):
    assert NOTE in plain(check(see, "see", tmp_path).out)


def test_an_american_water_says_nothing_about_units(ready, tmp_path):
    said = plain(check(ready, "pond", tmp_path, "--full", place=False).out)

    assert "Units:" not in said
    assert "mph" in said


def test_json_is_in_si_whatever_the_units(see, tmp_path):
    first = check(see, "see", tmp_path, "--json").json
    see("settings", "set", "units.wind", "Bft")
    see("settings", "set", "units.wave", "ft")
    again = check(see, "see", tmp_path, "--json").json

    assert flat(first) == flat(again)
    assert any(math.isclose(number, 4.5) for number in flat(first))  # m/s, as forecast


def test_bft_can_be_chosen_and_limits_keep_their_exact_wind(see, tmp_path):
    see("settings", "set", "units.wind", "Bft")
    said = plain(check(see, "see", tmp_path, "--full").out)

    assert "wind, Bft" in said
    assert re.search(r"\d Bft \(\d+\.?\d* m/s\)", said)


def test_a_limit_may_be_set_in_bft(see):
    done = see("limits", "set", "wind", "--craft", "mine", "--marginal", "2 Bft", "--no-go",
               "3 Bft")  # fmt: skip

    assert done.status == 0, done.err
    [own] = see("settings", "show", "--json").json["limit"]
    assert (own["marginal"], own["no_go"]) == ("2 Bft", "3 Bft")


def test_an_old_check_of_a_german_water_repeats_to_the_letter(see, tmp_path):
    check(see, "see", tmp_path)

    assert see("history", "repeat", 1).status == 0


@pytest.mark.thorough
def test_the_page_follows_and_says_why(see, tmp_path):
    out = tmp_path / "page.html"
    said = forecasts.answer(wind_speed_10m=4.5, wind_gusts_10m=6.0)
    said |= {"latitude": GERMAN[0], "longitude": GERMAN[1]}
    see("page", "see", "--start", "2026-06-13T06:00", "--hours", 4, "--water-temp", "23 C",
        "--forecast", forecasts.write(tmp_path, said), *AS_OF, "--out", out)  # fmt: skip
    page = out.read_text(encoding="utf-8")

    assert NOTE in page
    assert "wind, km/h" in page


@pytest.fixture
def only_german(run: Runner) -> Runner:
    run("water", "add", "see", "--fetch", "N 300 m, E 300 m, S 300 m, W 300 m",
        "--launch", f"steg={GERMAN[0]},{GERMAN[1]}")  # fmt: skip
    run("craft", "add", "mine", "--class", "sit-on-top-kayak")
    return run


def test_the_limits_on_a_german_water_are_in_german_units_beside_others_elsewhere(see):
    there, anywhere = (see("limits", "show", *on).out for on in (("--water", "see"), ()))

    assert unit_of(there) == "km/h"
    assert NOTE in plain(there)
    assert unit_of(anywhere) == "mph"  # the user has waters of two countries


def test_where_all_waters_are_german_what_names_no_water_is_in_german_units(only_german):
    only_german("trip", "log", "see", "--began", "2021-06-13 09:00", "--wind", "12 mph")
    assert unit_of(only_german("limits", "show").out) == "km/h"
    assert "4.5 km/h in calm water" in plain(only_german("craft", "show", "mine").out)
    assert "19 km/h" in only_german("trip", "list").out


def test_what_the_user_sets_holds_without_a_water_too(only_german):
    only_german("settings", "set", "units.wind", "kt")

    assert " kt" in only_german("craft", "show", "mine").out


def test_the_forms_of_the_live_page_are_in_german_units(see, home, tmp_path):
    for name in ("pond", "large-lake"):
        (home / "waters" / f"{name}.geojson").unlink()
    said = forecasts.answer() | {"latitude": GERMAN[0], "longitude": GERMAN[1]}
    session = Session(forecasts.write(tmp_path, said), AS_OF[1])
    asked = PlanRequest(water="see", start="2026-06-13T06:00", hours="4", water_temperature="23 C")

    first, checked = views.home(session)["value"], views.result(session.check(asked))

    assert (first["water_temperature_unit"], first["from_shore_unit"]) == ("C", "m")
    assert checked["examples"]["no_go"] == "19 km/h, 0.61 m"
    assert checked["limit_value"]["no_go_unit"] == "km/h"

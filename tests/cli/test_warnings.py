"""Official warnings on the command line: a service's answer, the user's own word, or no GO."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from safety_check.sources.coverage import warnings_covered
from tests.cli import forecasts
from tests.cli.conftest import Runner
from tests.cli.terminal import run_on_terminal

SECTORS = "N 300 m, E 300 m, S 300 m, W 300 m"
# One invented launch in each of ten countries, none of them in the United States.
LAUNCHES = {
    "Canada": "50.1,-97.2",
    "Mexico": "20.3,-103.1",
    "Brazil": "-15.8,-47.8",
    "United Kingdom": "54.4,-2.9",
    "Germany": "53.4,12.7",
    "Finland": "61.5,28.2",
    "South Africa": "-25.7,27.8",
    "India": "18.8,73.4",
    "Japan": "35.2,136.1",
    "New Zealand": "-38.8,175.9",
}


def trip(folder: Path, point: str, *more: object) -> tuple[object, ...]:
    latitude, longitude = map(float, point.split(","))
    answer = forecasts.answer() | {"latitude": latitude, "longitude": longitude}
    file = forecasts.write(folder, answer)
    return ("pond", "--start", "2026-06-13T12:00", "--hours",
            2, "--water-temp", "74 F", "--forecast", file, *more)  # fmt: skip


@pytest.fixture
def traveller(run: Runner) -> Runner:
    run("paddler", "set", "--life-jacket", "worn", "--wearing", "none", "--company", "group",
        "--light", "yes")  # fmt: skip
    run("craft", "add", "mine", "--class", "sit-on-top-kayak")
    run("settings", "set", "odds.dressing", "false")
    return run


@pytest.mark.one_in(6)
@pytest.mark.parametrize("country", LAUNCHES)
def test_without_a_word_on_warnings_no_country_gets_a_go(
    traveller: Runner, tmp_path: Path, country: str
) -> None:
    point = LAUNCHES[country]
    traveller("water", "add", "pond", "--fetch", SECTORS, "--launch", f"ramp={point}")
    noon = ("--as-of", "2026-06-12T22:00")
    nobody = traveller("check", *trip(tmp_path, point, *noon), "--json")
    assert nobody.status == 20
    assert "Nobody has read the official warnings" in nobody.json["findings"][0]["reason"]
    word = ("--warnings", "none", "--read-at", "20:10")
    assert traveller("check", *trip(tmp_path, point, *noon, *word)).status == 0


def test_the_word_is_printed_in_the_head_and_stored_with_the_check(
    traveller: Runner, tmp_path: Path
) -> None:
    traveller("water", "add", "pond", "--fetch", SECTORS, "--launch", "ramp=54.4,-2.9")
    arguments = trip(tmp_path, "54.4,-2.9", "--as-of", "2026-06-12T22:00")
    done = traveller("check", *arguments, "--warnings", "none", "--read-at", "20:10")
    head = " ".join(done.out.split(" hours ")[0].split())
    assert "Official warnings: none, by your own word" in head
    assert "Fri" in head
    assert "20:10" in head
    assert traveller("recheck", "--offline", "--as-of", "2026-06-13T07:30").status == 0


@pytest.mark.parametrize(
    ("given", "message"),
    [
        (("--warnings", "none"), "belongs together"),
        (("--read-at", "20:10"), "belongs together"),
        (("--warnings", "none", "--read-at", "2026-06-14 08:10"), "in the future"),
        (("--warnings", "none", "--read-at", "soon"), "is not a time"),
    ],
)
def test_half_a_word_is_refused(
    traveller: Runner, tmp_path: Path, given: tuple[str, ...], message: str
) -> None:
    traveller("water", "add", "pond", "--fetch", SECTORS, "--launch", "ramp=54.4,-2.9")
    done = traveller("check", *trip(tmp_path, "54.4,-2.9", "--as-of", "2026-06-12T22:00"), *given)
    assert done.status == 2
    assert message in done.err


@pytest.mark.thorough
def test_a_terminal_asks_for_the_word(traveller: Runner, tmp_path: Path, home: Path) -> None:
    traveller("water", "add", "pond", "--fetch", SECTORS, "--launch", "ramp=54.4,-2.9")
    arguments = ["check", *trip(tmp_path, "54.4,-2.9", "--as-of", "2026-06-12T22:00")]
    status, printed = run_on_terminal(home, arguments, ["", "20:10"])
    assert status == 0, printed
    assert "when did you read them" in printed
    assert "by your own word" in printed


@pytest.mark.thorough
def test_the_word_is_in_the_json_and_on_the_page(
    traveller: Runner, tmp_path: Path, home: Path
) -> None:
    traveller("water", "add", "pond", "--fetch", SECTORS, "--launch", "ramp=54.4,-2.9")
    arguments = trip(tmp_path, "54.4,-2.9", "--as-of", "2026-06-12T22:00")
    word = ("--warnings", "none", "--read-at", "20:10")
    told = traveller("check", *arguments, *word, "--json").json
    (origin,) = [entry for entry in told["provenance"] if "your own word" in entry["source"]]
    assert origin["issued"] == "2026-06-12T19:10:00Z"  # 20:10 by the water's clock
    page = tmp_path / "page.html"
    assert traveller("page", *arguments, *word, "--out", page).status == 0
    assert "Official warnings: none, by your own word, read on Fri 12 Jun 20:10." in page.read_text(
        encoding="utf-8"
    )


def test_a_word_of_yesterday_counts_no_more(traveller: Runner, tmp_path: Path) -> None:
    traveller("water", "add", "pond", "--fetch", SECTORS, "--launch", "ramp=54.4,-2.9")
    arguments = trip(tmp_path, "54.4,-2.9", "--as-of", "2026-06-12T22:00")
    just = traveller("check", *arguments, "--warnings", "none", "--read-at", "10:00")
    assert just.status == 0
    old = traveller("check", *arguments, "--warnings", "none", "--read-at", "09:59")
    assert old.status == 20
    assert "Nobody has read the official warnings" in old.out
    assert "Official warnings: none" not in old.out


@pytest.mark.thorough
def test_a_re_check_asks_for_the_word_where_nobody_s_counts(
    traveller: Runner, tmp_path: Path, home: Path
) -> None:
    traveller("water", "add", "pond", "--fetch", SECTORS, "--launch", "ramp=54.4,-2.9")
    arguments = trip(tmp_path, "54.4,-2.9", "--as-of", "2026-06-12T22:00")
    assert traveller("check", *arguments).status == 20
    again = ["recheck", "--offline", "--as-of", "2026-06-13T07:30"]
    nothing_seen = [""] * 6
    status, printed = run_on_terminal(home, again, [*nothing_seen, "07:00"])
    assert status == 0, printed
    assert "when did you read them" in printed
    assert "read on Sat 13 Jun 07:00" in " ".join(printed.split())
    status, printed = run_on_terminal(home, again, nothing_seen)
    assert status == 0, printed  # the word is stored with the check
    assert "when did you read them" not in printed


def test_an_outlook_says_to_which_hour_warnings_reach(traveller: Runner, tmp_path: Path) -> None:
    traveller("water", "add", "pond", "--fetch", SECTORS, "--launch", "ramp=54.4,-2.9")
    file = trip(tmp_path, "54.4,-2.9")[-1]
    ahead = ("outlook", "pond", "--days", 3, "--water-temp", "74 F", "--forecast", file,
             "--as-of", "2026-06-12T05:00")  # fmt: skip
    word = ("--warnings", "none", "--read-at", "04:00")
    told = " ".join(traveller(*ahead, *word).out.split())
    assert "Official warnings known now reach to Sun 14 Jun 04:00." in told
    assert re.search(r"Sun 14 Jun GO .* warnings .*not .*issued .*yet", told)
    days = traveller(*ahead, *word, "--json").json["waters"][0]
    assert days["warnings_until"] == "2026-06-14T03:00:00Z"
    assert [day["beyond_warnings"] for day in days["days"]] == [False, False, True]
    nobody = traveller(*ahead)
    assert "warnings known now" not in nobody.out
    assert "warnings not issued yet" not in nobody.out


def test_only_places_of_an_alert_service_are_covered() -> None:
    covered = [country for country, at in LAUNCHES.items()
               if warnings_covered(*map(float, at.split(",")))]  # fmt: skip
    assert set(covered) == LAUNCHES.keys() - {"South Africa", "India", "Japan"}


@pytest.mark.parametrize(("day", "told"), [("2026-06-13", False), ("2026-06-14", True)])
def test_a_check_says_where_warnings_are_not_issued_yet(
    traveller: Runner, tmp_path: Path, day: str, told: bool
) -> None:
    traveller("water", "add", "pond", "--fetch", SECTORS, "--launch", "ramp=54.4,-2.9")
    file = trip(tmp_path, "54.4,-2.9")[-1]
    done = traveller("check", "pond", "--start", f"{day}T10:00", "--hours", 3, "--water-temp",
                     "74 F", "--forecast", file, "--as-of", "2026-06-12T05:00", "--warnings",
                     "none", "--read-at", "04:00")  # fmt: skip
    said = " ".join(done.out.split())
    assert said.startswith("GO")
    assert ("issued only until Sun 04:00. Check again then." in said) == told

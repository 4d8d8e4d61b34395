"""A water whose temperature may be estimated: declared, estimated, said, stored, lost."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from safety_check.model.water_estimate import DailyAir
from safety_check.settings.settings import load_settings
from safety_check.store.air_days import place_of
from safety_check.store.store import Store
from tests.cli import forecasts
from tests.cli.conftest import Runner

CHECK = ("--as-of", "2026-06-12 09:00", "--start", "2026-06-12 10:00", "--hours", "4")
ALLOWED = ("--elevation", "500 m", "--estimate", "--depth", "pond", "--excluded", "none")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return forecasts.write(tmp_path)


def store_air(warmest: float, until: date = date(2026, 6, 20), days: int = 760) -> None:
    """Store invented air, warmest in late July. [degC]"""
    day = np.datetime64(until) - np.arange(days)[::-1]
    number = (day - day.astype("datetime64[Y]")).astype(int)
    air = 273.15 + warmest - 12 + 12 * np.cos(2 * np.pi * (number - 205) / 365)
    with Store.open(load_settings().folders.data) as store:
        store.save_air(place_of(44.9, -99.6), DailyAir(day, air, np.zeros(days)),
                       np.ones(days, dtype=bool))  # fmt: skip


def check(ready: Runner, file: Path, *more: str):
    return ready("check", "pond", "--forecast", file, *CHECK, "--json", *more)


def test_an_estimate_is_used_only_where_it_is_allowed(ready: Runner, file: Path) -> None:
    store_air(24.0)
    assert check(ready, file).status == 40
    assert ready("water", "set", "pond", *ALLOWED).status == 0
    done = check(ready, file)
    water = done.json["water_temperature"]
    assert done.status == 20
    assert water["source"] == "estimated from air temperature"
    assert 273.15 < water["value"] < water["warmest"] < 310
    assert water["value"] < water["enough"] < water["warmest"]
    said = " ".join(ready("check", "pond", "--forecast", file, *CHECK).out.split())
    assert "°F or more makes it a GO" in said
    assert ready("water", "set", "pond", "--no-estimate").status == 0
    assert check(ready, file).status == 40


@pytest.mark.promise("an estimate is a range")
def test_a_warm_year_is_a_go_a_cold_one_is_not_and_a_lost_one_is_unknown(
    ready: Runner, file: Path, home: Path
) -> None:
    ready("water", "set", "pond", *ALLOWED)
    done = check(ready, file)
    assert done.status == 40
    assert "last twelve months is not known" in done.json["water_temperature"]["why_not"]
    store_air(36.0)
    assert check(ready, file).status == 0


def test_a_very_cold_year_is_a_no_go(ready: Runner, file: Path) -> None:
    ready("water", "set", "pond", *ALLOWED)
    store_air(4.0)
    assert check(ready, file).status == 30


@pytest.mark.one_in(3)
@pytest.mark.promise("an estimate is a range")
@pytest.mark.parametrize(
    "more",
    [
        ("--excluded", "dam"),
        ("--excluded", "melt", "--excluded", "sea"),
        ("--depth", "deep"),
        ("--depth", "40 m"),
        ("--elevation", "3000 m"),
    ],
)
def test_an_exclusion_never_permits(ready: Runner, file: Path, more: tuple[str, ...]) -> None:
    store_air(36.0)
    ready("water", "set", "pond", *ALLOWED)
    assert check(ready, file).status == 0
    assert ready("water", "set", "pond", *more).status == 0
    assert check(ready, file).status == 40


def test_a_measurement_is_used_and_repeats_to_the_digit(ready: Runner, file: Path) -> None:
    store_air(36.0)
    ready("water", "set", "pond", *ALLOWED)
    check(ready, file)
    assert ready("history", "repeat", "1", "--json").json["same"] is True
    done = check(ready, file, "--water-temp", "50 F")
    assert done.status == 30
    assert done.json["water_temperature"]["warmest"] is None


def test_an_outlook_says_the_range(ready: Runner, file: Path) -> None:
    store_air(24.0)
    ready("water", "set", "pond", *ALLOWED)
    done = ready("outlook", "pond", "--forecast", file, "--as-of", "2026-06-12 09:00",
                 "--days", "2", "--hours", "3")  # fmt: skip
    assert "Water estimated from air temperature" in " ".join(done.out.split())


def test_what_is_set_is_shown_and_what_is_wrong_is_said(ready: Runner) -> None:
    assert "not deep" in ready("water", "set", "pond", "--estimate", "--depth", "Not deep",
                               "--excluded", "none").out  # fmt: skip
    shown = ready("water", "set", "pond", "--depth", "7 m", "--excluded", "melt").out
    assert "mean depth 7 m" in shown
    assert "glacier" in shown
    assert "glacier" not in ready("water", "set", "pond", "--excluded", "none").out
    for wrong, why in (
        ((), "nothing was changed"),
        (("--excluded", "swans"), "swans"),
        (("--depth", "puddle"), "depth"),
    ):
        refused = ready("water", "set", "pond", *wrong)
        assert refused.status in (1, 2)
        assert why in refused.err
    refused = ready("water", "set", "large lake", "--estimate")
    assert "say how deep" in refused.err
    refused = ready("water", "set", "large lake", "--estimate", "--depth", "pond")
    assert (refused.status, "--excluded none" in refused.err) == (2, True)
    assert "estimated" not in ready("water", "show", "large lake").out
    refused = ready("water", "set", "large lake", "--depth", "pond")
    assert "Add --estimate" in refused.err

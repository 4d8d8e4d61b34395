"""The advice as people and programs read it."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache

import jsonschema
import pytest

from safety_check.model.verdict import Verdict
from safety_check.report import json as report
from safety_check.report.advice import advice_paragraphs
from safety_check.report.layout import Layout
from safety_check.report.schemas import schema_of
from safety_check.report.terminal import add_verdict
from safety_check.report.words import duration
from safety_check.store.serialize import deserialize, serialize
from safety_check.units import Preferences
from tests import invented_lake as lake
from tests import scenes

PREFER = Preferences()
LAKE = lake.open_water(most=20)
WINDY = scenes.forecast({"wind_speed": 12.0, "wind_speed_of_gust": 16.0})
SCENES = {
    "calm pond": lambda: scenes.verdict(),
    "route on a lake": lambda: scenes.verdict(
        trip=lake.plan((900.0, 800.0), (2600.0, 800.0)), water=LAKE
    ),
    "blown back": lambda: scenes.verdict(WINDY, lake.plan(), LAKE),
    "no wind known": lambda: scenes.verdict(
        scenes.without(scenes.forecast(), "wind_speed"), water=LAKE
    ),
    "no water temperature": lambda: scenes.verdict(trip=scenes.plan(water_temperature=None)),
    "hot water": lambda: scenes.verdict(trip=scenes.plan(water_temperature=302.0)),
    "ice water": lambda: scenes.verdict(trip=scenes.plan(water_temperature=272.0)),
    "too short": lambda: scenes.verdict(trip=lake.plan((1000.0, 1900.0), hours=0.3), water=LAKE),
}


@cache
def told(name: str) -> Verdict:
    return SCENES[name]()


def text(verdict: Verdict, preferences: Preferences = PREFER) -> str:
    return "\n".join(line for _, lines in advice_paragraphs(verdict, preferences) for line in lines)


@pytest.mark.one_in(2)
@pytest.mark.parametrize("name", SCENES)
def test_every_verdict_tells_of_home_of_fishing_and_of_trouble(name: str) -> None:
    said = dict(advice_paragraphs(told(name), PREFER))
    assert list(said) == ["Getting home", "Fishing", "If you can't paddle, or fall in"]
    for lines in said.values():
        assert lines
        for line in lines:
            assert line.endswith(".")
            assert not {"nan", "inf"} & set(line.replace(",", " ").split())


@pytest.mark.parametrize("name", SCENES)
def test_the_report_keeps_to_80_columns(name: str) -> None:
    layout = Layout()
    add_verdict(told(name), PREFER, layout)
    assert max(map(len, layout.text.splitlines())) <= 80


@pytest.mark.one_in(4)
@pytest.mark.parametrize("name", SCENES)
def test_the_json_holds_the_same_and_fits_its_schema(name: str) -> None:
    said = json.loads(report.text(told(name), "0", 0))
    jsonschema.validate(said, schema_of("report"))
    assert said["advice"]["getting_home"]["home_by"]
    assert len(said["advice"]["adrift"]) == 2


@pytest.mark.parametrize("name", SCENES)
def test_a_stored_verdict_is_the_same_when_it_is_read_again(name: str) -> None:
    assert text(deserialize(Verdict, serialize(told(name)))) == text(told(name))


def test_a_verdict_of_an_older_version_has_no_advice_and_is_still_shown() -> None:
    old = replace(told("calm pond"), advice=None)
    assert advice_paragraphs(old, PREFER) == []
    assert json.loads(report.text(old, "0", 0))["advice"] is None


def test_the_time_to_turn_back_is_in_the_waters_own_time() -> None:
    assert "Turn back by 14:5" in text(told("calm pond"))  # the trip ends at 15:00 there
    assert "You cannot get back" in text(told("too short"))
    assert "is not known" in text(told("no wind known"))


def test_no_headway_is_written_in_words_and_not_as_a_number() -> None:
    said = text(told("blown back"))
    assert "no headway" in said
    assert "You make no headway" in said


def test_the_legs_of_a_route_are_listed_with_their_speed() -> None:
    assert "1.1 mi to the W at" in text(told("route on a lake"))


def test_the_users_own_units_are_spoken() -> None:
    metric = Preferences("km/h", "m", "km", "C")
    said = text(told("route on a lake"), metric)
    assert "1.6-3.2 km/h" in said
    assert "mi " not in said
    assert "°C" in said


def test_an_unknown_water_temperature_is_reported_with_the_way_to_enter_it() -> None:
    assert "--water-temp" in text(told("no water temperature"))


def test_cold_shock_is_not_mentioned_for_warm_water() -> None:
    assert "cold shock" not in text(told("hot water"))
    assert "cold shock" in text(told("ice water"))
    assert "even a drysuit may not be enough" in text(told("ice water"))


def test_a_span_is_written_as_people_say_it() -> None:
    assert [duration(value) for value in (59.0, 3600.0, 5400.0, 45_000.0)] == [
        "1 min", "1 h", "1 h 30 min", "12 h",
    ]  # fmt: skip

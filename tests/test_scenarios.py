"""The situations in tests/scenarios get the verdicts that they say they must."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from safety_check.units import MILE_PER_HOUR, kelvin
from tests import scenes

FOLDER = Path(__file__).parent / "scenarios"


def _weather(said: dict[str, float]) -> dict[str, float]:
    return {
        "wind_speed": said["wind"] * MILE_PER_HOUR,
        "wind_speed_of_gust": said.get("gust", float("nan")) * MILE_PER_HOUR,
        "air_temperature": kelvin(said["air"], "F"),
        "weather_code": said.get("code", 1.0),
        "visibility_in_air": said.get("visibility", 20_000.0),
    }


def _paddler(said: dict[str, Any]) -> scenes.Paddler:
    told = {key: None if word == "undeclared" else word for key, word in said.items()}
    return replace(scenes.READY, **told)


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.toml")), ids=lambda path: path.stem)
def test_a_situation_gets_its_verdict(path: Path) -> None:
    told = tomllib.loads(path.read_text(encoding="utf-8"))
    craft = told["paddler"].pop("craft", "sit-on-top-kayak")
    trip = scenes.plan(
        craft=craft,
        paddler=_paddler(told["paddler"]),
        water_temperature=kelvin(told["weather"]["water"], "F"),
    )
    water = scenes.open_water(told["place"]["fetch"], from_shore=told["place"]["shore"])
    verdict = scenes.verdict(scenes.forecast(_weather(told["weather"])), trip, water)
    assert str(verdict.severity) == told["verdict"], [
        finding.reason for finding in verdict.findings if finding.severity > 0
    ]

"""The words for what a newer check changes."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from safety_check.model.changes import Changes, ForecastChange, SeverityChange
from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Severity
from safety_check.report.newer import describe_newer
from safety_check.units import Preferences
from tests import scenes

NOTHING = Changes(
    since=scenes.NOW,
    before=Severity.GO,
    alone=Severity.GO,
    after=Severity.GO,
    turns=(),
    hazards=(),
    moves=(),
    sights=(),
    same_forecast=True,
    forecast_age=timedelta(hours=1),
    warned=(),
    ended=(),
    silent=(),
    speaking=(),
    water_temperature=None,
)
WINDIER = ForecastChange("wind_speed_high", scenes.START, 4.0, 5.788)  # by 4 mph
CALMER = ForecastChange(
    "sea_surface_wave_significant_height_high", scenes.START, 0.4, 0.095
)  # 1 ft


def said(prefer: Preferences = Preferences(), **changed: Any) -> str:  # noqa: B008 - frozen
    clock = LocalClock.of(scenes.plan())
    return describe_newer(replace(NOTHING, **changed), prefer, clock)


def test_where_nothing_is_newer_nothing_is_said() -> None:
    assert said() == ""


def test_a_newer_forecast_that_changes_the_verdict_is_said_with_its_cause_first() -> None:
    text = said(same_forecast=False, moves=(WINDIER, CALMER), after=Severity.MARGINAL)
    assert text == (
        "A newer forecast: wind up 4 mph at 10:00, waves down 1.0 ft at 10:00."
        " Verdict now MARGINAL, was GO."
    )


def test_differences_of_wind_are_never_in_beaufort() -> None:
    text = said(Preferences(wind="Bft", distance="km"), same_forecast=False, moves=(WINDIER,))
    assert "wind up 6 km/h at 10:00" in text
    assert text.endswith("The verdict is still GO.")


def test_a_newer_forecast_that_changes_little_is_said_too() -> None:
    assert said(same_forecast=False) == "A newer forecast changes little. The verdict is still GO."


@pytest.mark.parametrize(
    ("changed", "part"),
    [
        ({"warned": ("Gale Warning",)}, "New official warning: Gale Warning."),
        ({"ended": ("Gale Warning",)}, "No longer in force: Gale Warning."),
        ({"silent": ("Open-Meteo",)}, "No longer answering: Open-Meteo."),
        ({"speaking": ("Open-Meteo",)}, "Answering again: Open-Meteo."),
    ],
)
def test_warnings_and_services_are_said(changed: dict[str, Any], part: str) -> None:
    assert said(**changed) == f"{part} The verdict is still GO."


def test_hours_that_change_without_the_verdict_are_not_passed_over() -> None:
    turn = SeverityChange(
        scenes.START, scenes.START + timedelta(hours=1), Severity.GO, Severity.MARGINAL
    )
    assert "hours of the trip changed" in said(turns=(turn,))

"""The signs to leave the water by are the verdict's own numbers, in every form of the report."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from safety_check.model.place import OpenWater
from safety_check.report import json as json_report
from safety_check.report.leave_signs import LEAVE_TITLE, leave_lines
from safety_check.report.page import page
from safety_check.units import Preferences
from tests import scenes
from tests.report.reading import Reader

BREEZE = {"wind_speed": 5.8, "wind_speed_of_gust": 8.0}


def shore_in_the_north() -> OpenWater:
    """Return a launch with a shore 50 m north of it, and 10 km of open water to the south."""
    bearings = np.arange(0.0, 360.0, 5.0)
    north = np.cos(np.radians(bearings)) > 0.3
    fetch = np.where(north, 50.0, 10_000.0)[:, None]
    whole = scenes.open_water(10_000.0, from_shore=400.0)
    return replace(whole, fetch=fetch)


def test_the_wind_to_leave_in_is_the_caution_that_the_forecast_stays_below() -> None:
    signs = scenes.verdict().leave_signs
    assert signs is not None
    bounds = [hour.bounds["wind_speed"] for hour in scenes.verdict().hours]
    assert signs.wind == pytest.approx(min(caution for caution, _ in bounds))
    assert signs.whitecaps == (signs.wind <= 5.5)


def test_where_the_caution_is_reached_the_no_go_is_the_sign() -> None:
    verdict = scenes.verdict(scenes.forecast(BREEZE))
    assert verdict.leave_signs is not None
    caution, no_go = verdict.hours[0].bounds["wind_speed"]
    assert caution < verdict.leave_signs.wind <= no_go


def test_a_wind_that_would_blow_off_the_shore_is_named_by_its_points() -> None:
    onshore = scenes.forecast({"wind_from_direction": 180.0})
    verdict = scenes.verdict(onshore, water=shore_in_the_north())
    assert verdict.leave_signs is not None
    assert verdict.leave_signs.offshore == (0.0, 45.0, 315.0)
    said = " ".join(leave_lines(verdict, Preferences()))
    assert "A wind from N, NE or NW: here it blows off the shore." in said
    already = scenes.verdict(
        scenes.forecast({"wind_from_direction": 0.0}), water=shore_in_the_north()
    )
    assert already.leave_signs is not None
    assert already.leave_signs.offshore == ()


def test_text_page_and_json_carry_the_signs_of_a_go_and_none_of_a_no_go() -> None:
    verdict = scenes.verdict()
    lines = leave_lines(verdict, Preferences())
    assert any(line.startswith("Wind of") for line in lines)
    assert any("Thunder" in line for line in lines)
    assert any("turned back by" in line for line in lines)
    read = Reader(page.render_page(verdict, scenes.settings()))
    assert LEAVE_TITLE in read.text
    assert all(line in read.text for line in lines)
    part = json.loads(json_report.text(verdict, "0", 0))["leave_signs"]
    assert datetime.fromisoformat(part["by"]).tzinfo == UTC or part["by"].endswith("Z")
    refused = scenes.verdict(scenes.forecast({"wind_speed": 15.0, "wind_speed_of_gust": 20.0}))
    assert leave_lines(refused, Preferences()) == []
    assert json.loads(json_report.text(refused, "0", 0))["leave_signs"] is None

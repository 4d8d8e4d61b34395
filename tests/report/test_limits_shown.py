"""One limit, one number: text, page, chart, tables and JSON agree, and no rounding loosens it."""

from __future__ import annotations

import html
import json
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.arrays import to_utc
from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Finding, HourVerdict, Severity, Verdict
from safety_check.report import json as json_report
from safety_check.report.advice import round_down
from safety_check.report.hour_limits import LEVELS, NAMES, describe_limits, limit_text
from safety_check.report.layout import Layout
from safety_check.report.page.chart import build_chart
from safety_check.report.page.page import render_page
from safety_check.report.page.page_reasons import explain
from safety_check.report.terminal import add_verdict
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import UnitsTable
from safety_check.units import KINDS, Preferences, in_unit, parse, show, show_limit
from tests import scenes
from tests.properties import cases

WINDS, WAVES = ("mph", "km/h", "kt", "m/s"), ("ft", "m")
LEVEL = {Severity.MARGINAL: 0, Severity.NO_GO: 1, Severity.GO: 0}


SEEDS = st.integers(0, 2**32 - 1)


def reader(wind: str, wave: str) -> Settings:
    """Return settings of a user who reads in some units."""
    own = scenes.settings()
    units = UnitsTable.model_validate({"wind": wind, "wave": wave})
    return replace(own, user=own.user.model_copy(update={"units": units}))


def random_verdict(seed: int) -> tuple[Verdict, Settings]:
    """Return a verdict on winds that change every hour, and its reader."""
    rng = np.random.default_rng(seed)
    made = scenes.forecast(*({} for _ in range(rng.integers(1, 4))))
    shape = made.quantities["wind_speed"].shape
    wind = rng.uniform(0.0, rng.choice([4.0, 8.0, 14.0]), shape)
    made.quantities["wind_speed"][:] = wind
    made.quantities["wind_speed_of_gust"][:] = wind * rng.uniform(1.1, 1.8, shape)
    made.quantities["wind_from_direction"][:] = rng.uniform(0.0, 360.0, shape)
    fetch, from_shore = rng.choice([300.0, 2000.0, 10_000.0]), rng.choice([50.0, 400.0, 1500.0])
    water = scenes.open_water(float(fetch), from_shore=float(from_shore))
    trip = scenes.plan(water_temperature=float(rng.choice([281.0, 289.0, 296.15])))
    own = reader(str(rng.choice(WINDS)), str(rng.choice(WAVES)))
    return scenes.verdict(made, trip, water, own), own


def hourly(verdict: Verdict) -> list[tuple[Finding, HourVerdict]]:
    """Return each finding on wind, gusts or waves with the hours that have its very bound."""
    by_time = {hour.time: hour for hour in verdict.hours}
    found = []
    for finding in verdict.findings:
        if finding.quantity in NAMES and finding.severity in LEVEL:
            level = LEVEL[finding.severity]
            hours = [by_time[to_utc(time)] for time in finding.hours]
            same = [hour for hour in hours if hour.bounds[finding.quantity][level] == finding.bound]
            assert same, f"{finding.reason}: no hour of it has the bound {finding.bound}"
            found.append((finding, same[0]))
    return found


@pytest.mark.thorough
@cases(200)
@given(SEEDS)
def test_every_limit_shown_is_the_limit_of_its_hour(seed: int) -> None:
    verdict, own = random_verdict(seed)
    require_no_limit_loosened(verdict)
    units = own.preferences
    said = json.loads(json_report.text(verdict, "0", 0))
    facts = {reason.text: dict(reason.facts) for reason in explain(verdict, own)}
    items = {item["hazard"]: item for item in said["findings"]}
    for finding, hour in hourly(verdict):
        number = limit_text(finding.bound, finding.quantity, units)
        opened = facts[finding.reason]
        assert number in finding.reason or finding.severity == Severity.GO
        assert opened.get("Limit here", number).startswith(f"{number} (") or np.isinf(finding.bound)
        item = items[finding.hazard]
        assert item["limit"] == (finding.bound if np.isfinite(finding.bound) else None)
        limits = said["hours"][verdict.hours.index(hour)]["limits"][finding.quantity]
        level = ("marginal", "no_go")[LEVEL[finding.severity]]
        assert limits[level] == item["limit"]


def limits_of_the_hours(verdict: Verdict, units: Preferences) -> set[tuple[str, str, str]]:
    """Return quantity, level and the text of each limit that holds in some hour."""
    return {
        (quantity, level, limit_text(hour.bounds[quantity][at], quantity, units))
        for hour in verdict.around
        for quantity in NAMES
        for at, level in enumerate(LEVELS)
    }


@pytest.mark.thorough
@cases(60)
@given(SEEDS)
def test_chart_tables_text_and_page_name_only_limits_of_the_hours(seed: int) -> None:
    verdict, own = random_verdict(seed)
    units, clock = own.preferences, LocalClock.of(verdict.plan)
    true = limits_of_the_hours(verdict, units)
    for quantity, panel in zip(NAMES, build_chart(verdict, units).panels, strict=True):
        figures = {(level, text.split()[0]) for name, level, text in true if name == quantity}
        said = " ".join(mark.text for mark in (*panel.marks, *panel.steps))
        assert set(re.findall(r"(caution|no-go) ([\d.]+)", said)) == figures
    layout = Layout()
    add_verdict(verdict, units, layout)
    text = " ".join(layout.text.split())
    shown = " ".join(re.sub(r"<[^>]*>", " ", render_page(verdict, own)).split())
    for hours, whole in ((verdict.hours, text), (verdict.around, html.unescape(shown))):
        for line in describe_limits(hours, units, clock):
            assert line in whole
            quantity = next(key for key, name in NAMES.items() if line[:4] == name[:4])
            named = re.findall(r"(caution|no-go) from ([\d.]+ \S+?)(?=[,;.]? |[,;.]?$)", line)
            assert named
            assert {(quantity, *value) for value in named} <= true


def require_no_limit_loosened(verdict: Verdict) -> None:
    """Require that no limit of an hour is shown looser than it is, in any unit of a reader."""
    for hour in verdict.around:
        for quantity in NAMES:
            length = quantity == "sea_surface_wave_significant_height"
            kind, names = ("length", WAVES) if length else ("speed", WINDS)
            for bound in filter(np.isfinite, hour.bounds[quantity]):
                for unit in names:
                    figure, name = show_limit(bound, kind, unit).split()
                    # A number typed in this unit comes back as typed, despite binary fractions.
                    assert name == unit
                    assert float(figure) <= in_unit(bound, kind, unit) + 1e-6


def test_a_limit_that_steps_is_labelled_at_each_step_with_its_cause() -> None:
    made = scenes.forecast({"wind_speed": 3.0, "wind_speed_of_gust": 4.0})
    hours = scenes.plan(paddler=replace(scenes.READY, company="alone"))
    verdict = scenes.verdict(made, hours)
    layout = Layout()
    add_verdict(verdict, Preferences(), layout)
    text = " ".join(layout.text.split())
    bounds = verdict.hours[0].bounds["wind_speed"]
    assert verdict.hours[0].lowered_by["wind_speed"] == ("alone",)
    assert (
        f"Wind limits: 10:00 to 16:00 caution from {limit_text(bounds[0], 'wind', Preferences())}"
        in text
    )
    assert "(lowered: alone)" in text


# -- rounding ------------------------------------------------------------------------------------


@cases(500)
@given(st.floats(0.01, 100.0), st.sampled_from(["speed", "length", "temperature"]), st.data())
def test_no_rounding_of_a_limit_loosens_it(value: float, kind: str, data: st.DataObject) -> None:
    unit = data.draw(st.sampled_from(KINDS[kind]))
    value = value + 250.0 if kind == "temperature" else value
    exact = in_unit(value, kind, unit)
    for worse, safe in (("higher", float.__le__), ("lower", float.__ge__)):
        figure = float(show_limit(value, kind, unit, worse).split()[0])
        assert safe(figure, exact) or figure == pytest.approx(exact, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("unit", WINDS)
def test_a_limit_that_was_typed_is_shown_as_typed(unit: str) -> None:
    for number in range(1, 60):
        text = f"{number} {unit}"
        assert show_limit(parse(text, "speed", "limit"), "speed", unit) == text


def test_small_waves_and_distances_keep_the_digits_that_matter() -> None:
    assert (show(0.45, "length", "m"), show(0.15, "length", "m")) == ("0.45 m", "0.15 m")
    assert show(parse("1/4 mi", "length", "reach"), "length", "mi") == "0.25 mi"
    assert show_limit(0.45, "length", "m") == "0.45 m"


@pytest.mark.promise("turn back in time")
@given(st.datetimes())
def test_a_time_to_turn_back_is_never_later_than_computed(moment: datetime) -> None:
    exact = moment.replace(tzinfo=UTC, year=2026, day=min(moment.day, 28))
    shown = round_down(exact)
    assert timedelta(0) <= exact - shown < timedelta(minutes=5)
    assert shown.minute % 5 == shown.second == 0

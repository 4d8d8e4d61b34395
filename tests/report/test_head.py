"""The head of a report is the whole decision, and fits at every width."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from safety_check.model.craft import Paddler
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity, Verdict
from safety_check.report.answer import BODY, add_answer
from safety_check.report.head import fit_head, most_lines
from safety_check.report.layout import Layout
from safety_check.report.one_line import one_line
from safety_check.settings.user_file import LimitTable
from safety_check.units import Preferences
from tests import scenes

MOST = {40: 12, 60: 10, 80: 8}
WINDY = {"wind_speed": 9.0, "wind_speed_of_gust": 13.0}
BREEZE = {"wind_speed": 5.8, "wind_speed_of_gust": 8.0}
LONG = "The lake behind the mill that nobody has given a short name so far, northern arm"


def renamed(plan: Plan) -> Plan:
    water = replace(plan.water, name=LONG)
    return replace(plan, water=water, launch=replace(plan.launch, name=LONG), reach_assumed=True)


def loosened() -> Verdict:
    own = scenes.settings(
        LimitTable(
            quantity="wind_speed",
            craft="sit-on-top-kayak",
            no_go="40 mph",
            marginal="30 mph",
            loosen=True,
        ),
        LimitTable(
            quantity="wind_speed_of_gust",
            craft="sit-on-top-kayak",
            no_go="50 mph",
            marginal="40 mph",
            loosen=True,
        ),
    )
    return scenes.verdict(scenes.forecast(BREEZE), renamed(scenes.plan()), own=own)


VERDICTS: dict[str, Callable[[], Verdict]] = {
    "go": scenes.verdict,
    "go, long names": lambda: scenes.verdict(trip=renamed(scenes.plan())),
    "go, overnight": lambda: scenes.verdict(trip=scenes.plan(hours=20, night=True)),
    "marginal": lambda: scenes.verdict(scenes.forecast(BREEZE)),
    "marginal, long names": lambda: scenes.verdict(
        scenes.forecast(BREEZE), renamed(scenes.plan()), scenes.LARGE_LAKE
    ),
    "no-go": lambda: scenes.verdict(scenes.forecast(WINDY)),
    "no-go on a large lake": lambda: scenes.verdict(
        scenes.forecast(WINDY), renamed(scenes.plan()), scenes.LARGE_LAKE
    ),
    "two days": lambda: scenes.verdict(scenes.forecast(WINDY), scenes.plan(hours=30)),
    "nothing declared": lambda: scenes.verdict(trip=scenes.plan(paddler=Paddler())),
    "no water temperature": lambda: scenes.verdict(trip=scenes.plan(water_temperature=None)),
    "no wind": lambda: scenes.verdict(scenes.without(scenes.forecast(), "wind_speed")),
    "loosened": loosened,
    "no life jacket": lambda: scenes.verdict(
        trip=scenes.plan(paddler=replace(scenes.READY, life_jacket="none"))
    ),
}


@pytest.mark.one_in(2)
@pytest.mark.parametrize("scene", VERDICTS)
def test_the_head_fits_and_says_verdict_place_reason_and_times(scene: str) -> None:
    verdict = VERDICTS[scene]()
    for width, most in MOST.items():
        layout = Layout(width)
        for text in fit_head(verdict, Preferences(), width):
            layout.paragraph(text)
        assert most_lines(width) == most
        assert len(layout.lines) <= most, layout.text
        assert max(map(len, layout.lines)) <= width
        said = " ".join(layout.lines)
        assert said.startswith(f"{verdict.severity}: ")
        assert verdict.plan.water.name[:10] in said
        assert "Off the water by" in said
        assert "forecast" in said.casefold()
        if verdict.severity > Severity.GO:
            assert verdict.findings[0].short.split()[0] in said
        if verdict.loosened:
            assert "loosened" in said


@pytest.mark.one_in(2)
@pytest.mark.parametrize("scene", VERDICTS)
def test_hours_and_reasons_of_the_short_report_take_fifteen_lines_at_most(scene: str) -> None:
    verdict = VERDICTS[scene]()
    layout = Layout(80)
    add_answer(verdict, Preferences(), layout)
    begins = (" hours", "Also", "Why")
    table = next(at for at, line in enumerate(layout.lines) if line.startswith(begins))
    after = ("Leave the water", "Before you launch", "Local regulations")
    end = next(at for at, line in enumerate(layout.lines) if line.startswith(after))
    assert end - table + 1 <= BODY + 1


@pytest.mark.one_in(3)
@pytest.mark.parametrize("width", [40, 60, 80])
def test_no_line_of_the_short_report_is_wider_than_the_terminal(width: int) -> None:
    for scene in VERDICTS.values():
        layout = Layout(width)
        add_answer(scene(), Preferences(), layout)
        assert max(map(len, layout.lines)) <= width


def test_a_go_keeps_the_life_jacket_the_float_plan_and_the_second_look() -> None:
    layout = Layout(80)
    add_answer(scenes.verdict(), Preferences(), layout)
    said = " ".join(" ".join(layout.lines).split())
    for part in ("life jacket", "when you will be back", "Look again", "Local regulations"):
        assert part in said


def test_the_head_names_the_water_s_temperature_its_source_and_the_forecast_s_age() -> None:
    verdict = scenes.verdict()
    said = " ".join(fit_head(verdict, Preferences(), 80))
    assert "Newest forecast: 2 h old." in " ".join(said.split()).replace("120 min", "2 h")
    assert "Water 73 °F, as you entered it." in said
    water = scenes.observation("water_temperature", 290.0, at=scenes.NOW - timedelta(hours=3))
    seen = scenes.verdict(trip=scenes.plan(water_temperature=None), observations=[water])
    assert seen.water is not None
    said = " ".join(fit_head(seen, Preferences(), 80))
    assert "Water 62 °F" in said
    assert "3 h old" in said


def test_one_line_can_be_sent_as_a_text_message() -> None:
    for scene in VERDICTS.values():
        said = one_line(scene(), Preferences())
        assert len(said) <= 160, said
        assert re.match(r"(GO|MARGINAL|UNKNOWN|NO-GO) \d\d:\d\d-", said)
        assert "wind " in said


def test_the_end_of_the_plan_is_not_explained_by_a_danger_that_comes_later() -> None:
    verdict = scenes.verdict()
    assert verdict.advice is not None
    for later, explained in ((timedelta(hours=3), False), (timedelta(hours=-1), True)):
        by = verdict.plan.end + later
        advice = replace(verdict.advice, off_the_water_by=by, because=("wind_too_strong",))
        head = " ".join(fit_head(replace(verdict, advice=advice), Preferences(), 80))
        assert "Off the water by" in head
        assert ("wind too strong" in head) is explained

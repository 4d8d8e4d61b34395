"""The chart of the hours: it draws what the verdict says, and nothing crosses its words."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given

from safety_check.model.verdict import Verdict
from safety_check.report.hour_limits import LEVELS, limit_text
from safety_check.report.page.chart import build_chart, build_charts
from safety_check.report.page.chart_paper import PAPERS, Box, Mark
from safety_check.report.page.chart_parts import Chart, Titled
from safety_check.report.page.page import render_page
from safety_check.units import Preferences
from safety_check.use_cases.sample import check_sample
from tests import afloat, scenes
from tests.properties import cases
from tests.report.test_limits_shown import SEEDS, random_verdict

METRIC = Preferences("km/h", "m", "km", "C")
WIND = "wind_speed"
Steps = dict[int, tuple[tuple[float, float], tuple[str, ...]]]
# Wind limits that fall twice within a day, as a rulebook with all its reductions lowers them.
STEPS: Steps = {
    10: ((4.4, 5.7), ("alone",)),
    16: ((3.4, 4.3), ("alone", "cold water", "the wind blows off the shore")),
    24: ((4.9, 6.5), ()),
}


def stepped(steps: Steps = STEPS) -> Verdict:
    """Return a verdict whose wind limits change in the course of the day."""
    verdict = scenes.verdict(scenes.forecast({}, {"wind_speed": 4.0}))
    around = []
    for number, hour in enumerate(verdict.around):
        bounds, causes = next(step for last, step in steps.items() if number < last)
        around.append(
            replace(
                hour,
                bounds={**hour.bounds, WIND: bounds},
                lowered_by={WIND: causes} if causes else {},
            )
        )
    return replace(verdict, around=tuple(around))


SCENES: dict[str, Callable[[], Verdict]] = {
    "the sample": lambda: check_sample()[1],
    "a calm day": scenes.verdict,
    "limits that change": stepped,
    "two days": lambda: scenes.verdict(trip=scenes.plan(hours=48, night=True)),
    "a tide": lambda: afloat.verdict(afloat.plan(), afloat.tidal(1.2)),
    "gusts not known": lambda: scenes.verdict(
        scenes.without(scenes.forecast(), "wind_speed_of_gust")
    ),
}


# -- nothing crosses a word --------------------------------------------------------------------


def words_of(chart: Chart) -> Iterator[tuple[Mark, bool]]:
    """Yield every word outside of a bar, and whether it is bold; values at their longest."""
    paper, head = chart.paper, chart.head
    yield from ((head.at, True), (head.trip_mark, True))
    parts: list[Titled] = [*chart.panels, chart.odds]
    for part in parts:
        longest = max(part.values, key=paper.text_width)
        yield from ((part.title, True), (replace(part.at, text=longest), True))
    for panel in chart.panels:
        yield from ((mark, False) for mark in (*panel.marks, *panel.steps, *panel.ticks))
    yield from ((mark, False) for mark in chart.foot.clock)


def grid_boxes(path: str) -> Iterator[Box]:
    for x, y, end in re.findall(r"M([\d.]+) ([\d.]+)H([\d.]+)", path):
        yield Box(float(x), float(y), float(end) - float(x), 0.01)


def require_free_words(chart: Chart) -> None:
    """Require that each word of a chart has its own room on the paper, and no line in it."""
    paper = chart.paper
    boxes = [(mark, mark.box(paper, bold)) for mark, bold in words_of(chart)]
    for mark, box in boxes:
        assert -0.1 <= box.x <= paper.width - box.width + 0.1, mark.text
        assert 0 <= box.y <= chart.height - box.height, mark.text
    for (one, box), (other, beside) in combinations(boxes, 2):
        assert not box.meets(beside), f"{one.text} | {other.text}"
    for panel in chart.panels:
        lines = [*panel.taken, *grid_boxes(panel.grid)]
        for mark in (*panel.marks, *panel.steps):
            assert not any(mark.box(paper).meets(line) for line in lines), mark.text


@pytest.mark.one_in(6)
@pytest.mark.parametrize("scene", SCENES.values(), ids=SCENES)
@pytest.mark.parametrize("preferences", [Preferences(), METRIC], ids=["mph", "metric"])
def test_nothing_crosses_a_word(scene: Callable[[], Verdict], preferences: Preferences) -> None:
    for chart in build_charts(scene(), preferences):
        require_free_words(chart)


@pytest.mark.thorough
@cases(60)
@given(SEEDS)
def test_nothing_crosses_a_word_whatever_the_wind(seed: int) -> None:
    verdict, own = random_verdict(seed)
    for chart in build_charts(verdict, own.preferences):
        require_free_words(chart)


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_each_step_of_a_limit_is_labelled_with_its_cause(paper: object) -> None:
    chart = next(one for one in build_charts(stepped(), Preferences()) if one.paper is paper)
    wind = chart.panels[0]
    marks = sorted((*wind.marks, *wind.steps), key=lambda mark: mark.y)
    said = " ".join(mark.text for mark in marks)
    for bounds, causes in STEPS.values():
        for level, bound in zip(LEVELS, bounds, strict=True):
            assert f"{level} {limit_text(bound, WIND, Preferences()).split()[0]}" in said
        assert not causes or "alone" in said
    assert "alone, cold water, offshore wind" in said
    assert wind.no_go.count("L") == len(wind.values) - 1  # one line of steps, hour by hour


def test_a_limit_that_changes_each_hour_leaves_its_words_to_the_sentences() -> None:
    each_hour: Steps = {hour: ((4.0 + 0.1 * hour, 6.0 + 0.1 * hour), ()) for hour in range(1, 25)}
    chart = build_chart(stepped(each_hour), Preferences())
    require_free_words(chart)
    assert [mark.text for mark in chart.panels[0].steps] == ["Limits change often: listed below."]


# -- time --------------------------------------------------------------------------------------


def test_the_clock_has_a_figure_each_two_or_three_hours() -> None:
    for verdict in (scenes.verdict(), check_sample()[1]):
        for chart in build_charts(verdict, Preferences()):
            hour = chart.hours[0].width
            apart = {round((b.x - a.x) / hour) for a, b in pairwise(chart.foot.clock)}
            assert apart <= {2, 3}


def test_a_long_plan_has_its_days_as_bands_and_a_line_at_midnight() -> None:
    for chart in build_charts(SCENES["two days"](), Preferences()):
        bars = chart.foot.days.bars
        assert [bar.text[:3] for bar in bars] == ["Sat", "Sun", "Mon"]
        assert chart.midnights == tuple(bar.x for bar in bars[1:])
        assert sum(bar.width for bar in bars) == pytest.approx(chart.paper.plot, abs=0.3)


@pytest.mark.thorough
def test_each_hour_has_its_verdict_and_values_in_words() -> None:
    _, verdict = check_sample()
    for chart in build_charts(verdict, Preferences(), chosen=15):
        parts: list[Titled] = [*chart.panels, chart.odds]
        assert {len(part.values) for part in parts} == {len(verdict.around)}
        assert chart.head.said[15] == "15:00 NO-GO"
        assert [part.values[15] for part in chart.panels[:3]] == ["SW 16-19", "27", "1.1-1.2"]
    text = render_page(verdict, check_sample()[0])
    assert text.count('class="cursor"') == len(PAPERS) + 1  # and the legend


# -- what is drawn -----------------------------------------------------------------------------


def _heights(path: str) -> list[float]:
    return [float(match) for match in re.findall(r"[ML][\d.]+ ([\d.]+)", path)]


def test_a_stronger_wind_is_drawn_higher_and_nothing_leaves_its_panel() -> None:
    _, verdict = check_sample()
    picture = build_chart(verdict, Preferences()).panels[0]
    heights = _heights(picture.middle)
    winds = [hour.shown["wind_speed"] for hour in verdict.around]
    for (low, high), (a, b) in zip(pairwise(heights), pairwise(winds), strict=True):
        assert np.sign(low - high) in (np.sign(b - a), 0)
    assert all(picture.top <= height <= picture.bottom for height in heights)


def test_hours_of_which_nothing_is_known_are_marked_and_not_drawn() -> None:
    forecast = scenes.forecast()
    gusts = forecast.quantities["wind_speed_of_gust"].copy()
    gusts[:, 41:43] = np.nan
    verdict = scenes.verdict(
        replace(forecast, quantities={**forecast.quantities, "wind_speed_of_gust": gusts})
    )
    picture = build_chart(verdict, Preferences())
    wind, gust = picture.panels[:2]
    assert not wind.unknown
    assert [unknown_item.x for unknown_item in gust.unknown] == [
        span.x
        for span, hour in zip(picture.hours, verdict.around, strict=True)
        if np.isnan(hour.shown["wind_speed_of_gust"])
    ]
    assert gust.middle.count("M") == 2
    assert not re.search(r"\bnan\b", render_page(verdict, scenes.settings()))


def test_a_limit_that_can_not_be_chosen_is_not_drawn() -> None:
    hours = [replace(hour, bounds={}) for hour in scenes.verdict().around]
    picture = build_chart(replace(scenes.verdict(), around=tuple(hours)), Preferences())
    assert {panel.no_go + panel.caution for panel in picture.panels} == {""}


def test_a_trip_over_night_names_its_days() -> None:
    picture = build_chart(scenes.verdict(trip=scenes.plan(hours=30)), Preferences())
    assert picture.head.trip_mark.text == "planned trip Sat 10:00-Sun 16:00"


def test_daylight_and_dark_share_the_whole_axis() -> None:
    picture = build_chart(scenes.verdict(), Preferences())
    (light,) = picture.head.light.bars
    assert "daylight 05:5" in light.text  # the sun of mid-June at 45° N, in local time
    widths = sum(item.width for item in (*picture.head.light.bars, *picture.head.dark))
    assert widths == pytest.approx(picture.paper.plot, abs=0.5)  # places are rounded to 0.1


def test_an_older_verdict_without_the_hours_around_is_drawn_from_its_own() -> None:
    verdict = replace(scenes.verdict(), around=(), daylight=())
    picture = build_chart(verdict, Preferences())
    assert len(picture.hours) == len(verdict.hours)
    assert picture.head.dark == picture.head.light.bars == ()
    assert render_page(verdict, scenes.settings())


def test_odds_fill_their_panel_in_every_hour() -> None:
    _, verdict = check_sample()
    picture = build_chart(verdict, Preferences())
    for span in picture.hours:
        heights = [
            share.height
            for share in picture.odds.blocks
            if share.x <= span.middle < share.x + share.width
        ]
        assert sum(heights) == pytest.approx(picture.paper.odds, abs=0.3)  # rounding

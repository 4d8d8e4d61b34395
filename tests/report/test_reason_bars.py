"""The reasons of the page as bars: each says the same as its finding."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest

from safety_check.model.verdict import Severity, Verdict
from safety_check.report.page.hazard_names import name_of
from safety_check.report.page.page import render_page
from safety_check.report.page.page_reasons import (
    Reason,
    explain,
    group_reasons,
    sort_within,
)
from safety_check.report.page.reason_bars import ANCHOR, LENGTH
from safety_check.report.page.unweighed import list_unweighed
from safety_check.rules.hazards import HAZARDS
from safety_check.use_cases.sample import check_sample
from tests import scenes
from tests.assess.test_water_estimate import judged
from tests.report.reading import Reader
from tests.report.test_every_reason import OFFSHORE, SCENES, verdict_of


def reasons_of(verdict: Verdict) -> list[Reason]:
    return explain(verdict, scenes.settings())


@pytest.fixture(scope="module")
def all_reasons() -> list[Reason]:
    """Return every reason of a scene for every hazard."""
    return [reason for hazard in SCENES for reason in reasons_of(verdict_of(hazard))]


def edges(reason: Reason) -> Iterator[tuple[Severity, float]]:
    """Yield the marks of a bar."""
    assert reason.bar is not None
    if reason.bar.caution is not None:
        yield Severity.MARGINAL, reason.bar.caution
    if reason.bar.no_go is not None:
        yield Severity.NO_GO, reason.bar.no_go


def test_a_bar_ends_beyond_exactly_the_limits_that_its_severity_says(
    all_reasons: list[Reason],
) -> None:
    drawn = [reason for reason in all_reasons if reason.bar and not reason.estimated]
    assert {reason.severity for reason in drawn} >= {Severity.GO, Severity.MARGINAL, Severity.NO_GO}
    for reason in drawn:
        assert reason.bar is not None
        assert 0 <= reason.bar.value <= LENGTH
        for level, edge in edges(reason):
            if reason.severity >= level:
                assert reason.bar.value >= edge, reason.text
            else:
                assert reason.bar.value <= edge, reason.text
        assert sum(length for _, _, length in reason.bar.parts) == pytest.approx(
            reason.bar.value, abs=0.3
        )  # places are rounded to 0.1


def test_the_last_limit_stands_at_one_place(all_reasons: list[Reason]) -> None:
    last = {max(edges(reason))[1] for reason in all_reasons if reason.bar}
    assert last == {ANCHOR}


def test_a_line_has_the_numbers_of_its_finding(all_reasons: list[Reason]) -> None:
    for reason in all_reasons:
        facts = dict(reason.facts)
        assert reason.hours == facts["Hours"]
        if not reason.estimated:
            assert reason.value == facts.get("Value", "")
        if reason.limit and "Limit here" in facts:
            figure = facts["Limit here"].split(" (")[0]
            assert figure in reason.limit
        if reason.bar and reason.severity > Severity.GO:
            assert reason.limit, reason.text


def test_what_has_no_number_has_a_line_without_a_bar(all_reasons: list[Reason]) -> None:
    for name in ("Life jacket worn", "Thunder forecast", "Alone or in company"):
        (line,) = {
            (one.value, one.bar) for one in all_reasons if one.name == name and one.severity > 0
        }
        assert line[0]
        assert line[1] is None


def test_every_name_is_a_noun_of_few_words() -> None:
    for hazard in HAZARDS:
        name = name_of(hazard.name, hazard.weighs)
        assert not re.match("Whether|How|The ", name)
        assert len(name) <= 35


def test_wind_gusts_and_offshore_wind_are_one_group() -> None:
    windy = scenes.forecast({"wind_speed": 9.0, "wind_speed_of_gust": 13.0})
    verdict = scenes.verdict(windy, water=OFFSHORE)
    weighty = [reason for reason in reasons_of(verdict) if reason.severity > Severity.GO]
    (wind,) = (group for group in group_reasons(weighty) if group[0].group == "Wind")
    assert {reason.name for reason in wind} == {"Wind speed", "Gust speed", "Offshore wind speed"}
    assert sum(map(len, group_reasons(weighty))) == len(weighty)


def test_what_stays_within_is_sorted_by_margin_and_wears_no_badge() -> None:
    settings, verdict = check_sample()
    near, others = sort_within(explain(verdict, settings))
    shares = [one.bar.nearness for one in near if one.bar]
    assert shares == sorted(shares, reverse=True)
    assert len(shares) == len(near) > 10
    text = render_page(verdict, settings)
    inside = text[text.index('class="rest"') : text.index('class="unweighed"')]
    assert "#shape-go" not in inside
    assert f"{len(near) + len(others)} other hazards were weighed" in text
    for one in near:
        used = next(finding for finding in verdict.findings if finding.reason == one.text)
        if one.used and used.limit and used.limit.worse == "higher":
            assert int(one.used.split()[0]) >= 100 * used.value / used.bound - 1e-6
        assert one.used != "100 %"


def test_what_was_not_asked_never_counts_as_within() -> None:
    ready = replace(scenes.READY, within_capacity=None)
    for paddler, asked in ((ready, False), (replace(ready, within_capacity=True), True)):
        verdict = scenes.verdict(trip=scenes.plan(paddler=paddler))
        near, others = sort_within(reasons_of(verdict))
        names = {one.name for one in (*near, *others)}
        unweighed = dict(list_unweighed(verdict))
        assert ("Load above the capacity" in names) is asked
        assert ("Load above the capacity" in unweighed) is not asked
        assert not names & set(unweighed)
        assert unweighed["River gauge"] == "still water"
        assert len(names) + len(unweighed) == len(HAZARDS)
        said = Reader(render_page(verdict, scenes.settings())).text
        assert f"{len(unweighed)} not asked or not applicable here" in said


def test_an_estimated_water_shows_its_range_and_its_own_drawing() -> None:
    verdict = judged(14.0, 25.0).verdict
    water = next(one for one in reasons_of(verdict) if one.estimated)
    assert water.value == "57 °F to 77 °F"
    assert render_page(verdict, scenes.settings()).count('class="water-band"') == 1

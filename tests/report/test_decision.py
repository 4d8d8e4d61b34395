"""The first screen: the decision in lines, the hours in words, what would change it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from safety_check.assess.verdict import judge
from safety_check.conditions.case import Case
from safety_check.model.verdict import Severity, Verdict
from safety_check.report.page.changes import NO_CHANGE, NOT_ASKED, changes_of
from safety_check.report.page.decision import NO_SHORE, decision_lines, whole_trip_lines
from safety_check.report.page.hour_strip import build_rows
from safety_check.settings.settings import Settings
from safety_check.units import Preferences
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from tests import scenes, six_pages


@pytest.fixture(scope="module")
def judged(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Settings, Verdict]]:
    folder = tmp_path_factory.mktemp("waters")
    return {name: six_pages.judged(name, folder) for name in six_pages.CASES}


Judged = dict[str, tuple[Settings, Verdict]]


def test_the_six_pages_are_what_they_are_called(judged: Judged) -> None:
    for name in ("GO", "MARGINAL", "NO-GO", "UNKNOWN"):
        assert str(judged[name][1].severity) == name
    assert len(judged["48 h"][1].hours) >= 48
    assert judged["great lake"][1].plan.water.name == "Invented Inland Sea"


def test_the_lines_say_when_why_where_and_until_when(judged: Judged) -> None:
    verdict = judged["NO-GO"][1]
    lines = dict(decision_lines(verdict))
    assert lines["When"] == "GO 10:00 to 12:00."
    assert lines["Why"].startswith("Wind reaches 19 mph between 15:00 and 16:00; the limit for")
    assert "NO-GO: 13:00 to 16:30. And 5 more." in lines["Why"]
    assert lines["Lee"].lower() == verdict.lee.lower() != ""
    assert lines["Back"].startswith("Off the water by 13:00")
    assert lines["Back"].endswith("turn back by 12:20.")


def test_days_are_named_beyond_midnight(judged: Judged) -> None:
    settings, verdict = judged["48 h"]
    assert (
        dict(decision_lines(verdict))["When"]
        == "GO Sat 06:00 to Sat 11:00, Sun 06:00 to Sun 11:00."
    )
    labels = [row.label for row in build_rows(verdict, settings.preferences)]
    assert [label for label in labels if " " in label] == [
        "Sat 00:00", "Sat 10:00", "Sun 00:00", "Mon 00:00"
    ]  # fmt: skip


def test_no_safe_hours_and_no_shore_are_said() -> None:
    blind = scenes.verdict(scenes.without(scenes.forecast(), "wind_speed_of_gust"))
    lines = dict(decision_lines(blind))
    assert lines["When"] == "No hours around the plan are GO or MARGINAL."
    assert lines["Lee"] == NO_SHORE
    windy = scenes.verdict(scenes.forecast({"wind_speed": 6.0, "wind_speed_of_gust": 8.5}))
    assert dict(decision_lines(windy))["When"].startswith(
        "No hours around the plan are GO. MARGINAL "
    )


def test_what_holds_for_the_whole_trip_is_said_once() -> None:
    bare = scenes.plan(paddler=replace(scenes.READY, life_jacket="none"))
    windy = scenes.forecast({"wind_speed": 9.0, "wind_speed_of_gust": 12.0})
    verdict = scenes.verdict(windy, bare)
    said = [dict(decision_lines(verdict))["Why"], *whole_trip_lines(verdict)]
    assert sum("life jacket" in sentence for sentence in said) == 1
    rows = [row for row in build_rows(verdict, Preferences()) if row.in_trip]
    assert all("life jacket" not in row.more for row in rows)
    assert all("Because: wind too strong" in row.more for row in rows)


def test_the_first_screen_names_what_is_not_known_without_a_command_line() -> None:
    windy = scenes.forecast({"wind_speed": 9.0, "wind_speed_of_gust": 12.0})
    told = replace(scenes.briefing(windy), warnings_read=())
    case = Case(scenes.plan(), told, scenes.POND, scenes.settings(), load_trust())
    said = whole_trip_lines(judge(case, load_rulebook()))
    assert said == ["Nobody has read the official warnings for this place, so it cannot be a GO."]


# -- what would change it ----------------------------------------------------------------------


def test_each_alternative_is_a_row_with_its_verdict(judged: Judged) -> None:
    settings, verdict = judged["great lake"]
    rows = changes_of(verdict, settings.preferences)
    assert verdict.alternatives
    assert [row.number for row in rows] == list(range(len(verdict.alternatives)))
    assert [row.severity for row in rows] == [one.severity for one in verdict.alternatives]
    assert rows[-1].text == "Within 100 yd of the shore"
    assert rows[-1].reason.startswith("Wind reaches 13 mph")


def test_a_trip_that_may_begin_names_the_wind_that_would_end_it(judged: Judged) -> None:
    settings, verdict = judged["GO"]
    (row,) = changes_of(verdict, settings.preferences)
    assert row.text.startswith("No longer GO with wind of 12.3 mph, gusts of 17.8 mph")
    settings, verdict = judged["MARGINAL"]
    assert changes_of(verdict, settings.preferences)[-1].text.startswith("NO-GO with wind of 15.4")


def test_what_is_not_known_is_to_be_found_out(judged: Judged) -> None:
    settings, verdict = judged["UNKNOWN"]
    rows = changes_of(verdict, settings.preferences)
    gaps = [gap for gap in verdict.unknown if gap.severity == Severity.UNKNOWN]
    assert len(rows) == len(gaps) > 0
    assert rows[0].text.startswith("Gust speed: not known from 10:00 to 15:00")


def test_where_nothing_helps_and_where_nobody_looked_it_says_so() -> None:
    windy = scenes.verdict(scenes.forecast({"wind_speed": 9.0, "wind_speed_of_gust": 12.0}))
    assert [row.text for row in changes_of(windy, Preferences())] == [NOT_ASKED]
    tried = replace(windy, alternatives=())
    assert [row.text for row in changes_of(tried, Preferences())] == [NO_CHANGE]

"""The first reason is what made the verdict, and what was loosened is repeated."""

from __future__ import annotations

from dataclasses import replace

import pytest

from safety_check.model.verdict import Finding, Severity
from safety_check.model.weather import SourceFailure
from safety_check.rules.ranking import (
    MISSING_SOURCE,
    SEVERAL_TOGETHER,
    UNREAD_WARNING,
    find_missing_sources,
    rank_findings,
)
from safety_check.settings.user_file import LimitTable
from tests import scenes

SILENT = SourceFailure("official warnings", "no answer within 10 s", ("alerts",))


def test_a_verdict_held_by_a_missing_source_says_so_first() -> None:
    verdict = scenes.verdict(silences=[SILENT])
    assert verdict.severity == Severity.MARGINAL
    first = verdict.findings[0]
    assert first.hazard == MISSING_SOURCE
    assert "official warnings" in first.reason
    assert all(hour.because == (MISSING_SOURCE,) for hour in verdict.hours)


def test_a_source_that_covers_other_places_is_no_reason() -> None:
    elsewhere = SourceFailure("official warnings", "no answer", ("alerts",), applies=False)
    verdict = scenes.verdict(silences=[elsewhere])
    assert verdict.severity == Severity.GO
    assert MISSING_SOURCE not in [one.hazard for one in verdict.findings]


@pytest.mark.parametrize(
    ("member", "hazard"),
    [
        ({"wind_speed": 9.0, "wind_speed_of_gust": 9.0}, "wind_too_strong"),
        ({"weather_code": 95.0}, "thunderstorm"),
        ({"visibility_in_air": 1500.0}, "fog"),
    ],
)
def test_a_value_beyond_its_limit_comes_before_missing_data(
    member: dict[str, float], hazard: str
) -> None:
    given = scenes.without(scenes.forecast(member), "air_pressure_at_mean_sea_level")
    verdict = scenes.verdict(given, silences=[SILENT])
    assert verdict.findings[0].hazard == hazard


@pytest.mark.promise("the worst counts")
@pytest.mark.parametrize(
    ("worse", "better"),
    [
        (Severity.NO_GO, Severity.UNKNOWN),
        (Severity.UNKNOWN, Severity.MARGINAL),
        (Severity.MARGINAL, Severity.GO),
    ],
)
def test_of_two_findings_the_worse_decides(worse: Severity, better: Severity) -> None:
    sky = {
        Severity.NO_GO: {"weather_code": 95.0},
        Severity.UNKNOWN: {"wind_speed": float("nan")},
        Severity.MARGINAL: {"visibility_in_air": 1500.0},
        Severity.GO: {},
    }
    assert scenes.severity_of(scenes.forecast(sky[better])) == better
    both = scenes.forecast({**sky[better], **sky[worse]})
    assert scenes.severity_of(both) == worse


@pytest.mark.promise("the worst counts")
def test_the_first_finding_always_has_the_severity_of_the_verdict() -> None:
    for given in (scenes.forecast(), scenes.without(scenes.forecast(), "wind_speed")):
        for silences in ([], [SILENT]):
            verdict = scenes.verdict(given, silences=silences)
            assert verdict.findings[0].severity == verdict.severity


def test_what_only_all_together_explain_comes_after_a_hazard_that_decides_alone() -> None:
    one = scenes.verdict().findings[0]
    bad = replace(one, severity=Severity.NO_GO, value=1.0, odds=0.15)
    together = replace(bad, hazard=SEVERAL_TOGETHER, odds=0.4)
    missing = replace(bad, hazard="missing", value=float("nan"), odds=1.0)
    milder = replace(bad, hazard="milder", severity=Severity.MARGINAL, odds=1.0)
    ranked = rank_findings([milder, together, missing, bad])
    assert ranked == (bad, missing, together, milder)


def test_among_equals_unread_warnings_come_first_then_odds_then_length() -> None:
    one = scenes.verdict().findings[0]
    assert len(one.hours) > 1
    bad = replace(one, severity=Severity.MARGINAL, value=1.0, odds=0.3)
    likely = replace(bad, odds=0.31)
    short = replace(bad, hours=bad.hours[:1])
    unread = replace(bad, hazard=UNREAD_WARNING, value=float("nan"), odds=0.1)
    read = replace(unread, value=1.0)
    assert rank_findings([short, bad, likely, read, unread]) == (unread, likely, bad, short, read)
    assert rank_findings([bad, short]) == (bad, short)


def test_each_source_without_an_answer_is_named_once() -> None:
    others = [
        SILENT,
        SILENT,
        SourceFailure("a buoy", "no answer", ("wind_speed",)),
        SourceFailure("elsewhere", "no answer", ("wind_speed",), applies=False),
    ]
    briefing = replace(scenes.briefing(), silences=tuple(others))
    hours = scenes.verdict().findings[0].hours
    [finding] = find_missing_sources(briefing, hours)
    assert finding.reason == (
        "No full answer from official warnings, a buoy: without it the verdict cannot be GO."
    )
    assert finding.severity == Severity.MARGINAL
    assert finding.odds == 1.0
    assert (finding.hours == hours).all()
    assert find_missing_sources(scenes.briefing(), hours) == []


LOOSE = LimitTable(
    craft="sit-on-top-kayak", quantity="wind_speed", no_go="25 mph", marginal="20 mph", loosen=True
)


def find(verdict: object, hazard: str) -> Finding:
    return next(one for one in verdict.findings if one.hazard == hazard)  # type: ignore[attr-defined]


def test_loosened_limits_are_said_on_a_go() -> None:
    windy = scenes.forecast({"wind_speed": 8.2, "wind_speed_of_gust": 8.3})
    own = scenes.settings(
        LOOSE,
        LOOSE.model_copy(update={"quantity": "wind_speed_of_gust"}),
    )
    verdict = scenes.verdict(windy, own=own)
    assert find(verdict, "wind_too_strong").severity == Severity.GO
    assert len(verdict.loosened) == 2
    assert "wind speed" in verdict.loosened[0]
    assert "no-go from 25 mph (default from 15.4 mph)" in verdict.loosened[0]
    assert not scenes.verdict(windy).loosened


def test_a_raised_tolerance_is_said_on_every_verdict() -> None:
    assert "20 %" in scenes.verdict(own=scenes.settings(tolerance=0.2)).loosened[0]
    assert not scenes.verdict(own=scenes.settings(tolerance=0.05)).loosened

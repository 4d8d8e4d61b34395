"""A load above the maker's capacity forbids a trip; the cautions name what no weather shows."""

from __future__ import annotations

from dataclasses import replace

import pytest

from safety_check.model.verdict import Severity
from safety_check.rules.cautions import list_cautions
from tests import scenes


def trip(within_capacity: bool | None):
    return scenes.plan(paddler=replace(scenes.READY, within_capacity=within_capacity))


def test_a_load_above_the_capacity_is_a_no_go_with_its_reason() -> None:
    verdict = scenes.verdict(trip=trip(False))

    assert verdict.severity == Severity.NO_GO
    assert verdict.findings[0].hazard == "overloaded"
    assert "capacity" in verdict.findings[0].reason


@pytest.mark.parametrize("declared", [True, None])
def test_a_load_within_the_capacity_or_not_declared_changes_nothing(declared: bool | None) -> None:
    verdict = scenes.verdict(trip=trip(declared))

    [finding] = [
        one_finding for one_finding in verdict.findings if one_finding.hazard == "overloaded"
    ]
    assert finding.severity == Severity.GO
    assert verdict.severity == scenes.severity_of()


@pytest.mark.parametrize(("declared", "cautioned"), [(True, False), (False, True), (None, True)])
def test_who_has_not_declared_the_load_is_cautioned(declared: bool | None, cautioned: bool) -> None:
    cautions = " ".join(list_cautions(trip(declared), 300.0))
    assert ("capacity" in cautions) == cautioned


@pytest.mark.parametrize("word", ["alcohol", "heart condition", "doctor"])
def test_every_report_warns_of_what_no_weather_shows(word: str) -> None:
    assert word in " ".join(list_cautions(trip(True), 300.0))

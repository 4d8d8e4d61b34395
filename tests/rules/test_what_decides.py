"""Which share of the forecasts decides: by widened winds, and by everything else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from safety_check.model.verdict import Severity
from safety_check.model.weather import Forecast
from safety_check.physics.odds import Tolerance
from safety_check.rules.engine import OF_WIDENED_WINDS, severity_of_all, strict_finding
from safety_check.rules.hazards import HAZARDS
from safety_check.units import MILE_PER_HOUR
from tests import scenes

DEFAULT = Tolerance(share=0.1, of_winds=0.2)
GO, MARGINAL, UNKNOWN, NO_GO = Severity
WIDENED = scenes.settings(dressing=True, lone_runs=True)
ALONE = replace(
    scenes.READY, company="alone", self_rescue=True, means_to_call=True, sound_signal=True
)
SMALL_LAKE = scenes.open_water(1500.0, from_shore=190.0)


@pytest.mark.parametrize(
    ("level", "share", "by_winds", "by_thunder"),
    [
        (MARGINAL, 0.09, GO, GO),
        (MARGINAL, 0.1, GO, MARGINAL),
        (MARGINAL, 0.2, MARGINAL, MARGINAL),
        (NO_GO, 0.09, GO, GO),
        (NO_GO, 0.1, MARGINAL, NO_GO),  # one in ten of a no-go by wind rules out GO
        (NO_GO, 0.2, NO_GO, NO_GO),
        (UNKNOWN, 0.1, UNKNOWN, UNKNOWN),  # what is not known is never a probability
    ],
)
def test_the_share_that_decides(
    level: Severity, share: float, by_winds: Severity, by_thunder: Severity
) -> None:
    members = np.array([[level], [GO]])
    weights = np.array([share, 1 - share])
    for name, expected in (("gusts_too_strong", by_winds), ("thunderstorm", by_thunder)):
        hazard = next(one_hazard for one_hazard in HAZARDS if one_hazard.name == name)
        found = severity_of_all(members, strict_finding(hazard, members), weights, DEFAULT)
        assert found == [expected]


def test_every_quantity_of_widened_winds_is_one_that_a_hazard_weighs() -> None:
    assert {hazard.weighs for hazard in HAZARDS} >= OF_WIDENED_WINDS


def six_models(wind: float, gust: float, **one: float) -> Forecast:
    """Return six models of a single run that say the same wind [mph]; one says more of it."""
    said = {"wind_speed": wind * MILE_PER_HOUR, "wind_speed_of_gust": gust * MILE_PER_HOUR}
    return scenes.forecast(said | one, *[said] * 5)


@pytest.mark.promise("the share that decides")
def test_one_model_of_six_with_thunder_decides_though_one_in_five_decides_by_wind() -> None:
    assert scenes.severity_of(six_models(3, 5), own=WIDENED) == GO
    thunder = six_models(3, 5, weather_code=95.0)
    assert scenes.severity_of(thunder, own=WIDENED) == NO_GO


def test_one_model_of_six_is_no_longer_certain() -> None:
    # Its caution for gusts in company is 8 m/s. The odds of the six are no sixth for each that
    # passes it, but what comes of such runs.
    verdict = scenes.verdict(six_models(4, 6, wind_speed_of_gust=8.1), own=WIDENED)
    odds = next(
        finding.odds for finding in verdict.findings if finding.hazard == "gusts_too_strong"
    )
    assert verdict.severity == GO
    assert verdict.trip_odds[MARGINAL] == pytest.approx(0.6 / 6, abs=0.05)
    assert odds == 1


@pytest.mark.one_in(2)
@pytest.mark.parametrize("models", [1, 6])
@pytest.mark.parametrize(
    ("wind", "gust", "paddler", "expected"),
    [
        (5, 8, ALONE, {GO}),
        (5, 8, scenes.READY, {GO}),
        (8, 12, scenes.READY, {GO}),
        (9, 14, ALONE, {MARGINAL}),
        (10, 15, ALONE, {MARGINAL}),
        (14, 21, ALONE, {NO_GO}),
        (16, 25, scenes.READY, {NO_GO}),
    ],
)
def test_a_fine_morning_stays_go_and_a_windy_one_is_decided_by_the_odds(
    models: int, wind: float, gust: float, paddler: scenes.Paddler, expected: set[Severity]
) -> None:
    given = (
        six_models(wind, gust)
        if models == 6
        else scenes.forecast(
            {"wind_speed": wind * MILE_PER_HOUR, "wind_speed_of_gust": gust * MILE_PER_HOUR}
        )
    )
    trip = scenes.plan(paddler=paddler, hours=4)
    assert scenes.severity_of(given, trip, SMALL_LAKE, WIDENED) in expected

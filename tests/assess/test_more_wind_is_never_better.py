"""More of a danger, in any run at any hour, gives no better odds and no better verdict."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.arrays import FloatArray
from safety_check.assess.weighing import weigh_hours, weigh_trip
from safety_check.conditions.case import Case
from safety_check.conditions.ensemble import GUST, SEA, WIND
from safety_check.model.verdict import Severity, Verdict
from safety_check.model.weather import Forecast
from safety_check.rules.weighed_hours import WeighedHours
from safety_check.use_cases.rulebook import load_rulebook
from tests import scenes
from tests.properties import cases

WIDENED = scenes.settings(dressing=True, lone_runs=True)
TRIP = scenes.plan(hours=3)
ALONE = replace(
    scenes.READY, company="alone", self_rescue=True, means_to_call=True, sound_signal=True
)
CAPE, THUNDER = "atmosphere_convective_available_potential_energy", "probability_of_thunder"
MOST = {WIND: 14.0, GUST: 22.0, SEA: 1.2, "precipitation_amount": 6.0, CAPE: 1500.0, THUNDER: 0.4}
RAISED = {WIND: 6.0, GUST: 8.0, SEA: 0.5, "precipitation_amount": 8.0, CAPE: 2000.0, THUNDER: 0.5}
HOURS = 72
MODELS = st.lists(st.sampled_from(["one", "two", "many", "more"]), min_size=3, max_size=14)


def weather(models: list[str], seed: int, strength: float) -> Forecast:
    """Return runs whose weather changes from hour to hour and differs from run to run."""
    chance = np.random.default_rng(seed)
    shape = (len(models), HOURS)
    given_ = scenes.forecast(*[{name: 0.0 for name in MOST}] * len(models), models=models)
    drawn: dict[str, FloatArray] = {
        name: most * strength * chance.beta(1.2, 3.0, shape) for name, most in MOST.items()
    }
    drawn[SEA] = 0.3 * drawn[SEA]
    direction = chance.uniform(0, 360, (len(models), 1)) + chance.normal(0, 15, shape)
    drawn["wind_from_direction"] = direction % 360
    drawn["air_temperature"] = chance.uniform(288, 300, shape)
    return replace(given_, quantities={**given_.quantities, **drawn})


def raised(given_: Forecast, name: str, run: int, hours: slice, by: float) -> Forecast:
    """Return a forecast of which one quantity of one run is higher in some hours."""
    values = given_.quantities[name].copy()
    values[run, hours] += by
    return replace(given_, quantities={**given_.quantities, name: values})


def worse_or_same(before: Verdict, after: Verdict) -> None:
    """Assert that no severity and no odds, of the trip and of any hour, are better."""
    assert after.severity >= before.severity
    assert_odds(before.trip_odds, after.trip_odds)
    for old, new in zip(before.around, after.around, strict=True):
        assert new.severity >= old.severity
        assert_odds(old.odds, new.odds)
    for lower, higher in zip(by_hazard(before), by_hazard(after), strict=True):
        assert higher >= lower


def assert_odds(before: Mapping[Severity, float], after: Mapping[Severity, float]) -> None:
    for level in Severity:
        old, new = (
            sum(share for one_share, share in odds.items() if one_share >= level)
            for odds in (before, after)
        )
        assert new >= old - 1e-9


def by_hazard(verdict: Verdict) -> list[Severity]:
    winds = {"wind_too_strong", "gusts_too_strong", "capsize_by_waves", "offshore_wind"}
    found = {
        finding.hazard: finding.severity for finding in verdict.findings if finding.hazard in winds
    }
    return [found[name] for name in sorted(winds)]


@pytest.mark.one_in(4)
@pytest.mark.parametrize("water", [scenes.POND, scenes.LARGE_LAKE], ids=["pond", "large lake"])
@pytest.mark.parametrize("paddler", [scenes.READY, ALONE], ids=["in company", "alone"])
def test_a_higher_value_of_one_run_never_makes_anything_better(
    water: scenes.OpenWater, paddler: scenes.Paddler
) -> None:
    trip = replace(TRIP, paddler=paddler)
    seen: Counter[str] = Counter()

    @cases(8, fewest=8)
    @given(MODELS, st.integers(0, 2**32 - 1), st.sampled_from([0.5, 0.7, 0.9]), st.data())
    def check(models: list[str], seed: int, strength: float, data: st.DataObject) -> None:
        models = sorted(models)
        before = weather(models, seed, strength)
        name = data.draw(st.sampled_from([WIND, GUST, *RAISED]))
        run = data.draw(st.integers(0, len(models) - 1))
        first = data.draw(st.integers(36, 45))
        hours = slice(first, first + data.draw(st.sampled_from([1, 3, 30])))
        after = raised(before, name, run, hours, data.draw(st.floats(0.1, 1.0)) * RAISED[name])
        was, now = (scenes.verdict(value, trip, water, WIDENED) for value in (before, after))
        worse_or_same(was, now)
        seen["run of an ensemble" if models.count(models[run]) > 1 else "single run"] += 1
        seen["odds changed"] += any(
            old.odds != new.odds for old, new in zip(was.around, now.around, strict=True)
        )
        seen["widened"] += any("widened" in sentence for sentence in now.widening)

    check()
    # The property is about widened runs of both kinds, and the raise must matter.
    assert seen["widened"] == seen["run of an ensemble"] + seen["single run"] >= 8
    assert seen["run of an ensemble"]
    assert seen["odds changed"]


def weighed(given_: Forecast) -> WeighedHours:
    briefing = scenes.briefing(given_)
    case = Case(TRIP, briefing, scenes.POND, WIDENED, scenes.load_trust())
    book = load_rulebook()
    hours = np.arange("2026-06-13T15", "2026-06-13T19", dtype="datetime64[h]")
    return weigh_trip(case, weigh_hours(case, hours.astype("datetime64[s]"), book), book)


def test_every_run_becomes_members_that_rise_with_it_and_with_nothing_else() -> None:
    models = ["many"] * 5 + ["one"]
    before = weather(models, 1, 0.8)
    after = raised(before, WIND, 2, slice(30, 60), 3.0)
    was, now = (weighed(value) for value in (before, after))
    assert len(was.members.models) > 2 * len(models)
    assert was.members.models == now.members.models
    old, new = (item.members.quantities[WIND][:, 24:] for item in (was, now))
    run = np.repeat(np.arange(6), [4, 4, 4, 4, 4, 6])
    assert (new[run == 2] > old[run == 2]).all()
    assert (new[run != 2] == old[run != 2]).all()


@pytest.mark.thorough
@pytest.mark.parametrize("seed", range(3))
def test_one_run_of_eleven_that_rises_from_5_to_6_never_betters_the_verdict(seed: int) -> None:
    # The ensemble whose spread grew or shrank with one of its runs turned NO-GO into MARGINAL.
    chance = np.random.default_rng(seed)
    winds = np.sort(chance.uniform(3.0, 9.0, 11))
    for number in range(11):
        low, high = (
            scenes.forecast(
                *(
                    {WIND: wind + more * (at == number), GUST: 1.5 * wind + more * (at == number)}
                    for at, wind in enumerate(winds)
                ),
                models=["many"] * 11,
            )
            for more in (0.0, 1.0)
        )
        worse_or_same(*(scenes.verdict(value, own=WIDENED) for value in (low, high)))

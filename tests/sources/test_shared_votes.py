"""A model shares its host's vote: it makes a verdict stricter and never milder."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.arrays import hour_axis
from safety_check.model.verdict import Severity
from safety_check.model.weather import Briefing, Forecast
from safety_check.sources.model_hosts import hosts
from safety_check.sources.registry import default_forecast, load_sources
from safety_check.sources.shared_votes import share_votes
from safety_check.sources.weather_danger import more_dangerous
from tests import scenes
from tests.properties import cases

SINGLE = default_forecast()
HOST = SINGLE.index("ecmwf_ifs")
TRIP = scenes.plan()
HOURS = hour_axis(TRIP.start, TRIP.end + timedelta(hours=1))
PROVENANCE = replace(
    scenes.FROM_A_FILE, source=load_sources()["met_norway"].title, issued=scenes.NOW, recorded=False
)


def base(**said: float) -> Forecast:
    members: tuple[dict[str, float], ...] = ({}, said, {}, {})
    return scenes.forecast(*members, models=SINGLE)


def guest(hours: int = 72, **said: float) -> Forecast:
    """Return a forecast of MET Norway from the hour of the check on."""
    told = scenes.forecast(said, models=["met_norway"], provenance=PROVENANCE)
    begin = int(np.searchsorted(told.time, np.datetime64(scenes.NOW.replace(tzinfo=None))))
    chosen = slice(begin, begin + hours)
    return replace(
        told,
        time=told.time[chosen],
        quantities={name: values[:, chosen] for name, values in told.quantities.items()},
    )


def joined(*forecasts: Forecast) -> Briefing:
    read = (scenes.FROM_THE_ALERT_SERVICE,)
    return share_votes(Briefing(scenes.NOW, forecasts, warnings_read=read), HOURS)


def wind_of_host(told: Briefing, name: str = "wind_speed") -> np.ndarray:
    return told.forecasts[0].quantities[name][HOST]


def verdict(told: Briefing) -> Severity:
    return scenes.judge_severity(scenes.plan(), told, scenes.POND, scenes.settings())


def ahead(told: Briefing) -> np.ndarray:
    return told.forecasts[0].time > np.datetime64(scenes.NOW.replace(tzinfo=None))


@pytest.mark.promise("every model votes")
def test_the_host_has_the_worse_of_both_and_there_is_one_forecast():
    told = joined(base(wind_speed=3.0), guest(wind_speed=7.0, wind_from_direction=10.0))

    (one,) = told.forecasts
    assert one.models == SINGLE
    assert (wind_of_host(told)[ahead(told)] == 7.0).all()
    assert (wind_of_host(told, "wind_from_direction")[ahead(told)] == 10.0).all()
    assert (one.quantities["wind_speed"][0] == 1.5).all()
    assert told.others == (PROVENANCE,)
    assert "met_norway included" in one.provenance.model


def test_a_calmer_guest_changes_nothing():
    told = joined(base(wind_speed=9.0), guest(wind_speed=2.0, wind_from_direction=10.0))

    assert (wind_of_host(told) == 9.0).all()
    assert (wind_of_host(told, "wind_from_direction") == 270.0).all()


def test_a_storm_that_only_the_guest_has_is_a_storm():
    told = joined(base(), guest(weather_code=95.0))

    assert (wind_of_host(told, "weather_code")[ahead(told)] == 95.0).all()


@pytest.mark.parametrize(
    "lost",
    [guest(hours=10), guest(wind_speed=np.nan), guest(weather_code=np.nan)],
    ids=["the last hours", "the wind", "the symbols"],
)
def test_an_hour_that_every_answer_has_and_this_one_has_not_rules_out_a_go(lost):
    told = joined(base(), lost)

    (failure,) = told.silences
    assert failure.applies
    assert failure.source.startswith("MET Norway")
    assert (wind_of_host(told) == 1.5).all()
    assert verdict(told) == Severity.MARGINAL
    assert verdict(joined(base(), guest())) == Severity.GO


def test_the_end_of_the_hourly_part_is_no_loss():
    told = joined(base(), guest(hours=50))

    assert told.silences == ()


def test_a_guest_without_its_host_is_a_forecast_of_its_own():
    alone = guest(wind_speed=5.0)

    assert joined(alone).forecasts == (alone,)


def test_a_guest_that_is_out_of_date_stays_apart_so_that_it_cannot_support_a_go():
    old = replace(guest(), provenance=replace(PROVENANCE, issued=scenes.NOW - timedelta(days=2)))

    told = joined(base(), old)

    assert len(told.forecasts) == 2
    assert verdict(told) > Severity.GO


LEVELS = st.one_of(st.just(float("nan")), st.floats(0.0, 14.0))


@pytest.mark.promise("every model votes")
@cases(40)
@given(st.lists(LEVELS, min_size=4, max_size=4), LEVELS, st.sampled_from([1.0, 45.0, 95.0]))
def test_a_guest_never_makes_a_verdict_better(winds, wind, code):
    def said(speed: float) -> dict[str, float]:
        return {"wind_speed": speed, "wind_speed_of_gust": 1.4 * speed}

    own = scenes.forecast(*map(said, winds), models=SINGLE)
    before = joined(own)
    after = joined(own, guest(72, weather_code=code, **said(wind)))

    assert verdict(after) >= verdict(before)


@given(st.lists(st.tuples(st.floats(0, 14), st.floats(0, 14)), min_size=1, max_size=3))
def test_more_wind_in_a_guest_never_gives_its_host_less(pairs):
    for one, other in pairs:
        calm, strong = (joined(base(), guest(wind_speed=speed)) for speed in sorted((one, other)))
        assert (wind_of_host(strong) >= wind_of_host(calm)).all()


def test_every_host_is_a_model_that_is_asked_and_has_no_host_itself():
    assert hosts()
    for host, assured in hosts().values():
        assert host in SINGLE
        assert host not in hosts()
        assert assured > 0


@pytest.mark.parametrize(
    ("one", "other", "worse"), [(65, 45, 45), (45, 95, 95), (99, 95, 99), (3, 61, 61)]
)
def test_thunder_counts_before_fog_and_fog_before_rain(one, other, worse):
    pair = np.array([[one], [other]], dtype=float)

    assert more_dangerous(*pair).tolist() == [worse]
    assert more_dangerous(*pair[::-1]).tolist() == [worse]

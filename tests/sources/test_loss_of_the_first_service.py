"""Without Open-Meteo there is still a forecast, and it can forbid; it never permits."""

from __future__ import annotations

from dataclasses import replace
from unittest.mock import patch

import pytest

from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity
from tests.sources import fakes
from tests.sources.fake_server import json_reply, status
from tests.sources.fakes import Services, document, saying
from tests.sources.gathering import briefing, silent, trip, verdict

NORWAY, BRAZIL = (59.9, 10.7), (-10.2, -48.4)
FIRST_SERVICE = ("open_meteo", "open_meteo_ensemble", "open_meteo_marine")


def trip_at(place: tuple[float, float]) -> Plan:
    plan = trip(water_temperature=296.15)
    launch = replace(plan.launch, latitude=place[0], longitude=place[1])
    return replace(plan, launch=launch, water=replace(plan.water, launches=(launch,)))


def judged(place: tuple[float, float], tmp_path, wind: float = 1.5):
    with patch.object(fakes, "HERE", place), Services() as services:
        for name in FIRST_SERVICE:
            services.spoil(name, lambda reply: status(503))
        path, reply = next(iter(fakes.SAYS["met_norway"](False).items()))
        told = document(reply)
        for row in told["properties"]["timeseries"]:
            row["data"]["instant"]["details"] |= {"wind_speed": wind, "wind_speed_of_gust": wind}
        services.server.serve(path, json_reply(saying(reply, told).body))
        found = briefing(services, tmp_path, trip_at(place))
    return found, verdict(found, trip_at(place))


@pytest.mark.parametrize("place", [NORWAY, BRAZIL])
def test_the_second_forecast_stands_in_and_its_storm_forbids(place, tmp_path):
    told, severe = judged(place, tmp_path, wind=15.0)

    assert [forecast.models for forecast in told.forecasts] == [("met_norway",)]
    assert any(failure.applies for failure in silent(told, "Open-Meteo"))
    assert severe.severity == Severity.NO_GO


def test_where_it_has_gusts_a_calm_day_is_a_caution_and_elsewhere_unknown(tmp_path):
    assert judged(NORWAY, tmp_path / "one")[1].severity == Severity.MARGINAL
    assert judged(BRAZIL, tmp_path / "other")[1].severity == Severity.UNKNOWN

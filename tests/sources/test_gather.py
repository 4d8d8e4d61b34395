"""What a check gathers: what answers is used, what does not is named, and nothing is assumed."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as trying
from hypothesis import strategies as st

from safety_check.errors import ConfigError, PlanError
from safety_check.model.place import Launch
from safety_check.model.verdict import Severity
from safety_check.model.weather import Briefing
from safety_check.report import json as json_report
from safety_check.report import terminal
from safety_check.report.layout import Layout
from safety_check.report.page import page
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import ContactTable, UserSettings
from safety_check.sources.gather import gather_briefing
from safety_check.sources.grid_cells import SEA
from safety_check.sources.http.asker import RetryPolicy
from safety_check.sources.nws.alerts import PATH
from safety_check.sources.question import title
from safety_check.sources.registry import load_sources
from safety_check.sources.warning_services.services import load_file
from safety_check.use_cases.check import ask_services
from safety_check.use_cases.plan_request import PlanRequest
from tests import scenes
from tests.sources import fake_warnings
from tests.sources.fake_server import cut_off, json_reply, slow, status, unused_port
from tests.sources.fakes import (
    ALARMS,
    HERE,
    HOURS,
    NOW,
    SAYS,
    Services,
    alert,
    document,
    marine,
    observation,
    saying,
    stations,
)
from tests.sources.gathering import (
    HASTY,
    briefing,
    question,
    settings,
    severity_of,
    silent,
    trip,
    verdict,
)
from tests.sources.spoiled import any_bytes


@pytest.fixture
def services() -> Iterator[Services]:
    with Services() as running:
        yield running


def gone(services: Services, *names: str) -> None:
    for name in names or SAYS:
        services.move(name, f"http://127.0.0.1:{unused_port()}")


def no_signal(services: Services) -> None:
    """Let every line break off at once; the addresses stay, and so does what is kept of them."""
    for name in SAYS:
        services.spoil(name, lambda reply: cut_off(reply, 0))


def briefing_of(own: Settings) -> Briefing:
    return gather_briefing(question(trip(), own), own)


def paths(services: Services) -> list[str]:
    return [request.path for request in services.server.asked]


# -- what answers is used ----------------------------------------------------------------------


def test_every_service_that_applies_is_asked_and_used(services, tmp_path):
    told = briefing(services, tmp_path)

    assert told.silences == ()
    origins = [
        *(forecast.provenance for forecast in told.forecasts),
        *(observation.provenance for observation in told.observations),
        *told.others,
    ]
    assert {origin.source for origin in origins} == {title(name) for name in ALARMS}
    assert severity_of(told) == Severity.GO


def test_a_model_counts_once_however_many_cells_are_asked(services, tmp_path):
    told = briefing(services, tmp_path)

    cells = [
        request.query["cell_selection"]
        for request in services.server.asked
        if "models" in request.query
    ]
    assert sorted(cells) == ["land", "nearest", "nearest", "sea"]  # once more for the ensembles
    assert len(told.forecasts[0].models) == len(set(told.forecasts[0].models)) == 4
    assert "the windier of the cells" in told.forecasts[0].provenance.model


@pytest.mark.parametrize(("north", "wind"), [(0.1, 6.2), (0.2, 1.5)])
def test_a_sea_cell_lends_the_launch_its_wind_where_it_is_near(services, north, wind, tmp_path):
    windy = document(SAYS["open_meteo"](True)["/v1/forecast"]) | {"latitude": HERE[0] + north}
    services.server.serve_where("/v1/forecast", "cell_selection", "sea", json_reply(windy))

    told = briefing(services, tmp_path).forecasts[0]

    assert told.quantities["wind_speed"].max() == wind


@pytest.mark.promise("sources are named")
def test_every_answer_is_named_with_its_credit(services, tmp_path):
    origins = verdict(briefing(services, tmp_path)).provenance

    # the alerts too, though there are none
    assert {origin.source for origin in origins} == {title(name) for name in ALARMS}
    assert all(origin.attribution for origin in origins)


def test_a_station_is_named_with_its_distance(services, tmp_path):
    [seen] = {
        one_observation.provenance.model
        for one_observation in briefing(services, tmp_path).observations
        if one_observation.station.startswith("KXYZ")
    }

    assert seen == "KXYZ, 3.5 mi away"


def test_a_station_sixty_kilometres_away_is_not_here(services, tmp_path):
    far = stations()
    far["features"][0]["geometry"]["coordinates"] = [HERE[1], HERE[0] + 0.54]
    services.server.serve("/gridpoints/XYZ/1,2/stations", json_reply(far))

    told = briefing(services, tmp_path)

    assert not any(
        one_observation.station.startswith("KXYZ") for one_observation in told.observations
    )
    [note] = silent(told, "National Weather Service, stations")
    assert (note.applies, note.reason) == (False, "No station within 16 mi reports the wind.")


# -- the water's temperature -------------------------------------------------------------------


def test_a_gauge_tells_the_temperature_that_was_not_entered(services, tmp_path):
    services.say("usgs", alarmed=True)

    seen = {finding.hazard: finding for finding in verdict(briefing(services, tmp_path)).findings}

    assert seen["cold_water"].value == pytest.approx(291.15)


def test_with_the_temperature_entered_no_gauge_is_missed(services, tmp_path):
    gone(services, "usgs", "usgs_legacy")
    entered = trip(water_temperature=296.15)

    told = briefing(services, tmp_path, entered)

    [note] = silent(told, "U.S. Geological Survey")
    assert not note.applies
    assert severity_of(told, entered) == Severity.GO


def test_without_it_a_silent_gauge_is_missed(services, tmp_path):
    gone(services, "usgs", "usgs_legacy")

    [note] = silent(briefing(services, tmp_path), "U.S. Geological Survey")

    assert note.applies
    assert note.wanted == ("water_temperature",)


def test_where_the_older_gauge_service_stands_in_nothing_is_missed(services, tmp_path):
    gone(services, "usgs")

    told = briefing(services, tmp_path)

    assert [applies.applies for applies in silent(told, "U.S. Geological Survey")] == [False]
    assert severity_of(told) == Severity.GO


# -- danger that one service alone knows -------------------------------------------------------


@pytest.mark.one_in(6)
@pytest.mark.promise("missing data never permits")
@pytest.mark.parametrize("name", ALARMS)
def test_losing_the_one_that_forbids_never_permits(services, name, tmp_path):
    services.say("nws_alerts")
    gone(services, *(("usgs", "usgs_legacy") if name == "usgs" else (name,)))

    assert severity_of(briefing(services, tmp_path)) > Severity.GO


@pytest.mark.promise("never a permission")
def test_an_official_warning_forbids_and_its_silence_is_no_permission(services, tmp_path):
    warned = {"features": [alert("Gale Warning")], "updated": "2026-06-13T13:58:00+00:00"}
    services.server.serve(PATH, json_reply(warned))
    assert severity_of(briefing(services, tmp_path / "one")) == Severity.NO_GO

    services.server.serve(PATH, status(503))
    told = briefing(services, tmp_path / "two")

    assert severity_of(told) == Severity.MARGINAL
    [note] = silent(told, "National Weather Service, alerts")
    assert "overloaded" in note.reason


def test_one_station_of_two_that_fails_is_missed_though_the_other_speaks(services, tmp_path):
    two = stations()
    there = {"type": "Point", "coordinates": [HERE[1], HERE[0] + 0.01]}
    two["features"].insert(
        0, {"geometry": there, "properties": {"stationIdentifier": "KABC", "name": "Nearer"}}
    )
    services.server.serve("/gridpoints/XYZ/1,2/stations", json_reply(two))
    services.server.serve("/stations/KABC/observations/latest", status(500))

    told = briefing(services, tmp_path)

    assert any(one_observation.station.startswith("KXYZ") for one_observation in told.observations)
    assert [applies.applies for applies in silent(told, "National Weather Service, stations")] == [
        True
    ]


def test_a_station_that_has_nothing_to_say_is_not_missed(services, tmp_path):
    two = stations()
    there = {"type": "Point", "coordinates": [HERE[1], HERE[0] + 0.01]}
    two["features"].append({"geometry": there, "properties": {"stationIdentifier": "KABC"}})
    services.server.serve("/gridpoints/XYZ/1,2/stations", json_reply(two))

    told = briefing(services, tmp_path)  # KABC was never served: 404

    assert [applies.applies for applies in silent(told, "National Weather Service, stations")] == [
        False
    ]
    assert severity_of(told) == Severity.GO


def test_a_tide_station_in_order_without_data_is_not_missed(services, tmp_path):
    empty = {"error": {"message": "No data was found. This product may not be offered."}}
    services.server.serve("/api/prod/datagetter", json_reply(empty))

    told = briefing(services, tmp_path)

    assert silent(told, "NOAA CO-OPS")
    assert not any(applies.applies for applies in silent(told, "NOAA CO-OPS"))
    assert severity_of(told) == Severity.GO


@pytest.mark.parametrize(("hours", "applies"), [(3, True), (30, True), (72, False)])
def test_a_station_that_fell_silent_lately_is_missed_and_one_out_of_service_is_not(
    services, hours, applies, tmp_path
):
    old = observation(alarmed=True)
    old["properties"]["timestamp"] = (NOW - timedelta(hours=hours)).isoformat()
    services.server.serve("/stations/KXYZ/observations/latest", json_reply(old))

    told = briefing(services, tmp_path)

    assert [
        one_applies.applies for one_applies in silent(told, "National Weather Service, stations")
    ] == [applies]


def test_a_value_that_its_own_station_doubts_is_not_used_and_is_missed(services, tmp_path):
    doubted = observation(alarmed=True)
    doubted["properties"]["windSpeed"]["qualityControl"] = "Q"
    services.server.serve("/stations/KXYZ/observations/latest", json_reply(doubted))

    told = briefing(services, tmp_path)

    assert [applies.applies for applies in silent(told, "National Weather Service, stations")] == [
        True
    ]
    assert severity_of(told) == Severity.MARGINAL


# -- where a service does not apply ------------------------------------------------------------


def abroad(latitude=59.9, longitude=10.7):
    launch = Launch("slip", latitude=latitude, longitude=longitude)
    return replace(trip(water_temperature=296.15), launch=launch)


def test_abroad_the_american_services_are_listed_and_left_alone(services, tmp_path):
    worldwide = [name for name, source in load_sources().items() if source.covers == "world"]
    replies = {
        path: reply
        for name in worldwide
        if name in SAYS
        for path, reply in SAYS[name](False).items()
    }
    for path, reply in replies.items():
        told = document(reply)
        there = told | {"latitude": 59.9, "longitude": 10.7} if isinstance(told, dict) else told
        if "locationforecast" in path:
            there["geometry"]["coordinates"] = [10.7, 59.9, 100]
        services.server.serve(path, json_reply(there))

    told = briefing(services, tmp_path, abroad())

    listed = {failure.source for failure in told.silences if not failure.applies}
    assert {"National Weather Service", "NOAA CO-OPS", "U.S. Geological Survey"} < listed
    assert not any(failure.applies for failure in told.silences)
    assert set(paths(services)) == {*replies, "/weatherapi/metalerts/2.0/current.json"}
    assert [word.source for word in told.warnings_read] == ["MET Norway, warnings"]


def test_where_no_service_is_known_it_says_that_nobody_warns(services, tmp_path):
    told = briefing(services, tmp_path, abroad(-1.3, 36.8))
    [note] = silent(told, "official warnings")

    assert "your own weather service" in note.reason
    assert told.warnings_read == ()


def test_in_australia_it_links_to_the_bureau_and_asks_for_the_user_s_own_word(services, tmp_path):
    told = briefing(services, tmp_path, abroad(-33.85, 151.25))
    [note] = silent(told, "official warnings")

    assert "https://www.bom.gov.au" in note.reason
    assert "--warnings none --read-at" in note.reason
    assert not note.applies
    assert told.warnings_read == ()


def test_across_the_border_the_weather_service_says_itself_that_it_does_not_apply(
    services, tmp_path
):
    outside = {"title": "Data Unavailable For Requested Point", "type": "x/InvalidPoint"}
    services.server.serve("/points/44.9,-99.6", status(404, json.dumps(outside).encode()))
    services.server.serve(PATH, status(400))

    told = briefing(services, tmp_path)

    assert not any(applies.applies for applies in silent(told, "National Weather Service"))
    # Its silence costs nothing, but nobody else was asked for official warnings there.
    found = verdict(told)
    assert found.severity == Severity.MARGINAL
    assert found.findings[0].hazard == "official_warning"
    assert told.warnings_read == ()


@pytest.mark.parametrize(
    ("place", "service"),
    [((43.63, -79.38), "eccc"), ((32.53, -117.13), "smn_mexico")],
    ids=["Toronto", "Tijuana"],
)
def test_across_the_border_the_neighbour_s_own_service_is_asked_for_warnings(
    services, place, service, tmp_path
):
    outside = {"title": "Data Unavailable For Requested Point", "type": "x/InvalidPoint"}
    north, east = (f"{angle:g}" for angle in place)
    services.server.serve(f"/points/{north},{east}", status(404, json.dumps(outside).encode()))
    services.server.serve(PATH, status(400))

    told = briefing(services, tmp_path, abroad(*place))
    silent_one = next(iter(fake_warnings.replies(load_file().service[service], ())))
    services.server.serve(silent_one, status(503))
    lost = briefing(services, tmp_path / "lost", abroad(*place))

    assert title(service) in {word.source for word in told.warnings_read}
    assert not silent(told, "National Weather Service, alerts")
    assert lost.warnings_read == ()
    assert [failure.applies for failure in silent(lost, title(service))] == [True]


def test_a_point_that_is_not_found_for_another_reason_is_missed(services, tmp_path):
    services.server.serve("/points/44.9,-99.6", status(404))

    assert [applies.applies for applies in silent(briefing(services, tmp_path), "National")] == [
        True
    ] * 2


def inland(told):
    return told | {"hourly": {"time": told["hourly"]["time"]} | _nulls(told)}


def _nulls(told):
    return {name: [None] * HOURS for name in told["hourly"] if name != "time"}


NO_SEA = {
    "all null": json_reply(inland(marine(alarmed=False))),
    "cell far off": json_reply(marine(alarmed=True) | {"latitude": HERE[0] + 0.2}),
    "refused": status(400, b'{"error":true,"reason":"No data is available for this location"}'),
}


@pytest.mark.parametrize("answer", NO_SEA)
def test_far_from_any_sea_none_is_missed(services, answer, tmp_path):
    services.server.serve("/v1/marine", NO_SEA[answer])

    told = briefing(services, tmp_path)

    assert [applies.applies for applies in silent(told, "Open-Meteo marine")] == [False]
    assert severity_of(told) == Severity.GO


def test_that_a_launch_is_inland_is_remembered_when_the_sea_is_silent(services, tmp_path):
    services.server.serve("/v1/marine", NO_SEA["all null"])
    briefing(services, tmp_path)
    services.spoil("open_meteo_marine", lambda reply: cut_off(reply, 0))

    later = briefing(services, tmp_path, now=NOW + timedelta(hours=25))

    assert [applies.applies for applies in silent(later, "Open-Meteo marine")] == [False]


def test_waves_that_are_not_known_in_an_hour_of_the_trip_are_missed(services, tmp_path):
    gap = marine(alarmed=True)
    at = 24 + 16  # 16:00 of the trip's day, UTC
    gap["hourly"]["wave_height"][at] = None
    services.server.serve("/v1/marine", json_reply(gap))

    [note] = silent(briefing(services, tmp_path), "Open-Meteo marine")

    assert note.applies


def test_the_sea_is_no_future_of_its_own(services, tmp_path):
    told = briefing(services, tmp_path)

    assert "best_match" not in {model for forecast in told.forecasts for model in forecast.models}
    assert np.all(told.forecasts[0].quantities[SEA] == 0.05)


# -- warnings for every place of a trip --------------------------------------------------------

RING = np.array(
    [[-99.6004, 44.89], [-99.55, 44.89], [-99.55, 44.95], [-99.6004, 44.95], [-99.6004, 44.89]]
)


def asked_for_alerts(services) -> set[str]:
    return {request.query["point"] for request in services.server.asked if request.path == PATH}


def test_warnings_are_asked_for_at_the_launch_on_the_water_and_at_its_far_end(services, tmp_path):
    water = replace(scenes.WATER, shoreline=(RING,))
    plan = replace(trip(), water=water, reach=3000.0)

    briefing(services, tmp_path, plan)

    places = asked_for_alerts(services)
    assert "44.9,-99.6" in places
    assert len(places) == 3


def test_warnings_are_asked_for_along_a_route(services, tmp_path):
    plan = replace(trip(), route=np.array([[-99.58, 44.91], [-99.57, 44.93]]))

    briefing(services, tmp_path, plan)

    assert asked_for_alerts(services) == {"44.9,-99.6", "44.91,-99.58", "44.93,-99.57"}


def test_a_warning_that_several_places_share_is_told_once(services, tmp_path):
    services.say("nws_alerts", alarmed=True)
    plan = replace(trip(), route=np.array([[-99.58, 44.91]]))

    assert len(briefing(services, tmp_path, plan).alerts) == 1


# -- without a signal --------------------------------------------------------------------------


def test_without_a_signal_the_last_answers_serve_and_say_their_age(services, tmp_path):
    briefing(services, tmp_path)
    no_signal(services)

    told = briefing(services, tmp_path, now=NOW + timedelta(minutes=70))

    assert severity_of(told) == Severity.GO
    assert all(forecast.provenance.recorded for forecast in told.forecasts)
    assert not any(failure.applies for failure in told.silences)
    assert "Using the last saved answer" in silent(told, "Open-Meteo")[0].reason


def test_without_a_signal_a_warning_received_before_still_forbids(services, tmp_path):
    warned = {"features": [alert("Gale Warning")], "updated": "2026-06-13T13:58:00+00:00"}
    services.server.serve(PATH, json_reply(warned))
    briefing(services, tmp_path)
    no_signal(services)

    assert severity_of(briefing(services, tmp_path, now=NOW + timedelta(hours=5))) == (
        Severity.NO_GO
    )


def test_what_is_older_than_its_service_allows_is_missed(services, tmp_path):
    briefing(services, tmp_path)
    no_signal(services)

    later = briefing(services, tmp_path, now=NOW + timedelta(hours=7))  # warnings serve for six

    assert [applies.applies for applies in silent(later, "National Weather Service, alerts")] == [
        True
    ]
    assert later.forecasts
    assert severity_of(later) == Severity.MARGINAL


def test_a_day_later_nothing_that_was_received_proves_anything(services, tmp_path):
    briefing(services, tmp_path)
    no_signal(services)

    later = briefing(services, tmp_path, now=NOW + timedelta(hours=24, minutes=30))

    assert later.forecasts == ()
    assert severity_of(later) == Severity.UNKNOWN


def test_what_was_received_lies_where_no_system_sweeps_it_away(services, tmp_path):
    own = settings(services.addresses(), tmp_path)
    own = replace(own, folders=replace(own.folders, data=tmp_path / "data"))

    briefing_of(own)

    assert list((tmp_path / "data").glob("answers*"))


# -- manners and security ----------------------------------------------------------------------


def test_every_service_hears_who_calls_and_some_how_to_reach_the_user(services, tmp_path):
    user = UserSettings(services=services.addresses(), contact=ContactTable(email="me@example.org"))
    own = replace(settings({}, tmp_path), user=user)

    briefing_of(own)

    agents = {request.headers["user-agent"] for request in services.server.asked}
    assert all(agent.startswith("safety-check/") for agent in agents)
    named = [
        request for request in services.server.asked if "me@example.org" in str(request.headers)
    ]
    assert named
    assert len(named) < len(services.server.asked)


def test_an_address_for_no_service_is_refused(tmp_path):
    with pytest.raises(ConfigError, match="no such service"):
        briefing_of(settings({"nowhere": "http://127.0.0.1:9"}, tmp_path))


HOSTILE = "\x1b[2J\x1b]0;title\x07<script>alert('GO')</script>\u202eGale\r\nGO\x9b31m"


def hostile(services: Services) -> None:
    said = alert("Gale Warning", headline=HOSTILE, description=HOSTILE, areaDesc=HOSTILE)
    services.server.serve(PATH, json_reply({"features": [said]}))


def test_a_warning_full_of_commands_reaches_terminal_json_and_page_as_text(services, tmp_path):
    hostile(services)
    seen = verdict(briefing(services, tmp_path))
    own = settings({}, tmp_path)
    out = Layout()

    terminal.add_verdict(seen, own.preferences, out)
    texts = [out.text, json_report.text(seen, "0", 30), page.render_page(seen, own)]

    assert all("Gale" in text for text in texts)
    for text in texts:
        assert not set(text) & set("\x1b\x07\x9b\u202e\r")
    assert "<script>alert" not in texts[2]
    assert "&lt;script&gt;" in texts[2]


@pytest.mark.promise("missing data never permits")
@trying(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_any_bytes_of_any_service_make_a_briefing_and_never_a_go_by_accident(
    services, tmp_path_factory, data
):
    name = data.draw(st.sampled_from([*SAYS]))
    for path, reply in SAYS[name](True).items():
        good = document(reply) if reply.body[:1] == b"{" else reply.body.decode()
        services.server.serve(path, saying(reply, data.draw(any_bytes(good))))

    told = briefing(services, tmp_path_factory.mktemp("any"), policy=HASTY)
    services.say(name)

    assert told.at == NOW


# -- the use case ------------------------------------------------------------------------------


def test_the_services_can_not_be_asked_for_another_day(tmp_path):
    own = settings({}, tmp_path)
    asked = PlanRequest(water="any", start="2026-06-12T06:00", hours=3, as_of="2026-06-12T05:00")

    with pytest.raises(PlanError, match=r"--as-of.*--forecast"):
        ask_services(trip(), asked, own, NOW, scenes.POND)


def test_a_slow_service_holds_up_nobody_else(services, tmp_path):
    services.spoil("open_meteo_marine", lambda reply: slow(reply, 30.0))

    patient = RetryPolicy(deadline=6.0, patience=4.0, first_pause=0.01)

    told = briefing(services, tmp_path, policy=patient)

    assert len(told.forecasts) == 3
    assert len(told.observations) > 5

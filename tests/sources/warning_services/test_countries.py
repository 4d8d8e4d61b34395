"""One launch in each country: who is asked, and what calm, silence and warnings there do."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from safety_check.model.verdict import Severity, Verdict
from safety_check.model.weather import Briefing
from safety_check.sources.http.asker import RetryPolicy
from safety_check.sources.http.client import open_client
from safety_check.sources.question import Question
from safety_check.sources.warning_services.briefing import ask_warning_services
from safety_check.sources.warning_services.placing import trip_places
from safety_check.sources.warning_services.services import load_file, services_for
from safety_check.sources.warning_services.zones import known_zones
from safety_check.sources.warnings_read import settle_warnings
from tests import scenes
from tests.sources.fake_server import FakeServer, json_reply, status, text_reply
from tests.sources.fake_warnings import Told, addresses, near, replies, say
from tests.sources.fakes import NOW
from tests.sources.gathering import PATIENT, trip

# A launch or a place on the water, and who warns there. The places are read from a map.
LAUNCHES = {
    "Canada, Toronto": (43.63, -79.38, "eccc eccc_water"),
    "Canada, Halifax": (44.63, -63.56, "eccc eccc_water"),
    "Norway, Sognefjord": (61.15, 6.40, "met_norway_alerts"),
    "Sweden, archipelago of Stockholm": (59.40, 18.90, "smhi"),
    "Sweden, Vänern": (58.90, 13.30, "smhi"),
    "Finland, Turku": (60.40, 22.10, "meteoalarm_finland"),
    "Denmark, Aarhus": (56.15, 10.25, "meteoalarm_denmark"),
    "Iceland, Reykjavik": (64.16, -21.95, "meteoalarm_iceland"),
    "Ireland, Dublin": (53.34, -6.20, "meteoalarm_ireland"),
    "United Kingdom, Lough Neagh": (54.62, -6.42, "meteoalarm_united_kingdom"),
    "United Kingdom, Southampton": (50.88, -1.39, "meteoalarm_united_kingdom"),
    "Germany, Kiel": (54.40, 10.20, "meteoalarm_germany dwd_water"),
    "Lake Constance": (
        *(47.54, 9.67),
        "meteoalarm_germany dwd_water meteoalarm_austria meteoalarm_switzerland",
    ),
    "Lake Geneva": (46.40, 6.60, "meteoalarm_france meteoalarm_switzerland"),
    "Netherlands, IJsselmeer": (52.70, 5.40, "meteoalarm_netherlands"),
    "Belgium, Ostend": (51.23, 2.91, "meteoalarm_belgium"),
    "France, Brest": (48.36, -4.50, "meteoalarm_france"),
    "Switzerland, Lake Lucerne": (47.03, 8.40, "meteoalarm_switzerland"),
    "Austria, Attersee": (47.88, 13.55, "meteoalarm_austria"),
    "Spain, Palma": (39.55, 2.62, "meteoalarm_spain"),
    "Portugal, Cascais": (38.69, -9.42, "meteoalarm_portugal"),
    "Italy, Lake Garda": (45.65, 10.68, "meteoalarm_italy"),
    "Poland, Hel": (54.60, 18.80, "meteoalarm_poland"),
    "Croatia, Split": (43.50, 16.40, "meteoalarm_croatia"),
    "New Zealand, Auckland": (-36.84, 174.80, "metservice"),
    "Brazil, Guanabara": (-22.85, -43.15, "inmet"),
    "Mexico, Tijuana": (32.53, -117.13, "smn_mexico"),
    "Mexico, Ensenada": (31.85, -116.62, "smn_mexico"),
}


@pytest.fixture(scope="module")
def server() -> Iterator[FakeServer]:
    with FakeServer() as running:
        yield running


@pytest.fixture(autouse=True)
def _calm(server: FakeServer) -> None:
    server.asked.clear()
    for name in load_file().service:
        say(server, name)


def briefing(
    server: FakeServer, here: tuple[float, float], policy: RetryPolicy = PATIENT
) -> Briefing:
    """Return what the warning services say of a place, with a calm forecast."""
    asked = Question(
        here=here,
        places=(here,),
        hours=np.arange("2026-06-13T15", "2026-06-13T19", dtype="datetime64[h]").astype("M8[s]"),
        wanted=frozenset(),
        at=NOW,
        unit="km",
    )

    async def ask() -> Briefing:
        where = addresses(server)
        async with open_client(None, addresses=where, policy=policy, now=lambda: NOW) as client:
            return await ask_warning_services(client, asked)

    told = settle_warnings(asyncio.run(ask()), here)
    return replace(told, forecasts=scenes.briefing(at=NOW).forecasts)


# The trip is in calm weather at an invented water: only the warnings belong to the place.
TRIP = trip(water_temperature=296.15)


def verdict(told: Briefing) -> Verdict:
    """Return the verdict on the trip with these warnings."""
    return scenes.judge(TRIP, told, scenes.POND, scenes.settings())


def severity_of(told: Briefing) -> Severity:
    """Return how severe the same verdict is."""
    return scenes.judge_severity(TRIP, told)


def _row(launch: str) -> tuple[tuple[float, float], list[str]]:
    latitude, longitude, names = LAUNCHES[launch]
    return (latitude, longitude), names.split()


@cache
def _far(name: str, here: tuple[float, float]) -> Told:
    """Return a severe warning of a service for another part of its country."""
    if not name.startswith("meteoalarm_") or name == "meteoalarm_switzerland":
        return Told(near(here[0] + 3.0, here[1]))
    country = load_file().service[name].countries[0]
    return Told(codes=(("EMMA_ID", _zone(country, here)),))


def _zone(country: str, here: tuple[float, float]) -> str:
    near_here = trip_places([here]).zones
    mine = sorted(
        code for code in known_zones() if code.startswith(country) and code not in near_here
    )
    return mine[0] if mine else "none"


def _here(name: str, here: tuple[float, float]) -> Told:
    """Return a severe warning of a service for a place, by its zones where it names zones."""
    country = load_file().service[name].countries[0]
    zones = sorted(zone for zone in trip_places([here]).zones if zone.startswith(country))
    if name.startswith("meteoalarm_") and zones:
        return Told(codes=tuple(("EMMA_ID", zone) for zone in zones[:1]))
    return Told(near(*here))


# -- who is asked --------------------------------------------------------------------------------


@pytest.mark.one_in(2)
@pytest.mark.parametrize("launch", LAUNCHES)
def test_the_services_of_the_countries_that_share_the_water_are_asked(launch, server):
    here, names = _row(launch)

    told = briefing(server, here)

    asked = {request.path for request in server.asked}
    rows = load_file().service
    assert sorted(services_for([here])) == sorted(names)
    assert asked == {path.partition("?")[0] for name in names for path in rows[name].paths}
    assert {word.source for word in told.warnings_read} == {rows[name].title for name in names}
    assert told.silences == ()
    assert told.alerts == ()
    assert severity_of(told) == Severity.GO


def test_the_rest_of_the_pan_european_feed_is_asked_in_its_own_countries():
    places = {
        "andorra": (42.56, 1.60),
        "bosnia_herzegovina": (43.60, 18.00),
        "bulgaria": (42.50, 27.50),
        "cyprus": (34.66, 33.04),
        "czechia": (49.80, 14.40),
        "estonia": (59.46, 24.70),
        "greece": (37.60, 23.20),
        "hungary": (46.85, 17.75),
        "israel": (32.10, 34.76),
        "latvia": (57.05, 24.00),
        "lithuania": (55.40, 23.50),
        "luxembourg": (49.90, 5.90),
        "malta": (35.90, 14.52),
        "moldova": (47.00, 28.60),
        "montenegro": (42.40, 18.70),
        "north_macedonia": (41.05, 20.78),
        "romania": (44.20, 28.65),
        "serbia": (44.82, 20.42),
        "slovakia": (48.75, 19.10),
        "slovenia": (46.36, 14.10),
        "ukraine": (46.50, 30.75),
    }
    covered = {name.removeprefix("meteoalarm_") for name in load_file().service}
    elsewhere = {names for _, _, names in LAUNCHES.values()}
    tested = {name.removeprefix("meteoalarm_") for names in elsewhere for name in names.split()}

    assert covered == tested | places.keys()
    for name, place in places.items():
        assert f"meteoalarm_{name}" in services_for([place]), name


# -- what silence does ---------------------------------------------------------------------------


@pytest.mark.one_in(4)
@pytest.mark.parametrize("launch", LAUNCHES)
def test_the_silence_of_any_of_them_leaves_the_warnings_unchecked(launch, server):
    here, names = _row(launch)
    for name in names:
        row = load_file().service[name]
        for path in replies(row, ()):
            server.serve(path, status(503))

        told = briefing(server, here)
        found = verdict(told)

        assert [failure.source for failure in told.silences] == [row.title]
        assert told.warnings_read == ()
        assert found.severity == Severity.MARGINAL
        assert "official_warning" in {
            finding.hazard for finding in found.findings if finding.severity > Severity.GO
        }
        say(server, name)


# -- what warnings do ----------------------------------------------------------------------------


@pytest.mark.one_in(4)
@pytest.mark.parametrize("launch", LAUNCHES)
def test_a_severe_wind_warning_here_forbids_and_one_elsewhere_does_nothing(launch, server):
    here, names = _row(launch)
    for name in names:
        say(server, name, _here(name, here))
        warned = briefing(server, here)
        say(server, name, _far(name, here))
        far = briefing(server, here)
        say(server, name)

        assert len(warned.alerts) in (1, 2), name  # both layers of one service say the same
        assert severity_of(warned) == Severity.NO_GO, name
        if _far(name, here).codes == (("EMMA_ID", "none"),):
            continue  # the country is one zone, which is here
        assert far.alerts == (), name
        assert far.silences == (), name
        assert severity_of(far) == Severity.GO, name


@pytest.mark.parametrize("launch", ["Lake Constance", "Mexico, Tijuana", "Norway, Sognefjord"])
@pytest.mark.parametrize(
    "unclear", [Told(), Told(codes=(("EMMA_ID", "XX999"),)), Told(codes=(("invented", "1"),))]
)
def test_a_warning_that_cannot_be_placed_is_shown_and_leaves_them_unchecked(
    launch, unclear, server
):
    here, names = _row(launch)
    name = names[-1]
    say(server, name, unclear)

    told = briefing(server, here)

    [failure] = told.silences
    row = load_file().service[name]
    assert unclear.headline in failure.reason or unclear.event in failure.reason
    assert row.link in failure.reason
    assert told.warnings_read == ()
    assert severity_of(told) == Severity.MARGINAL


# -- an answer that is too old ---------------------------------------------------------------------


def test_an_answer_that_was_made_yesterday_does_not_show_that_there_is_no_warning(server):
    empty = {"type": "FeatureCollection", "features": []}
    here, _ = _row("Canada, Toronto")
    path = "/collections/weather-alerts/items"
    server.serve(path, json_reply(empty | {"timeStamp": "2026-06-12T14:00:00Z"}))
    old = briefing(server, here)
    server.serve(path, json_reply(empty | {"timeStamp": "2026-06-13T13:58:00Z"}))
    new = briefing(server, here)

    [doubt] = [failure for failure in old.silences if failure.applies]
    assert "2026-06-12 14:00 UTC" in doubt.reason
    assert old.warnings_read == ()
    assert severity_of(old) == Severity.MARGINAL
    assert severity_of(new) == Severity.GO


@pytest.mark.parametrize(("changed", "severity"), [("04", Severity.MARGINAL), ("12", Severity.GO)])
def test_a_list_that_no_longer_changes_does_not_show_that_there_is_no_warning(
    server, changed, severity
):
    head = f"<title>x</title><lastBuildDate>2026-06-{changed}T08:00:00Z</lastBuildDate>"
    index = f'<rss version="2.0"><channel>{head}</channel></rss>'
    server.serve("/cap/rss", text_reply(index, "application/rss+xml"))
    here, _ = _row("New Zealand, Auckland")

    assert severity_of(briefing(server, here)) == severity


def test_a_list_without_its_channel_is_refused(server):
    server.serve("/cap/rss", text_reply('<rss version="2.0"></rss>', "application/rss+xml"))
    here, _ = _row("New Zealand, Auckland")

    told = briefing(server, here)

    assert told.warnings_read == ()
    assert severity_of(told) == Severity.MARGINAL


@pytest.mark.parametrize(
    "more",
    [
        {"numberMatched": 501, "numberReturned": 500},
        {"numberMatched": 1},
        {"links": [{"rel": "self", "href": "x"}, {"rel": "next", "href": "x?offset=500"}]},
    ],
    ids=["counts", "only one count", "link"],
)
def test_one_page_of_several_does_not_show_that_there_is_no_warning(server, more):
    here, _ = _row("Canada, Toronto")
    empty = {"type": "FeatureCollection", "features": [], "links": [{"rel": "self", "href": "x"}]}
    server.serve("/collections/weather-alerts/items", json_reply(empty | more))

    told = briefing(server, here)

    assert told.warnings_read == ()
    assert severity_of(told) == Severity.MARGINAL

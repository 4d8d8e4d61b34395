"""From messages to a briefing: languages, links, doubts; no loss makes a verdict better."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

from safety_check.assess.warnings_reach import warnings_until
from safety_check.conditions.case import Case
from safety_check.conditions.forecast_trend import PastChecks
from safety_check.model.verdict import Severity
from safety_check.report import official_warnings
from safety_check.report.json import build_report
from safety_check.report.layout import Layout
from safety_check.report.page.page import render_page
from safety_check.report.terminal import add_verdict
from safety_check.sources.warning_services.services import load_file
from safety_check.use_cases.trust import load_trust
from tests import scenes
from tests.properties import cases
from tests.sources.fake_server import cut_off, html_page, json_reply, slow, status, text_reply
from tests.sources.fake_warnings import OVER, Told, near, replies, rss, say
from tests.sources.fakes import NOW
from tests.sources.gathering import HASTY, PATIENT, trip
from tests.sources.warning_services.test_countries import briefing, server, severity_of, verdict

__all__ = ["server"]  # a fixture

FJORD, SOUND, LAKE = (61.15, 6.40), (59.40, 18.90), (47.54, 9.67)
AUCKLAND = (-36.84, 174.80)


@pytest.fixture(autouse=True)
def _calm(server) -> None:
    for name in load_file().service:
        say(server, name)


# -- what the user reads -------------------------------------------------------------------------


def test_the_original_text_its_language_the_credit_and_the_link_are_shown(server):
    text = Told(near(*LAKE), language="de-DE", event="Sturmböen", headline="Warnung vor STURM")
    say(server, "meteoalarm_austria", text)
    found = verdict(briefing(server, LAKE))

    layout = Layout(100, colour=False)
    add_verdict(found, scenes.settings().preferences, layout)
    printed = " ".join(" ".join(layout.lines).split())
    page = render_page(found, scenes.settings())
    [told] = build_report(found, "0", 30).official_warnings

    row = load_file().service["meteoalarm_austria"]
    for shown in (printed, page):
        assert official_warnings.TITLE in shown
        assert "Warnung vor STURM" in shown
        assert "Sturmböen" in shown
        assert "Invented text." in shown
        assert "GeoSphere Austria" in shown
        assert row.link in shown
    assert 'lang="de-DE"' in page
    assert (told.language, told.link, told.issuer) == ("de-DE", row.link, "Invented office")


def test_what_a_service_lacks_is_said_beside_its_none(server):
    told = briefing(server, LAKE)

    lacking = {origin.source: origin.model for origin in told.others}
    assert lacking["MeteoAlarm, Switzerland"] == (
        "it has no warnings of its own for the sea or for lakes"
    )
    assert lacking["Deutscher Wetterdienst, coast and lakes"] == ""
    assert all("https://" in origin.attribution for origin in told.others)


# -- links ---------------------------------------------------------------------------------------


def test_linked_messages_are_read_at_their_own_addresses(server):
    say(server, "metservice", Told(near(*AUCKLAND)), Told(near(-45.0, 170.0)))

    told = briefing(server, AUCKLAND)

    assert [alert.headline for alert in told.alerts] == ["Invented wind warning"]
    assert len(told.warnings_read) == 1


@pytest.mark.parametrize("link", ["/invented/0.xml", "http://alerts.metservice.com/invented/0.xml"])
def test_a_link_may_be_relative_or_without_encryption(link, server):
    say(server, "metservice", Told(near(*AUCKLAND)))
    index = rss((Told(near(*AUCKLAND)),), "BASE").replace("BASE/invented/0.xml", link)
    server.serve("/cap/rss", text_reply(index, "application/rss+xml"))

    assert len(briefing(server, AUCKLAND).alerts) == 1


@pytest.mark.parametrize(
    "reply", [status(404), html_page(), text_reply("<alert", "application/cap+xml")]
)
def test_one_linked_message_that_is_lost_leaves_the_warnings_unchecked(reply, server):
    say(server, "metservice", Told(near(-45.0, 170.0)))
    server.serve("/invented/0.xml", reply)

    told = briefing(server, AUCKLAND)

    assert [failure.wanted for failure in told.silences] == [("alerts",)]
    assert told.warnings_read == ()


def test_a_link_to_another_host_is_refused_and_counts(server):
    index = rss((Told(near(*AUCKLAND)),), "https://elsewhere.example")
    server.serve("/cap/rss", text_reply(index, "application/rss+xml"))

    told = briefing(server, AUCKLAND)

    assert "elsewhere.example" in told.silences[0].reason
    assert told.warnings_read == ()


# -- no loss makes a verdict better --------------------------------------------------------------

LOSSES = {
    "lost": lambda reply: status(503),
    "a page instead": lambda reply: html_page(),
    "cut off": cut_off,
    "delayed": lambda reply: slow(reply, 2.0),  # the deadline is 0.4 s
    "another form": lambda reply: json_reply({"error": "no such layer"}),
}


@pytest.mark.one_in(3)
@pytest.mark.parametrize("loss", LOSSES)
@pytest.mark.parametrize(
    ("name", "here"),
    [("met_norway_alerts", FJORD), ("smhi", SOUND), ("dwd_water", LAKE), ("eccc", (43.63, -79.38))],
)
def test_an_answer_that_is_lost_is_never_a_go(name, here, loss, server):
    for path, reply in replies(load_file().service[name], (Told(near(*here)),)).items():
        server.serve(path, LOSSES[loss](reply))

    told = briefing(server, here, HASTY if loss == "delayed" else PATIENT)

    assert told.warnings_read == ()
    assert severity_of(told) >= Severity.MARGINAL


words = st.text(max_size=30)
tellings = st.builds(
    Told,
    ring=st.sampled_from([None, near(*SOUND), near(*FJORD), near(*LAKE), near(0.0, 0.0)]),
    codes=st.lists(
        st.tuples(st.sampled_from(["EMMA_ID", "NUTS3", "invented"]), words), max_size=2
    ).map(tuple),
    severity=st.sampled_from(["Moderate", "Severe", "Extreme"]),
    event=words,
    headline=words,
    language=st.sampled_from(["en-GB", "de", "tlh", "", "zz-ZZ"]),
)


@cases(25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(told=tellings)
def test_a_warning_that_may_be_here_is_never_a_go_whatever_its_words(told, server):
    """Placed here it forbids or holds; without a place it holds; and never is it dropped."""
    say(server, "meteoalarm_switzerland", told)
    seen = briefing(server, LAKE)
    elsewhere = told.ring is not None and told.ring != near(*LAKE)

    if elsewhere:
        assert seen.alerts == ()
    else:
        assert seen.alerts or seen.silences
        assert severity_of(seen) >= Severity.MARGINAL


@cases(25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(first=tellings, second=tellings)
def test_one_more_warning_never_makes_a_verdict_better(first, second, server):
    say(server, "meteoalarm_switzerland", first)
    one = severity_of(briefing(server, LAKE))
    say(server, "meteoalarm_switzerland", first, second)

    assert severity_of(briefing(server, LAKE)) >= one


def test_a_warning_that_is_over_does_nothing(server):
    say(server, "smhi", Told(near(*SOUND), ends=OVER))

    told = briefing(server, SOUND)

    assert told.alerts == ()
    assert severity_of(told) == Severity.GO


def test_a_saved_list_that_is_too_old_does_not_count(server):
    told = briefing(server, SOUND)
    later = replace(told, at=NOW + timedelta(hours=7))  # max_age is 6 h

    assert severity_of(told) == Severity.GO
    assert severity_of(later) > Severity.GO


# -- how far ahead -------------------------------------------------------------------------------


def test_the_service_that_warns_least_far_ahead_decides_until_when_warnings_are_known(server):
    told = briefing(server, (32.53, -117.13))
    plan = trip(water_temperature=296.15)
    mexico = load_file().service["smn_mexico"]
    american = replace(scenes.FROM_THE_ALERT_SERVICE, fetched=NOW)

    def until(*words):
        read = replace(told, warnings_read=words)
        case = Case(plan, read, scenes.POND, scenes.settings(), load_trust(), PastChecks())
        return warnings_until(case)

    both = until(*told.warnings_read, american)
    assert until(american) == NOW + timedelta(hours=48)
    assert both == NOW + timedelta(seconds=mexico.ahead) < NOW + timedelta(hours=48)
    assert until() is None

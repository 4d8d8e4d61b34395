"""From messages to alerts: translations, areas, times, the class and what it means."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.model.verdict import Severity
from safety_check.rules.alerts import alert_severity
from safety_check.rules.warnings import alert_meanings
from safety_check.sources.cap.alerts import NAMELESS, to_alerts
from safety_check.sources.cap.in_force import in_force
from safety_check.sources.cap.message import Named
from tests.properties import cases
from tests.sources.cap.recorded import info_xml, made, recorded
from tests.sources.spoiled import at, provenance

HERE = provenance()
NOON = at("2026-06-01T12:00:00")

# file, style, number of the message: event, severity, class, meaning; read in the files by eye
RECORDED = [
    ("canada/cap_halifax_2024-01-07.xml", "cap", 0, "weather", "Minor", "other", "MARGINAL"),
    (
        "germany/cap_dwd_starkregen_update_2023-06-23.xml",
        *("cap", 0, "heavy rain", "Moderate", "rain", "MARGINAL"),
    ),
    (
        "germany/cap_dwd_starkregen_2023-06-23_b.xml",
        *("cap", 0, "heavy rain", "Moderate", "rain", "MARGINAL"),
    ),
    (
        "meteoalarm/json_germany_2026-04.json",
        *("meteoalarm", 0, "gale-force gusts", "Severe", "wind", "NO-GO"),
    ),
    (
        "meteoalarm/json_germany_2026-04.json",
        *("meteoalarm", 1, "frost", "Moderate", "frost", "GO"),
    ),
    (
        "meteoalarm/json_poland_coast_2026-08-11.json",
        *("meteoalarm", 0, "Yellow Wind warning", "Moderate", "wind", "NO-GO"),
    ),
    (
        "meteoalarm/json_norway_trimmed_2026-07-31.json",
        *("meteoalarm", 0, "Frequent lightning", "Moderate", "thunder", "NO-GO"),
    ),
    (
        "meteoalarm/json_norway_trimmed_2026-07-31.json",
        *("meteoalarm", 1, "Gale", "Moderate", "gale", "NO-GO"),
    ),
    (
        "norway/metalerts_gale_2025-06-04.json",
        *("norway", 0, "Kuling", "Moderate", "gale", "NO-GO"),
    ),
    (
        "wmo/cap_meteofrance_via_swic_2025-11-19_areaedited.xml",
        *("cap", 0, "Vigilance jaune neige-verglas", "Moderate", "snow", "MARGINAL"),
    ),
    (
        "wmo/cap_tma_tanzania_s3.xml",
        *("cap", 0, "Strong wind and large waves.", "Moderate", "wind", "NO-GO"),
    ),
    (
        "oasis/cap12_appendix_a2.xml",
        *("cap", 0, "SEVERE THUNDERSTORM", "Severe", "thunder", "NO-GO"),
    ),
    (
        "oasis/cap12_appendix_a1.xml",
        *("cap", 0, "Homeland Security Advisory System Update", "Severe", "other", "NO-GO"),
    ),
]


@pytest.mark.parametrize(
    ("file", "style", "number", "event", "severity", "hazard", "meaning"), RECORDED
)
def test_a_recorded_message_becomes_one_alert_of_its_class(
    file, style, number, event, severity, hazard, meaning
):
    message = recorded(file, style).messages[number]

    [alert] = to_alerts(message, message.infos, HERE)

    assert (alert.event, alert.severity, alert.hazard) == (event, severity, hazard)
    assert str(alert_severity(alert, alert_meanings())) == meaning


def test_every_croatian_warning_becomes_one_alert():
    # the awareness types in the file: 50 times 1, 7 times 2, 3 times 3, 3 times 10
    messages = recorded("meteoalarm/json_croatia_2024-01.json", "meteoalarm").messages
    alerts = [alert for message in messages for alert in to_alerts(message, message.infos, HERE)]

    classes = Counter(alert.hazard for alert in alerts)
    assert classes == {"wind": 50, "snow": 7, "thunder": 3, "rain": 3}
    assert {alert.language for alert in alerts} == {"en-GB"}


def test_an_alert_has_the_words_of_the_service_and_its_link():
    message = recorded("meteoalarm/json_poland_coast_2026-08-11.json", "meteoalarm").messages[0]

    [alert] = to_alerts(message, message.infos, HERE)

    assert alert.headline.startswith("Yellow Strong wind in the coastal zone warning for Poland")
    assert alert.area == "Eastern coastal zone"
    assert alert.link == "https://meteo.imgw.pl/dyn/?osmet=true"
    assert alert.language == "en-GB"
    assert (alert.onset, alert.ends) == (at("2026-08-11T04:00:00"), at("2026-08-11T16:00:00"))
    assert alert.sent == at("2026-08-11T03:29:20")
    assert alert.provenance.model == "IMGW-PIB, Marine Meteorological Forecast Office in Gdynia"


@pytest.mark.parametrize(
    ("languages", "shown"), [(("pl",), "pl-PL"), (("de", "pl-PL"), "pl-PL"), (("de",), "en-GB")]
)
def test_the_language_that_the_user_reads_is_shown(languages, shown):
    message = recorded("meteoalarm/json_poland_coast_2026-08-11.json", "meteoalarm").messages[0]

    [alert] = to_alerts(message, message.infos, HERE, languages)

    assert alert.language == shown
    assert alert.hazard == "wind"


def test_two_blocks_in_one_language_are_two_alerts():
    message = made(info_xml(headline="north") + info_xml(headline="south"))

    assert [alert.headline for alert in to_alerts(message, message.infos, HERE)] == [
        "north",
        "south",
    ]


def test_two_areas_in_two_languages_are_two_alerts():
    blocks = [
        info_xml(language=language, headline=f"{place} {language}")
        for language in ("fr", "en")
        for place in ("north", "south")
    ]
    message = made("".join(blocks))

    headlines = [alert.headline for alert in to_alerts(message, message.infos, HERE)]
    assert headlines == ["north en", "south en"]


def test_translations_that_differ_in_severity_are_both_kept():
    message = made(info_xml(severity="Severe") + info_xml(language="fr", severity="Minor"))

    alerts = to_alerts(message, message.infos, HERE)

    assert sorted(alert.severity for alert in alerts) == ["Minor", "Severe"]


def test_a_word_in_any_language_gives_the_class():
    message = made(info_xml(language="xx", event="zzz") + info_xml(language="de", event="Gewitter"))

    [alert] = to_alerts(message, message.infos, HERE, ("xx",))

    assert (alert.event, alert.hazard) == ("zzz", "thunder")


def test_a_message_without_information_is_an_alert_without_a_name():
    message = made("<note>x</note>")

    [alert] = to_alerts(message, message.infos, HERE)

    assert (alert.event, alert.onset, alert.ends) == (NAMELESS, message.sent, None)
    assert alert_severity(alert, alert_meanings()) == Severity.NO_GO  # it may have been severe


def test_an_end_before_the_onset_is_that_of_the_message():
    message = made(info_xml(expires="2026-06-01T07:00:00Z"))

    assert to_alerts(message, message.infos, HERE)[0].ends is None


def test_an_onset_that_is_missing_is_when_the_message_takes_effect_or_was_sent():
    took_effect = made(info_xml(onset="", effective="2026-06-01T07:00:00Z"))
    was_sent = made(info_xml(onset=""))

    assert to_alerts(took_effect, took_effect.infos, HERE)[0].onset == at("2026-06-01T07:00:00")
    assert to_alerts(was_sent, was_sent.infos, HERE)[0].onset == at("2026-06-01T06:00:00")


@pytest.mark.parametrize("web", ["javascript:alert(1)", "www.example.org", "file:///etc/passwd"])
def test_a_link_that_is_no_web_address_is_left_out(web):
    message = made(info_xml(web=web))

    assert to_alerts(message, message.infos, HERE)[0].link == ""


@cases(200)
@given(
    language=st.text(max_size=5),
    event=st.text(max_size=20),
    severity=st.sampled_from(["Moderate", "Severe", "Extreme", "Unknown", "schlimm", ""]),
    code=st.text(max_size=5),
)
def test_a_message_in_any_language_with_any_code_is_in_force_and_is_never_nothing(
    language, event, severity, code
):
    message = made()
    block = replace(
        message.infos[0],
        language=language,
        event=event,
        severity=severity,
        event_codes=(Named(code, code),),
    )
    [kept] = in_force([replace(message, infos=(block,))], NOON)

    [alert] = to_alerts(kept, kept.infos, HERE)

    assert alert.event
    assert alert_severity(alert, alert_meanings()) >= Severity.MARGINAL


@cases(100)
@given(st.data())
def test_losing_a_part_of_a_message_never_ends_it(data):
    elements = ("language", "category", "event", "urgency", "certainty", "onset", "expires")
    lost = data.draw(st.sets(st.sampled_from(elements)))
    message = made(info_xml(**dict.fromkeys(lost, "")))

    [kept] = in_force([message], NOON)
    [alert] = to_alerts(kept, kept.infos, HERE)

    assert alert_severity(alert, alert_meanings()) >= Severity.MARGINAL

"""The ways in which services end a warning, and what does not end one."""

from __future__ import annotations

from dataclasses import replace

import pytest

from safety_check.sources.cap.alerts import preferred, to_alerts
from safety_check.sources.cap.canada import read_canada
from safety_check.sources.cap.in_force import in_force
from safety_check.sources.cap.level import green, level
from safety_check.sources.cap.message import Info, Named
from safety_check.sources.cap.sweden import read_sweden
from tests.sources.cap.recorded import info_xml, made
from tests.sources.spoiled import at, provenance

NOON = at("2026-06-01T12:00:00")
FIRST = "warnings@example.org,1,2026-06-01T06:00:00+00:00"
LATER = "2026-06-01T09:00:00+00:00"
PARAMETER = "<parameter><valueName>{}</valueName><value>{{}}</value></parameter>"
ENDED = PARAMETER.format("layer:EC-MSC-SMC:1.0:Alert_Location_Status")
LEVEL = PARAMETER.format("awareness_level")
EVENT_ENDS = PARAMETER.format("eventEndingTime")


def kept(*messages) -> list[str]:
    return [message.identifier for message in in_force(messages, NOON)]


def reply(kind: str, **elements: str):
    """Return a later message about the first one."""
    given = {"identifier": "2", "sent": LATER, "references": FIRST, **elements}
    return made(msgType=kind, **given)


def test_a_plain_warning_is_in_force():
    assert kept(made()) == ["1"]


def test_a_message_of_the_year_1_with_an_end_is_in_force_until_then():
    ending = info_xml(expires="2026-06-01T13:00:00+00:00")
    assert kept(made(ending, sent="0001-01-01T00:00:00+00:00")) == ["1"]


# -- twelve ways of ending ----------------------------------------------------------------------


def test_a_cancel_ends_the_messages_that_it_names_and_is_no_warning_itself():
    assert kept(made(), reply("Cancel")) == []


def test_an_update_replaces_the_message_that_it_names():
    assert kept(made(), reply("Update")) == ["2"]


def test_an_update_replaces_every_message_that_it_names():
    second = made(identifier="b", sent="2026-06-01T07:00:00+00:00")
    names = f"{FIRST}\n  warnings@example.org,b,2026-06-01T07:00:00Z"

    assert kept(made(), second, reply("Update", references=names)) == ["2"]


def test_a_message_ends_when_it_expires():
    assert kept(made(info_xml(expires="2026-06-01T12:00:00+00:00"))) == []
    assert kept(made(info_xml(expires="2026-06-01T12:00:01+00:00"))) == ["1"]


def test_a_message_that_expires_when_it_is_sent_says_that_the_warning_is_over():
    over = info_xml(expires=LATER, onset="2026-06-01T18:00:00+00:00")

    assert kept(made(), reply("Update", info=over)) == []


def test_an_all_clear_in_the_past_tense_is_over():
    clear = info_xml(urgency="Past", responseType="AllClear", severity="Severe")

    assert kept(made(), reply("Update", info=clear)) == []


def test_an_all_clear_that_lowers_a_warning_to_minor_is_over():
    clear = info_xml(responseType="AllClear", severity="Minor")

    assert kept(made(), reply("Update", info=clear)) == []


@pytest.mark.parametrize("status", ["ended", "cancelled", "transitioned_out", "Ended"])
def test_a_place_that_has_ended_is_no_warning(status):
    assert kept(made(info_xml(ENDED.format(status)))) == []


def test_a_green_level_is_no_warning():
    green = info_xml(LEVEL.format("1; green; Minor"), severity="Minor")

    assert kept(made(green)) == []


def test_a_message_ends_with_the_event_where_that_is_later():
    soon = "2026-06-01T11:00:00+00:00"
    later, earlier = (EVENT_ENDS.format(f"2026-06-01T{hour}:00:00+00:00") for hour in (15, 10))

    assert kept(made(info_xml(later, expires=soon))) == ["1"]
    assert kept(made(info_xml(earlier, expires=soon))) == []


def canadian(status: str) -> bytes:
    return (
        '{"type": "FeatureCollection", "features": [{"type": "Feature", "geometry": null,'
        '"properties": {"alert_code": "WIW", "feature_id": "x", "alert_type": "warning",'
        f'"alert_name_en": "wind warning", "status_en": "{status}",'
        '"publication_datetime": "2026-06-01T10:00:00Z",'
        '"expiration_datetime": "2026-06-02T02:00:00.658Z"}}]}'
    ).encode()


@pytest.mark.parametrize(("status", "number"), [("issued", 1), ("continued", 1), ("ended", 0)])
def test_a_canadian_warning_ends_by_its_status_long_before_it_expires(status, number):
    messages = read_canada(canadian(status), "a service").messages

    assert len(in_force(messages, NOON)) == number


def test_a_warning_that_is_gone_from_the_list_is_over():
    assert read_sweden(b"[]", "a service").messages == ()


# -- never warnings -----------------------------------------------------------------------------


@pytest.mark.parametrize("status", ["Exercise", "System", "Test", "Draft", "test"])
def test_a_message_that_is_not_actual_is_no_warning(status):
    assert kept(made(status=status)) == []


@pytest.mark.parametrize("scope", ["Restricted", "Private"])
def test_a_message_that_is_not_public_is_no_warning(scope):
    assert kept(made(scope=scope)) == []


@pytest.mark.parametrize("kind", ["Ack", "Error"])
def test_a_reply_is_no_warning_and_ends_none(kind):
    assert kept(made(), reply(kind)) == ["1"]


# -- what does not end a warning ----------------------------------------------------------------


def test_a_test_cancel_ends_nothing():
    assert kept(made(), reply("Cancel", status="Test")) == ["1"]


@pytest.mark.parametrize(
    "names",
    [
        "",
        "someone@example.org,1,2026-06-01T06:00:00+00:00",
        "warnings@example.org,other,2026-06-01T06:00:00+00:00",
        "warnings@example.org,1,2026-06-01T05:00:00+00:00",
        "no reference at all",
    ],
)
def test_a_cancel_of_another_message_ends_nothing(names):
    assert kept(made(), reply("Cancel", references=names)) == ["1"]


def test_a_reference_to_itself_ends_nothing():
    assert kept(made(references=FIRST)) == ["1"]


def test_two_messages_that_name_each_other_do_not_both_vanish():
    names = "warnings@example.org,2,2026-06-01T09:00:00+00:00"

    assert kept(made(references=names, msgType="Update"), reply("Update")) == ["2"]


def test_a_cancel_without_a_readable_time_ends_nothing():
    assert kept(made(), reply("Cancel", sent="yesterday")) == ["1"]


@pytest.mark.parametrize(
    "end", ["", "tomorrow", "2026-13-01T00:00:00+00:00", "1970-01-01T00:00:00Z"]
)
def test_a_message_without_a_readable_end_stays(end):
    assert kept(made(info_xml(expires=end))) == ["1"]


def test_an_end_days_before_the_message_was_sent_is_an_error_and_ends_nothing():
    assert kept(made(info_xml(expires="2025-06-01T20:00:00+00:00"))) == ["1"]


def test_a_message_that_expires_before_the_hazard_begins_waits_for_it():
    evening = "2026-06-01T18:00:00+00:00"

    assert kept(made(info_xml(onset=evening, expires="2026-06-01T11:00:00+00:00"))) == ["1"]


def test_a_message_in_the_future_is_kept():
    assert kept(made(info_xml(onset="2026-06-03T08:00:00Z", expires="2026-06-03T20:00:00Z")))


@pytest.mark.parametrize(
    "contradiction",
    [
        info_xml(responseType="AllClear", severity="Severe"),
        info_xml("<responseType>Shelter</responseType>", responseType="AllClear", urgency="Past"),
        info_xml(urgency="Past"),
        info_xml(LEVEL.format("1; green; Minor"), severity="Severe"),
        info_xml(LEVEL.format("1; green; Minor") + LEVEL.format("3; orange; Severe")),
        info_xml(ENDED.format("ended") + ENDED.format("active")),
    ],
)
def test_a_message_that_contradicts_itself_stays(contradiction):
    assert kept(made(contradiction)) == ["1"]


def test_a_message_without_information_stays_and_says_so():
    [message] = in_force([made("<note>x</note>")], NOON)

    assert (message.infos, message.unread) == ((), ("a message without information",))


def test_only_the_part_of_a_message_that_has_ended_goes():
    over = info_xml(ENDED.format("ended"), headline="north")
    [message] = in_force([made(over + info_xml(headline="south"))], NOON)

    assert [info.headline for info in message.infos] == ["south"]


def test_the_order_of_the_messages_does_not_matter():
    messages = [made(), reply("Update"), made(identifier="3")]

    assert set(kept(*messages)) == set(kept(*reversed(messages))) == {"2", "3"}


def test_a_message_without_a_name_is_not_ended_by_a_reference_without_one():
    nameless = made(identifier="", sender="")

    assert kept(nameless, reply("Cancel", references=",,soon")) == [""]


def test_what_cannot_be_read_stays_where_the_rest_has_ended():
    message = replace(made(info_xml(expires=LATER)), unread=("a warning that can't be read",))

    [left] = in_force([message], NOON)

    assert (left.infos, left.unread) == ((), ("a warning that can't be read",))


# -- to the second -------------------------------------------------------------------------------


def test_an_end_a_day_before_the_message_counts_and_a_second_earlier_it_is_an_error():
    day, more = "2026-05-31T06:00:00+00:00", "2026-05-31T05:59:59+00:00"  # sent at 06:00 on 1 June
    assert kept(made(info_xml(onset="", expires=day))) == []
    assert kept(made(info_xml(onset="", expires=more))) == ["1"]


def test_a_message_that_waits_for_its_hazard_is_over_when_that_would_begin():
    early = "2026-06-01T07:00:00+00:00"
    for onset, found in (("12:00:00", []), ("12:00:01", ["1"])):
        assert kept(made(info_xml(onset=f"2026-06-01T{onset}Z", expires=early))) == found
    sent = made(info_xml(onset="2026-06-02T00:00:00Z", expires="2026-06-01T06:00:00+00:00"))
    assert kept(sent) == []  # it expires when it is sent: the warning is over
    takes_effect = info_xml(onset="", effective="2026-06-01T13:00:00Z", expires=early)
    assert kept(made(takes_effect)) == ["1"]


def test_only_a_later_message_replaces_another():
    for sent, found in (("06:00:00", ["1", "2"]), ("06:00:01", ["2"])):
        update = reply("Update", sent=f"2026-06-01T{sent}+00:00")
        assert kept(made(), update) == found


def test_the_latest_of_several_messages_about_one_counts():
    early = reply("Update", sent="2026-06-01T05:00:00+00:00")
    late = reply("Cancel", identifier="3")
    for order in ((made(), early, late), (late, early, made())):
        assert kept(*order) == ["2"]


def test_a_reference_without_a_readable_time_names_every_message_of_that_name():
    names = "warnings@example.org,1,yesterday"
    assert kept(made(), reply("Update", references=names)) == ["2"]


def test_an_alert_that_ends_when_it_begins_has_no_end():
    message = made(info_xml(onset="2026-06-01T13:00:00Z", expires="2026-06-01T13:00:00Z"))
    longer = made(info_xml(onset="2026-06-01T13:00:00Z", expires="2026-06-01T13:00:01Z"))
    for one, known in ((message, False), (longer, True)):
        [alert] = to_alerts(one, one.infos, provenance())
        assert (alert.ends is not None) == known


@pytest.mark.parametrize(
    ("languages", "expected"),
    [
        (("pl",), "pl-PL"),
        (("PL-pl",), "pl-PL"),
        (("fr", "pl"), "pl-PL"),
        (("fr",), "en-GB"),
        ((), "en-GB"),
    ],
)
def test_the_text_is_shown_in_the_first_language_that_is_wanted(languages, expected):
    group = [Info(language, "Met", "Wind") for language in ("de-DE", "en-GB", "pl-PL")]
    assert preferred(group, languages).language == expected
    assert preferred(group[:1], ("fr",)).language == "de-DE"


@pytest.mark.parametrize(
    ("severity", "colour", "expected"),
    [
        *(("Minor", "1; yellow; x", "Moderate"), ("Extreme", "yellow", "Extreme")),
        *(("Severe", "RED", "Extreme"), ("moderate", "", "Moderate"), ("schlimm", "", "schlimm")),
        *(("", "amber", "Severe"), ("Minor", "2; orange; Severe", "Severe")),
        *(("Unknown", "green", "Unknown"),),
    ],
)
def test_the_level_is_the_higher_of_severity_and_colour(severity, colour, expected):
    said = (Named("awareness_level", colour),) if colour else ()
    info = Info("en", "Met", "Wind", severity=severity, parameters=said)
    assert level(info) == expected
    assert green(info) == (colour == "green")
    assert not green(Info("en", "Met", "Wind", severity="Moderate", parameters=said))


@pytest.mark.parametrize("severity", ["Minor", "Unknown", ""])
def test_an_all_clear_without_a_threat_is_over(severity):
    clear = info_xml(responseType="AllClear", severity=severity)

    assert kept(made(), reply("Update", info=clear)) == []


@pytest.mark.parametrize("name", ["eventEndingTime", "event_end_datetime"])
def test_the_end_of_the_event_has_two_names(name):
    ends = PARAMETER.format(name).format("2026-06-01T15:00:00+00:00")

    assert kept(made(info_xml(ends, expires="2026-06-01T11:00:00+00:00"))) == ["1"]


@pytest.mark.parametrize(
    "name", ["awareness_level", "ColourCode", "risk_colour", "warningLevel", "riskMatrixColor"]
)
def test_the_colour_of_a_level_has_several_names(name):
    info = Info("en", "Met", "Wind", severity="Minor", parameters=(Named(name, "Orange"),))

    assert level(info) == "Severe"


def test_a_canceled_place_is_no_warning_in_either_spelling():
    for status in ("cancelled", "canceled"):
        assert kept(made(info_xml(ENDED.format(status)))) == []

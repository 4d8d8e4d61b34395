"""Every recorded message, with values read in the file by eye."""

from __future__ import annotations

import pytest

from safety_check.sources.cap.in_force import end_of, in_force
from safety_check.sources.cap.level import level
from safety_check.sources.cap.message import Circle, Link, Named, Reference
from tests.sources.cap.recorded import one_message, recorded
from tests.sources.spoiled import at

# -- OASIS, Common Alerting Protocol Version 1.2, appendix A: published examples ----------------


def test_the_first_published_example_has_no_end_and_no_shape():
    message = one_message("oasis/cap12_appendix_a1.xml")
    [info] = message.infos
    [area] = info.areas

    assert (message.identifier, message.sender) == ("43b080713727", "hsas@dhs.gov")
    assert message.sent == at("2003-04-02T19:39:01")  # 14:39:01 at -05:00
    assert (message.status, message.msg_type, message.scope) == ("Actual", "Alert", "Public")
    assert info.language == "en-US"  # the default of CAP 1.2
    assert info.category == "Security"
    assert info.event == "Homeland Security Advisory System Update"
    assert (info.urgency, info.severity, info.certainty) == ("Immediate", "Severe", "Likely")
    assert info.parameters == (Named("HSAS", "ORANGE"),)
    assert area.description == "U.S. nationwide and interests worldwide"
    assert (info.onset, info.expires, area.polygons, area.geocodes) == (None, None, (), ())


def test_the_second_published_example_has_a_polygon_and_codes():
    [info] = one_message("oasis/cap12_appendix_a2.xml").infos
    [area] = info.areas
    [ring] = area.polygons

    assert info.event == "SEVERE THUNDERSTORM"
    assert info.event_codes == (Named("SAME", "SVR"),)
    assert info.response_types == ("Shelter",)
    assert info.expires == at("2003-06-17T23:00:00")  # 16:00 at -07:00
    assert info.onset is None
    assert ring.tolist() == [
        [-120.14, 38.47],
        [-119.95, 38.34],
        [-119.74, 38.52],
        [-119.89, 38.62],
        [-120.14, 38.47],
    ]
    assert [code.value for code in area.geocodes] == ["006109", "006009", "006003"]
    assert {code.name for code in area.geocodes} == {"SAME"}


def test_the_third_published_example_updates_another_and_has_a_circle():
    message = one_message("oasis/cap12_appendix_a3.xml")
    [info] = message.infos

    assert message.msg_type == "Update"
    assert message.references == (
        Reference("trinet@caltech.edu", "TRI13970876.1", "2003-06-11T20:30:00-07:00"),
    )
    assert (info.urgency, info.severity, info.certainty) == ("Past", "Minor", "Observed")
    assert list(info.parameter_values("magnitude")) == ["3.4 Ml"]
    assert info.areas[0].circles == (Circle(-115.5527, 32.9525, 0.0),)


# -- Canada -------------------------------------------------------------------------------------


def test_a_canadian_statement_has_two_languages_and_three_places():
    message = one_message("canada/cap_halifax_2024-01-07.xml")
    english, french = message.infos

    assert message.sender == "cap-pac@canada.ca"
    assert len(message.references) == 10
    assert message.references[9].identifier == "urn:oid:2.49.0.1.124.3912169114.2024"
    assert (english.language, english.event) == ("en-CA", "weather")
    assert (french.language, french.event) == ("fr-CA", "météo")
    assert english.headline == "special weather statement in effect"
    assert (english.severity, english.urgency) == ("Minor", "Future")
    assert english.onset is None
    assert english.effective == at("2024-01-07T01:31:08")
    assert english.expires == at("2024-01-07T17:27:54")
    assert [area.description for area in english.areas] == [
        "Annapolis County",
        "Digby County",
        "Halifax Metro and Halifax County West",
    ]
    assert [len(area.polygons) for area in english.areas] == [1, 1, 1]
    assert Named("layer:EC-MSC-SMC:1.0:CLC", "011200") in english.areas[0].geocodes
    assert "Maximum wind gusts: Northeasterly 40 to 60 km/h." in english.description
    assert len(in_force([message], at("2024-01-07T12:00:00"))) == 1


def test_a_canadian_update_that_ends_a_watch_is_no_warning():
    message = one_message("canada/cap_tstm_ended_2012.xml")

    assert message.infos[0].headline == "severe thunderstorm watch"
    assert (message.infos[0].urgency, message.infos[0].response_types) == ("Past", ("AllClear",))
    assert Named("profile:CAP-CP:Event:0.4", "thunderstorm") in message.infos[0].event_codes
    assert message.infos[0].expires == at("2012-05-03T00:20:00")
    assert in_force([message], at("2012-05-02T23:30:00")) == ()


# -- Germany ------------------------------------------------------------------------------------


def test_a_german_message_has_eight_languages_and_heights_in_metres():
    message = one_message("germany/cap_dwd_starkregen_update_2023-06-23.xml")
    german = message.infos[0]

    languages = [info.language for info in message.infos]
    assert languages == ["de-DE", "en", "fr", "es", "ar", "ru", "tr", "pl"]
    assert german.event == "STARKREGEN"
    assert Named("II", "61") in german.event_codes
    assert german.onset == at("2023-06-23T09:14:00")  # 11:14 at +02:00
    assert german.expires == at("2023-06-23T13:00:00")  # 15:00 at +02:00
    shape, *communes = german.areas
    assert shape.description == "polygonal event area"
    assert len(shape.polygons[0]) == 72
    assert shape.polygons[0][0].tolist() == [12.172358, 52.625569]
    assert (shape.altitude_m, shape.ceiling_m) == pytest.approx((0.0, 3000.0))  # 9842.5197 feet
    assert [area.geocodes[0].value for area in communes] == ["812069270", "812063189", "812069018"]
    assert not any(area.polygons for area in communes)


def test_a_german_message_has_several_polygons():
    message = one_message("germany/cap_dwd_starkregen_2023-06-23_b.xml")

    assert [len(info.areas) for info in message.infos] == [49] * 8
    assert sum(len(area.polygons) for area in message.infos[0].areas) == 4
    assert message.infos[1].headline == "Official WARNING of HEAVY RAIN"


# -- MeteoAlarm ---------------------------------------------------------------------------------


def test_the_colour_counts_where_it_is_higher_than_the_severity():
    gusts, frost, coast, again = recorded(
        "meteoalarm/json_germany_2026-04.json", "meteoalarm"
    ).messages
    english = gusts.infos[1]

    assert (english.event, english.severity, level(english)) == (
        "gale-force gusts",
        "Moderate",
        "Severe",
    )
    assert english.areas[0].altitude_m == pytest.approx(1000.0, abs=0.01)  # 3280.8399 feet
    assert english.areas[0].geocodes == (
        Named("EMMA_ID", "DE343"),
        Named("WARNCELLID", "114521000"),
    )
    assert (frost.infos[1].event, level(frost.infos[1])) == ("frost", "Moderate")
    assert coast.infos[0].areas[0].description == "Flensburg bis Fehmarn"
    assert coast.infos[0].response_types == ("AllClear",)
    # the fourth is the first with another name and event, made by the author of the recording
    assert (again.identifier, again.infos[0].event) == ("TEST-IDENTIFIER-XYZ", "Test Hazard")


def test_a_german_coast_warning_that_ends_when_it_is_sent_is_no_warning():
    listing = recorded("meteoalarm/json_germany_2026-04.json", "meteoalarm")

    # an hour before the all-clear was sent: clocks differ, and it still is no warning
    kept = in_force(listing.messages, at("2026-04-20T20:16:00"))

    assert [message.infos[0].event for message in kept] == ["FROST"]


def test_the_croatian_sea_has_the_latest_warning_of_each_chain():
    listing = recorded("meteoalarm/json_croatia_2024-01.json", "meteoalarm")
    assert (len(listing.messages), listing.unread) == (63, ())

    kept = in_force(listing.messages, at("2024-01-07T12:00:00"))
    sea = {
        (area.geocodes[0].value, f"{info.onset:%d}"): (level(info), info.event)
        for message in kept
        for info in message.infos
        for area in info.areas
        if info.language == "en-GB" and area.geocodes[0].value.startswith("HR80")
    }

    # onset 00:01:01 at +01:00 is the evening before in UTC: the 7th and the 8th of January
    assert sea == {
        ("HR801", "06"): ("Severe", "Orange wind warning"),
        ("HR802", "06"): ("Extreme", "Red wind warning"),
        ("HR803", "06"): ("Extreme", "Red wind warning"),
        ("HR804", "06"): ("Severe", "Orange wind warning"),
        ("HR805", "06"): ("Moderate", "Yellow wind warning"),
        ("HR806", "06"): ("Moderate", "Yellow wind warning"),
        ("HR801", "07"): ("Severe", "Orange wind warning"),
        ("HR802", "07"): ("Extreme", "Red wind warning"),
        ("HR803", "07"): ("Extreme", "Red wind warning"),
        ("HR804", "07"): ("Severe", "Orange wind warning"),
        ("HR805", "07"): ("Severe", "Orange wind warning"),
        ("HR806", "07"): ("Moderate", "Yellow wind warning"),
    }
    assert in_force(listing.messages, at("2024-01-20T00:00:00")) == ()


def test_a_polish_coast_warning_is_told_in_both_languages():
    [message] = recorded("meteoalarm/json_poland_coast_2026-08-11.json", "meteoalarm").messages
    polish, english = message.infos

    assert polish.event == "Żółty alert na silny wiatr w strefie brzegowej"
    assert english.event == "Yellow Wind warning"
    assert english.description.startswith("Wind westerly force 4 to 6 and 7 in gusts.")
    assert english.onset == at("2026-08-11T04:00:00")  # 06:00 at +02:00
    assert english.expires == at("2026-08-11T16:00:00")
    assert english.areas[0].geocodes == (Named("EMMA_ID", "PL805"),)
    assert english.web == "https://meteo.imgw.pl/dyn/?osmet=true"


def test_an_area_without_a_code_or_a_shape_keeps_its_name():
    lightning, gale = recorded(
        "meteoalarm/json_norway_trimmed_2026-07-31.json", "meteoalarm"
    ).messages

    assert lightning.infos[1].event == "Frequent lightning"
    assert gale.infos[1].areas[0].description == "Svinoey - Froeya"
    assert (gale.infos[1].areas[0].polygons, gale.infos[1].areas[0].geocodes) == ((), ())
    assert gale.infos[1].onset == at("2026-07-31T05:00:00")


# -- Norway -------------------------------------------------------------------------------------


def test_norwegian_gales_have_shapes_and_the_end_of_the_event():
    listing = recorded("norway/metalerts_gale_2025-06-04.json", "norway")
    first, second, third = listing.messages
    [info] = second.infos

    assert listing.updated == at("2025-06-04T18:38:08")
    assert second.identifier == "2.49.0.1.578.0.20250604170930.003"
    assert (second.status, second.msg_type) == ("Actual", "Update")
    assert (info.language, info.event, level(info)) == ("no", "Kuling", "Moderate")
    assert info.event_codes == (Named("eventType", "gale"),)
    assert info.onset == at("2025-06-03T03:00:00")
    assert end_of(second, info) == at("2025-06-05T16:00:00")
    assert info.areas[0].description == "Bulandet - Måløy"
    assert (info.areas[0].altitude_m, info.areas[0].ceiling_m) == (0.0, 2743.0)
    assert "Det kan være farlig å være ute i småbåt" in info.instruction
    assert len(first.infos[0].areas[0].polygons) == 2  # a MultiPolygon
    assert first.infos[0].areas[0].polygons[0][0].tolist() == [4.8643, 62.034]
    assert third.infos[0].areas[0].description == "Fedje - Bulandet"
    assert len(in_force(listing.messages, at("2025-06-05T10:00:00"))) == 2  # the third ends at 9


def test_a_norwegian_list_links_to_its_message():
    listing = recorded("norway/rss_gale_2023-02-23.xml", "rss")

    assert listing.updated == at("2023-02-23T08:42:35")
    assert listing.links == (
        Link(
            url="https://api.met.no/weatherapi/metalerts/1.1/?cap=2.49.0.1.578.0.230223083612430.639",
            identifier="2.49.0.1.578.0.230223083612430.639",
            title="Kuling, gult nivå, Obrestad - Slåtterøy:, 23 February 18:00 UTC til 23 February"
            " 22:00 UTC.",
            updated=at("2023-02-23T08:36:12"),
        ),
    )


# -- France, Tanzania, Australia: the mirrors of the World Meteorological Organization ----------


def test_a_french_message_has_codes_beside_its_shapes():
    [info] = one_message("wmo/cap_meteofrance_via_swic_2025-11-19_areaedited.xml").infos

    assert info.event == "Vigilance jaune neige-verglas"
    assert level(info) == "Moderate"
    assert info.onset == at("2025-11-19T23:00:00")  # midnight at +01:00
    assert list(info.parameter_values("awareness_type")) == ["2; snow-ice"]
    assert [area.geocodes[0].value for area in info.areas] == ["FR101", "FR302"]


def test_a_message_that_references_itself_stays_in_force():
    message = one_message("wmo/cap_tma_tanzania_s3.xml")
    [info] = message.infos

    assert message.references[0].identifier == message.identifier
    assert info.event == "Strong wind and large waves."
    assert info.onset == at("2020-08-09T15:00:00")  # 18:00 at +03:00
    assert info.expires == at("2020-08-09T20:00:00")
    assert info.areas[0].polygons[0][0].tolist() == [39.3, -4.7]
    assert len(in_force([message], at("2020-08-09T16:00:00"))) == 1


def test_a_mirror_lists_two_messages():
    listing = recorded("wmo/rss_tma_tanzania_s3.xml", "rss")

    assert [link.title for link in listing.links] == [
        "YELLOW ADVISORY: Strong wind and large waves",
        "YELLOW ADVISORY: Strong winds.",
    ]
    assert listing.links[1].updated == at("2020-08-06T13:18:39")


def test_a_prefix_a_circle_and_two_blocks_in_one_language_are_read():
    message = one_message("australia/cap_nsw_rfs_2011.xml")

    assert [info.language for info in message.infos] == ["en-AU", "en-AU"]
    assert message.infos[0].category == "Fire Met"
    assert message.infos[0].areas[0].circles == (Circle(147.0598, -35.3888, 25_000.0),)
    assert message.infos[0].event_codes[1] == Named(
        "non-standard secondary event code", "structure_fire"
    )
    assert message.infos[1].areas[0].geocodes[0].value == "2642"

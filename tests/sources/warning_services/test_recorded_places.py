"""Genuine messages, placed: near the water that they name, and nowhere else.

Places are read from a map: Kvarner is the gulf of Rijeka, Middle Dalmatia the coast of Split, the
eastern part of Poland's coast has Hel, and Svinøy, west of Måløy and Fedje are on Norway's coast.
"""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from safety_check.sources.cap.in_force import in_force
from safety_check.sources.warning_services.placing import (
    Placement,
    place_area,
    place_info,
    trip_places,
)
from tests.sources.cap.recorded import recorded

RIJEKA, SPLIT, ZAGREB = (45.30, 14.40), (43.50, 16.40), (45.78, 15.92)
HEL, LEBA, SZCZECIN = (54.60, 18.80), (54.78, 17.55), (53.75, 14.40)
SVINOY, MALOY, FEDJE = (62.33, 5.27), (61.93, 4.90), (60.78, 4.68)
BERGEN, OSLO = (60.40, 5.30), (59.88, 10.70)
HALIFAX, TORONTO = (44.63, -63.56), (43.63, -79.38)
CROATIA = (
    "meteoalarm/json_croatia_2024-01.json",
    "meteoalarm",
    datetime(2024, 1, 7, 0, tzinfo=UTC),
)
POLAND = (
    *("meteoalarm/json_poland_coast_2026-08-11.json", "meteoalarm"),
    datetime(2026, 8, 11, 6, tzinfo=UTC),
)
NORWAY = ("norway/metalerts_gale_2025-06-04.json", "norway", datetime(2025, 6, 4, 12, tzinfo=UTC))
CANADA = ("canada/cap_halifax_2024-01-07.xml", "cap", datetime(2024, 1, 7, 12, tzinfo=UTC))


@pytest.mark.parametrize(
    ("recording", "place", "areas"),
    [
        (CROATIA, RIJEKA, {"Kvarner i Kvarneric region"}),
        (CROATIA, SPLIT, {"Middle Dalmatia region", "Split region"}),
        (CROATIA, ZAGREB, {"Zagreb region"}),
        (POLAND, HEL, {"Strefa brzegowa - część wschodnia"}),
        (POLAND, SZCZECIN, set()),
        (NORWAY, SVINOY, {"Måløy - Svinøy"}),
        (NORWAY, MALOY, {"Bulandet - Måløy"}),
        (NORWAY, FEDJE, {"Fedje - Bulandet"}),
        (NORWAY, BERGEN, set()),
        (NORWAY, OSLO, set()),
        (CANADA, HALIFAX, {"Halifax Metro and Halifax County West"}),
        (CANADA, TORONTO, set()),
    ],
)
def test_a_recorded_warning_holds_at_the_water_that_it_names(recording, place, areas):
    name, style, at = recording
    trip = trip_places([place])

    found = {
        area.description
        for message in in_force(recorded(name, style).messages, at)
        for info in message.infos[:1]
        for area in info.areas
        if place_area(area, trip) == Placement.HERE
    }

    assert found == areas


def test_a_recorded_warning_without_any_area_may_be_anywhere():
    listing = recorded("meteoalarm/json_norway_trimmed_2026-07-31.json", "meteoalarm")
    trip = trip_places([OSLO])

    assert {place_info(info, trip) for message in listing.messages for info in message.infos} == {
        Placement.UNKNOWN
    }

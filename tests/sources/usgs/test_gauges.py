from __future__ import annotations

import copy
import json

import pytest
from hypothesis import given

from safety_check.errors import DataError
from safety_check.model.weather import Observation
from safety_check.sources.listing import Listing
from safety_check.sources.stations import Station
from safety_check.sources.usgs import gauges_legacy
from safety_check.sources.usgs.gauges import parse, parse_locations, parse_page, query
from tests.properties import cases
from tests.recordings import shared_folder
from tests.sources.spoiled import NO_JSON, any_bytes, at, provenance

CUBIC_FOOT = 0.3048**3  # m³, exact
DISCHARGE = "water_volume_transport_in_river_channel"
HERE = (64.5, -147.0)


def recorded(name: str) -> bytes:
    return (shared_folder("recorded", "usgs") / name).read_bytes()


def told(seen: tuple[Observation, ...]) -> dict[tuple[str, str], Observation]:
    return {
        (observation.station.split()[0], observation.quantity): observation for observation in seen
    }


# -- recordings; every expected value was read in the file by eye -----------------------------


def test_recorded_values_give_the_newest_of_each_series():
    sites = parse_locations(recorded("ogc_monitoring_locations_20260402.json"), provenance()).places
    body = recorded("ogc_continuous_USGS-15484000_20220930.json")

    seen = told(parse(body, provenance(), sites, HERE))

    assert seen.keys() == {("USGS-15484000", "water_temperature"), ("USGS-15484000", DISCHARGE)}
    water, flow = seen.values()
    assert water.value == pytest.approx(277.85)  # "4.7" degC
    assert flow.value == pytest.approx(2210 * CUBIC_FOOT)
    assert water.time == flow.time == at("2022-10-01T00:00:00")
    assert water.station == "USGS-15484000 SALCHA R NR SALCHAKET AK"
    assert not water.flagged


def test_recorded_values_without_a_place_have_no_distance():
    body = recorded("ogc_continuous_USGS-15484000_20220930.json")

    assert {item.distance for item in parse(body, provenance(), {}, HERE)} == {None}


def test_recorded_gauges_have_their_place():
    sites = parse_locations(recorded("ogc_monitoring_locations_20260402.json"), provenance()).places

    potomac = sites["USGS-01646500"]
    assert potomac.label == "POTOMAC RIVER NEAR WASH, DC LITTLE FALLS PUMP STA"
    assert (potomac.latitude, potomac.longitude) == (38.949777777777776, -77.12763888888888)


def test_a_recorded_page_without_values_is_no_error():
    assert parse(recorded("ogc_continuous_empty.json"), provenance(), {}, HERE) == ()
    assert parse_page(recorded("ogc_continuous_empty.json"), provenance()).next_query is None


def test_the_recorded_schema_is_not_taken_for_values():
    with pytest.raises(DataError, match="features"):
        parse(recorded("ogc_continuous_schema.json"), provenance(), {}, HERE)


def test_recorded_values_of_the_older_service_are_in_utc_with_their_place():
    seen = told(
        gauges_legacy.parse(recorded("legacy_iv_json_2019.json"), provenance(), (39.0, -75.79))
    )

    # gage heights (00065) are none of ours; 955 and 474 ft3/s are the last of their series
    assert seen.keys() == {("USGS-01491000", DISCHARGE), ("USGS-01645000", DISCHARGE)}
    choptank = seen["USGS-01491000", DISCHARGE]
    assert choptank.value == pytest.approx(955 * CUBIC_FOOT)
    assert choptank.time == at("2019-02-14T06:00:00")  # 01:00 at -05:00
    assert choptank.station == "USGS-01491000 CHOPTANK RIVER NEAR GREENSBORO, MD"
    assert choptank.distance == pytest.approx(480, abs=20)  # 0.0028° north, 0.0042° west
    assert seen["USGS-01645000", DISCHARGE].value == pytest.approx(474 * CUBIC_FOOT)


def as_discharge(body: bytes) -> bytes:
    """Return a recording as if its gage height and rain were discharges."""
    for code, unit in (("00065", "ft"), ("00045", "in")):
        body = body.replace(f'"{code}"'.encode(), b'"00060"')
        body = body.replace(f'"unitCode":"{unit}"'.encode(), b'"unitCode":"ft3/s"')
    return body


def test_two_recorded_sensors_under_one_parameter_are_both_told():
    body = as_discharge(recorded("legacy_iv_json_20260530_cut.json"))

    seen = gauges_legacy.parse(body, provenance(), HERE)

    # −0.50 and 0.00 at one gauge; the third, at Sabino Creek, is −999999 with Eqp
    assert [observation.value / CUBIC_FOOT for observation in seen] == pytest.approx([-0.5, 0.0])
    assert seen[1].station.endswith("(GCS) Grade Control Structure")
    assert {observation.time for observation in seen} == {at("2026-05-31T00:45:00")}


def test_a_recording_of_other_quantities_tells_none_of_ours():
    assert (
        gauges_legacy.parse(recorded("legacy_iv_json_20260530_cut.json"), provenance(), HERE) == ()
    )


def test_a_recorded_table_of_sites_is_refused_as_no_json():
    with pytest.raises(DataError, match="not JSON"):
        gauges_legacy.parse(recorded("legacy_site_rdb.txt"), provenance(), HERE)


# -- answers made by hand ---------------------------------------------------------------------

GOOD = {
    "time_series_id": "one",
    "monitoring_location_id": "USGS-01",
    "parameter_code": "00010",
    "time": "2026-06-01T11:45:00+00:00",
    "value": "12.5",
    "unit_of_measure": "degC",
    "approval_status": "Provisional",
    "qualifier": None,
}
POINT = {"type": "Point", "coordinates": [-147.0, 64.51]}


def answer(*properties: object) -> dict[str, object]:
    return {
        "features": [
            {"geometry": POINT, "properties": property_value} for property_value in properties
        ]
    }


def newest(*properties: object) -> tuple[Observation, ...]:
    return parse(json.dumps(answer(*properties)).encode(), provenance(), {}, HERE)


def test_a_value_that_comes_with_a_place_has_a_distance():
    [seen] = newest(GOOD)

    assert seen.distance == pytest.approx(1115, abs=2)  # a hundredth of a degree at 64.5° N
    assert seen.value == pytest.approx(285.65)


def test_the_newest_of_a_series_counts_whatever_the_order():
    older = {**GOOD, "time": "2026-06-01T10:00:00+00:00", "value": "9"}

    assert newest(GOOD, older) == newest(older, GOOD) == newest(GOOD)


def test_each_sensor_of_a_gauge_is_told():
    deep = {**GOOD, "time_series_id": "two", "value": "6.0"}

    assert [observation.value for observation in newest(GOOD, deep)] == pytest.approx(
        [285.65, 279.15]
    )


VOID = [
    {"value": "-999999"},
    {"value": -999999},
    {"value": "-999999.00"},
    {"value": None},
    {"value": ""},
    {"value": "Ice"},
    {"value": "451"},
    {"unit_of_measure": "degF"},
    {"unit_of_measure": "ft^3/s"},
    {"unit_of_measure": None},
    {"parameter_code": "00065"},
    {"parameter_code": None},
    {"time": None},
    {"time": "2026-06-01T11:45:00"},
    {"time": "2027-06-01T11:45:00Z"},  # ahead of the clock
]


@pytest.mark.parametrize("changes", VOID, ids=str)
def test_a_value_that_is_none_or_in_a_strange_unit_is_unknown(changes):
    assert newest({**GOOD, **changes}) == ()


def test_a_value_of_1961_keeps_its_age():
    [seen] = newest({**GOOD, "time": "1961-06-01T12:00:00Z"})

    assert seen.time == at("1961-06-01T12:00:00")


@pytest.mark.parametrize("qualifier", [["ICE"], ["P", "e"], "Eqp"])
def test_a_remark_beyond_approved_and_provisional_is_a_doubt(qualifier):
    assert newest({**GOOD, "qualifier": qualifier})[0].flagged


@pytest.mark.parametrize("qualifier", [None, [], ["A"], ["P"]])
def test_a_plain_value_is_not_doubted(qualifier):
    assert not newest({**GOOD, "qualifier": qualifier})[0].flagged


@pytest.mark.parametrize("unit", ["ft^3/s", "ft3/s", "ft&#179;/s"])
def test_a_discharge_is_known_by_each_spelling_of_its_unit(unit):
    flow = {**GOOD, "parameter_code": "00060", "unit_of_measure": unit, "value": "100"}

    assert newest(flow)[0].value == pytest.approx(100 * CUBIC_FOOT)


def test_a_name_is_told_without_its_entities_and_commands():
    body = {
        "features": [
            {
                "id": "USGS-01",
                "geometry": POINT,
                "properties": {"monitoring_location_name": "BIG &amp; SMALL &#x202e;R\x1b[2J"},
            }
        ]
    }

    named = parse_locations(json.dumps(body).encode(), provenance()).places

    assert named["USGS-01"].label == "BIG & SMALL R"


def test_the_next_page_is_told_by_its_link():
    body = {
        "features": [],
        "links": [
            {"rel": "self", "href": "https://x/items?limit=1"},
            {"rel": "next", "href": "https://api.waterdata.usgs.gov/items?cursor=ab%3D&limit=1"},
        ],
    }

    page = parse_page(json.dumps(body).encode(), provenance())

    assert page.next_query == {"cursor": "ab=", "limit": "1"}


def test_the_box_that_is_asked_for_holds_the_circle():
    west, south, east, north = (
        float(edge) for edge in query(60.0, -90.0, 11_000)["bbox"].split(",")
    )

    # 11 km are a tenth of a degree of latitude, and at 60° twice that of longitude
    # (edges are rounded outwards to a hundredth of a degree)
    assert (south, north) == pytest.approx((59.9, 60.1), abs=0.0101)
    assert (west, east) == pytest.approx((-90.2, -89.8), abs=0.0101)
    assert gauges_legacy.query(60.0, -90.0, 11_000)["bBox"] == query(60.0, -90.0, 11_000)["bbox"]


@pytest.mark.parametrize(
    ("changes", "unreadable"),
    [
        *(({}, 0), ({"value": "-999999"}, 0), ({"value": ""}, 0), ({"value": "Ice"}, 1)),
        ({"value": "Ice", "qualifier": ["ICE"]}, 0),  # the service says why there is no number
        *(({"value": "451"}, 1), ({"value": "451", "qualifier": ["e"]}, 1)),
        *(({"unit_of_measure": "degF"}, 1), ({"time": None}, 1)),
        *(({"parameter_code": "00065"}, 0), ({"parameter_code": "65"}, 1)),
        ({"parameter_code": "000655"}, 1),  # a code has five digits
    ],
)
def test_a_value_of_ours_that_can_not_be_used_is_counted(changes, unreadable):
    found = parse(json.dumps(answer({**GOOD, **changes}, GOOD)).encode(), provenance(), {}, HERE)

    assert found.unreadable == unreadable
    page = parse_page(json.dumps(answer({**GOOD, **changes}, GOOD)).encode(), provenance())
    assert page.unreadable == unreadable


def test_an_entry_without_a_value_is_counted_beside_one_that_has_it():
    without = {name: said for name, said in GOOD.items() if name != "value"}

    page = parse_page(json.dumps(answer(without, GOOD, None)).encode(), provenance())

    assert (len(page.readings), page.unreadable) == (1, 2)


def legacy(*sensors: object, **variable: object) -> dict[str, object]:
    told = {
        "variableCode": [{"value": "00010"}],
        "variableName": "Temperature, water, &#176;C",
        "unit": {"unitCode": "deg C"},
        "noDataValue": -999999.0,
    }
    series = {
        "sourceInfo": {
            "siteName": "LAKE",
            "siteCode": [{"value": "01"}],
            "geoLocation": {"geogLocation": {"latitude": 64.51, "longitude": -147.0}},
        },
        "variable": {**told, **variable},
        "values": list(sensors),
    }
    return {"value": {"timeSeries": [series]}}


def sensor(value: object, where: str = "", number: int = 1, **changes: object) -> dict[str, object]:
    reading = {"value": value, "qualifiers": ["P"], "dateTime": "2026-06-01T06:45:00.000-05:00"}
    return {
        "value": [{**reading, **changes}],
        "method": [{"methodDescription": where, "methodID": number}],
    }


def older(*sensors: object, **variable: object) -> Listing[Observation]:
    body = json.dumps(legacy(*sensors, **variable)).encode()
    return gauges_legacy.parse(body, provenance(), HERE)


def test_sensors_at_several_depths_are_told_apart():
    seen = older(sensor("12.5", "[Surface]"), sensor("6.0", "at depth 10 m", 2))

    assert [observation.value for observation in seen] == pytest.approx([285.65, 279.15])
    assert [observation.station for observation in seen] == [
        "USGS-01 LAKE [Surface]",
        "USGS-01 LAKE at depth 10 m",
    ]


def test_what_the_older_service_calls_no_data_is_none():
    assert older(sensor("-999999", qualifiers=["P", "Eqp"])) == ()
    assert older(sensor("-9.9"), noDataValue=-9.9) == ()


@pytest.mark.parametrize(
    "broken",
    [{}, "x", None, {"value": None}, {"value": "12.5"}, {"value": ["x"]}, {"value": [None]}],
)
def test_a_sensor_of_the_older_service_that_cannot_be_read_is_counted(broken):
    assert older(broken).unreadable == 1
    assert older(sensor("12.5"), broken).unreadable == 1


def test_a_series_of_the_older_service_without_any_sensor_is_refused():
    with pytest.raises(DataError):
        older()


def test_a_sensor_of_the_older_service_without_a_value_now_is_no_loss():
    assert older({"value": [], "method": []}).unreadable == 0


@pytest.mark.parametrize("qualifiers", [["P", "Eqp"], ["A", "e"], ["Ice"]])
def test_a_doubtful_value_of_the_older_service_is_marked(qualifiers):
    assert older(sensor("4", qualifiers=qualifiers))[0].flagged


@pytest.mark.parametrize("case", NO_JSON)
def test_what_is_no_answer_is_refused(case):
    for reading in (
        lambda: parse(NO_JSON[case], provenance(), {}, HERE),
        lambda: gauges_legacy.parse(NO_JSON[case], provenance(), HERE),
        lambda: parse_locations(NO_JSON[case], provenance()),
        lambda: parse_page(NO_JSON[case], provenance()),
    ):
        with pytest.raises(DataError, match="a service"):
            reading()


@pytest.mark.parametrize("body", [{}, {"value": {}}, {"value": None}, {"value": {"timeSeries": 7}}])
def test_an_answer_of_the_older_service_without_series_is_refused(body):
    with pytest.raises(DataError, match="a service"):
        gauges_legacy.parse(json.dumps(body).encode(), provenance(), HERE)


SPOILABLE = copy.deepcopy(answer(GOOD, {**GOOD, "time_series_id": "two"}))
SPOILABLE["links"] = [{"rel": "next", "href": "https://x/items?cursor=1"}]


@cases(200)
@given(any_bytes(SPOILABLE))
def test_any_bytes_are_observations_or_refused(body):
    for reading in (
        lambda: parse(body, provenance(), {}, HERE),
        lambda: tuple(parse_locations(body, provenance()).places.values()),
    ):
        try:
            found = reading()
        except DataError:
            continue
        assert all(isinstance(value, Observation | Station) for value in found or ())


@cases(200)
@given(any_bytes(legacy(sensor("12.5"), sensor("6.0", "deep", 2))))
def test_any_bytes_are_observations_of_the_older_service_or_refused(body):
    try:
        found = gauges_legacy.parse(body, provenance(), HERE)
    except DataError:
        return
    assert all(isinstance(value, Observation) for value in found)


def test_everything_that_is_lost_of_the_older_service_is_counted():
    body = legacy(sensor("12.5"), sensor("999"), "x")
    series = body["value"]["timeSeries"]  # type: ignore[index]
    unplaced = copy.deepcopy(series[0])
    unplaced["sourceInfo"].update(siteCode=[{"value": "02"}], geoLocation=None)
    unplaced["values"] = [sensor("6.0")]
    series += [unplaced, "x"]

    found = gauges_legacy.parse(json.dumps(body).encode(), provenance(), HERE)

    # 999 degrees, a sensor that is a text, a gauge without a place, and a series that is a text
    assert found.unreadable == 4
    assert [seen.value for seen in found] == pytest.approx([285.65, 279.15])

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import DataError
from safety_check.model.weather import Observation
from safety_check.sources.ndbc.buoys import parse, parse_latest, path
from tests.properties import cases
from tests.recordings import shared_folder
from tests.sources.spoiled import HTML, at, provenance

WAVES = "sea_surface_wave_significant_height"
PERIOD = "sea_surface_wave_period_at_variance_spectral_density_maximum"
LATEST = "latest_obs_20180730T2137Z.txt"


def recorded(name: str) -> bytes:
    return (shared_folder("recorded", "noaa", "ndbc") / name).read_bytes()


def told(body: bytes) -> dict[str, Observation]:
    return {
        observation.quantity: observation
        for observation in parse(body, provenance(), "44013", 900.0)
    }


# -- recordings; every expected value was read in the file by eye -----------------------------

# The line of 13:00 has wind and water but no wave; 12:50 has the wave; the period stands
# there too; the newest air temperature is further down.
STDMET = [
    ("wind_speed", 3.0, "2022-06-05T13:00:00"),
    ("wind_speed_of_gust", 4.0, "2022-06-05T13:00:00"),
    ("wind_from_direction", 280, "2022-06-05T13:00:00"),
    ("water_temperature", 287.05, "2022-06-05T13:00:00"),  # 13.9 degC
    (WAVES, 0.5, "2022-06-05T12:50:00"),
    (PERIOD, 7, "2022-06-05T12:50:00"),
    ("sea_surface_wave_from_direction", 100, "2022-06-05T12:50:00"),
]


@pytest.mark.parametrize(("quantity", "value", "time"), STDMET)
def test_a_recorded_buoy_gives_the_newest_value_of_each_column_with_its_own_age(
    quantity, value, time
):
    seen = told(recorded("44013_realtime2_stdmet_20220605_head.txt"))[quantity]

    assert seen.value == pytest.approx(value)
    assert seen.time == at(time)
    assert (seen.station, seen.distance) == ("44013", 900.0)


def test_a_recorded_buoy_without_an_air_sensor_tells_no_air_temperature():
    # ATMP is MM in all 1200 lines
    assert "air_temperature" not in told(recorded("44013_realtime2_stdmet_20220605_head.txt"))


def test_recorded_swell_and_wind_sea_are_told_apart():
    seen = told(recorded("44013_realtime2_20220605.spec"))

    assert {name: observation.value for name, observation in seen.items()} == pytest.approx(
        {
            WAVES: 0.5,
            "sea_surface_swell_wave_significant_height": 0.3,
            "sea_surface_swell_wave_period": 6.7,
            "sea_surface_swell_wave_from_direction": 90,  # E
            "sea_surface_wind_wave_significant_height": 0.4,
            "sea_surface_wind_wave_period": 3.0,
            "sea_surface_wind_wave_from_direction": 292.5,  # WNW
            "sea_surface_wave_from_direction": 100,
        }
    )
    assert {observation.time for observation in seen.values()} == {at("2022-06-05T12:40:00")}


def test_in_recorded_continuous_winds_a_missing_gust_is_not_a_hurricane():
    # 999, 99.0 and 9999 stand in every line but one an hour
    seen = told(recorded("TPLM2_realtime2_20220605.cwind"))

    assert seen["wind_speed"].value == 7.7
    assert seen["wind_from_direction"].value == 28
    assert seen["wind_speed_of_gust"].value == 11.8
    assert seen["wind_speed_of_gust"].time == at("2022-06-05T12:31:00")  # its own clock: 1231


def latest(latitude: float, longitude: float, within: float) -> dict[tuple[str, str], Observation]:
    source = provenance("2018-07-30T21:37:00+00:00")
    seen = parse_latest(recorded(LATEST), source, latitude, longitude, within)
    return {(observation.station, observation.quantity): observation for observation in seen}


def test_recorded_newest_lines_are_found_by_their_place():
    # off Milwaukee: 45013 lies at 43.100 -87.850, MLWW3 at 43.045 -87.880
    seen = latest(43.05, -87.85, 20_000)

    assert {station for station, _ in seen} == {"45013", "MLWW3"}
    assert seen["45013", "wind_speed"].value == 3.0
    assert seen["45013", "wind_from_direction"].value == 140
    assert seen["45013", "water_temperature"].value == pytest.approx(294.85)  # 21.7 degC
    assert seen["45013", WAVES].value == 0.1
    assert seen["45013", WAVES].time == at("2018-07-30T20:37:00")
    assert seen["MLWW3", "wind_speed"].value == 2.6
    assert ("MLWW3", "water_temperature") not in seen  # MM
    # 0.05 degrees of latitude are 5.56 km
    assert seen["45013", "wind_speed"].distance == pytest.approx(5556, abs=2)


def test_a_recorded_flat_sea_is_flat_and_not_missing():
    assert latest(47.585, -86.585, 1000)["45004", WAVES].value == 0.0


def test_recorded_calms_have_no_direction_where_the_file_gives_one():
    # 45135: 150 degrees at 0.0 m/s
    seen = latest(43.78, -76.87, 1000)

    assert seen["45135", "wind_speed"].value == 0.0
    assert ("45135", "wind_from_direction") not in seen


def test_far_from_every_recorded_station_nothing_is_told():
    assert latest(45.0, -110.0, 50_000) == {}  # Montana


# -- files made by hand -----------------------------------------------------------------------

HEAD = "#YY  MM DD hh mm WDIR WSPD GST  WVHT   DPD ATMP  WTMP\n"
UNITS = "#yr  mo dy hr mn degT m/s  m/s     m   sec degC  degC\n"
LINE = "2026 06 01 11 50 280  3.0  4.0   0.5     7 12.0  13.9\n"


def file(*lines: str, head: str = HEAD, units: str = UNITS) -> bytes:
    return "".join([head, units, *lines]).encode()


MISSING = [
    ("280", "999", "wind_from_direction"),
    ("280", "MM", "wind_from_direction"),
    ("3.0", "99.0", "wind_speed"),
    ("4.0", "99.0", "wind_speed_of_gust"),
    ("4.0", "MM", "wind_speed_of_gust"),
    ("0.5", "99.00", WAVES),
    (" 7 ", "99.00 ", PERIOD),
    ("12.0", "999.0", "air_temperature"),
    ("13.9", "999.0", "water_temperature"),
    ("13.9", "9999", "water_temperature"),
    ("3.0", "-3.0", "wind_speed"),
    ("3.0", "three", "wind_speed"),
    ("3.0", "inf", "wind_speed"),
]


@pytest.mark.parametrize(("good", "written", "quantity"), MISSING)
def test_what_stands_for_missing_is_missing(good, written, quantity):
    seen = told(file(LINE.replace(good, written, 1)))

    assert quantity not in seen
    assert len(seen) == 6  # the others are there


def test_a_missing_value_gives_way_to_the_one_before():
    before = LINE.replace("11 50", "11 40").replace("0.5", "0.7")
    seen = told(file(LINE.replace("0.5", " MM"), before))

    assert (seen[WAVES].value, seen[WAVES].time) == (0.7, at("2026-06-01T11:40:00"))
    assert seen["wind_speed"].time == at("2026-06-01T11:50:00")


def test_the_newest_counts_whatever_the_order_of_the_lines():
    older = LINE.replace("11 50", "09 50").replace("4.0", "9.0")

    assert told(file(older, LINE)) == told(file(LINE, older))


def test_of_a_repeated_minute_the_stronger_wind_counts():
    stronger = LINE.replace("4.0", "9.0")

    assert told(file(stronger, LINE)) == told(file(LINE, stronger))
    assert told(file(LINE, stronger))["wind_speed_of_gust"].value == 9.0


def test_remarks_between_the_lines_are_not_data():
    assert told(file("# position changed 2026 06 01\n", LINE)) == told(file(LINE))


def test_columns_are_found_by_name_in_any_order():
    turned = file(
        "2026 06 01 11 50 4.0 3.0\n",
        head="#YY MM DD hh mm GST WSPD\n",
        units="#yr mo dy hr mn m/s m/s\n",
    )

    assert told(turned)["wind_speed_of_gust"].value == 4.0


def test_month_and_minute_differ_only_by_case():
    assert told(file(LINE))["wind_speed"].time == at("2026-06-01T11:50:00")


def test_a_column_in_another_unit_is_unknown():
    knots = told(file(LINE, units=UNITS.replace("m/s  m/s", "kn   m/s")))

    assert "wind_speed" not in knots
    assert knots["wind_speed_of_gust"].value == 4.0


def test_a_line_of_another_length_is_left_out():
    assert told(file("2026 06 01 11 55 280 30.0\n", LINE)) == told(file(LINE))


def test_a_gust_before_midnight_belongs_to_the_day_before():
    body = file(
        "2026 06 01 00 10 028  7.7  30 11.8 2355\n",
        head="#YY  MM DD hh mm WDIR WSPD GDR GST GTIME\n",
        units="#yr  mo dy hr mn degT m/s degT m/s hhmm\n",
    )

    assert told(body)["wind_speed_of_gust"].time == at("2026-05-31T23:55:00")


def test_a_buoy_taken_in_for_the_winter_keeps_its_age():
    assert told(file(LINE.replace("2026", "2025")))["wind_speed"].time == at("2025-06-01T11:50:00")


def test_a_line_ahead_of_the_clock_is_left_out():
    assert told(file(LINE.replace("2026", "2027"), LINE)) == told(file(LINE))


@pytest.mark.parametrize("when", ["2026 13 01 11 50", "2026 06 31 11 50", "MM 06 01 11 50"])
def test_a_line_of_no_day_is_left_out(when):
    assert told(file(LINE.replace("2026 06 01 11 50", when))) == {}


def test_a_station_without_lines_says_nothing():
    assert told(file()) == {}


REFUSED = {
    "empty": b"",
    "html": HTML,
    "json": b'{"error": "none"}',
    "only a header": HEAD.encode(),
    "no header": LINE.encode(),
    "units missing": (HEAD + LINE).encode(),
    "headers of unequal lengths": file(LINE, units="#yr mo dy hr mn degT\n"),
    "no clock": file("1 2\n", head="#WDIR WSPD\n", units="#degT m/s\n"),
    "cut off in a line": file(LINE)[:-6],
    "429": b"Too Many Requests",
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_is_no_file_of_this_kind_is_refused(case):
    with pytest.raises(DataError, match="a service"):
        told(REFUSED[case])


def test_a_list_without_places_is_refused():
    with pytest.raises(DataError, match="no LAT"):
        parse_latest(file(LINE), provenance(), 43.0, -87.0, 1e4)


def test_a_station_name_is_asked_for_in_upper_case():
    assert path("chii2", "spec") == "/data/realtime2/CHII2.spec"


FIELD = st.sampled_from(
    ["MM", "999", "99.0", "-1", "2026", "06", "13", "1e9", "nan", "E", "#", "\x1b[2J", "9999"]
) | st.text(max_size=4)


@cases(200)
@given(
    st.binary(max_size=80)
    | st.lists(FIELD, min_size=12, max_size=12).map(lambda fields: file(" ".join(fields) + "\n"))
    | st.tuples(st.integers(0, 200), st.binary(max_size=3)).map(
        lambda cut: file(LINE, LINE)[: cut[0]] + cut[1] + file(LINE, LINE)[cut[0] :]
    )
)
def test_any_bytes_are_observations_or_refused(body):
    for reading in (
        lambda: parse(body, provenance(), "X", None),
        lambda: parse_latest(body, provenance(), 0.0, 0.0, 1e4),
    ):
        try:
            found = reading()
        except DataError:
            continue
        assert all(isinstance(value, Observation) for value in found)


LIST = (
    "#STN LAT LON YYYY MM DD hh mm WDIR WSPD GST WVHT WTMP\n"
    "#text deg deg yr mo day hr mn degT m/s m/s m degC\n"
)


@cases(150)
@given(st.lists(FIELD, min_size=13, max_size=13))
def test_any_line_of_the_list_is_observations_or_none(fields):
    body = (LIST + " ".join(fields) + "\n").encode()

    with suppress(DataError):  # its only station can't be placed
        found = parse_latest(body, provenance(), 0.0, 0.0, 1e7)
        assert all(isinstance(value, Observation) for value in found)


# -- what can't be read is counted ---------------------------------------------------------------


def counted(*lines: str) -> int:
    return parse(file(*lines), provenance(), "44013", 900.0).unreadable


@pytest.mark.parametrize(
    ("lines", "unreadable"),
    [
        ([LINE], 0),
        ([LINE, "\n", "  \n", "# 280 3.0\n"], 0),  # an empty line and a remark are no data
        ([LINE, "2026 06 01 11 55 280\n"], 1),
        ([LINE.replace("3.0", "three")], 1),
        ([LINE.replace("3.0", "three").replace("0.5", "45")], 2),  # no wave is 45 m high
        ([LINE.replace(" 0.5", "99.0")], 0),  # 99.0 stands for missing
        ([LINE.replace("11 50", "11 60")], 7),  # each value of a line without a time
        ([LINE.replace("3.0", "300"), LINE.replace("11 50", "11 40")], 1),
        ([LINE, LINE.replace("3.0", "x")], 0),  # of one minute, the value that can be read counts
    ],
)
def test_what_can_not_be_read_is_counted(lines, unreadable):
    assert counted(*lines) == unreadable


def test_a_gust_of_the_same_minute_is_of_the_same_day():
    body = file(
        "2026 06 01 00 10 028  7.7  30 11.8 0010\n",
        head="#YY  MM DD hh mm WDIR WSPD GDR GST GTIME\n",
        units="#yr  mo dy hr mn degT m/s degT m/s hhmm\n",
    )

    assert told(body)["wind_speed_of_gust"].time == at("2026-06-01T00:10:00")


# The sixteen points of the compass are 22.5 degrees apart.
@pytest.mark.parametrize(
    ("written", "degrees"),
    [("N", 0.0), ("NNE", 22.5), ("ESE", 112.5), ("S", 180.0), ("NNW", 337.5)],
)
def test_a_direction_in_words_is_in_degrees(written, degrees):
    assert told(file(LINE.replace("280", written)))["wind_from_direction"].value == degrees


STATIONS = LIST + "A 43.0 -87.0 2026 06 01 11 50 280 3.0 4.0 0.5 13.9\n"


def listed(body: str, within: float = 20_000.0):
    return parse_latest(body.encode(), provenance(), 43.0, -87.0, within)


def test_a_list_of_the_newest_values_counts_what_it_has_lost():
    other = STATIONS.splitlines()[-1]
    lost = [other.replace("43.0", "143.0"), other.replace("3.0 4.0", "3.0"), other + " 7"]

    found = listed(STATIONS + "\n".join(lost) + "\n")

    assert ({seen.station for seen in found}, found.unreadable) == ({"A"}, 3)
    assert {seen.distance for seen in found} == {0.0}


@pytest.mark.parametrize(
    ("body", "reason"),
    [
        (LIST, "its list of newest values is empty"),
        (STATIONS.replace("LON", "EAST"), "no LON"),
        (STATIONS.replace("WTMP", "TIDE"), "no WTMP"),
        (STATIONS.replace("degT m/s", "degT kn"), "no WSPD, or has it in an unknown unit"),
        (STATIONS[:-1], "ends within a line"),
    ],
)
def test_a_list_that_lacks_what_it_always_has_is_refused(body, reason):
    with pytest.raises(DataError, match=reason):
        listed(body)


def test_a_station_of_the_list_counts_up_to_the_greatest_distance():
    # a tenth of a degree of the meridian at 43 degrees north: 11.11 km (WGS84)
    body = STATIONS.replace("43.0", "43.1")

    assert len(listed(body, 11_120.0)) == 5
    assert len(listed(body, 11_100.0)) == 0
    assert len(listed(STATIONS, 0.0)) == 5


SEA = "#YY MM DD hh mm SwH SwP SwD WWH WWP WWD MWD\n"
SEA_UNITS = "#yr mo dy hr mn m sec - m sec degT degT\n"
SEA_VALUES = {
    "sea_surface_swell_wave_significant_height": ("1.5", "99.0"),
    "sea_surface_swell_wave_period": ("9.0", "99.0"),
    "sea_surface_swell_wave_from_direction": ("90", "999"),
    "sea_surface_wind_wave_significant_height": ("0.5", "99.0"),
    "sea_surface_wind_wave_period": ("3.0", "99.0"),
    "sea_surface_wind_wave_from_direction": ("180", "999"),
    "sea_surface_wave_from_direction": ("270", "999"),
}


def test_each_column_of_the_sea_has_its_quantity_and_its_number_for_missing():
    given = [value for value, _ in SEA_VALUES.values()]
    line = "2026 06 01 11 50 {}\n"

    seen = told(file(line.format(" ".join(given)), head=SEA, units=SEA_UNITS))

    assert {name: str(seen[name].value) for name in SEA_VALUES} == {
        name: str(float(value)) for name, (value, _) in SEA_VALUES.items()
    }
    for place, (name, (_, missing)) in enumerate(SEA_VALUES.items()):
        for written in (missing, "MM", "N/A"):
            fields = [*given[:place], written, *given[place + 1 :]]
            body = file(line.format(" ".join(fields)), head=SEA, units=SEA_UNITS)
            found = parse(body, provenance(), "44013", 900.0)
            assert {one.quantity for one in found} == SEA_VALUES.keys() - {name}
            assert found.unreadable == 0


@pytest.mark.parametrize("lost", ["WDIR", "WSPD", "GST", "WVHT", "WTMP", "STN", "LAT", "LON"])
def test_a_list_without_any_of_its_usual_columns_is_refused(lost):
    with pytest.raises(DataError, match=f"has no {lost}"):
        listed(STATIONS.replace(lost, "X"))

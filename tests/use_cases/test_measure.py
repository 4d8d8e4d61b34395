"""A person's own capability, measured on an invented track."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from safety_check.errors import DataError, PlanError
from safety_check.model.trip import Trip
from safety_check.physics.drive import cruising
from safety_check.physics.own_speed import OwnSpeed, own_wind_limits
from safety_check.physics.paddling import speed_made_good
from safety_check.settings.crafts import CraftTable
from safety_check.settings.limits import load_default_limits
from safety_check.use_cases import measure
from safety_check.use_cases.measure import (
    Asked,
    Measured,
    measure_as_asked,
    measure_craft,
    measure_stretches,
    measure_trip,
    read_track,
    store_measurement,
    stretches,
    track_from,
    track_text,
)
from safety_check.waters.projection import to_degrees
from tests import scenes
from tests.cli.conftest import Runner, home, run  # noqa: F401  the command line's own home

CRAFT = scenes.settings().craft("sit-on-top-kayak")
WIND = 4.0  # m/s, from the north
BEGAN = datetime(2026, 6, 13, 12, tzinfo=UTC)


def track(path: Path, cruise: float, courses: tuple[float, ...] = (180.0, 0.0)) -> Path:
    """Write an invented track: twenty minutes on each course, a fix every ten seconds."""
    drive = cruising(cruise, CRAFT.hull_drag, CRAFT.drag_area, CRAFT.greatest_thrust)
    place, places = np.zeros(2), [np.zeros(2)]
    noise = np.random.default_rng(1).normal(0, 0.05, 120 * len(courses))
    for number, course in enumerate(np.repeat(courses, 120)):
        made = speed_made_good(np.array(WIND), np.array(0.0), np.array(course), drive)
        turn = np.radians(course)
        place = place + 10 * (made + noise[number]) * np.array([np.sin(turn), np.cos(turn)])
        places.append(place)
    fixes = "".join(
        f'<trkpt lat="{lat:.7f}" lon="{lon:.7f}"><time>{BEGAN + timedelta(seconds=10 * at):%Y-%m-%dT%H:%M:%SZ}</time></trkpt>'  # noqa: E501
        for at, (lon, lat) in enumerate(to_degrees(np.array(places), -99.6, 44.9))
    )
    gpx = (
        '<?xml version="1.0"?><gpx version="1.1" creator="test"'
        f' xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>{fixes}</trkseg></trk></gpx>'
    )
    path.write_text(gpx, encoding="utf-8")
    return path


@pytest.mark.one_in(3)
@pytest.mark.parametrize("cruise", [0.9, 1.25, 1.5])
def test_a_track_out_and_back_tells_the_cruise_speed(tmp_path: Path, cruise: float) -> None:
    found = measure_craft(CRAFT, track(tmp_path / "out.gpx", cruise), WIND, 0.0)
    assert found.stretches >= 30
    assert found.fit.cruise_speed == pytest.approx(cruise, rel=0.1)
    assert found.fit.least_cruise_speed <= cruise * 1.05
    assert found.fit.misfit < 0.1
    assert (found.marginal, found.no_go) == own_wind_limits(found.fit.worst)


@pytest.mark.thorough
def test_a_weaker_paddler_gets_no_higher_limits(tmp_path: Path) -> None:
    weak, strong = (
        measure_craft(CRAFT, track(tmp_path / f"{cruise}.gpx", cruise), WIND, 0.0)
        for cruise in (0.7, 1.4)
    )
    assert weak.marginal < strong.marginal
    assert weak.no_go <= strong.no_go


def test_a_track_one_way_measures_nothing(tmp_path: Path) -> None:
    with pytest.raises(PlanError, match="into the wind and back"):
        measure_craft(CRAFT, track(tmp_path / "one.gpx", 1.2, courses=(180.0,)), WIND, 0.0)


def test_rests_and_gaps_do_not_count() -> None:
    time = np.concatenate([np.arange(0, 600, 10), np.arange(1800, 2400, 10)]).astype(float)
    north = np.where(time <= 600, time, 600.0)
    fixes = np.column_stack([time, to_degrees(np.column_stack([0 * time, north]), -99.6, 44.9)])
    speed, course = stretches(fixes)
    assert 8 <= len(speed) <= 10
    assert np.median(speed) == pytest.approx(1.0, rel=0.02)
    assert speed.min() > 0.8
    assert np.cos(np.radians(course)) == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize(
    "text",
    [
        "no track",
        "<gpx></gpx>",
        '<?xml version="1.0"?><!DOCTYPE g [<!ENTITY a "b">]><gpx version="1.1">&a;</gpx>',
    ],
)
def test_a_file_that_is_no_track_is_refused(tmp_path: Path, text: str) -> None:
    path = tmp_path / "bad.gpx"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DataError, match=r"bad\.gpx"):
        read_track(path)


@pytest.mark.thorough
def test_the_command_prints_both_limits_and_stores_only_what_is_stricter(
    tmp_path: Path,
    run: Runner,  # noqa: F811
) -> None:
    run("craft", "add", "mine", "--class", "sit-on-top-kayak")
    asked = ("--wind", "4 m/s", "--from", "N", "--save")
    weak = run("craft", "measure", "mine", "--track", str(track(tmp_path / "w.gpx", 0.7)), *asked)
    assert weak.status == 0, weak.err
    # 0.7 m/s is 1.57 mph; the track's noise costs a few hundredths. In whole numbers it was 2 mph.
    assert re.search(r"calm water  1\.[56] mph, at least 1\.[45] mph; so far 2\.8 mph", weak.out)
    assert "default, in company: caution from" in weak.out
    assert "your own, by the worst fit: caution from" in weak.out
    assert "Stored your own cruise speed and wind limits." in weak.out
    shown = run("limits", "show", "--craft", "mine").out
    assert "personal: your own settings" in shown
    assert "default: caution from 12.3 mph, no-go from 15.4 mph" in shown
    assert "practice: caution from 10 mph, no-go from 14 mph" in shown
    run("craft", "add", "strong", "--class", "sit-on-top-kayak")
    fast = str(track(tmp_path / "s.gpx", 2.0))
    strong = run("craft", "measure", "strong", "--track", fast, *asked)
    assert "Stored your own cruise speed" not in strong.out


# -- a logged trip -------------------------------------------------------------------------------


@pytest.mark.thorough
def test_a_logged_trip_measures_as_its_track_does(tmp_path: Path, run: Runner) -> None:  # noqa: F811
    run("craft", "add", "mine", "--class", "sit-on-top-kayak")
    path = track(tmp_path / "w.gpx", 0.7)
    log = ("trip", "log", "--began", "2021-06-13 09:00", "--craft", "mine", "pond")
    met = ("--wind", "4 m/s", "--from", "N")
    sectors = "N 300 m, E 300 m, S 300 m, W 300 m"
    run("water", "add", "pond", "--fetch", sectors, "--launch", "ramp=44.9,-99.6")
    logged = run(*log, *met, "--track", str(path))
    assert "steady minutes" in logged.out, logged.err
    by_file = run("craft", "measure", "mine", "--track", str(path), *met)
    by_trip = run("craft", "measure", "mine", "--trip", "1", "--save")
    assert by_trip.status == 0, by_trip.err
    assert "Stored your own cruise speed and wind limits." in by_trip.out
    by_worst = [
        next(line for line in item.out.splitlines() if "your own" in line)
        for item in (by_file, by_trip)
    ]
    assert by_worst[0] == by_worst[1]
    assert "44.9" not in str(run("trip", "export", "--json").json)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"track": ""}, "no track"),
        ({"beaufort": 3}, "no measured wind"),
        ({"wind_from_direction": np.nan}, "no measured wind"),
        ({"craft": "other"}, "was made with 'other'"),
        ({"track": "1.0@180 1.1@181"}, "at least 10"),
    ],
)
def test_a_logged_trip_that_lacks_what_is_needed_says_what(
    tmp_path: Path, change: dict[str, Any], says: str
) -> None:
    minutes = track_text(*stretches(read_track(track(tmp_path / "out.gpx", 1.2))))
    trip = Trip(
        id=3,
        logged=BEGAN,
        start=BEGAN,
        water="pond",
        launch="",
        time_zone="UTC",
        craft=CRAFT.name,
        went=True,
        wind_speed=WIND,
        wind_from_direction=0.0,
        track=minutes,
    )
    with pytest.raises(PlanError, match=says):
        measure_trip(CRAFT, replace(trip, **change))


def test_a_stored_track_loses_nothing_that_counts(tmp_path: Path) -> None:
    speed, course = stretches(read_track(track(tmp_path / "out.gpx", 1.2)))
    again, towards = track_from(track_text(speed, course))
    assert again == pytest.approx(speed, abs=0.005)  # stored to a centimetre a second
    assert np.cos(np.radians(towards - course)) == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize("asked", [(), ("--trip", "1", "--track", "a.gpx"), ("--track", "a.gpx")])
def test_what_is_asked_must_be_clear(run: Runner, asked: tuple[str, ...]) -> None:  # noqa: F811
    run("craft", "add", "mine", "--class", "sit-on-top-kayak")
    done = run("craft", "measure", "mine", *asked)
    assert done.status == 2
    assert "--track" in done.err


@pytest.mark.parametrize(
    "asked",
    [
        Asked(track=Path("a.gpx")),
        Asked(track=Path("a.gpx"), wind="4 m/s"),
        Asked(track=Path("a.gpx"), wind_from="N"),
    ],
)
def test_a_track_needs_the_speed_and_the_direction_of_the_wind(asked: Asked) -> None:
    nothing: Any = None
    with pytest.raises(PlanError, match="--track needs the wind during it: --wind and --from"):
        measure_as_asked(scenes.plan().craft, asked, nothing)


# -- at the bounds -------------------------------------------------------------------------------


def moved(seconds: list[float], east: list[float], north: list[float]) -> np.ndarray:
    """Return fixes by their metres east and north."""
    return np.column_stack([seconds, to_degrees(np.column_stack([east, north]), -99.6, 44.9)])


def steps(speed: float, course: float, every: float = 10.0, minutes: int = 3) -> np.ndarray:
    """Return fixes of a steady course."""
    time = np.arange(0.0, 60.0 * minutes + 2 * every, every)
    turn = np.radians(course)
    return moved(time.tolist(), (speed * time * np.sin(turn)).tolist(),
                 (speed * time * np.cos(turn)).tolist())  # fmt: skip


@pytest.mark.parametrize("course", [90.0, 200.0, 300.0, 359.0])
def test_a_steady_minute_has_its_speed_and_course(course: float) -> None:
    speed, towards = stretches(steps(1.1, course))
    assert len(speed) == 3
    assert speed == pytest.approx(1.1, rel=1e-3)
    assert towards == pytest.approx(course, abs=0.1)


def test_slower_than_a_fifth_of_a_metre_a_second_is_a_rest() -> None:
    assert not len(stretches(steps(0.199, 90.0))[0])
    assert len(stretches(steps(0.201, 90.0))[0]) == 3


def test_a_gap_of_more_than_two_minutes_between_fixes_counts_for_nothing() -> None:
    assert len(stretches(steps(1.0, 0.0, every=120.0, minutes=4))[0]) == 5
    assert not len(stretches(steps(1.0, 0.0, every=121.0, minutes=4))[0])


def test_a_minute_that_wanders_is_not_steady() -> None:
    # Each half minute ten metres forward, and some to the side or back.
    time = np.arange(0.0, 230.0, 30.0).tolist()
    for aside, steady in ((7.4, 3), (7.6, 0)):  # 20 of 2 √(10² + a²) is 0.8 at a = 7.5
        north = [10.0 * number for number in range(len(time))]
        fixes = moved(time, [aside * (number % 2) for number in range(len(time))], north)
        assert len(stretches(fixes)[0]) == steady


@pytest.fixture
def no_fit(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave out the search for the best fit, which takes seconds."""
    drive = cruising(1.0, CRAFT.hull_drag, CRAFT.drag_area, CRAFT.greatest_thrust)

    def fit(speed: np.ndarray, course: np.ndarray, wind: float, origin: float, *_: Any) -> OwnSpeed:
        return OwnSpeed(drive, drive, wind, origin, 0.0)

    monkeypatch.setattr(measure, "fit_own_speed", fit)


def there_and_back(count: int, off: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
    course = np.where(np.arange(count) % 2 == 0, 90.0 + off, 270.0 - off)
    return np.full(count, 1.0), course


@pytest.mark.usefixtures("no_fit")
def test_ten_minutes_into_an_east_wind_and_back_are_enough_and_nine_are_not() -> None:
    found = measure_stretches(CRAFT, *there_and_back(10), (2.0, 90.0), "x")
    assert found.stretches == 10
    with pytest.raises(PlanError, match="9 minutes of it can be used"):
        measure_stretches(CRAFT, *there_and_back(9), (2.0, 90.0), "x")
    with pytest.raises(PlanError, match="back with it"):
        measure_stretches(CRAFT, *there_and_back(10), (2.0, 0.0), "x")
    # The cosine of 66.4° is 0.4.
    assert measure_stretches(CRAFT, *there_and_back(10, 66.0), (2.0, 90.0), "x").stretches == 10
    with pytest.raises(PlanError, match="back with it"):
        measure_stretches(CRAFT, *there_and_back(10, 67.0), (2.0, 90.0), "x")


def gpx(path: Path, points: int, head: str = "") -> Path:
    fix = '<trkpt lat="44.9" lon="-99.6"><time>2026-06-13T12:0{}:00Z</time></trkpt>'
    inner = "".join(fix.format(number) for number in range(points))
    path.write_text(
        f'<?xml version="1.0"?>{head}<gpx version="1.1" creator="test"'
        f' xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>{inner}</trkseg></trk></gpx>',
        encoding="utf-8",
    )
    return path


def test_a_track_needs_two_fixes_with_times(tmp_path: Path) -> None:
    assert len(read_track(gpx(tmp_path / "two.gpx", 2))) == 2
    with pytest.raises(DataError, match="no track with times"):
        read_track(gpx(tmp_path / "one.gpx", 1))


def test_a_track_that_declares_entities_is_refused(tmp_path: Path) -> None:
    declared = '<!DOCTYPE gpx [<!ENTITY a "b">]>'
    with pytest.raises(DataError, match="cannot be read as GPX"):
        read_track(gpx(tmp_path / "bad.gpx", 2, declared))


def test_a_file_of_exactly_the_greatest_size_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = gpx(tmp_path / "two.gpx", 2)
    monkeypatch.setattr(measure, "GREATEST_FILE", path.stat().st_size)
    assert len(read_track(path)) == 2
    monkeypatch.setattr(measure, "GREATEST_FILE", path.stat().st_size - 1)
    with pytest.raises(DataError, match="is over"):
        read_track(path)


@pytest.mark.parametrize(
    ("cruise", "limits", "loosen", "stored"),
    [
        (0.9, (-1.0, -1.0), False, {"cruise_speed", "marginal", "no_go"}),
        (2.0, (-1.0, 1.0), False, {"marginal"}),
        (2.0, (1.0, -1.0), False, {"no_go"}),
        (2.0, (0.0, 0.0), False, set()),  # as strict as the default is not stricter
        (0.9, (1.0, 1.0), False, {"cruise_speed"}),
        (2.0, (1.0, 1.0), True, {"cruise_speed", "marginal", "no_go", "loosen"}),
    ],
)
def test_only_what_is_stricter_is_stored_unless_the_user_loosens(
    cruise: float,
    limits: tuple[float, float],
    loosen: bool,
    stored: set[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    mine = replace(CRAFT, name="mine")
    default = load_default_limits()["wind_speed", CRAFT.kind]
    assert default.marginal is not None
    assert default.no_go is not None
    bounds = default.marginal + limits[0], default.no_go + limits[1]
    drive = cruising(cruise, CRAFT.hull_drag, CRAFT.drag_area, CRAFT.greatest_thrust)
    found = Measured(OwnSpeed(drive, drive, cruise, cruise, 0.05), 20, *bounds)
    document: dict[str, Any] = {"craft": {"mine": {}}}
    monkeypatch.setattr(measure, "edit_settings", lambda edit: edit(document))
    owner = scenes.settings()
    owner.user.craft["mine"] = CraftTable.model_validate({"class": CRAFT.kind})

    said = store_measurement(mine, found, owner, loosen)

    [table] = document.get("limit", [{}])
    told = {*document["craft"]["mine"], *table} - {"craft", "quantity"}
    assert told == stored
    assert said.startswith("Stored" if stored else "Nothing was stored")
    if "cruise_speed" in stored:
        assert document["craft"]["mine"]["cruise_speed"] == f"{cruise:.3f} m/s"
    if "no_go" in stored:
        assert table["no_go"] == f"{bounds[1]:.2f} m/s"


def test_a_class_of_craft_has_no_measurement_of_its_own() -> None:
    drive = cruising(1.0, CRAFT.hull_drag, CRAFT.drag_area, CRAFT.greatest_thrust)
    found = Measured(OwnSpeed(drive, drive, 1.0, 1.0, 0.0), 20, 1.0, 2.0)
    with pytest.raises(PlanError, match="is a class, not your craft"):
        store_measurement(CRAFT, found, scenes.settings(), False)


@pytest.mark.usefixtures("no_fit")
def test_a_wind_given_now_comes_before_the_one_of_the_log() -> None:
    speed, course = there_and_back(12)
    logged = Trip(
        3, BEGAN, BEGAN, "pond", "", "UTC", CRAFT.name, True,
        wind_speed=2.0, wind_from_direction=90.0, track=track_text(speed, course),
    )  # fmt: skip
    for given, used in (((), (2.0, 90.0)), ((6.0,), (6.0, 90.0)), ((6.0, 270.0), (6.0, 270.0))):
        fit = measure_trip(CRAFT, logged, *given).fit
        assert (fit.cruise_speed, fit.least_cruise_speed) == used  # where the stand-in puts them
    with pytest.raises(PlanError, match="back with it"):
        measure_trip(CRAFT, logged, wind_from=0.0)
    with pytest.raises(PlanError, match="no measured wind"):
        measure_trip(CRAFT, replace(logged, wind_speed_least=1.0))  # a range is no measurement


def test_a_course_of_almost_a_full_circle_is_stored_as_north() -> None:
    assert track_text(np.array([1.0]), np.array([359.7])) == "1.00@0"

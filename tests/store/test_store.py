"""The history keeps what it said it keeps: exactly, through kills, damage and company."""

from __future__ import annotations

import math
import os
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from safety_check.conditions.forecast_trend import ForecastSummary
from safety_check.errors import DataError, PlanError
from safety_check.model.place import FetchTable
from safety_check.model.trip import Trip
from safety_check.model.verdict import Severity, Unknown, Verdict
from safety_check.model.weather import Alert, Briefing, SourceFailure
from safety_check.settings.user_file import ContactTable, LimitTable
from safety_check.store import intact, schema
from safety_check.store.file import may_hold
from safety_check.store.rows import StoredCheck, deciding_reason
from safety_check.store.schema import MIGRATIONS, NAME, note_damage, opened, transaction
from safety_check.store.serialize import deserialize, serialize
from safety_check.store.store import Store
from tests import scenes
from tests.properties import scaled

ROOT = Path(__file__).parents[2]
FORTY_EIGHT_MEMBERS = [{"wind_speed": 0.1 * one_number} for one_number in range(48)]


@cache
def briefing() -> Briefing:
    """Return a briefing with something of everything, unknown values among them."""
    alert = Alert(
        "Lake Wind Advisory", "Moderate", "", "", "h", "d – ü", "", scenes.NOW, None, "", FILE
    )
    return Briefing(
        at=scenes.NOW,
        forecasts=(
            scenes.without(scenes.forecast(*FORTY_EIGHT_MEMBERS), "weather_code", slice(0, 9)),
            scenes.forecast(),
        ),
        observations=(
            scenes.observation("wind_speed", 4.2),
            scenes.observation("water_temperature", float("nan")),
        ),
        alerts=(alert,),
        silences=(SourceFailure("somewhere", "no answer", ("alerts",), applies=False),),
    )


FILE = scenes.FROM_A_FILE


@cache
def verdict() -> Verdict:
    """Return the verdict on that briefing, on a water that is known by a ring and a table."""
    trip = scenes.plan()
    ring = np.array([[0.1, 0.2], [0.3, 1 / 3], [np.pi, 0.7]])
    table = FetchTable(np.array([0.0, 180.0]), np.array([100.0, 200.0]))
    water = replace(trip.water, shoreline=(ring,), fetch_table=table, repairs=("closed a ring",))
    return scenes.judge(
        replace(trip, water=water, route=ring),
        briefing(),
        scenes.POND,
        scenes.settings(),
    )


@cache
def summary() -> ForecastSummary:
    """Return what the forecasts of that briefing say, in short."""
    return scenes.assess(scenes.plan(), briefing()).forecast


def plain(made: Verdict) -> StoredCheck:
    return StoredCheck(made, briefing(), scenes.settings().user)


def save(store: Store, name: str = "", own: LimitTable | None = None) -> int:
    user = scenes.settings(*([own] if own else [])).user
    return store.save_check(StoredCheck(verdict(), briefing(), user), "0.1.0", name)


# -- exact -------------------------------------------------------------------------------------


def test_what_is_packed_comes_back_to_the_bit() -> None:
    for kind, value in ((Verdict, verdict()), (Briefing, briefing())):
        body = serialize(value)
        assert serialize(deserialize(kind, body)) == body
    again = deserialize(Briefing, serialize(briefing()))
    for mine, theirs in zip(again.forecasts, briefing().forecasts, strict=True):
        assert np.array_equal(mine.time, theirs.time)
        assert mine.time.dtype == theirs.time.dtype
        for name, values in theirs.quantities.items():
            assert mine.quantities[name].tobytes() == values.tobytes()


@pytest.mark.parametrize("at", [3, 50, -3])
def test_a_damaged_archive_is_refused_and_never_guessed(at: int) -> None:
    body = bytearray(serialize(briefing()))
    body[at] ^= 0xFF
    with pytest.raises(DataError, match="cannot be read"):
        deserialize(Briefing, bytes(body))


@dataclass(frozen=True)
class Older:
    kept: int
    dropped: str


@dataclass(frozen=True)
class Newer:
    kept: int
    added: tuple[float, ...] = ()


def test_a_type_may_gain_a_field_with_a_default_and_lose_one() -> None:
    assert deserialize(Newer, serialize(Older(7, "x"))) == Newer(7)
    with pytest.raises(DataError, match="too old"):
        deserialize(Older, serialize(Newer(7)))


@dataclass(frozen=True)
class Pair:
    both: tuple[float, float]


@dataclass(frozen=True)
class Several:
    both: tuple[float, ...]


def test_a_pair_of_three_is_refused() -> None:
    assert deserialize(Pair, serialize(Several((1.0, 2.0)))) == Pair((1.0, 2.0))
    for wrong in ((1.0, 2.0, 3.0), (1.0,)):
        with pytest.raises(DataError, match="cannot be read"):
            deserialize(Pair, serialize(Several(wrong)))


def test_a_saved_check_comes_back_whole(tmp_path: Path) -> None:
    own = LimitTable(craft="sit-on-top-kayak", quantity="wind_speed", no_go="6 m/s")
    with Store.open(tmp_path) as store:
        number = save(store, "dawn patrol", own)
    with Store.open(tmp_path) as store:
        saved = store.check(number)
        last = store.last_plan("Dawn Patrol")
    assert serialize(saved.kept.verdict) == serialize(verdict())
    assert serialize(saved.kept.briefing) == serialize(briefing())
    assert saved.kept.user.limit == [own]
    assert serialize(last) == serialize(verdict().plan)
    assert saved.line.severity == verdict().severity
    assert (saved.line.at, saved.line.start) == (scenes.NOW, scenes.START)
    assert saved.line.program == "0.1.0"


def test_contact_and_keys_stay_out_of_the_history(tmp_path: Path) -> None:
    user = scenes.settings().user.model_copy(
        update={"contact": ContactTable(phone="555-0100"), "services": {"usgs": "secret-key"}}
    )
    with Store.open(tmp_path) as store:
        number = store.save_check(StoredCheck(verdict(), briefing(), user), "0.1.0")
        kept = store.check(number).kept.user
    assert kept.contact == ContactTable()
    assert kept.services == {}


# -- finding again -----------------------------------------------------------------------------


def test_checks_are_listed_newest_first_and_found_by_water_name_and_number(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        numbers = [save(store, name) for name in ("a", "b", "a")]
        assert [check.id for check in store.checks()] == numbers[::-1]
        assert [check.id for check in store.checks(limit=2)] == numbers[:0:-1]
        assert [check.id for check in store.checks(name="a")] == [numbers[2], numbers[0]]
        assert [check.id for check in store.checks(before=numbers[1])] == [numbers[0]]
        assert store.checks(water="elsewhere") == ()
        assert store.checks(since=scenes.NOW + timedelta(seconds=1)) == ()
        assert len(store.checks(since=scenes.NOW, water="Invented Lake", launch="ramp")) == 3
        assert store.last_check("c") is None
        with pytest.raises(PlanError, match="no check 99"):
            store.check(99)


def test_a_report_seen_with_two_checks_is_kept_once(tmp_path: Path) -> None:
    eyes = scenes.observation("wind_speed", 7.0, at=scenes.NOW + timedelta(hours=1))
    with Store.open(tmp_path) as store:
        save(store)
        save(store)
        store.save_observation("Invented Lake", "ramp", eyes)
        seen = store.observations("Invented Lake", quantity="wind_speed")
        assert store.observations("elsewhere") == ()
    assert [observation.value for observation in seen] == [4.2, 7.0]
    assert seen[1] == eyes


def test_a_logged_trip_comes_back_with_what_was_not_told_still_unknown(tmp_path: Path) -> None:
    trip = Trip(
        0, scenes.NOW, scenes.START, "Lake", "ramp", "UTC", "my kayak", True, wind_speed=4.5
    )
    with Store.open(tmp_path) as store:
        number = store.save_trip(trip)
        (again,) = store.trips("my kayak")
        assert store.trips("another") == ()
    assert (again.id, again.wind_speed, again.start) == (number, 4.5, scenes.START)
    assert np.isnan(again.wave_height)
    assert again.comfort is None
    assert again.went is True


def test_what_forecasts_said_is_found_by_launch_and_time_without_the_whole_check(
    tmp_path: Path,
) -> None:
    short = summary()
    place = ("Invented Lake", "ramp")
    hour = timedelta(hours=1)
    with Store.open(tmp_path) as store:
        store.save_check(plain(verdict()), "0.1.0", said=short)
        save(store)  # one that tells nothing in short
        (found,) = store.said(*place, scenes.NOW, scenes.NOW + hour)
        assert store.said(*place, scenes.NOW - hour, scenes.NOW) == ()
        assert store.said("elsewhere", "ramp", scenes.NOW, scenes.NOW + hour) == ()
    assert serialize(found) == serialize(short)


def test_only_near_winds_that_are_known_and_not_in_doubt_tell_what_came(tmp_path: Path) -> None:
    near = scenes.observation("wind_speed", 7.0, distance=900.0)
    others = [
        scenes.observation("wind_speed", 1.0, distance=9000.0),
        scenes.observation("wind_speed_of_gust", float("nan")),
        scenes.observation("air_temperature", 290.0),
        replace(scenes.observation("wind_speed", 2.0), flagged=True, station="doubtful"),
        replace(scenes.observation("wind_speed", 3.0), distance=None, station="somewhere"),
        scenes.observation("wind_speed_of_gust", 4.0, at=scenes.NOW + timedelta(hours=2)),
    ]
    with Store.open(tmp_path) as store:
        for value in (near, *(replace(other, station=str(n)) for n, other in enumerate(others))):
            store.save_observation("Lake", "ramp", value)
        found = store.winds_seen("Lake", "ramp", scenes.NOW + timedelta(hours=1), within=1000.0)
        assert store.winds_seen("Lake", "beach", scenes.NOW + timedelta(hours=9), 1000.0) == ()
    assert [
        (observation.quantity, observation.value, observation.time) for observation in found
    ] == [("wind_speed", 7.0, scenes.NOW)]


# -- migrations --------------------------------------------------------------------------------


@pytest.mark.parametrize("version", range(len(MIGRATIONS)))
def test_a_history_of_any_older_version_migrates(tmp_path: Path, version: int) -> None:
    old = sqlite3.connect(tmp_path / NAME)
    for script in MIGRATIONS[:version]:
        old.executescript(script)
    old.execute(f"PRAGMA user_version = {version}")
    old.commit()
    old.close()
    with Store.open(tmp_path) as store:
        assert store.set_aside is None
        assert store.check(save(store)).line.water == "Invented Lake"


def test_a_history_of_a_newer_program_is_left_as_it_is(tmp_path: Path) -> None:
    newer = sqlite3.connect(tmp_path / NAME)
    newer.execute(f"PRAGMA user_version = {len(MIGRATIONS) + 1}")
    newer.commit()
    newer.close()
    with pytest.raises(DataError, match="newer safety-check"):
        Store.open(tmp_path)
    assert [path.name for path in tmp_path.iterdir() if "damaged" in path.name] == []


# -- damage ------------------------------------------------------------------------------------


def test_a_file_that_is_no_history_is_set_aside_with_its_content_and_said(tmp_path: Path) -> None:
    (tmp_path / NAME).write_bytes(b"not a database, but somebody's work" * 100)
    with Store.open(tmp_path) as store:
        assert store.set_aside is not None
        assert store.set_aside.read_bytes().startswith(b"not a database, but somebody's work")
        assert store.checks() == ()
        assert save(store) == 1
    with Store.open(tmp_path) as store:
        assert store.set_aside is None
        assert len(store.checks()) == 1


def test_a_history_damaged_inside_is_set_aside_whole(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        for _ in range(20):
            save(store)
    path = tmp_path / NAME
    body = bytearray(path.read_bytes())
    body[4096:12288] = os.urandom(8192)
    path.write_bytes(body)
    with Store.open(tmp_path) as store:
        assert store.set_aside is not None
        assert store.set_aside.read_bytes() == bytes(body)
        assert store.checks() == ()


def test_a_folder_that_can_not_be_written_is_told_and_nothing_is_set_aside(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(DataError, match="history cannot be used"):
        Store.open(tmp_path / "file")


# -- kills and company -------------------------------------------------------------------------

KILLS = scaled(80)
EACH_FILE = 10  # kills of one history; a new one often, so that its making is hit too
WRITER = """
import os, random, signal, sys, time
from pathlib import Path
from safety_check.store.store import Store
from tests.store.test_store import EACH_FILE, KILLS, save, verdict

chance = random.Random(20261125)
verdict()  # made once, before the forks
begun = time.monotonic()
with Store.open(Path(sys.argv[1]) / "0") as store:
    save(store)
SAVE = time.monotonic() - begun

def write_until_killed(folder, pipe):
    with Store.open(folder) as store:
        while True:
            os.write(pipe, b"%d\\n" % save(store))

def kill_at_a_random_moment(folder, saves):
    reader, pipe = os.pipe()
    child = os.fork()
    if child == 0:
        write_until_killed(folder, pipe)
    os.close(pipe)
    with open(reader) as said:
        reported = [said.readline() for _ in range(saves)]
        time.sleep(chance.uniform(0, SAVE))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return [*reported, *said]

for kill in range(KILLS):
    in_making = kill % EACH_FILE == 0
    folder = Path(sys.argv[1]) / str(kill // EACH_FILE)
    for number in kill_at_a_random_moment(folder, 0 if in_making else chance.randint(1, 3)):
        print(kill, folder.name, number, end="")
"""


def test_kills_lose_no_check_that_was_reported_as_saved(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", WRITER, str(tmp_path)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    reports = [line.split() for line in done.stdout.splitlines()]
    killed_after_a_report = {kill for kill, _, _ in reports}
    assert len(killed_after_a_report) >= KILLS - math.ceil(KILLS / EACH_FILE) > 0
    for folder in tmp_path.iterdir():
        reported = {number for _, name, number in reports if name == folder.name}
        with Store.open(folder) as store:
            assert store.set_aside is None
            kept = {str(check.id) for check in store.checks(limit=100_000)}
            assert reported <= kept
            for number in sorted(kept, key=int)[-1:]:
                assert serialize(store.check(int(number)).kept.briefing) == serialize(briefing())


@pytest.mark.thorough
def test_several_processes_open_a_new_history_and_write_at_once(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from safety_check.store.store import Store\n"
        "from tests.store.test_store import save\n"
        "for _ in range(10):\n"
        "    with Store.open(Path(sys.argv[1])) as store: print(save(store))\n"
    )
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", code, str(tmp_path)],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            text=True,
        )
        for _ in range(4)
    ]
    numbers = [int(word) for writer in writers for word in writer.communicate()[0].split()]
    assert [one_writer.returncode for one_writer in writers] == [0] * 4
    assert sorted(numbers) == list(range(1, 41))


def test_the_clock_of_a_check_may_be_in_any_zone(tmp_path: Path) -> None:
    here = datetime(2026, 6, 12, 17, tzinfo=UTC).astimezone()
    made = replace(verdict(), at=here)
    with Store.open(tmp_path) as store:
        store.save_check(plain(made), "0.1.0")
        assert store.checks()[0].at == here


# -- at the bounds -----------------------------------------------------------------------------


def logged(store: Store, count: int) -> list[int]:
    """Log trips, and return their numbers."""
    trip = Trip(0, scenes.NOW, scenes.START, "Lake", "ramp", "UTC", "mine", True, wind_speed=4.5)
    return [store.save_trip(trip) for _ in range(count)]


def damage(store: Store, hours: float = 0.0, since: float = -48.0) -> tuple[str, ...]:
    """Return what is found damaged some hours later, of what was found since."""
    now = scenes.NOW + timedelta(hours=hours)
    return store.damage_since(scenes.NOW + timedelta(hours=since), now)


def change(folder: Path, statement: str) -> None:
    with sqlite3.connect(folder / NAME) as file:
        file.execute(statement)


@pytest.mark.parametrize(
    ("limit", "found"), [(-1, 0), (0, 0), (1, 1), (2, 2), (2**63 - 1, 2), (2**70, 2)]
)
def test_any_limit_of_a_list_is_taken(tmp_path: Path, limit: int, found: int) -> None:
    with Store.open(tmp_path) as store:
        save(store)
        save(store)
        assert len(store.checks(limit)) == found


@pytest.mark.parametrize("number", [0, -1, 2**63 - 1, -(2**63) + 1, 2**63, -(2**70)])
def test_a_number_that_no_check_can_have_is_no_check(tmp_path: Path, number: int) -> None:
    with Store.open(tmp_path) as store:
        save(store)
        with pytest.raises(PlanError, match=f"no check {number}"):
            store.check(number)
        with pytest.raises(PlanError, match=f"no trip {number}"):
            store.remove_trip(number)


def test_a_changed_row_is_found_and_one_that_was_removed_on_purpose_is_not(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        first, second, third = logged(store, 3)
        store.remove_trip(second)
        assert damage(store) == ()
    change(tmp_path, f"UPDATE trips SET wind_speed = 1.0 WHERE id = {first}")
    with Store.open(tmp_path) as store:
        assert damage(store) == (f"trips {first}",)
        assert [trip.id for trip in store.trips()] == [first, third]


def test_a_row_that_was_lost_is_found_unless_no_row_is_older(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        logged(store, 3)
    change(tmp_path, "DELETE FROM trips WHERE id = 3")
    with Store.open(tmp_path) as store:
        assert damage(store) == ("trips 3",)
    change(tmp_path, "DELETE FROM trips")
    with Store.open(tmp_path) as store:
        assert damage(store) == ("trips 1", "trips 2", "trips 3")


def test_a_row_without_a_digest_is_strange_where_an_older_one_has_its_own(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        logged(store, 3)
    change(tmp_path, "DELETE FROM digests WHERE id = 2")
    with Store.open(tmp_path) as store:
        assert damage(store) == ("trips 2",)
    other = tmp_path / "older"
    with Store.open(other) as store:
        logged(store, 2)
    change(other, "DELETE FROM digests WHERE id = 1")  # written before there were digests
    with Store.open(other) as store:
        assert damage(store) == ()


def test_only_the_newest_rows_are_verified(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(intact, "NEWEST", 2)
    with Store.open(tmp_path) as store:
        logged(store, 3)
    change(tmp_path, "UPDATE trips SET notes = 'changed'")
    with Store.open(tmp_path) as store:
        assert damage(store) == ("trips 2", "trips 3")


def test_damage_is_remembered_from_when_it_was_first_found(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        logged(store, 1)
    change(tmp_path, "UPDATE trips SET notes = 'changed'")
    with Store.open(tmp_path) as store:
        assert damage(store, hours=0) == ("trips 1",)
        assert damage(store, hours=9, since=0) == ("trips 1",)  # found at that very moment
        assert damage(store, hours=9, since=1e-4) == ()


def test_rows_that_can_not_be_read_are_counted_and_left_out(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        logged(store, 5)
    change(tmp_path, "UPDATE trips SET start = 'soon' WHERE id = 2")
    change(tmp_path, "UPDATE trips SET time_zone = 'Nowhere' WHERE id = 3")
    change(tmp_path, "UPDATE trips SET notes = x'00' WHERE id = 4")
    change(tmp_path, "UPDATE trips SET start = '2026-06-12T10:00:00' WHERE id = 5")  # in no zone
    with Store.open(tmp_path) as store:
        assert [trip.id for trip in store.trips()] == [1]
        assert store.unreadable == 4


def test_a_changed_observation_is_found(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        store.save_observation("Lake", "ramp", scenes.observation("wind_speed", 7.0))
        store.save_observation("Lake", "ramp", scenes.observation("wind_speed", 8.0))
        assert damage(store) == ()
    change(tmp_path, "UPDATE observations SET value = 1.0")
    with Store.open(tmp_path) as store:
        assert damage(store) == ("observations 1",)  # the second is of the same moment


def test_a_history_that_lacks_a_table_is_set_aside(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        logged(store, 1)
    change(tmp_path, "DROP TABLE observations")
    with Store.open(tmp_path) as store:
        assert store.set_aside is not None
        assert store.set_aside.exists()
        assert store.trips() == ()
        assert len(damage(store, hours=1)) == 1  # the file itself


def test_what_is_reported_as_written_is_on_the_disk(tmp_path: Path) -> None:
    connection, aside = opened(tmp_path / NAME)
    with closing(connection):
        assert aside is None
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert connection.execute("PRAGMA synchronous").fetchone() == (2,)  # FULL


def test_the_reason_of_a_check_is_the_first_that_is_as_severe_as_the_verdict() -> None:
    calm = scenes.verdict()
    assert deciding_reason(calm) == ""
    windy = scenes.verdict(scenes.forecast({"wind_speed": 15.0, "wind_speed_of_gust": 20.0}))
    worst = [found.reason for found in windy.findings if found.severity == windy.severity]
    assert deciding_reason(windy) == worst[0]
    silent = replace(windy, findings=(), unknown=())
    assert deciding_reason(silent) == ""
    held = Unknown("wind", "the service is down", "", windy.severity)
    milder = Unknown("waves", "no forecast", "", Severity.MARGINAL)
    assert deciding_reason(replace(silent, unknown=(milder, held))) == "Wind: the service is down"


def test_a_history_may_be_there_wherever_nobody_can_look(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert not may_hold(tmp_path)
    (tmp_path / NAME).touch()
    assert may_hold(tmp_path)

    def refuse(path: Path) -> bool:
        raise PermissionError(path)

    monkeypatch.setattr(Path, "exists", refuse)
    assert may_hold(tmp_path)


# -- to the row ----------------------------------------------------------------------------------


def checked(folder: Path) -> None:
    with Store.open(folder) as store:
        save(store)


@pytest.mark.parametrize(
    "change_of_a_row",
    [
        "program = x'07'",
        "time_zone = 'Nowhere'",
        "name = x'00'",
        "at = '2026-06-12T10:00:00'",  # in no zone
        "severity = 5",
    ],
)
def test_a_line_of_the_list_of_checks_that_is_damaged_is_left_out(
    tmp_path: Path, change_of_a_row: str
) -> None:
    checked(tmp_path)
    change(tmp_path, f"UPDATE checks SET {change_of_a_row}")
    with Store.open(tmp_path) as store:
        assert store.checks() == ()
        assert store.unreadable == 1
        assert damage(store) == ("checks 1",)


def test_a_wind_of_no_known_quantity_is_left_out(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        store.save_observation("Lake", "ramp", scenes.observation("wind_speed", 7.0, distance=9.0))
    change(tmp_path, "UPDATE observations SET time = '2026-06-12T10:00:00'")  # in no zone
    with Store.open(tmp_path) as store:
        assert store.winds_seen("Lake", "ramp", scenes.NOW + timedelta(days=1), 10.0) == ()
        assert store.unreadable == 1


def test_the_last_check_is_the_newest_of_its_name_and_water(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        first, second = save(store, "a"), save(store, "b")
        for name, number in ((None, second), ("a", first), ("b", second)):
            last = store.last_check(name, "Invented Lake")
            assert last is not None
            assert last.line.id == number
        assert store.last_check(water="elsewhere") is None
        assert store.last_plan("c") is None


def test_what_forecasts_said_is_found_by_the_number_of_the_check(tmp_path: Path) -> None:
    short = summary()
    with Store.open(tmp_path) as store:
        told = [store.save_check(plain(verdict()), "0.1.0", said=short) for _ in range(2)]
        silent = save(store)
        found = store.said_in([*told, silent, 99])
        assert store.said_in([]) == {}
    assert sorted(found) == told
    assert serialize(found[told[1]]) == serialize(short)


def test_a_closed_history_is_no_longer_read(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        pass
    with pytest.raises(DataError, match="history cannot be used"):
        store.checks()


class Stopped(Exception):
    """What ends a change before it is complete."""


def stop_in_the_middle(store: Store) -> None:
    with transaction(store._connection):
        store._connection.execute("DELETE FROM damage")
        raise Stopped


def test_a_change_that_fails_leaves_nothing_behind(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        note_damage(store._connection, ["kept"], scenes.NOW.isoformat(timespec="microseconds"))
        with pytest.raises(Stopped):
            stop_in_the_middle(store)
        assert damage(store) == ("kept",)
        assert save(store) == 1  # the file is free for the next change


def test_a_trip_is_removed_once(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        (number,) = logged(store, 1)
        store.remove_trip(number)
        with pytest.raises(PlanError, match=f"no trip {number}"):
            store.remove_trip(number)


# -- a file that can only be read ----------------------------------------------------------------


@pytest.fixture
def read_only(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the folder of a history with one check, which nobody may write."""
    checked(tmp_path)
    own = os.access

    def access(path: Path, mode: int) -> bool:
        return mode != os.W_OK and own(path, mode)

    def refuse(path: Path) -> None:
        raise PermissionError(path)

    monkeypatch.setattr(os, "access", access)
    monkeypatch.setattr(schema, "make_file", refuse)
    return tmp_path


def test_a_history_that_can_not_be_written_is_read(read_only: Path) -> None:
    with Store.open(read_only) as store:
        assert [line.id for line in store.checks()] == [1]
        assert store.set_aside is None
        with pytest.raises(DataError, match="history cannot be used"):
            logged(store, 1)


def test_a_history_that_another_process_writes_is_not_read_as_if_it_were_whole(
    read_only: Path,
) -> None:
    log = read_only / f"{NAME}-wal"
    log.write_bytes(b"")
    with Store.open(read_only) as store:
        assert len(store.checks()) == 1
    log.write_bytes(b"x")
    with pytest.raises(DataError, match="history cannot be used"):
        Store.open(read_only)


def test_a_history_that_can_be_written_is_not_opened_to_be_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    checked(tmp_path)

    def refuse(path: Path) -> None:
        raise OSError("the disk is full")

    monkeypatch.setattr(schema, "make_file", refuse)
    with pytest.raises(DataError, match="the disk is full"):
        Store.open(tmp_path)


def test_a_damaged_history_that_can_only_be_read_is_refused(read_only: Path) -> None:
    (read_only / NAME).write_bytes(b"no history" * 1000)
    with pytest.raises(DataError, match="history cannot be used"):
        Store.open(read_only)


class Busy:
    """A connection that is locked for some tries."""

    def __init__(self, tries: int, words: str = "database is locked") -> None:
        self.tries, self.words = tries, words

    def execute(self, _: str) -> None:
        self.tries -= 1
        if self.tries >= 0:
            raise sqlite3.OperationalError(self.words)


def test_a_history_that_others_switch_too_is_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = [0.0]
    monkeypatch.setattr(time, "monotonic", lambda: clock[0])
    monkeypatch.setattr(time, "sleep", lambda seconds: clock.append(clock.pop() + seconds))

    schema._write_ahead(Busy(5), 1.0)  # type: ignore[arg-type]
    assert clock == [pytest.approx(0.05)]  # a hundredth of a second for each try
    with pytest.raises(sqlite3.OperationalError, match="locked"):
        schema._write_ahead(Busy(1000), 1.0)  # type: ignore[arg-type]
    assert clock == [pytest.approx(1.06, abs=0.011)]
    with pytest.raises(sqlite3.OperationalError, match="read-only"):
        schema._write_ahead(Busy(1, "read-only"), 1.0)  # type: ignore[arg-type]


@pytest.mark.parametrize("table", ["checks", "trips", "digests", "damage"])
def test_a_history_that_lacks_any_of_its_tables_is_set_aside(tmp_path: Path, table: str) -> None:
    with Store.open(tmp_path) as store:
        logged(store, 1)
    change(tmp_path, f"DROP TABLE {table}")
    with Store.open(tmp_path) as store:
        assert store.set_aside is not None

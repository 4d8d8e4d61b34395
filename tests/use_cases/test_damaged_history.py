"""A damaged or lost history never costs the verdict, and never improves it."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import replace
from datetime import timedelta
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.conditions.case import Case
from safety_check.model.verdict import Severity
from safety_check.settings.folders import Folders
from safety_check.settings.settings import Settings
from safety_check.store.schema import NAME
from safety_check.store.store import Store
from safety_check.use_cases.record import CompletedCheck, judge_and_store, recall_case
from safety_check.use_cases.water_memory import store_measurement
from tests.assess.test_missed_forecast import BLOW, EVENING, MORNING, OLD_RUN, RULES, case_of
from tests.properties import cases

COLUMNS = {
    "checks": [
        *("id", "at", "name", "water", "launch", "time_zone", "craft", "start", "end", "severity"),
        *("because", "program", "archive", "said"),
    ],
    "observations": [
        *("id", "water", "launch", "quantity", "time", "station", "value", "distance", "flagged"),
        "archive",
    ],
    "digests": ["kind", "id", "digest"],
}
PLACES = [(table, column) for table, names in COLUMNS.items() for column in names]
SPOILT = st.one_of(
    st.sampled_from(["", "x", "9999-99-99", 7, -1, 2**62, 0.5, 1e308, b"", b"\xff\xfe", b"x" * 99]),
    st.text(max_size=20),
    st.binary(max_size=40),
    st.integers(-(2**62), 2**62),
)


def at_home(case: Case, folder: Path) -> Case:
    folders = Folders(folder, folder / "data", folder / "cache")
    return replace(case, settings=Settings(folders, case.settings.user))


def check(folder: Path, case: Case) -> CompletedCheck:
    known, remarks = recall_case(at_home(case, folder))
    return judge_and_store(known, RULES, "dawn", remarks)


def next_morning(folder: Path) -> CompletedCheck:
    """Return the check of the morning: nothing is observed, and the forecast is the same."""
    return check(folder, case_of((), OLD_RUN, at=MORNING))


@cache
def written() -> Path:
    """Return a folder with the checks of a windy evening that the forecast missed."""
    folder = Path(tempfile.mkdtemp())
    for hour in range(3):
        at = EVENING + timedelta(hours=hour)
        check(folder, case_of(BLOW if hour == 0 else (), OLD_RUN, at=at))
    with closing(sqlite3.connect(folder / "data" / NAME)) as made:
        made.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return folder


@contextmanager
def copied() -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "home"
        shutil.copytree(written(), folder)
        yield folder


def test_an_intact_history_holds_the_morning_and_an_empty_one_does_not(tmp_path: Path) -> None:
    with copied() as folder:
        held = next_morning(folder)
    free = next_morning(tmp_path)
    assert (held.verdict.severity, held.remarks) == (Severity.MARGINAL, ())
    assert (free.verdict.severity, free.remarks) == (Severity.GO, ())


def spoil(folder: Path, table: str, column: str, value: Any, rows: int) -> None:
    """Put a value in the last rows of a column, where the file takes it."""
    last = f"rowid IN (SELECT rowid FROM {table} ORDER BY id DESC LIMIT ?)"
    where = "id <= ?" if table == "digests" else last
    change = f'UPDATE OR IGNORE {table} SET "{column}" = ? WHERE {where}'
    # A number that is a key must stay one.
    with suppress(sqlite3.IntegrityError), closing(sqlite3.connect(folder / "data" / NAME)) as file:
        file.execute(change, (value, rows))
        file.commit()


def require_held(done: CompletedCheck) -> None:
    assert done.verdict.severity in (Severity.MARGINAL, Severity.UNKNOWN, Severity.NO_GO)


@pytest.mark.thorough
@cases(120)
@given(st.sampled_from(PLACES), SPOILT, st.integers(1, 4))
def test_a_damaged_column_of_the_last_rows_never_prevents_or_improves_the_verdict(
    place: tuple[str, str], value: Any, rows: int
) -> None:
    with copied() as folder:
        spoil(folder, *place, value, rows)
        require_held(next_morning(folder))


UNNOTICED = [("checks", "archive")]  # no part of a later verdict
NOTICED = [
    place
    for place in PLACES
    if place not in UNNOTICED and place[0] != "digests" and place[1] != "id"
]


@pytest.mark.one_in(3)
@pytest.mark.parametrize("place", NOTICED, ids="-".join)
def test_a_column_spoilt_in_every_row_is_noticed(place: tuple[str, str]) -> None:
    with copied() as folder:
        spoil(folder, *place, "spoilt", 99)
        done = next_morning(folder)
        require_held(done)
        assert any("can't be read" in remark for remark in done.remarks)
        told = [
            finding.hazard for finding in done.verdict.findings if finding.severity > Severity.GO
        ]
        assert "forecast_missed" in told


@cases(60)
@given(st.integers(0, 10**6), st.binary(min_size=1, max_size=6000))
def test_random_bytes_in_the_file_never_cost_or_improve_the_verdict(at: int, body: bytes) -> None:
    with copied() as folder:
        path = folder / "data" / NAME
        whole = bytearray(path.read_bytes())
        at %= len(whole)
        whole[at : at + len(body)] = body[: len(whole) - at]
        path.write_bytes(whole)
        require_held(next_morning(folder))


@pytest.mark.parametrize("keep", [0, 10, 100, 4096, 9000])
def test_a_file_cut_short_never_prevents_or_improves_the_verdict(keep: int) -> None:
    with copied() as folder:
        os.truncate(folder / "data" / NAME, keep)
        done = next_morning(folder)
        require_held(done) if keep else None


def test_damage_holds_for_two_days_and_no_longer() -> None:
    with copied() as folder:
        spoil(folder, "checks", "end", "spoilt", 1)
        require_held(next_morning(folder))
        trip = case_of((), replace(OLD_RUN), at=MORNING).plan
        later = timedelta(days=3)
        case = case_of((), OLD_RUN, at=MORNING)
        shifted = replace(
            case,
            plan=replace(trip, start=trip.start + later, end=trip.end + later),
            briefing=replace(case.briefing, at=MORNING + later),
        )
        known, remarks = recall_case(at_home(shifted, folder))
        assert not known.past.lost
        assert not any("can't be read (" in remark for remark in remarks)


# -- a store that can't be used ----------------------------------------------------------------


def as_folder(path: Path) -> None:
    path.unlink()
    (path / "inside").mkdir(parents=True)


def as_text(path: Path) -> None:
    path.write_text("not a database " * 400, encoding="utf-8")


def without_a_table(path: Path) -> None:
    with closing(sqlite3.connect(path)) as file:
        file.execute("DROP TABLE checks")


def older(path: Path) -> None:
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA user_version = 1")


def newer(path: Path) -> None:
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA user_version = 99")


@pytest.mark.parametrize("change", [as_folder, as_text, without_a_table, older, newer])
def test_a_store_that_is_not_a_history_never_prevents_or_improves_the_verdict(change: Any) -> None:
    with copied() as folder:
        change(folder / "data" / NAME)
        done = next_morning(folder)
        require_held(done)
        assert done.remarks
        assert any("MARGINAL" in remark for remark in done.remarks)


LOCKS = {
    "for reading": ("PRAGMA locking_mode = EXCLUSIVE", "BEGIN EXCLUSIVE"),
    "for writing": ("BEGIN IMMEDIATE",),
}
GREATEST_DELAY = 4.0  # s; three waits of SHORT_PATIENCE, and a busy machine


@pytest.mark.one_in(2)
@pytest.mark.parametrize("lock", LOCKS)
def test_a_locked_store_never_prevents_improves_or_delays_the_verdict(lock: str) -> None:
    case = case_of((), OLD_RUN, at=MORNING)
    plan = replace(case.plan, water_temperature=290.0)
    with copied() as folder, closing(sqlite3.connect(folder / "data" / NAME)) as other:
        began = time.monotonic()
        check(folder, case)
        unlocked = time.monotonic() - began
        for statement in LOCKS[lock]:
            other.execute(statement)
        began = time.monotonic()
        remarks = store_measurement(plan, MORNING, at_home(case, folder).settings)
        done = next_morning(folder)
        assert time.monotonic() - began < 2 * unlocked + GREATEST_DELAY
        require_held(done)
        assert done.number is None
        assert all("locked" in remark for remark in (*remarks, *done.remarks))
        assert len(remarks) == 1


@pytest.mark.parametrize("error", [PermissionError(13, "no"), MemoryError(), RuntimeError("odd")])
def test_whatever_the_store_raises_the_verdict_is_given(
    monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    def refuse(folder: Path, patience: float) -> Store:
        raise error

    monkeypatch.setattr(Store, "open", refuse)
    with copied() as folder:
        done = next_morning(folder)
        require_held(done)
        assert len(done.remarks) == 2


def test_a_history_that_never_was_holds_nothing(tmp_path: Path) -> None:
    (tmp_path / "data").write_text("a file where the folder should be", encoding="utf-8")
    done = next_morning(tmp_path)
    assert done.verdict.severity == Severity.GO
    assert len(done.remarks) == 2

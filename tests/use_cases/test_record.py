"""What a history says for a check, and what the user should know about it."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from safety_check.errors import DataError
from safety_check.use_cases import record
from safety_check.use_cases.local_correction import find_outcomes
from safety_check.use_cases.record import remarks_on
from safety_check.use_cases.trust import load_trust
from tests import scenes

ASIDE = "The history was damaged, so a new one was started. The old file is now"
ROWS = "Rows of the history that can't be read were left out: "


@pytest.mark.parametrize(
    ("set_aside", "unreadable", "begins"),
    [
        (None, 0, []),
        (Path("history.damaged"), 0, [ASIDE]),
        (None, 1, [ROWS + "1."]),
        (Path("history.damaged"), 3, [ASIDE, ROWS + "3."]),
    ],
)
def test_a_damaged_file_and_unreadable_rows_are_told(
    set_aside: Path | None, unreadable: int, begins: list[str]
) -> None:
    store: Any = SimpleNamespace(set_aside=set_aside, unreadable=unreadable)
    told = remarks_on(store)
    assert len(told) == len(begins)
    assert all(text.startswith(begin) for text, begin in zip(told, begins, strict=True))
    assert all("history.damaged" in text for text in told if text.startswith(ASIDE))


def test_an_error_of_our_own_is_told_in_its_words_and_another_by_its_name() -> None:
    assert record._told(DataError("The history is locked.")) == "The history is locked."
    assert record._told(ValueError("odd")) == "It could not be used (ValueError: odd)."


def test_only_trips_on_the_same_water_from_this_launch_and_before_the_check_teach_anything(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[str] = []
    hour = timedelta(hours=1)
    trips = [
        SimpleNamespace(start=scenes.NOW - hour, launch="ramp"),
        SimpleNamespace(start=scenes.NOW - hour, launch=""),
        SimpleNamespace(start=scenes.NOW - hour, launch="pier"),
        SimpleNamespace(start=scenes.NOW, launch="ramp"),
    ]

    def logged(water: str) -> Any:
        asked.append(water)
        return trips

    used: list[Any] = []

    def find(seen: Any, kept: list[Any], *_: Any) -> Any:
        used.extend(kept)
        return find_outcomes(seen, [], *_)

    monkeypatch.setattr(record, "find_outcomes", find)
    store: Any = SimpleNamespace(
        checks=lambda *_: (), trips=logged, winds_seen=lambda *_: (), said_in=lambda _: {}
    )
    found = record.learn_corrections(store, scenes.plan(), scenes.NOW, load_trust())
    assert asked == ["Invented Lake"]
    assert used == trips[:2]
    assert found == ({}, {})

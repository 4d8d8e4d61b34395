"""What the user should know about a history that was opened."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from safety_check.use_cases.record import remarks_on

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

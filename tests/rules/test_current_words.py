"""Ratios of waves in words."""

from __future__ import annotations

import pytest

from safety_check.rules.current_words import times


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        *((0.7, "just"), (1.0, "just"), (1.04, "just"), (1.06, "1.1 times"), (1.2, "1.2 times")),
        *((1.39, "1.4 times"), (1.41, "half again"), (1.59, "half again"), (1.61, "1.6 times")),
        *((1.79, "1.8 times"), (1.81, "twice"), (2.19, "twice"), (2.21, "2.2 times")),
        (3.0, "3.0 times"),
    ],
)
def test_a_ratio_near_a_round_one_takes_its_name(ratio: float, words: str) -> None:
    assert times(ratio) == words

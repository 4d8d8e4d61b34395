"""How many cases the property tests try.

Each property names the number of cases of a thorough look. The everyday run tries a third of them,
always the same; `HYPOTHESIS_PROFILE=long pytest` tries ten times the number, new ones each time.
`python -m benchmarks.campaign properties` tries as many of each as it is told.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import Any

from hypothesis import settings

PROFILE = os.environ.get("HYPOTHESIS_PROFILE", "repeatable")
SHARE = {"repeatable": 1 / 3, "long": 10.0, "campaign": 1.0}[PROFILE]
TOLD = int(os.environ.get("HYPOTHESIS_CASES", "0"))  # by a campaign
FEWEST = 10  # a property that names fewer cases tries all of them every day
USUAL = 60


def scaled(number: int) -> int:
    """Return how many cases this run tries of a thorough look's number."""
    return TOLD or max(round(number * SHARE), min(number, FEWEST))


def cases(number: int, **more: Any) -> Callable[[Any], Any]:
    """Return the decorator of a property that a thorough look tries on a number of cases."""
    return settings(max_examples=scaled(number), **more)


def load_profile() -> None:
    """Set what holds for every property test; no deadline, since the machine may be busy."""
    everyday = PROFILE == "repeatable"
    settings.register_profile(
        PROFILE, deadline=None, max_examples=scaled(USUAL), derandomize=everyday
    )
    settings.load_profile(PROFILE)

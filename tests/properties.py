"""How many cases the property tests try.

Each property names the number of cases of a thorough look. The everyday run tries a sixteenth of
them, always the same; `HYPOTHESIS_PROFILE=thorough pytest` tries all, and runs the tests that are
not for every day; `HYPOTHESIS_PROFILE=long pytest` tries ten times the number, new ones each time.
`python -m benchmarks.campaign properties` tries as many of each as it is told.
"""

from __future__ import annotations

import math
import os
from collections import Counter
from collections.abc import Callable
from functools import wraps
from typing import Any

from hypothesis import settings
from hypothesis.internal.conjecture import providers

PROFILE = os.environ.get("HYPOTHESIS_PROFILE", "repeatable")
SHARE = {"repeatable": 1 / 16, "thorough": 1.0, "long": 10.0, "campaign": 1.0}[PROFILE]
TOLD = int(os.environ.get("HYPOTHESIS_CASES", "0"))  # by a campaign
FEWEST = 5  # a property that names fewer cases tries all of them every day
USUAL = 60
_met: Counter[str] = Counter()
_noted: Counter[str] = Counter()


def scaled(number: int, fewest: int = FEWEST) -> int:
    """Return how many cases this run tries of a thorough look's number."""
    return TOLD or max(round(number * SHARE), min(number, fewest))


def cases(number: int, fewest: int = FEWEST, **more: Any) -> Callable[[Any], Any]:
    """Return the decorator of a property that a thorough look tries on a number of cases.

    One that takes long may try fewer than others every day, but never less than `fewest`.
    """
    return settings(max_examples=scaled(number, fewest), **more)


def note(path: str, met: object) -> None:
    """Count a case of the property that runs, and whether it took a path; see `takes`."""
    _noted[path] += 1
    _met[path] += bool(met)


def never_better(before: float, after: float) -> None:
    """Assert that a case is no better after a change, and note whether it is worse."""
    assert after >= before
    note("worse", after > before)


def takes(**least: float) -> Callable[[Callable[[], None]], Callable[[], None]]:
    """Return the decorator of a property that fails where too few of its cases took a path.

    A promise such as "never better" holds for nothing where nothing changes. Each path is named
    with the least share of the cases that `note` must find on it; never none. Every day only what
    all cases must do is held: a few cases may miss a path by chance.
    """
    held = {path: share for path, share in least.items() if share == 1 or SHARE >= 1}

    def watch(check: Callable[[], None]) -> Callable[[], None]:
        @wraps(check)
        def watched() -> None:
            _met.clear()
            _noted.clear()
            check()
            for path, share in held.items():
                assert _met[path] > 0, f"no case of {_noted[path]} was {path}"
                least_met = math.floor(share * _noted[path])
                assert _met[path] >= least_met, f"{_met[path]} of {_noted[path]} {path}"

        return watched

    return watch


def load_profile() -> None:
    """Set what holds for every property test; no deadline, since the machine may be busy."""
    same = PROFILE in ("repeatable", "thorough")
    if PROFILE == "repeatable":
        # Else the numbers of our source are drawn, too: looking for them takes seconds, and a
        # change of any module changes the cases of all.
        assert hasattr(providers, "is_local_module_file")
        providers.is_local_module_file = lambda path: False
    settings.register_profile(PROFILE, deadline=None, max_examples=scaled(USUAL), derandomize=same)
    settings.load_profile(PROFILE)

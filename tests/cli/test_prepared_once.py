"""Each step of the preparation runs once in a check: what it gives is passed on."""

from __future__ import annotations

import importlib
from collections import Counter
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any

import pytest

from tests.cli import forecasts
from tests.cli.conftest import Runner

STEPS = {  # the step → the modules that call it
    "trip_water": ("use_cases.check", "use_cases.recheck", "use_cases.record"),
    "as_forecast": ("assess.weighing",),
    "summarize_forecast": ("assess.weighing",),
    "calibrate": ("assess.weighing",),
    "build_conditions": ("assess.weighing",),
    "choose_limits": ("assess.weighing",),
    "learn_corrections": ("use_cases.record",),
    "load_rulebook": ("use_cases.check", "use_cases.recheck", "use_cases.record"),
}
JUDGED = ("as_forecast", "summarize_forecast", "calibrate", "build_conditions", "choose_limits")


@pytest.fixture
def calls(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    counted: Counter[str] = Counter()

    def counting(step: str, function: Callable[..., Any]) -> Callable[..., Any]:
        @wraps(function)
        def call(*arguments: Any, **named: Any) -> Any:
            counted[step] += 1
            return function(*arguments, **named)

        return call

    for step, modules in STEPS.items():
        for name in modules:
            module = importlib.import_module(f"safety_check.{name}")
            if hasattr(module, step):
                monkeypatch.setattr(module, step, counting(step, getattr(module, step)))
    return counted


def check(ready: Runner, folder: Path) -> None:
    done = ready("check", "pond", "--start", "2026-06-13T06:00", "--hours", 4, "--water-temp",
                 "74 F", "--forecast", forecasts.write(folder), "--as-of",
                 "2026-06-12T20:00")  # fmt: skip
    assert done.status == 0, done.out + done.err


def test_a_check_prepares_each_step_once(
    ready: Runner, tmp_path: Path, calls: Counter[str]
) -> None:
    check(ready, tmp_path)
    assert calls == dict.fromkeys(STEPS, 1)


def test_a_recheck_prepares_each_step_once(
    ready: Runner, tmp_path: Path, calls: Counter[str]
) -> None:
    check(ready, tmp_path)
    calls.clear()
    ready("recheck", "--offline", "--as-of", "2026-06-13T05:50")
    assert calls == dict.fromkeys(STEPS, 1)


def test_a_recheck_with_an_observation_judges_twice_and_prepares_once(
    ready: Runner, tmp_path: Path, calls: Counter[str]
) -> None:
    # What is seen raises the forecasts, so the verdict without it is a second judgement.
    check(ready, tmp_path)
    calls.clear()
    ready("recheck", "--offline", "--as-of", "2026-06-13T05:50", "--wind", "8 mph")
    assert calls == {step: 2 if step in JUDGED else 1 for step in STEPS}

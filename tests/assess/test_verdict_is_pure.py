"""A verdict and an outlook need their arguments alone: no file, no clock."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from safety_check.assess import verdict
from safety_check.assess.outlook import build_outlook
from safety_check.assess.verdict import judge
from safety_check.conditions.case import Case
from safety_check.conditions.drift import load_leeways
from safety_check.conditions.error_models import load_error_models
from safety_check.model.weather import Briefing
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.limits import (
    load_default_limits,
    load_grades,
    load_greatest_reduction,
    load_reductions,
    load_swim,
)
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from tests import scenes

LOADERS = (
    *(load_default_limits, load_reductions, load_greatest_reduction),
    *(load_grades, load_swim, load_leeways, load_error_models),
)
FILES = ("open", "os.listdir", "os.scandir", "sqlite3.connect", "socket.connect")
_watching: list[list[str]] = []


def _note(event: str, arguments: tuple[Any, ...]) -> None:
    if _watching and event in FILES:
        _watching[-1].append(f"{event} {arguments[0]}")


sys.addaudithook(_note)


@contextmanager
def watched() -> Iterator[list[str]]:
    """Collect every file or connection that is opened meanwhile."""
    opened: list[str] = []
    _watching.append(opened)
    try:
        yield opened
    finally:
        _watching.remove(opened)


def case() -> Case:
    briefing = Briefing(scenes.NOW, (scenes.forecast({}, {"wind_speed": 7.0}),))
    own = scenes.settings(dressing=True)
    return Case(scenes.plan(), briefing, scenes.POND, own, load_trust())


def test_nothing_is_read_but_the_arguments() -> None:
    given, rulebook = case(), load_rulebook()
    judge(given, rulebook)  # the process reads modules and time zones once
    for loader in LOADERS:
        loader.cache_clear()
    with watched() as opened:
        judge(given, rulebook)
        build_outlook(given, 4, rulebook)
    assert opened == []


def test_no_config_is_loaded_and_no_clock_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    given, rulebook = case(), load_rulebook()

    def refuse(*arguments: object) -> None:
        raise AssertionError(f"read {arguments}")

    class NoClock(verdict.datetime):  # type: ignore[name-defined,misc]
        @classmethod
        def now(cls, tz: object = None) -> None:  # type: ignore[override]
            raise AssertionError("the clock was read")

    monkeypatch.setattr(verdict, "datetime", NoClock)
    monkeypatch.setattr(toml_file, "read", refuse)
    assert judge(given, rulebook).at == scenes.NOW


def test_the_watch_sees_a_file_that_is_read() -> None:
    with watched() as opened:
        shipped_file("limits.toml").read_bytes()
    assert len(opened) == 1

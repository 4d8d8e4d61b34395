"""The shipped limits, and what reduces them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cache
from typing import Literal

import numpy as np
from pydantic import Field, model_validator

from safety_check.arrays import FloatArray
from safety_check.model.verdict import Limit
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict


class LimitEntry(Sourced):
    """One [[limit]] of limits.toml."""

    quantity: str
    applies_to: list[str]
    unit: str
    worse: Literal["higher", "lower"]
    marginal: float | None = None
    no_go: float | None = None

    @model_validator(mode="after")
    def _ordered(self) -> LimitEntry:
        require_order(self.marginal, self.no_go, self.worse)
        return self


class ReductionEntry(Sourced):
    """One [[reduction]] of limits.toml: what reduces the wind limits, and by how much."""

    when: str
    above: float | None = None
    below: float | None = None
    unit: str
    beaufort: float = Field(ge=0)


class GreatestReduction(Sourced):
    """[greatest_reduction] of limits.toml: the most that all together lower a limit."""

    beaufort: float = Field(ge=0)


class GradeEntry(Sourced):
    """One [[grade]] of limits.toml: the values between which a danger grows to its full size."""

    of: str
    by: str
    none: float
    full: float
    least: float = Field(default=0.0, ge=0, lt=1)
    unit: str

    def share(self, fact: FloatArray) -> FloatArray:
        """Return how much of a danger counts [1]; NaN where the fact is NaN."""
        grown = np.clip((fact - self.none) / (self.full - self.none), 0.0, 1.0)
        return self.least + (1.0 - self.least) * grown


class PracticeEntry(Sourced):
    """One [[practice]] of limits.toml: what people commonly use, only to compare with."""

    quantity: str
    applies_to: list[str]
    unit: str
    marginal: float | None = None
    no_go: float | None = None


class SwimTable(Sourced):
    """[[swim]] of limits.toml: how a person in the water moves, and what help is there."""

    speed: float = Field(gt=0)
    lost_to_wind: float = Field(ge=0)
    drift: float = Field(gt=0)
    reach_in_company: float = Field(ge=1)
    without_practice: float = Field(default=1.0, ge=1)
    without_call: float = Field(default=1.0, ge=1)


class LimitsFile(Strict):
    """limits.toml."""

    limit: list[LimitEntry]
    reduction: list[ReductionEntry]
    greatest_reduction: GreatestReduction
    grade: list[GradeEntry]
    swim: list[SwimTable]
    practice: list[PracticeEntry] = Field(default_factory=list)


def require_order(marginal: float | None, no_go: float | None, worse: str) -> None:
    """Raise ValueError where the no-go bound would be reached before the marginal one."""
    if marginal is None or no_go is None:
        return
    if (no_go < marginal) if worse == "higher" else (no_go > marginal):
        side = "below" if worse == "higher" else "above"
        raise ValueError(
            f"the no-go bound {no_go:g} lies {side} the caution bound {marginal:g}, and a no-go"
            " cannot be reached before the caution: change one of them"
        )


@cache
def _limits_file() -> LimitsFile:
    return toml_file.read(shipped_file("limits.toml"), LimitsFile)


@cache
def load_default_limits() -> dict[tuple[str, str], Limit]:
    """Return the newest shipped limit for each (quantity, applies_to)."""
    return newest_limits(_limits_file().limit)


def newest_limits(entries: Sequence[LimitEntry]) -> dict[tuple[str, str], Limit]:
    """Return the limit with the latest `since` for each (quantity, applies_to)."""
    return {
        (entry.quantity, whom): Limit(**{**entry.model_dump(), "applies_to": whom})
        for entry in sorted(entries, key=lambda entry: entry.since)
        for whom in entry.applies_to
    }


@cache
def load_reductions() -> tuple[ReductionEntry, ...]:
    """Return what reduces the wind limits today."""
    return tuple(newest_reductions(_limits_file().reduction))


def newest_reductions(entries: Sequence[ReductionEntry]) -> list[ReductionEntry]:
    """Return the entries with the latest `since` of each cause, if they reduce anything."""
    latest: dict[str, date] = {}
    for entry in entries:
        latest[entry.when] = max(entry.since, latest.get(entry.when, entry.since))
    return [entry for entry in entries if entry.since == latest[entry.when] and entry.beaufort > 0]


@cache
def load_grades() -> dict[tuple[str, str], GradeEntry]:
    """Return the newest grade of each danger by each quantity."""
    entries = sorted(_limits_file().grade, key=lambda entry: entry.since)
    return {(entry.of, entry.by): entry for entry in entries}


@cache
def load_practice() -> dict[tuple[str, str], PracticeEntry]:
    """Return the newest practice value for each (quantity, applies_to)."""
    entries = sorted(_limits_file().practice, key=lambda entry: entry.since)
    return {(entry.quantity, whom): entry for entry in entries for whom in entry.applies_to}


@cache
def load_swim() -> SwimTable:
    """Return how a person in the water moves."""
    return sorted(_limits_file().swim, key=lambda entry: entry.since)[-1]


@cache
def load_greatest_reduction() -> float:
    """Return the greatest total reduction of a wind limit, in Beaufort numbers."""
    return _limits_file().greatest_reduction.beaufort

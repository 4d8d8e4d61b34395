"""Forecast winds shifted and widened by how such forecasts err, anywhere and at this launch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date
from functools import cache
from typing import Literal

import numpy as np
from pydantic import Field

from safety_check.arrays import BoolArray, FloatArray, TimeArray
from safety_check.conditions.ensemble import (
    GUST,
    WIND,
    Ensemble,
    Trust,
    as_forecast,
    raise_to_observed,
)
from safety_check.model.weather import Briefing
from safety_check.physics.ensemble_calibration import (
    ErrorModel,
    LocalCorrection,
    Shrinkage,
    by_lead,
    calibrate_members,
    copies,
    never_better,
)
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Basis
from safety_check.settings.toml_file import Strict
from safety_check.settings.user_file import OddsTable
from safety_check.units import Preferences, show

WINDS = (WIND, GUST)


@dataclass(frozen=True)
class Calibration:
    """How forecasts of wind are shifted and widened before they are weighed.

    Parameters
    ----------
    dressings
        Wind and gusts → how far such forecasts err anywhere, by lead time.
    most_weight
        Of a member; a heavier one is split, or the tail of the odds is not seen. [1]
    corrections
        Wind and gusts → what past days at this launch add; absent where they are too few.
    may_improve
        Whether a correction may lower and narrow, so that a verdict may turn out better.
    lone_runs
        Whether models of a single run are widened too, without any past days.
    """

    dressings: Mapping[str, ErrorModel]
    most_weight: float
    corrections: Mapping[str, LocalCorrection] = field(default_factory=dict)
    may_improve: bool = False
    lone_runs: bool = False


def calibrate(
    briefing: Briefing, time: TimeArray, trust: Trust, widening: Calibration | None
) -> Ensemble:
    """Return every member of every forecast, widened, and tightened by what is seen.

    Parameters
    ----------
    briefing, time, trust
        As for `futures`.
    widening
        None leaves the forecasts as they came.

    Notes
    -----
    Each value is the worse of the raw and the widened one, both tightened: neither widening
    nor a sighting makes anything better. Only where the user allows a local correction to
    improve, the corrected value stands alone.
    """
    raw = as_forecast(briefing, time, trust)
    if widening is None:
        return raise_to_observed(raw, briefing, trust)
    told = _spread(raw, widening)
    whole = _split(raw, widening.most_weight, told)
    wider = _dressed(whole, widening, told)
    plain, wide = (raise_to_observed(each, briefing, trust) for each in (whole, wider))
    alone = widening.corrections if widening.may_improve else {}
    worse = {
        name: wide.quantities[name]
        if name in alone
        else never_better(plain.quantities[name], wide.quantities[name])
        for name in WINDS
    }
    return replace(wide, quantities={**wide.quantities, **worse})


def _spread(members: Ensemble, widening: Calibration) -> frozenset[str]:
    """Return the models whose spread is told: by many runs, or by past days at this launch.

    A lone run tells none; the limits' own margin stands for how it errs.
    """
    if widening.corrections or widening.lone_runs:
        return frozenset(members.models)
    return frozenset(each for each in members.models if members.models.count(each) > 1)


def _split(members: Ensemble, most_weight: float, models: frozenset[str]) -> Ensemble:
    """Return the members, the heavy ones of some models as several equal ones."""
    heavy = np.array([each in models for each in members.models])
    which, _ = copies(np.where(heavy, members.weights, 0.0), most_weight)
    weights = (members.weights / np.bincount(which))[which]
    return replace(
        members,
        models=tuple(members.models[each] for each in which),
        weights=weights,
        quantities={name: values[which] for name, values in members.quantities.items()},
        lacking={name: lacks[which] for name, lacks in members.lacking.items()},
        stale=members.stale[which],
    )


def _dressed(members: Ensemble, widening: Calibration, models: frozenset[str]) -> Ensemble:
    """Return the members dressed; where that is not known, as they were and marked so.

    Each model is dressed by itself: what one of them says more can't narrow the others, and
    how far the models differ stays as it is.
    """
    quantities, complete = dict(members.quantities), members.complete
    of = np.array(members.models)
    for name, dressing in widening.dressings.items():
        values = quantities[name].copy()
        for model in dict.fromkeys(of[~members.lacking[name]].tolist()):
            if model not in models:
                continue
            raw = values[of == model]
            wide = calibrate_members(
                raw,
                members.weights[of == model],
                members.lead_hours,
                dressing,
                widening.corrections.get(name),
                widening.may_improve,
            )
            values[of == model] = np.where(np.isnan(wide), raw, wide)
            complete = complete & ~_torn(raw, wide)
        quantities[name] = values
    return replace(members, quantities=quantities, complete=complete)


def _torn(raw: FloatArray, wide: FloatArray) -> BoolArray:
    """Return the hours of which some members speak and yet the odds can't be told."""
    return np.asarray(np.any(~np.isnan(raw) & np.isnan(wide), axis=0))


# -- in words ------------------------------------------------------------------------------------

TAKEN_AS_THEY_CAME = "The forecasts' widening is switched off in your settings (odds.dressing)."
DRESSED = (
    "Where a model runs more than once, its wind and gusts are widened by how far such forecasts"
    " err; of each, the worse of the raw and the widened value counts."
)


def describe_calibration(
    wider: Calibration | None, days: Mapping[str, int], lead_hours: float, prefer: Preferences
) -> tuple[str, ...]:
    """Return what was done to the forecasts, and what past days at the launch added.

    Parameters
    ----------
    wider
        None where nothing was done.
    days
        Wind and gusts → from how many days a correction was learnt.
    lead_hours
        How far ahead the forecasts look. [h]
    prefer
        The user's units.
    """
    if wider is None:
        return (TAKEN_AS_THEY_CAME,)
    local = [
        _local(name, each, days[name], np.array(lead_hours), wider.may_improve, prefer)
        for name, each in wider.corrections.items()
    ]
    return (DRESSED, *local)


def _local(
    name: str,
    correction: LocalCorrection,
    days: int,
    lead_hours: FloatArray,
    may_improve: bool,
    prefer: Preferences,
) -> str:
    bias, spread = (
        float(by_lead(lead_hours, correction.lead_hours, each))
        for each in (correction.bias, correction.spread)
    )
    what = "gusts" if name == GUST else "wind"
    side = "above" if bias >= 0 else "below"
    came = f"On {days} days at this launch {what} came {show(abs(bias), 'speed', prefer.wind)}"
    said = f"{came} {side} the widened forecast, and its error was {spread:.1f} times the usual"
    if bias < 0 or spread < 1:
        used = "used" if may_improve else "not used (odds.may_improve)"
        return f"{said}: what makes it worse is added, what makes it better is {used}."
    return f"{said}: both are added."


# -- config ------------------------------------------------------------------------------------


class Sourced(Strict):
    """What every table of odds.toml says of itself."""

    basis: Basis | Literal["fitted"]
    source: str
    since: date
    checked: date


class Members(Sourced):
    """[members] of odds.toml."""

    most_weight: float = Field(gt=0, le=1)


class AtLead(Sourced):
    """One [[dressing]] of odds.toml: a quantity's coefficients at one lead time."""

    quantity: Literal["wind_speed", "wind_speed_of_gust"]
    lead_hours: float = Field(ge=0)
    shift: float
    slope: float = Field(ge=0)
    floor: float = Field(gt=0)
    relative: float = Field(ge=0)
    spread: float = Field(ge=0)


class Local(Sourced):
    """[local] of odds.toml: how far a few pairs are trusted."""

    least_pairs: int
    bias_pairs: float
    spread_pairs: float
    tilt_squares: float
    reach_hours: float
    fade_days: float


class OddsFile(Strict):
    """odds.toml."""

    members: Members
    dressing: list[AtLead]
    local: Local


@cache
def shipped_odds() -> OddsFile:
    """Return the shipped config of the odds."""
    return toml_file.read(shipped_file("odds.toml"), OddsFile)


@cache
def load_error_models() -> Mapping[str, ErrorModel]:
    """Return wind and gusts → how far such forecasts err anywhere."""
    return {name: _dressing(name) for name in WINDS}


def _dressing(name: str) -> ErrorModel:
    rows = sorted(
        (each for each in shipped_odds().dressing if each.quantity == name),
        key=lambda each: each.lead_hours,
    )
    return ErrorModel(
        **{
            each.name: np.array([float(getattr(row, each.name)) for row in rows])
            for each in fields(ErrorModel)
        }
    )


def load_shrinkage() -> Shrinkage:
    """Return how far a few pairs are trusted."""
    local = shipped_odds().local
    return Shrinkage(**{each.name: getattr(local, each.name) for each in fields(Shrinkage)})


def choose_calibration(
    odds: OddsTable, corrections: Mapping[str, LocalCorrection]
) -> Calibration | None:
    """Return the widening as the user's settings and past days at the launch have it.

    Parameters
    ----------
    odds
        Without `dressing` nothing is widened and nothing corrected.
    corrections
        From past days; left out where the user switched them off.
    """
    if not odds.dressing:
        return None
    most = min(shipped_odds().members.most_weight, odds.tolerance / 2)
    local = corrections if odds.local_correction else {}
    return Calibration(load_error_models(), most, local, odds.may_improve, odds.lone_runs)

"""Shift and widen forecast winds by the usual forecast errors, in general and at this launch."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from safety_check.arrays import BoolArray, FloatArray
from safety_check.conditions.ensemble import (
    GUST,
    Ensemble,
    Trust,
    raise_to_observed,
)
from safety_check.conditions.error_models import WINDS
from safety_check.model.weather import Briefing, Observation
from safety_check.physics.ensemble_calibration import (
    ErrorModel,
    LocalCorrection,
    by_lead,
    calibrate_members,
    never_better,
    split_heavy_members,
)
from safety_check.settings.user_file import OddsTable
from safety_check.units import Preferences, show


@dataclass(frozen=True)
class Calibration:
    """How forecasts of wind are shifted and widened before they are weighed.

    Parameters
    ----------
    error_models
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

    error_models: Mapping[str, ErrorModel]
    most_weight: float
    corrections: Mapping[str, LocalCorrection] = field(default_factory=dict)
    may_improve: bool = False
    lone_runs: bool = False


def calibrate(
    raw: Ensemble,
    briefing: Briefing,
    trust: Trust,
    calibration: Calibration | None,
    missed: Sequence[Observation] = (),
) -> Ensemble:
    """Return all members of all forecasts, calibrated and raised to the observations.

    Parameters
    ----------
    raw
        The forecasts as they came.
    briefing, trust
        The observations, and how far and how long they count.
    calibration
        None leaves the forecasts as they came.
    missed
        Observations that the forecasts missed, as for `raise_to_observed`.

    Notes
    -----
    Each value is the worse of the raw and the calibrated one, both raised to what is
    observed: neither calibration nor an observation makes anything better. Only where the
    user allows a local correction to improve, the corrected value is used alone.
    """
    if calibration is None:
        return raise_to_observed(raw, briefing, trust, missed)
    with_spread = _models_with_spread(raw, calibration)
    whole = _split(raw, calibration.most_weight, with_spread)
    wider = _widened(whole, calibration, with_spread)
    plain, wide = (
        raise_to_observed(members, briefing, trust, missed) for members in (whole, wider)
    )
    alone = calibration.corrections if calibration.may_improve else {}
    worse = {
        name: wide.quantities[name]
        if name in alone
        else never_better(plain.quantities[name], wide.quantities[name])
        for name in WINDS
    }
    return replace(wide, quantities={**wide.quantities, **worse})


def _models_with_spread(members: Ensemble, calibration: Calibration) -> frozenset[str]:
    """Return the models whose spread is known, from many runs or from past days at this launch.

    A lone run tells none; the limits' own margin stands for how it errs.
    """
    if calibration.corrections or calibration.lone_runs:
        return frozenset(members.models)
    return frozenset(model for model in members.models if members.models.count(model) > 1)


def _split(members: Ensemble, most_weight: float, models: frozenset[str]) -> Ensemble:
    """Return the members, the heavy ones of some models as several equal ones."""
    heavy = np.array([model in models for model in members.models])
    which, _ = split_heavy_members(np.where(heavy, members.weights, 0.0), most_weight)
    weights = (members.weights / np.bincount(which))[which]
    return replace(
        members,
        models=tuple(members.models[index] for index in which),
        weights=weights,
        quantities={name: values[which] for name, values in members.quantities.items()},
        lacking={name: lacks[which] for name, lacks in members.lacking.items()},
        stale=members.stale[which],
    )


def _widened(members: Ensemble, calibration: Calibration, models: frozenset[str]) -> Ensemble:
    """Return the members widened; where that is not known, as they were and marked so.

    Each model is widened by itself: what one of them says more can't narrow the others, and
    how far the models differ stays as it is.
    """
    quantities, complete = dict(members.quantities), members.complete
    of = np.array(members.models)
    for name, error_model in calibration.error_models.items():
        values = quantities[name].copy()
        for model in dict.fromkeys(of[~members.lacking[name]].tolist()):
            if model not in models:
                continue
            raw = values[of == model]
            wide = calibrate_members(
                raw,
                members.weights[of == model],
                members.lead_hours,
                error_model,
                calibration.corrections.get(name),
                calibration.may_improve,
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
    " err; we use the worse of the raw and the widened value."
)


def describe_calibration(
    wider: Calibration | None, days: Mapping[str, int], lead_hours: float, prefer: Preferences
) -> tuple[str, ...]:
    """Describe the calibration of the forecasts, and what past days at the launch added.

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
        _local(name, correction, days[name], np.array(lead_hours), wider.may_improve, prefer)
        for name, correction in wider.corrections.items()
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
        float(by_lead(lead_hours, correction.lead_hours, values))
        for values in (correction.bias, correction.spread)
    )
    what = "gusts" if name == GUST else "wind"
    side = "above" if bias >= 0 else "below"
    came = f"On {days} days at this launch {what} came {show(abs(bias), 'speed', prefer.wind)}"
    said = f"{came} {side} the widened forecast, and its error was {spread:.1f} times the usual"
    if bias < 0 or spread < 1:
        used = "used" if may_improve else "not used (odds.may_improve)"
        return f"{said}: what makes it worse is added, what makes it better is {used}."
    return f"{said}: both are added."


def choose_calibration(
    odds: OddsTable,
    corrections: Mapping[str, LocalCorrection],
    error_models: Mapping[str, ErrorModel],
    most_weight: float,
) -> Calibration | None:
    """Return the calibration that the user's settings and past days at the launch ask for.

    Parameters
    ----------
    odds
        Without `dressing` nothing is widened and nothing corrected.
    corrections
        From past days; left out where the user switched them off.
    error_models
        Wind and gusts → how far their forecasts err anywhere.
    most_weight
        The greatest weight of one member. [1]
    """
    if not odds.dressing:
        return None
    most = min(most_weight, odds.tolerance / 2)
    local = corrections if odds.local_correction else {}
    return Calibration(error_models, most, local, odds.may_improve, odds.lone_runs)

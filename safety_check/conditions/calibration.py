"""Shift and widen forecast winds by the usual forecast errors, in general and at this launch."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray
from safety_check.conditions.ensemble import (
    GUST,
    Ensemble,
    raise_to_observed,
)
from safety_check.conditions.error_models import ErrorModels
from safety_check.conditions.trust import Trust
from safety_check.model.weather import Briefing, Observation
from safety_check.physics.ensemble_calibration import (
    LocalCorrection,
    by_lead,
    split_into_parts,
    widened_value,
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
    share
        The share of the forecasts that decides; each run is split into parts so that the share
        is met exactly. [1]
    corrections
        Wind and gusts → what past days at this launch add; absent where they are too few.
    may_improve
        Whether a correction may lower and narrow, so that a verdict may turn out better.
    """

    error_models: Mapping[str, ErrorModels]
    share: float
    corrections: Mapping[str, LocalCorrection] = field(default_factory=dict)
    may_improve: bool = False


def calibrate(
    raw: Ensemble,
    briefing: Briefing,
    trust: Trust,
    calibration: Calibration | None,
    missed: Sequence[Observation] = (),
) -> Ensemble:
    """Return every run of every forecast, widened, and raised to the observations.

    Parameters
    ----------
    raw
        The forecasts as received.
    briefing, trust
        The observations, and how far and how long they count.
    calibration
        None leaves the forecasts as received.
    missed
        Observations that the forecasts missed, as for `raise_to_observed`.

    Notes
    -----
    Each run becomes a few members, each a quantile of the winds that follow such a run. A member
    depends on its own run and hour only, and never falls where that run rises, so more wind
    in any run at any hour never lowers the share of the members that pass a limit. A member
    keeps its quantile in wind and gusts and through all hours, because a run that is wrong about
    one is wrong about the other, and for longer than an hour.
    """
    if calibration is None:
        return raise_to_observed(raw, briefing, trust, missed)
    return raise_to_observed(widen(raw, calibration), briefing, trust, missed)


def widen(raw: Ensemble, calibration: Calibration) -> Ensemble:
    """Return the runs in parts and widened; unchanged and marked where the error is not known."""
    run, level, weights = _parts(raw, calibration.share)
    whole = replace(
        raw,
        models=tuple(raw.models[member] for member in run),
        weights=weights,
        quantities={name: values[run] for name, values in raw.quantities.items()},
        lacking={name: lacks[run] for name, lacks in raw.lacking.items()},
        stale=raw.stale[run],
    )
    lone = _single_runs(raw.models)[run]
    quantities, complete = dict(whole.quantities), whole.complete
    for name, models in calibration.error_models.items():
        values = quantities[name]
        wide = np.empty_like(values)
        for chosen, error_model in ((lone, models.one), (~lone, models.several)):
            wide[chosen] = widened_value(
                values[chosen],
                level[chosen],
                raw.lead_hours,
                error_model,
                calibration.corrections.get(name),
                calibration.may_improve,
            )
        complete = complete & ~_torn(whole, name, wide)
        quantities[name] = np.where(np.isnan(wide), values, wide)
    return replace(whole, quantities=quantities, complete=complete)


def _parts(members: Ensemble, share: float) -> tuple[IntArray, FloatArray, FloatArray]:
    """Return for each part the run that it belongs to, its level and its weight."""
    runs = Counter(members.models)
    split = {model: split_into_parts(share, count) for model, count in runs.items()}
    parts = [split[model] for model in members.models]
    run = np.repeat(np.arange(len(parts)), [len(part.level) for part in parts])
    weight = np.concatenate([part.weight for part in parts])
    return run, np.concatenate([part.level for part in parts]), members.weights[run] * weight


def _single_runs(models: Sequence[str]) -> BoolArray:
    runs = Counter(models)
    return np.array([runs[model] == 1 for model in models])


def _torn(members: Ensemble, name: str, wide: FloatArray) -> BoolArray:
    """Return the instants where a model gives a value, but its odds cannot be computed.

    That is so where one of its runs gives no value, or where the error at that lead time is not
    known.
    """
    torn: BoolArray = np.zeros(len(members.time), dtype=bool)
    of = np.where(members.lacking[name], "", np.array(members.models))
    for model in dict.fromkeys(of[of != ""].tolist()):
        raw = members.quantities[name][of == model]
        torn |= ~np.isnan(raw).all(axis=0) & np.isnan(wide[of == model]).any(axis=0)
    return torn


# -- in words ------------------------------------------------------------------------------------

SWITCHED_OFF = "The forecasts' widening is switched off in your settings (odds.dressing)."
WEIGHED_AS_FORECAST = (
    "No model runs more than once here, so the winds are weighed as forecast, without the usual"
    " error of a forecast (odds.lone_runs includes it)."
)
WIDENED = (
    "The wind and gusts of each forecast are shifted and widened by how far such forecasts err."
)


def describe_calibration(
    wider: Calibration | None,
    odds: OddsTable,
    days: Mapping[str, int],
    lead_hours: float,
    prefer: Preferences,
) -> tuple[str, ...]:
    """Describe the calibration of the forecasts, and what past days at the launch added.

    Parameters
    ----------
    wider
        None where nothing was done.
    odds
        The user's settings.
    days
        Wind and gusts → from how many days a correction was learnt.
    lead_hours
        How far ahead the forecasts look. [h]
    prefer
        The user's units.
    """
    if wider is None:
        return (WEIGHED_AS_FORECAST if odds.dressing else SWITCHED_OFF,)
    local = [
        _local(name, correction, days[name], np.array(lead_hours), wider.may_improve, prefer)
        for name, correction in wider.corrections.items()
    ]
    return (WIDENED, *local)


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
    came = f"On {days} days at this launch {what} came {show(abs(bias), 'speed', prefer.pace)}"
    found = f"{came} {side} the widened forecast, and its error was {spread:.1f} times the usual"
    if bias < 0 or spread < 1:
        used = "used" if may_improve else "not used (odds.may_improve)"
        return f"{found}: what makes a verdict worse is added, what makes it better is {used}."
    return f"{found}: both are added."


def tells_odds(
    models: Sequence[str], odds: OddsTable, corrections: Mapping[str, LocalCorrection]
) -> bool:
    """Return whether the forecasts, or past days at the launch, show how likely a wind is.

    Single runs alone do not. They are weighed as received, and the verdict says so:
    docs/odds.md tells what that misses, and what widening them would refuse.
    """
    several = not _single_runs(models).all()
    learned = bool(corrections) and odds.local_correction
    return odds.dressing and (several or learned or odds.lone_runs)


def choose_calibration(
    odds: OddsTable,
    corrections: Mapping[str, LocalCorrection],
    error_models: Mapping[str, ErrorModels],
    share: float,
) -> Calibration:
    """Return the calibration that the user's settings and past days at the launch ask for.

    Parameters
    ----------
    odds
        The user's settings.
    corrections
        From past days; left out where the user switched them off.
    error_models
        Wind and gusts → how far their forecasts err anywhere.
    share
        The share of the forecasts that decides on widened winds. [1]
    """
    local = corrections if odds.local_correction else {}
    return Calibration(error_models, share, local, odds.may_improve)

"""All forecast members on one time axis, raised to the observations."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, TimeArray
from safety_check.conditions.trust import Trust
from safety_check.model.moving_water import WaterFlow
from safety_check.model.weather import Briefing, Forecast, Observation
from safety_check.physics.odds import model_weights

HOUR = np.timedelta64(3600, "s")
SeaLaw = Callable[[FloatArray, FloatArray, FloatArray, FloatArray, float], FloatArray]
"""The height of the sea by wind speed and direction, bearings and lengths of radials, and depth."""
NOTHING: frozenset[str] = frozenset()
QUANTITIES = (
    "wind_speed",
    "wind_speed_of_gust",
    "wind_from_direction",
    "air_temperature",
    "relative_humidity",
    "precipitation_amount",
    "visibility_in_air",
    "weather_code",
    "atmosphere_convective_available_potential_energy",
    "sea_surface_wave_significant_height",
    "air_pressure_at_mean_sea_level",
    "probability_of_thunder",
)


@dataclass(frozen=True)
class ObservedExcess:
    """An observation above the forecast, and how long it counts afterwards.

    Parameters
    ----------
    time
        When, UTC.
    value
        In SI units.
    fades_over
        After how long it no longer counts. [s]
    """

    time: np.datetime64
    value: float
    fades_over: float

    def weight(self, time: TimeArray) -> FloatArray:
        """Return its weight at each instant: 1 in its own hour, then falling evenly."""
        after = (time - self.time) / np.timedelta64(1, "s")
        fading: FloatArray = np.clip(1 - after / self.fades_over, 0.0, 1.0)
        return np.where(after >= -HOUR / np.timedelta64(1, "s"), fading, 0.0)


@dataclass(frozen=True)
class Ensemble:
    """All members on one axis of instants.

    Parameters
    ----------
    time : array (instant,)
        Whole hours UTC.
    models
        For each member, the model that it belongs to.
    weights : array (member,)
        Sum 1.
    quantities
        CF name → array (member, instant); NaN where it is not known. `AS_FORECAST` is the
        wind before any widening.
    lacking
        CF name → array (member,): True where the model never gives it.
    stale : array (member,)
        True where the forecast is out of date, so that it cannot support a GO.
    lead_hours : array (instant,)
        From the issue of the oldest forecast, 0 before it [h]; NaN without any.
    complete : array (instant,)
        False where some members give a wind and others that should do not, so that the odds
        cannot be computed.
    seen
        CF name → observations of a quantity that is computed from these on the water.
    local
        The user's rule for the place → array (member, instant): the wind that it adds. [m s⁻¹]
    flow
        How the water moves; None on still water.
    law
        A bound of the sea to count instead of the sea; None counts the sea itself.
    """

    time: TimeArray
    models: tuple[str, ...]
    weights: FloatArray
    quantities: Mapping[str, FloatArray]
    lacking: Mapping[str, BoolArray]
    stale: BoolArray
    lead_hours: FloatArray
    complete: BoolArray
    seen: Mapping[str, tuple[ObservedExcess, ...]] = field(default_factory=dict)
    local: Mapping[str, FloatArray] = field(default_factory=dict)
    flow: WaterFlow | None = None
    law: SeaLaw | None = None


def as_forecast(briefing: Briefing, time: TimeArray, trust: Trust) -> Ensemble:
    """Return every member of every forecast on one axis, as received.

    An out-of-date forecast keeps its values: they can cause a NO-GO but never a GO. Without any
    forecast there is one member whose values are all unknown.
    """
    models = [model for forecast in briefing.forecasts for model in forecast.models] or [
        "no forecast"
    ]
    quantities = {name: _rows(briefing, name, time) for name in QUANTITIES}
    lacks = [
        _lacks(forecast, model, trust)
        for forecast in briefing.forecasts
        for model in forecast.models
    ]
    lacking = {name: np.array([name in one for one in lacks or [NOTHING]]) for name in QUANTITIES}
    for name, members in lacking.items():
        quantities[name][members] = np.nan
    quantities[AS_FORECAST] = quantities[WIND]
    old = [
        is_stale(forecast, briefing.at, trust)
        for forecast in briefing.forecasts
        for _ in forecast.models
    ]
    return Ensemble(
        time,
        tuple(models),
        model_weights(models, trust.votes),
        quantities,
        lacking,
        np.array(old or [True]),
        _lead_hours(briefing, time),
        np.ones(len(time), dtype=bool),
    )


def _lacks(forecast: Forecast, model: str, trust: Trust) -> frozenset[str]:
    """Return what a model of a forecast by design does not give."""
    by_service = trust.service_lacks.get(forecast.provenance.source, NOTHING)
    return trust.lacks.get(model, NOTHING) | by_service | frozenset(forecast.not_made)


def from_instant(members: Ensemble, first: int) -> Ensemble:
    """Return the members from one instant on, by its index."""
    return replace(
        members,
        time=members.time[first:],
        quantities={name: values[:, first:] for name, values in members.quantities.items()},
        lead_hours=members.lead_hours[first:],
        complete=members.complete[first:],
    )


def until_instant(members: Ensemble, last: int) -> Ensemble:
    """Return the members up to an instant, by its index, without it."""
    return replace(
        members,
        time=members.time[..., :last],
        quantities={name: values[..., :last] for name, values in members.quantities.items()},
        lead_hours=members.lead_hours[..., :last],
        complete=members.complete[..., :last],
    )


def _lead_hours(briefing: Briefing, time: TimeArray) -> FloatArray:
    made = [
        forecast.provenance.issued or forecast.provenance.fetched for forecast in briefing.forecasts
    ]
    if not made:
        return np.full(len(time), np.nan)
    oldest = np.datetime64(min(made).astimezone(UTC).replace(tzinfo=None), "s")
    return np.maximum((time - oldest) / HOUR, 0.0)


def is_stale(forecast: Forecast, at: datetime, trust: Trust) -> bool:
    """Return whether a forecast is older than its source allows, or its age is unknown."""
    until = good_until(forecast, trust)
    return until is None or not at <= until


def good_until(forecast: Forecast, trust: Trust) -> datetime | None:
    """Return until when a forecast counts; None where its source states no limit."""
    origin = forecast.provenance
    limit = trust.greatest_age.get(origin.source)
    if limit is not None and origin.recorded and not origin.url:
        limit = trust.file_age
    return None if limit is None else (origin.issued or origin.fetched) + timedelta(seconds=limit)


def _rows(briefing: Briefing, name: str, time: TimeArray) -> FloatArray:
    rows = [_aligned(forecast, name, time) for forecast in briefing.forecasts]
    return np.concatenate(rows) if rows else np.full((1, len(time)), np.nan)


def _aligned(forecast: Forecast, name: str, time: TimeArray) -> FloatArray:
    aligned = np.full((len(forecast.models), len(time)), np.nan)
    values = forecast.quantities.get(name)
    if values is None or not len(forecast.time):
        return aligned
    at = np.searchsorted(forecast.time, time).clip(0, len(forecast.time) - 1)
    found = forecast.time[at] == time
    aligned[:, found] = values[:, at[found]]
    return aligned


# -- observations only ever tighten ------------------------------------------------------------


AS_FORECAST = "wind_speed_as_forecast"
WIND, GUST, FROM = "wind_speed", "wind_speed_of_gust", "wind_from_direction"
SEA = "sea_surface_wave_significant_height"


def raise_to_observed(
    members: Ensemble, briefing: Briefing, trust: Trust, missed: Sequence[Observation] = ()
) -> Ensemble:
    """Return the members raised where observations are above the forecast.

    Parameters
    ----------
    members, briefing, trust
        The forecasts, the observations, and how far and how long these count.
    missed
        Observations that the forecasts missed: their excess lasts longer.

    Notes
    -----
    The excess of the observed over the forecast value is added to the instants after the
    observation, shrinking evenly to nothing; calmer than forecast changes nothing. Of
    several observations the highest result counts, so that more observed wind never gives
    less. Observed waves and wind directions are passed on, for the sea that is computed from
    these winds.
    """
    reach = {
        WIND: (trust.wind_distance, trust.wind_age),
        GUST: (trust.wind_distance, trust.wind_age),
        FROM: (trust.direction_distance, trust.wind_age),
        SEA: (trust.wave_distance, trust.wave_age),
    }
    seen = {
        name: tuple(
            _excess(observation, trust.wind_fades_over)
            for observation in usable_observations(briefing, name, *reach[name])
        )
        for name in reach
    }
    quantities = dict(members.quantities)
    for name in (WIND, GUST):
        lasting = (
            _excess(observation, trust.missed.fades_over)
            for observation in missed
            if observation.quantity == name
        )
        raised = [
            raise_by_observation(members.time, quantities[name], excess)
            for excess in (*seen[name], *lasting)
        ]
        quantities[name] = np.maximum.reduce([quantities[name], *raised])
    wind, gust = quantities[WIND], quantities[GUST]
    quantities[GUST] = np.where(gust < wind, wind, gust)
    return replace(members, quantities=quantities, seen={name: seen[name] for name in (FROM, SEA)})


def raise_by_observation(time: TimeArray, values: FloatArray, seen: ObservedExcess) -> FloatArray:
    """Return values raised to higher observations, never lowered.

    Parameters
    ----------
    time : array (instant,)
        UTC.
    values : array (member, instant)
        As forecast; where they are not known at that time, the observed value is the minimum.
    seen
        In the unit of the values.
    """
    nearest = int(np.argmin(np.abs(time - seen.time)))
    there, weight = values[:, [nearest]], seen.weight(time)
    excess = np.where(np.isnan(there), 0.0, np.maximum(seen.value - there, 0.0))
    least = np.where(np.isnan(there), seen.value * weight, -np.inf)
    higher: FloatArray = np.maximum(values + excess * weight, least)
    return higher


def _excess(observation: Observation, fades_over: float) -> ObservedExcess:
    moment = np.datetime64(observation.time.astimezone(UTC).replace(tzinfo=None), "s")
    return ObservedExcess(moment, observation.value, fades_over)


def usable_observations(
    briefing: Briefing, name: str, distance: float, age: float
) -> Sequence[Observation]:
    """Return the observations of a quantity that are near, new and not in doubt."""
    return [
        observation
        for observation in briefing.observations
        if observation.quantity == name
        and not observation.flagged
        and observation.distance is not None
        and observation.distance <= distance
        and -600 <= (briefing.at - observation.time).total_seconds() <= age
    ]

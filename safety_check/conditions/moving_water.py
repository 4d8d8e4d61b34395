"""The current in each hour of a trip, and what it does to the craft and to the waves.

Nothing here is imported for still water.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from safety_check.arrays import FloatArray, TimeArray, distinct, to_datetime64
from safety_check.conditions.ensemble import FROM, HOUR, WIND, Ensemble
from safety_check.conditions.hour_parts import (
    LEAD_IN,
    HourParts,
    max_of_parts,
    min_of_parts,
    whole_hours,
)
from safety_check.conditions.return_trip import ReturnTrip, worst_on_course
from safety_check.conditions.sea_met import waves_within, with_other_seas, worst_over_directions
from safety_check.model.moving_water import (
    CurrentKind,
    CurrentPrediction,
    CurrentSeries,
    MovingWater,
    TidePrediction,
    WaterFlow,
)
from safety_check.model.place import OpenWater
from safety_check.physics.current import current_on_course, ferry_angle, wind_over_water
from safety_check.physics.decay import old_sea_period
from safety_check.physics.growth_through_hours import sea_through_hours
from safety_check.physics.tide import height_of_tide, speed_of_current
from safety_check.physics.waves_on_current import WavesOnCurrent, waves_on_current
from safety_check.settings.moving_water import load_moving_water

if TYPE_CHECKING:
    from safety_check.conditions.conditions import Inputs

SPEED = "sea_water_speed"
SPEED_OF_HINT = "sea_water_speed_of_sea_model"
SHARE_OF_CRUISE = "current_share_of_cruise_speed"
WAVES = "wave_height_on_current"
STEEPNESS = "wave_steepness_ratio_on_current"
BREAKING = "waves_break_on_current"
AGAINST = "wave_height_against_current"
BREAKING_HEIGHT = "height_of_waves_that_break_on_current"
OVER_WATER = "wind_speed_over_water"
TIDE = "water_surface_height_above_reference_datum"

STEP = np.timedelta64(300, "s")
"""Between the instants of a series that is made from events."""

SAMPLES = 7
"""Instants in each hour at which the current is looked at: every ten minutes."""

SECOND = np.timedelta64(1, "s")
NOWHEN = CurrentSeries(
    np.array([], dtype="datetime64[s]"), np.array([], dtype=float), np.array([], dtype=float)
)


# -- the current through time -------------------------------------------------------------------


def add_flow(members: Ensemble, moving: MovingWater | None) -> Ensemble:
    """Return the members with the movement of the water; unchanged on still water."""
    flow = choose_flow(moving) if moving else None
    return members if flow is None else replace(members, flow=flow)


def choose_flow(moving: MovingWater) -> WaterFlow | None:
    """Return the current that counts on a water.

    What the user entered comes first, then the prediction of the nearest station; without such a
    prediction a sea model's current is a hint too. On tidal water without entry and prediction
    the current is unknown. None where nothing speaks of a current.
    """
    hint = moving.hints[0].series if moving.hints and not moving.currents else None
    tide = moving.tides[0] if moving.tides else None
    if moving.entered is not None:
        return WaterFlow(moving.entered, hint, tide)
    if moving.currents:
        return WaterFlow(predicted_series(moving.currents[0]), None, tide)
    return WaterFlow(NOWHEN, hint, tide) if moving.tidal or hint else None


def predicted_series(prediction: CurrentPrediction) -> CurrentSeries:
    """Return a predicted current every five minutes, from its first event to its last."""
    events = prediction.events
    if len(events) < 2:
        return NOWHEN
    times = np.array([to_datetime64(event.time) for event in events])
    signs = {CurrentKind.SLACK: 0.0, CurrentKind.FLOOD: 1.0, CurrentKind.EBB: -1.0}
    speeds = np.array([signs[event.kind] * event.speed for event in events])
    inside = np.arange(times[0], times[-1] + STEP, STEP)
    time = distinct(np.concatenate([inside[inside <= times[-1]], times]))
    speed = speed_of_current(_seconds(time), _seconds(times), speeds)
    towards = np.radians(np.where(speed < 0, prediction.ebb_towards, prediction.flood_towards))
    return CurrentSeries(time, np.abs(speed) * np.sin(towards), np.abs(speed) * np.cos(towards))


def current_at(series: CurrentSeries, time: TimeArray) -> FloatArray:
    """Return a current at some instants.

    Parameters
    ----------
    series
        The current.
    time : array of any shape
        UTC.

    Returns
    -------
    array, shape of time and 2
        Where the water flows to, east and north [m s⁻¹]; NaN where it is not known.
    """
    if not len(series.time):
        return np.full((*time.shape, 2), np.nan)
    at, known = _seconds(time), _seconds(series.time)
    parts = [
        np.interp(at, known, part, left=np.nan, right=np.nan)
        for part in (series.east, series.north)
    ]
    return np.stack(parts, axis=-1)


def through_hours(series: CurrentSeries, hours: TimeArray) -> FloatArray:
    """Return the current through whole hours, array (hour, sample, 2) [m s⁻¹]."""
    return through_parts(series, hours, whole_hours(len(hours)))


def through_parts(series: CurrentSeries, hours: TimeArray, parts: HourParts) -> FloatArray:
    """Return the current through parts of some hours, array (hour, sample, 2) [m s⁻¹]."""
    return current_at(series, _instants(hours, parts))


def _instants(hours: TimeArray, parts: HourParts) -> TimeArray:
    """Return instants through parts of some hours, (hour, sample)."""
    share = np.linspace(0.0, 1.0, SAMPLES)
    within = parts.first[:, None] + (parts.last - parts.first)[:, None] * share
    instants: TimeArray = hours[:, None] + np.rint(within * (HOUR / SECOND)).astype(
        "timedelta64[s]"
    )
    return instants


def _seconds(time: TimeArray) -> FloatArray:
    return time.astype("datetime64[s]").astype(np.int64).astype(float)


# -- what is weighed ----------------------------------------------------------------------------


@dataclass(frozen=True)
class SeaOnCurrent:
    """The sea that a current meets.

    Parameters
    ----------
    members
        The forecasts, with the wind over the water where that is stronger.
    height : array (member, instant)
        Significant, on still water: the highest of the wind's own sea, forecasts and
        observations. [m]
    own, period : arrays (member, instant)
        Height and peak period of the wind's own sea. [m, s]
    """

    members: Ensemble
    height: FloatArray
    own: FloatArray
    period: FloatArray


def sea_on_current(members: Ensemble, water: OpenWater) -> SeaOnCurrent:
    """Return the sea that the current meets, raised by the wind over the water."""
    over, found = _over_water(members), []
    wind, envelope = over.quantities[WIND], water.fetch.max(axis=1)

    def sea(direction: FloatArray) -> FloatArray:
        found.append(sea_through_hours(wind, direction, water.bearings, envelope, water.depth))
        return found[-1].height

    own = worst_over_directions(over, sea)
    return SeaOnCurrent(over, with_other_seas(over, own), own, found[0].period)


def _over_water(members: Ensemble) -> Ensemble:
    """Return the members with the wind relative to the water, nowhere weaker than the wind."""
    assert members.flow is not None
    wind, direction = members.quantities[WIND], members.quantities[FROM]
    east, north = np.moveaxis(current_at(members.flow.current, members.time), -1, 0)
    speed = np.hypot(east, north)
    over = wind_over_water(wind, direction, east, north)
    over = np.where(np.isfinite(direction), over, wind + speed)  # at worst from straight ahead
    stronger = np.where(np.isfinite(speed), np.maximum(over, wind), wind)
    return replace(members, quantities={**members.quantities, WIND: stronger})


def quantities(inputs: Inputs, parts: HourParts, within: FloatArray) -> dict[str, FloatArray]:
    """Return the quantities of moving water that the rules weigh.

    Parameters
    ----------
    inputs
        What the hours are formed from; on moving water.
    parts
        Which part of each hour is judged.
    within : array (hour,)
        How far from the launch one can be in each hour. [m]

    Notes
    -----
    In each part the strongest current counts, and for waves the one most against them. All are
    NaN where the current is not known.
    """
    sea, flow = inputs.on_current, inputs.members.flow
    assert sea is not None
    assert flow is not None
    hours = inputs.members.time[LEAD_IN:-1]
    current = through_parts(flow.current, hours, parts)
    speed = _strongest(current)
    found = {
        SPEED: speed,
        SHARE_OF_CRUISE: speed / inputs.plan.craft.cruise_speed,
        TIDE: _lowest_tide(flow.tide, hours, parts),
        **_waves(sea, inputs.water, parts, within, current),
    }
    if flow.hint is not None:  # it can only worsen: where it says nothing, it says 0
        hinted = _strongest(through_parts(flow.hint, hours, parts))
        found[SPEED_OF_HINT] = np.where(np.isnan(hinted), 0.0, hinted)
    return found


def _lowest_tide(tide: TidePrediction | None, hours: TimeArray, parts: HourParts) -> FloatArray:
    """Return the lowest tide in each part, (1, hour) [m]."""
    if tide is None:
        return np.full((1, len(hours)), np.nan)
    lowest: FloatArray = tide_at(tide, _instants(hours, parts)).min(axis=1)[None, :]
    return lowest


def _strongest(current: FloatArray) -> FloatArray:
    """Return the greatest speed in each hour, (1, hour) [m s⁻¹]."""
    strongest: FloatArray = np.hypot(current[..., 0], current[..., 1]).max(axis=1)[None, :]
    return strongest


def _waves(
    sea: SeaOnCurrent, water: OpenWater, parts: HourParts, within: FloatArray, current: FloatArray
) -> dict[str, FloatArray]:
    """Return what the current makes of the wind's own sea and of the whole one, the worse of both.

    The own sea is the shorter and steepens more. The whole sea, which may be a forecast or observed
    one, has the period of a fully grown sea of its height. Each is never lower for a higher sea.
    """
    whole = waves_within(sea.members, water, sea.height, parts, within)
    own = np.minimum(max_of_parts(sea.own, parts), whole)
    against = _along_waves(sea.members, current)
    met = [
        _met(waves_on_current(height, period, against, water.depth))
        for height, period in (
            (own, min_of_parts(sea.period, parts)),
            (whole, old_sea_period(whole**2)),
        )
    ]
    worse = {name: np.maximum(values, met[1][name]) for name, values in met[0].items()}
    return {**worse, OVER_WATER: max_of_parts(sea.members.quantities[WIND], parts)}


def _met(waves: WavesOnCurrent) -> dict[str, FloatArray]:
    return {
        WAVES: waves.height,
        AGAINST: waves.height * _counted(waves.steepness_ratio),
        BREAKING_HEIGHT: waves.height * waves.breaking,
        STEEPNESS: waves.steepness_ratio,
        BREAKING: waves.breaking,
    }


def _counted(steepness_ratio: FloatArray) -> FloatArray:
    """Return how far waves count as running into the current, from 0 to 1.

    Higher waves are longer, so a current steepens them less. A cut at one steepness would forget
    a sea that grows past it. Steepness is raised about by the inverse of the period; a height
    times this share therefore still grows with the sea.
    """
    full = load_moving_water().current.counts_as_against
    share: FloatArray = np.clip((steepness_ratio - 1) / (full - 1), 0.0, 1.0)
    return share


def _along_waves(members: Ensemble, current: FloatArray) -> FloatArray:
    """Return the current most against the waves in each hour, (member, hour) [m s⁻¹].

    Waves run with the wind of the start or of the end of the hour; where that is not known, the
    current counts as if it were straight against them.
    """
    direction = members.quantities[FROM][:, LEAD_IN:]
    against = -np.hypot(current[..., 0], current[..., 1])
    worst: FloatArray = np.zeros(())
    for towards in (direction[:, :-1] + 180, direction[:, 1:] + 180):
        met = current_on_course(current[..., 0], current[..., 1], towards[..., None])
        along = np.where(np.isfinite(towards)[..., None], met.along, against)
        worst = np.minimum(worst, along.min(axis=-1))
    return worst


# -- what informs -------------------------------------------------------------------------------


def first_against(
    series: CurrentSeries, course: float, start: np.datetime64, end: np.datetime64
) -> np.datetime64:
    """Return when a current first sets against a course.

    Parameters
    ----------
    series
        The current.
    course
        Of the way home. [deg true]
    start, end
        Where to look, UTC.

    Returns
    -------
    datetime64
        To five minutes; NaT where it never does, or where that is not known before it does.
    """
    time = np.arange(start, end + STEP, STEP).astype("datetime64[s]")
    current = current_at(series, time)
    along = current_on_course(current[..., 0], current[..., 1], np.asarray(course)).along
    against = np.flatnonzero(~(along >= -1e-9))
    if not against.size or np.isnan(along[against[0]]):
        return np.datetime64("NaT")
    first: np.datetime64 = time[against[0]]
    return first


def ferry_angles(way: ReturnTrip, through_water: float) -> FloatArray:
    """Return how far off the longest way home the bow must point, at worst.

    Parameters
    ----------
    way
        The way home, on moving water.
    through_water
        Speed of the craft through the water. [m s⁻¹]

    Returns
    -------
    array (hour + 1, leg)
        [deg]; infinite where the craft can't hold the course.
    """
    assert way.winds.current is not None
    met = worst_on_course(way.winds.current, way.longest.courses)
    return ferry_angle(np.asarray(through_water), met)


def tide_at(prediction: TidePrediction, time: TimeArray) -> FloatArray:
    """Return the height of the tide at some instants [m].

    NaN where it is not known, and between two high or two low waters: one event is missing there.
    """
    events = prediction.events
    if len(events) < 2:
        return np.full(time.shape, np.nan)
    times = np.array([to_datetime64(event.time) for event in events])
    heights = np.array([event.height for event in events])
    high = np.array([event.high for event in events])
    before = np.clip(np.searchsorted(times, time, side="right") - 1, 0, len(times) - 2)
    height = height_of_tide(_seconds(time), _seconds(times), heights)
    return np.where(high[before] != high[before + 1], height, np.nan)

"""Water that moves: tide, current and river, as the services or the user give them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from safety_check.arrays import FloatArray, TimeArray
from safety_check.model.provenance import Provenance


class CurrentKind(StrEnum):
    """The three events of a tidal current."""

    SLACK = "slack"
    FLOOD = "flood"
    EBB = "ebb"


class FloodCategory(StrEnum):
    """How far a river is in flood, in the words of the service that says it."""

    NONE = "no_flooding"
    ACTION = "action"
    MINOR = "minor"
    MODERATE = "moderate"
    MAJOR = "major"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class PredictionStation:
    """The station whose prediction is used.

    Parameters
    ----------
    name, label
        Its name at the service, and its name for people.
    distance
        From the launch [m]; None where the user gave the prediction by hand.
    official
        False where the prediction was computed here, and not by a hydrographic service.
    """

    name: str
    label: str
    distance: float | None
    official: bool = True


@dataclass(frozen=True)
class TideEvent:
    """High or low water.

    Parameters
    ----------
    time
        UTC.
    height
        Above the datum of the prediction. [m]
    high
        True for high water, false for low water.
    """

    time: datetime
    height: float
    high: bool


@dataclass(frozen=True)
class TidePrediction:
    """High and low water at one station: astronomical, without wind, surge and river flow.

    Parameters
    ----------
    events
        In the order of time.
    datum
        From what the heights are counted, such as "MLLW" or "chart datum".
    station, provenance
        Where it holds and where it comes from.
    """

    events: tuple[TideEvent, ...]
    datum: str
    station: PredictionStation
    provenance: Provenance


@dataclass(frozen=True)
class CurrentEvent:
    """Slack water, or the greatest flood or ebb.

    Parameters
    ----------
    time
        UTC.
    kind
        What it is; the services name it, and the sign of their speed may be wrong at slack.
    speed
        Never negative; 0 at slack. [m s⁻¹]
    """

    time: datetime
    kind: CurrentKind
    speed: float


@dataclass(frozen=True)
class CurrentPrediction:
    """The tidal current at one station: astronomical, without wind drift and river flood.

    Parameters
    ----------
    events
        In the order of time.
    flood_towards, ebb_towards
        Where flood and ebb flow to; they are seldom opposite. [deg true]
    depth
        Below the surface [m]; None where the service does not say.
    station, provenance
        Where it holds and where it comes from.
    """

    events: tuple[CurrentEvent, ...]
    flood_towards: float
    ebb_towards: float
    depth: float | None
    station: PredictionStation
    provenance: Provenance


@dataclass(frozen=True)
class CurrentSeries:
    """A current through time, from any source; between two instants it changes evenly.

    Parameters
    ----------
    time : array (instant,)
        UTC, ascending.
    east, north : array (instant,)
        Where the water flows to [m s⁻¹]; NaN where it is not known. Before the first instant
        and after the last it is not known either.
    """

    time: TimeArray
    east: FloatArray
    north: FloatArray


@dataclass(frozen=True)
class CurrentHint:
    """A current from a sea model of coarse cells: it may worsen a verdict, never clear a place.

    Parameters
    ----------
    series
        What the model says.
    cell
        Latitude and longitude of its cell. [deg]
    provenance
        Where it comes from.
    """

    series: CurrentSeries
    cell: tuple[float, float]
    provenance: Provenance


@dataclass(frozen=True)
class WaterFlow:
    """How the water moves during some hours, as the conditions use it.

    Parameters
    ----------
    current
        The current that counts; unknown throughout where none is known.
    hint
        What a sea model says; it may worsen a verdict, never clear a place.
    tide
        High and low water; None where they are not known.
    """

    current: CurrentSeries
    hint: CurrentSeries | None = None
    tide: TidePrediction | None = None


@dataclass(frozen=True)
class RiverStages:
    """The levels at which a gauge's flood categories begin; None where none is defined.

    Parameters
    ----------
    action, minor, moderate, major
        Stage [m] or discharge [m³ s⁻¹], as `RiverReading` says.
    """

    action: float | None = None
    minor: float | None = None
    moderate: float | None = None
    major: float | None = None


@dataclass(frozen=True)
class RiverReading:
    """What is known of a river at one gauge.

    Parameters
    ----------
    station
        The gauge.
    time
        Of the newest stage or discharge; None where neither is known.
    stage, discharge
        [m, m³ s⁻¹]; NaN where not known.
    rise
        How fast the stage rises [m s⁻¹]; negative where it falls, NaN where not known.
    percentile
        The least and the greatest percentile of this day of the year that the discharge can
        have [1]; None where not known. It compares an instant with daily means.
    years
        How many years the percentiles rest on; 0 where there are none.
    category, forecast_category
        The flood category now, and the worst that is forecast. UNKNOWN is never safe.
    stages, flows
        Where the categories begin, as stage and as discharge.
    provenance
        Where stage and discharge come from.
    also_from
        Where the category comes from.
    """

    station: PredictionStation
    time: datetime | None
    provenance: Provenance
    stage: float = float("nan")
    discharge: float = float("nan")
    rise: float = float("nan")
    percentile: tuple[float, float] | None = None
    years: int = 0
    category: FloodCategory = FloodCategory.UNKNOWN
    forecast_category: FloodCategory = FloodCategory.UNKNOWN
    stages: RiverStages = RiverStages()
    flows: RiverStages = RiverStages()
    also_from: tuple[Provenance, ...] = ()


@dataclass(frozen=True)
class MovingWater:
    """All that the sources or the user say about the movement of a water.

    Parameters
    ----------
    tides, currents
        Predictions, the nearest station first.
    hints
        Currents of sea models.
    rivers
        Gauges, the nearest first.
    entered
        A current that the user entered; it counts before every prediction.
    tidal
        True on tidal water: without any prediction or entry its current is then unknown.
    releases
        When a dam upstream releases water, as the user learnt it; empty for never during the
        trip, None where nobody asked.
    """

    tides: tuple[TidePrediction, ...] = ()
    currents: tuple[CurrentPrediction, ...] = ()
    hints: tuple[CurrentHint, ...] = ()
    rivers: tuple[RiverReading, ...] = ()
    entered: CurrentSeries | None = None
    tidal: bool = False
    releases: tuple[datetime, ...] | None = None


def join_moving_water(parts: Sequence[MovingWater]) -> MovingWater | None:
    """Return all that several sources say about one water, the nearest station of a kind first."""
    if not parts:
        return None
    return MovingWater(
        tides=tuple(sorted((one for part in parts for one in part.tides), key=_away)),
        currents=tuple(sorted((one for part in parts for one in part.currents), key=_away)),
        hints=tuple(one for part in parts for one in part.hints),
        rivers=tuple(sorted((one for part in parts for one in part.rivers), key=_away)),
        entered=next((part.entered for part in parts if part.entered is not None), None),
        tidal=any(part.tidal for part in parts),
    )


def _away(item: TidePrediction | CurrentPrediction | RiverReading) -> float:
    return item.station.distance or 0.0


def origins_of_movement(moving: MovingWater) -> tuple[Provenance, ...]:
    """Return where what counts of a water's movement comes from, for its credit."""
    found = [one.provenance for one in moving.tides[:1]]
    found += [one.provenance for one in moving.currents[:1]]
    found += [one.provenance for one in moving.hints[:1]]
    for one in moving.rivers:
        found += [one.provenance, *one.also_from]
    return tuple(dict.fromkeys(found))

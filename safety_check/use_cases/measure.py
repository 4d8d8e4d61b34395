"""Measure a person's own capability on a GPX track out and back in a known wind."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.errors import DataError, PlanError
from safety_check.model.craft import Craft
from safety_check.model.trip import Trip
from safety_check.physics.own_speed import AGAINST, WITH, OwnSpeed, fit_own_speed, own_wind_limits
from safety_check.settings.edit import edit_settings, replace_limit
from safety_check.settings.limits import load_default_limits
from safety_check.settings.propulsion import derive_drive
from safety_check.settings.settings import Settings
from safety_check.store.store import Store
from safety_check.units import parse, show_limit, show_pace
from safety_check.use_cases.direction_in_words import parse_direction
from safety_check.waters.projection import to_metres

STRETCH = 60.0  # s, the length of a stretch for one speed
LONGEST_GAP = 120.0  # s between fixes
SLOWEST = 0.2  # m/s; slower is a rest
STRAIGHT = 0.8  # distance over the ground as a share of the way
FEWEST = 10  # stretches
GREATEST_FILE = 20_000_000  # bytes


@dataclass(frozen=True)
class Measured:
    """The capability of a craft and its paddler, measured on a track.

    Parameters
    ----------
    fit
        The fit of the speeds.
    stretches
        How many stretches of the track counted.
    marginal, no_go
        Wind limits that follow from the worst fit. [m s⁻¹]
    """

    fit: OwnSpeed
    stretches: int
    marginal: float
    no_go: float


@dataclass(frozen=True)
class Asked:
    """What to measure, in the user's words; None where nothing was given.

    Parameters
    ----------
    track, trip
        A GPX file, or the number of a logged trip.
    wind, wind_from
        The wind during the track.
    """

    track: Path | None = None
    trip: int | None = None
    wind: str | None = None
    wind_from: str | None = None


def measure_as_asked(craft: Craft, asked: Asked, store: Store) -> Measured:
    """Return the capability that a track or a logged trip shows.

    Raises
    ------
    DataError, PlanError
        Where neither or both are given, or nothing can be measured by it.
    """
    wind = None if asked.wind is None else parse(asked.wind, "wind", "--wind")
    origin = None if asked.wind_from is None else parse_direction(asked.wind_from, "--from")
    if (asked.track is None) == (asked.trip is None):
        raise PlanError("Give either --track FILE.gpx, or --trip with the number of a logged trip.")
    if asked.track is not None:
        if wind is None or origin is None:
            raise PlanError("--track needs the wind during it: --wind and --from.")
        return measure_craft(craft, asked.track, wind, origin)
    trip = next((trip for trip in store.trips() if trip.id == asked.trip), None)
    if trip is None:
        raise PlanError(f"the log has no trip {asked.trip}. See: safety-check trip list")
    return measure_trip(craft, trip, wind, origin)


def measure_craft(craft: Craft, track: Path, wind: float, wind_from: float) -> Measured:
    """Return the capability that a track shows.

    Raises
    ------
    DataError, PlanError
        Where the file cannot be read, or does not go both into and with the wind.
    """
    return measure_stretches(craft, *stretches(read_track(track)), (wind, wind_from), track.name)


def measure_trip(
    craft: Craft, trip: Trip, wind: float | None = None, wind_from: float | None = None
) -> Measured:
    """Return the capability that a logged trip shows, in its own wind or the one given now.

    Raises
    ------
    PlanError
        Where it has no track or no wind, was made in another craft, or does not go both into
        and with the wind.
    """
    name = f"trip {trip.id}"
    if trip.craft != craft.name:
        raise PlanError(f"{name} was made with {trip.craft!r}, not with {craft.name!r}.")
    if not trip.track:
        raise PlanError(
            f"{name} has no track. Log the trip with --track FILE.gpx, or measure the file itself."
        )
    one_number = trip.beaufort is None and np.isnan(trip.wind_speed_least)
    met = trip.wind_speed if one_number else float("nan")
    speed = met if wind is None else wind
    origin = trip.wind_from_direction if wind_from is None else wind_from
    if np.isnan(speed + origin):
        raise PlanError(
            f"{name} has no measured wind with its direction. Give both with --wind and --from."
        )
    return measure_stretches(craft, *track_from(trip.track), (speed, origin), name)


def measure_stretches(
    craft: Craft, speed: FloatArray, course: FloatArray, wind: tuple[float, float], name: str
) -> Measured:
    """Return the capability that steady stretches of a track show.

    Parameters
    ----------
    craft
        The craft as known so far.
    speed, course : arrays (stretch,)
        Over the ground. [m s⁻¹, deg true]
    wind
        Its speed and where it came from. [m s⁻¹, deg true]
    name
        Of the track, for messages.
    """
    wind_speed, wind_from = wind
    along = np.cos(np.radians(wind_from - course))
    if len(speed) < FEWEST or along.max() < AGAINST or along.min() > WITH:
        raise PlanError(
            f"{name}: {len(speed)} minutes of it can be used. A measurement needs at least"
            f" {FEWEST}, into the wind and back with it. Record a track out and back."
        )
    fit = fit_own_speed(
        speed, course, wind_speed, wind_from, craft.cruise_speed, derive_drive(craft)
    )
    return Measured(fit, len(speed), *own_wind_limits(fit.worst))


def read_track(path: Path) -> FloatArray:
    """Return the fixes of a GPX file: seconds, longitude, latitude, an array (fix, 3)."""
    import gpxpy
    from defusedxml import DefusedXmlException, ElementTree

    try:
        if path.stat().st_size > GREATEST_FILE:
            raise DataError(f"{path.name} is over {GREATEST_FILE // 1_000_000} MB. Cut the track.")
        text = path.read_text(encoding="utf-8-sig")
        ElementTree.fromstring(text)  # refuses entities, which the GPX reader would follow
        found = gpxpy.parse(text)
    except (OSError, ValueError, ElementTree.ParseError, DefusedXmlException) as trouble:
        raise DataError(f"{path.name} cannot be read as GPX: {trouble}. Export it again.") from None
    except gpxpy.gpx.GPXException as trouble:
        raise DataError(f"{path.name} cannot be read as GPX: {trouble}. Export it again.") from None
    fixes = [
        (point.time.timestamp(), point.longitude, point.latitude)
        for route in found.tracks
        for segment in route.segments
        for point in segment.points
        if point.time is not None
    ]
    if len(fixes) < 2:
        raise DataError(f"{path.name} has no track with times. Export the track, not the route.")
    return np.array(sorted(fixes))


def stretches(fixes: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return speed [m s⁻¹] and course [deg true] of each steady minute, arrays (stretch,)."""
    time = fixes[:, 0]
    place = to_metres(fixes[:, 1:], *np.median(fixes[:, 1:], axis=0))
    passed = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(place, axis=0).T))])
    edges = np.arange(time[0], time[-1], STRETCH)
    at = np.column_stack([np.interp(edges, time, axis) for axis in place.T])
    way = np.diff(np.interp(edges, time, passed))
    step = np.diff(at, axis=0)
    far = np.hypot(*step.T)
    following = np.searchsorted(time, edges[:-1], side="right").clip(1, len(time) - 1)
    gap = time[following] - time[following - 1]
    steady = (far >= SLOWEST * STRETCH) & (far >= STRAIGHT * way) & (gap <= LONGEST_GAP)
    course = np.degrees(np.arctan2(step[:, 0], step[:, 1])) % 360
    return far[steady] / STRETCH, course[steady]


def track_text(speed: FloatArray, course: FloatArray) -> str:
    """Return the stretches of a track as a logged trip stores them.

    Examples
    --------
    >>> track_text(np.array([1.214, 0.8]), np.array([275.2, 93.0]))
    '1.21@275 0.80@93'
    """
    pairs = zip(speed, course, strict=True)
    return " ".join(f"{made:.2f}@{round(towards) % 360}" for made, towards in pairs)


def track_from(text: str) -> tuple[FloatArray, FloatArray]:
    """Return speed [m s⁻¹] and course [deg true] of the stretches that a logged trip stores."""
    pairs = np.array([pair.split("@") for pair in text.split()], dtype=float).reshape(-1, 2)
    return pairs[:, 0], pairs[:, 1]


def describe_measurement(craft: Craft, found: Measured, settings: Settings) -> list[str]:
    """Return the result of a track, with the default limits and the user's own."""
    fit, wind, pace = found.fit, settings.preferences.wind, settings.preferences.pace
    default = load_default_limits()["wind_speed", craft.kind]
    best, least = (show_pace(speed, pace) for speed in (fit.cruise_speed, fit.least_cruise_speed))
    rows = {
        "default, in company": (default.marginal, default.no_go),
        "your own, by the worst fit": (found.marginal, found.no_go),
    }
    return [
        f"{craft.name}: {found.stretches} steady minutes, speeds within"
        f" {show_pace(fit.misfit, pace)} of the fit",
        f"  cruise in calm water  {best}, at least {least}; so far"
        f" {show_pace(craft.cruise_speed, pace)}",
        f"  drag area  {fit.best.drag_area:.2f} m², in the worst fit {fit.worst.drag_area:.2f} m²",
        *(
            f"  {name}: caution from {show_limit(caution, 'speed', wind)},"
            f" no-go from {show_limit(no_go, 'speed', wind)}"
            for name, (caution, no_go) in rows.items()
            if caution is not None and no_go is not None
        ),
        f"  the default is {default.basis.replace('_', ' ')}: {default.source}",
    ]


def store_measurement(craft: Craft, found: Measured, settings: Settings, loosen: bool) -> str:
    """Store the measured cruise speed and wind limits where stricter; return what was done.

    Raises
    ------
    PlanError
        For a bare craft class, which is not the user's own.
    """
    if craft.name not in settings.user.craft:
        raise PlanError(
            f"{craft.name!r} is a class, not your craft. Add yours first: safety-check craft add"
        )
    cruise = found.fit.least_cruise_speed
    slower = loosen or cruise < craft.cruise_speed
    table = _own_limits(craft, found, loosen)
    if not (slower or table):
        return "Nothing was stored: your track is not stricter than the limits. --loosen stores it."

    def edit(document: Any) -> None:
        if slower:
            document["craft"][craft.name]["cruise_speed"] = f"{cruise:.3f} m/s"
        if table:
            replace_limit(document, craft.name, "wind_speed", [table])

    edit_settings(edit)
    stored = [word for word, kept in (("cruise speed", slower), ("wind limits", table)) if kept]
    return f"Stored your own {' and '.join(stored)}."


def _own_limits(craft: Craft, found: Measured, loosen: bool) -> dict[str, Any]:
    """Return the wind limits to store: those stricter than the default, or all if asked."""
    default = load_default_limits()["wind_speed", craft.kind]
    own = {"marginal": found.marginal, "no_go": found.no_go}
    kept = {
        level: f"{bound:.2f} m/s"
        for level, bound in own.items()
        if loosen or (usual := getattr(default, level)) is None or bound < usual
    }
    if not kept:
        return {}
    table = {"craft": craft.name, "quantity": "wind_speed", **kept}
    return {**table, "loosen": True} if loosen else table

"""What stations, buoys, tide and river gauges tell of now, and which of them are silent."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable, Iterable
from dataclasses import dataclass, replace

from safety_check.errors import DataError, SourceError
from safety_check.model.weather import Briefing, Observation, SourceFailure
from safety_check.sources.coops import stations as coops
from safety_check.sources.coverage import covers, out_of_service
from safety_check.sources.http.client import Client
from safety_check.sources.http.error_messages import StatusError
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.ndbc import buoys
from safety_check.sources.nws import observations
from safety_check.sources.question import (
    SPEED,
    TEMPERATURE,
    TROUBLE,
    WAVES,
    Question,
    failure_of,
    not_covered,
    stand_in_notes,
    title,
)
from safety_check.sources.stations import Station, load_reaches, nearest, useful
from safety_check.sources.usgs import gauges
from safety_check.units import show

GONE = (404, 410)
NO_DATA = re.compile(r": no data \(")  # a station that is in order and has nothing to say
PLAIN = {SPEED: "the wind", WAVES: "the waves", TEMPERATURE: "the water's temperature"}
PRODUCTS = {SPEED: "wind", TEMPERATURE: "water_temperature"}  # of the tide stations
# What is told beside a quantity by whoever measures it.
BESIDE = {
    SPEED: ("wind_speed_of_gust", "wind_from_direction"),
    WAVES: (buoys.PEAK_PERIOD, "sea_surface_wave_from_direction"),
    TEMPERATURE: (),
}
GAUGED = b'"00010"'  # the code of water temperature in an answer about gauges

Seen = tuple[Observation, ...]


@dataclass(frozen=True)
class StationService:
    """One service that observes.

    Parameters
    ----------
    source
        Its name in sources.toml.
    service
        Its name in coverage.toml.
    ask
        How it is asked.
    tells
        What it may tell that the rules weigh.
    here
        Whether what was heard shows that a station here measures a quantity, told or not.
    stood_in
        True where another service of the same data stands in for its troubles.
    """

    source: str
    service: str
    ask: Callable[..., Awaitable[Seen]]
    tells: tuple[str, ...]
    here: Callable[[RecordingClient, Seen, str, Question], bool]
    stood_in: bool = False


async def ask_stations(observer: StationService, client: Client, trip: Question) -> Briefing:
    """Return what the nearest useful stations of one service tell, and what they do not.

    What fails weighs only where it could have told something that the rules weigh on this
    trip: with the water's temperature entered by hand, no gauge is missed.
    """
    wanted = tuple(each for each in observer.tells if each in trip.wanted)
    if not covers(observer.service, *trip.here):
        return Briefing(at=trip.at, silences=(not_covered(observer.source, observer.tells),))
    ear = RecordingClient(client)
    try:
        seen = await observer.ask(ear, *trip.here)
    except TROUBLE as trouble:
        weighs = bool(wanted) and not _nothing_there(trouble)
        gone = failure_of(observer.source, trouble, wanted or observer.tells, applies=weighs)
        return Briefing(at=trip.at, silences=(gone,))
    near = useful((each for each in seen if not each.flagged), trip.at, load_reaches())
    return Briefing(
        at=trip.at,
        observations=tuple(_placed(each, trip.unit) for each in near),
        silences=(
            *stand_in_notes(ear, observer.source, wanted),
            *_missed(observer, ear, wanted),
            *(each for name in wanted for each in _untold(observer, ear, seen, near, name, trip)),
        ),
    )


def _placed(seen: Observation, unit: str) -> Observation:
    """Return an observation whose origin also says how far away it was made."""
    away = show(seen.distance or 0.0, "length", unit)
    origin = replace(seen.provenance, model=f"{seen.provenance.model}, {away} away")
    return replace(seen, provenance=origin)


def _missed(
    observer: StationService, ear: RecordingClient, wanted: tuple[str, ...]
) -> tuple[SourceFailure, ...]:
    """Return what failed on the way although something was told in the end."""
    return tuple(
        failure_of(
            observer.source,
            each,
            wanted or observer.tells,
            applies=bool(wanted) and not observer.stood_in and not _nothing_there(each),
        )
        for each in ear.missed
    )


def _nothing_there(trouble: SourceError | DataError) -> bool:
    """Return whether a service says in good order that there is nothing to tell."""
    gone = isinstance(trouble, StatusError) and trouble.status in GONE
    return gone or NO_DATA.search(str(trouble)) is not None


def _untold(
    observer: StationService,
    ear: RecordingClient,
    seen: Seen,
    near: Seen,
    name: str,
    trip: Question,
) -> tuple[SourceFailure, ...]:
    """Return the silence on a quantity that no useful station told."""
    if any(each.quantity == name for each in near):
        return ()
    within = load_reaches()[name].distance
    who, what = title(observer.source), PLAIN[name]
    if any(_was_here(each, name, within, trip) for each in seen):
        why = f"The newest that a station here tells of {what} is too old, or in doubt."
        return (SourceFailure(who, why, (name,)),)
    told_long_ago = any(each.quantity == name for each in seen)
    if not told_long_ago and observer.here(ear, seen, name, trip):
        return (SourceFailure(who, f"A station is here but does not tell {what} now.", (name,)),)
    reach = show(within, "length", trip.unit)
    return (SourceFailure(who, f"No station within {reach} tells {what}.", (name,), applies=False),)


def _was_here(seen: Observation, name: str, within: float, trip: Question) -> bool:
    lately = trip.at - seen.time <= out_of_service()
    near = seen.distance is not None and seen.distance <= within
    return seen.quantity == name and near and lately


# -- whether a station is here that measures something, though it was not told -----------------


def _lists_one(ear: RecordingClient, seen: Seen, name: str, trip: Question) -> bool:
    """Return whether any station is here; each of this service measures the wind."""
    return _any_near((each.meaning for each in ear.heard), name, trip)


def _lists_one_for_it(ear: RecordingClient, seen: Seen, name: str, trip: Question) -> bool:
    """Return whether a station is here that is listed for a quantity and has data."""
    asked = coops.query_stations(PRODUCTS[name])
    listed = _any_near((each.meaning for each in ear.heard if each.params == asked), name, trip)
    return listed and not any(_nothing_there(each) for each in ear.missed)


def _any_near(meanings: Iterable[object], name: str, trip: Question) -> bool:
    answers = (each for each in meanings if isinstance(each, tuple))
    stations = [each for answer in answers for each in answer if isinstance(each, Station)]
    return bool(nearest(stations, *trip.here, load_reaches()[name].distance))


def _tells_half(ear: RecordingClient, seen: Seen, name: str, trip: Question) -> bool:
    """Return whether a buoy tells a gust or a direction: then it has a wind as well."""
    within = load_reaches()[name].distance
    return any(_was_here(each, other, within, trip) for each in seen for other in BESIDE[name])


def _speaks_of_it(ear: RecordingClient, seen: Seen, name: str, trip: Question) -> bool:
    """Return whether an answer speaks of the quantity, in whatever form or unit."""
    answers = (each.meaning for each in ear.heard if isinstance(each.meaning, tuple))
    bodies = (answer[0] for answer in answers if answer and isinstance(answer[0], bytes))
    return any(GAUGED in body for body in bodies)


ASHORE = StationService("nws_observations", "nws", observations.ask, (SPEED,), _lists_one)
BUOYS = StationService("ndbc", "ndbc", buoys.ask, (SPEED, WAVES, TEMPERATURE), _tells_half)
TIDES = StationService("coops", "coops", coops.ask, (SPEED, TEMPERATURE), _lists_one_for_it)
GAUGES = StationService("usgs", "usgs", gauges.ask, (TEMPERATURE,), _speaks_of_it, stood_in=True)

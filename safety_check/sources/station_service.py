"""Ask one service of stations, buoys or gauges, and say which quantities are missing."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterable
from dataclasses import dataclass, replace

from safety_check.model.weather import Briefing, Observation, SourceFailure
from safety_check.sources.coverage import may_have_station, out_of_service
from safety_check.sources.http.client import Client
from safety_check.sources.http.error_messages import NothingToReport
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.question import (
    SPEED,
    TEMPERATURE,
    TROUBLE,
    WAVES,
    Question,
    failure_of,
    provides,
    saved_answer_notes,
    title,
)
from safety_check.sources.stations import Station, greatest_distance, load_reaches, nearest, useful
from safety_check.units import show

WORDS = {SPEED: "the wind", WAVES: "the waves", TEMPERATURE: "the water temperature"}

Observations = tuple[Observation, ...]
Measures = Callable[[RecordingClient, Observations, str, Question], bool]


@dataclass(frozen=True)
class StationService:
    """One service with observations.

    Parameters
    ----------
    source
        Its name in the registry.
    ask
        How it is asked.
    measures
        Whether the answers show that a station near the launch measures a quantity, even if
        it does not report it now.
    recall_stations
        Returns the stations on the service's last saved list, however old.
    has_substitute
        True where another service of the same data replaces it when it fails.
    """

    source: str
    ask: Callable[..., Awaitable[Observations]]
    measures: Measures
    recall_stations: Callable[[Client], tuple[Station, ...]] = lambda client: ()
    has_substitute: bool = False


async def ask_stations(service: StationService, client: Client, question: Question) -> Briefing:
    """Return what the nearest useful stations of one service report, and what is missing.

    A failure counts only where the service could have reported a quantity that the rules
    weigh on this trip: with the water temperature entered by hand, no gauge is missing, and
    far from every station of a service none of its stations is.
    """
    wanted = tuple(name for name in provides(service.source) if name in question.wanted)
    recording = RecordingClient(client)
    try:
        observations = await service.ask(recording, *question.here)
    except TROUBLE as trouble:
        applies = bool(wanted) and _may_have_station(service, client, question)
        counts = applies and not isinstance(trouble, NothingToReport)
        failure = failure_of(service.source, trouble, wanted, applies=counts)
        failures = (failure, *_unreadable(service, recording, wanted, applies))
        return Briefing(at=question.at, silences=failures)
    failed = bool(recording.missed or recording.unreadable)
    applies = failed and bool(wanted) and _may_have_station(service, client, question)
    sound = (observation for observation in observations if not observation.flagged)
    near = useful(sound, question.at, load_reaches())
    return Briefing(
        at=question.at,
        observations=tuple(_with_distance(observation, question.unit) for observation in near),
        silences=(
            *saved_answer_notes(recording, service.source, wanted),
            *_failures_on_the_way(service, recording, wanted, applies),
            *_unreadable(service, recording, wanted, applies),
            *(
                failure
                for name in wanted
                if not any(observation.quantity == name for observation in near)
                for failure in _missing(service, recording, observations, name, question)
            ),
        ),
    )


def _may_have_station(service: StationService, client: Client, question: Question) -> bool:
    """Return whether the service may have a station near the launch.

    By the shipped list of its stations with a wide margin, or by its own last list.
    """
    if may_have_station(service.source, *question.here):
        return True
    within = greatest_distance(question.wanted)
    return bool(nearest(service.recall_stations(client), *question.here, within))


def _with_distance(observation: Observation, unit: str) -> Observation:
    """Return an observation whose provenance also states its distance."""
    away = show(observation.distance or 0.0, "length", unit)
    origin = observation.provenance
    return replace(observation, provenance=replace(origin, model=f"{origin.model}, {away} away"))


def _failures_on_the_way(
    service: StationService, recording: RecordingClient, wanted: tuple[str, ...], applies: bool
) -> tuple[SourceFailure, ...]:
    """Return the requests that failed although the service reported something."""
    return tuple(
        failure_of(
            service.source,
            trouble,
            wanted,
            applies=applies
            and not service.has_substitute
            and not isinstance(trouble, NothingToReport),
        )
        for trouble in recording.missed
    )


def _unreadable(
    service: StationService, recording: RecordingClient, wanted: tuple[str, ...], applies: bool
) -> tuple[SourceFailure, ...]:
    """Return a failure where entries could not be read: one of them may be the one here."""
    count = recording.unreadable
    if not count:
        return ()
    what = "1 value or station" if count == 1 else f"{count} values or stations"
    reason = f"{what} in its answers can't be read, so a measurement near you may be missing."
    missing = wanted or provides(service.source)
    return (SourceFailure(title(service.source), reason, missing, applies),)


def _missing(
    service: StationService,
    recording: RecordingClient,
    observations: Observations,
    name: str,
    question: Question,
) -> tuple[SourceFailure, ...]:
    """Return why a quantity is missing that no useful station reports."""
    within = load_reaches()[name].distance
    who, what = title(service.source), WORDS[name]
    if any(reported_lately(seen, name, within, question) for seen in observations):
        reason = f"The newest value of {what} from a station here is too old or doubtful."
        return (SourceFailure(who, reason, (name,)),)
    reported = any(seen.quantity == name for seen in observations)
    if not reported and service.measures(recording, observations, name, question):
        reason = f"A station here does not report {what} now."
        return (SourceFailure(who, reason, (name,)),)
    reason = f"No station within {show(within, 'length', question.unit)} reports {what}."
    return (SourceFailure(who, reason, (name,), applies=False),)


def reported_lately(seen: Observation, name: str, within: float, question: Question) -> bool:
    """Return whether a station in reach [m] reported a quantity and is still in service."""
    lately = question.at - seen.time <= out_of_service()
    near = seen.distance is not None and seen.distance <= within
    return seen.quantity == name and near and lately


# -- whether a station near the launch measures a quantity -------------------------------------


def lists_a_station(
    recording: RecordingClient, observations: Observations, quantity: str, question: Question
) -> bool:
    """Return whether any station is near, for services whose stations measure all quantities."""
    return any_near((answer.meaning for answer in recording.answers), quantity, question)


def any_near(meanings: Iterable[object], quantity: str, question: Question) -> bool:
    """Return whether a list of stations among the answers has one in reach of a quantity."""
    lists = (meaning for meaning in meanings if isinstance(meaning, tuple))
    stations = [entry for answer in lists for entry in answer if isinstance(entry, Station)]
    return bool(nearest(stations, *question.here, load_reaches()[quantity].distance))

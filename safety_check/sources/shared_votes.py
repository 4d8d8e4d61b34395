"""Count a model and the one that feeds it as one: in each hour the worse of the two.

A nest of a model, and the same model by another service, are no further opinions. Each shares the
vote of its host (config/models.toml, sources.toml), so it can make a verdict stricter and never
milder, whatever it says and for how many hours ahead.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, TimeArray
from safety_check.model.weather import Briefing, Forecast, SourceFailure
from safety_check.sources import registry
from safety_check.sources.greatest_ages import greatest_age
from safety_check.sources.grid_cells import FROM, align_hours
from safety_check.sources.model_hosts import hosts
from safety_check.sources.question import WIND
from safety_check.sources.weather_danger import more_dangerous

SPEED = "wind_speed"
Row = dict[str, FloatArray]

# How the worse of two values is found. Other quantities, such as temperature, are the host's.
WORSE: Mapping[str, Callable[[FloatArray, FloatArray], FloatArray]] = {
    SPEED: np.maximum,
    "wind_speed_of_gust": np.maximum,
    "precipitation_amount": np.maximum,
    "atmosphere_convective_available_potential_energy": np.maximum,
    "visibility_in_air": np.minimum,
    "weather_code": more_dangerous,
}


def share_votes(briefing: Briefing, hours: TimeArray) -> Briefing:
    """Return a briefing in which every model that has a host is counted with it.

    Parameters
    ----------
    briefing
        What the sources answered.
    hours : array (hour,)
        The hours of the trip, UTC.

    Notes
    -----
    A forecast that is out of date, or whose host did not answer, stays a forecast of its own.
    Where it gives nothing for an hour of the trip that every answer of it has, its host counts
    alone, and the loss is a failure, so that it can never lead to a GO.
    """
    forecasts = list(briefing.forecasts)
    failures: list[SourceFailure] = []
    for guest in briefing.forecasts:
        at = next((place for place, other in enumerate(forecasts) if _hosts(other, guest)), None)
        if at is not None and not _stale(guest, briefing.at):
            forecasts[at] = _joined(forecasts[at], guest)
            failures += _lost_hours(guest, hours, briefing.at)
            forecasts = [other for other in forecasts if other is not guest]
            briefing = replace(briefing, others=(*briefing.others, guest.provenance))
    silences = tuple(dict.fromkeys((*briefing.silences, *failures)))
    return replace(briefing, forecasts=tuple(forecasts), silences=silences)


def _hosts(forecast: Forecast, guest: Forecast) -> bool:
    """Return whether a forecast has the hosts of all models of another."""
    found = [hosts().get(model) for model in guest.models]
    return bool(found) and all(host is not None and host[0] in forecast.models for host in found)


def _stale(guest: Forecast, at: datetime) -> bool:
    origin = guest.provenance
    limit = greatest_age().get(origin.source)
    age = (at - (origin.issued or origin.fetched)).total_seconds()
    return limit is None or not age <= limit


def _joined(forecast: Forecast, guest: Forecast) -> Forecast:
    """Return a forecast whose hosts have the worse of their own values and their guests'."""
    quantities = {name: values.copy() for name, values in forecast.quantities.items()}
    for number, model in enumerate(guest.models):
        host, _ = hosts()[model]
        said = _said(guest, number, model, forecast.time)
        for row in (row for row, name in enumerate(forecast.models) if name == host):
            own = {name: values[row] for name, values in quantities.items()}
            for name, values in _worse(own, said).items():
                quantities[name][row] = values
    named = f"{forecast.provenance.model}; {', '.join(map(registry.label, guest.models))} included"
    return replace(
        forecast, quantities=quantities, provenance=replace(forecast.provenance, model=named)
    )


def _lost_hours(guest: Forecast, hours: TimeArray, at: datetime) -> Iterator[SourceFailure]:
    """Yield a failure for each model that lacks what every answer of it has in some hour."""
    for number, model in enumerate(guest.models):
        due = hours[_due(hours, at, hosts()[model][1])]
        said = _said(guest, number, model, due)
        if any(np.isnan(said[name]).any() for name in (*WORSE, FROM) if name in said):
            reason = "It gives no value for at least one hour of the trip."
            source = guest.provenance.source
            yield SourceFailure(f"{source}, {registry.label(model)}", reason, tuple(WIND))


def _due(time: TimeArray, at: datetime, assured: float) -> BoolArray:
    """Return the hours that every answer has: those wholly ahead, as far as it is assured."""
    whole = at.replace(minute=0, second=0, microsecond=0, tzinfo=None)
    first = whole if whole == at.replace(tzinfo=None) else whole + timedelta(hours=1)
    last = at.replace(tzinfo=None) + timedelta(hours=assured)
    due: BoolArray = (time > np.datetime64(first)) & (time <= np.datetime64(last))
    return due


def _said(guest: Forecast, row: int, model: str, time: TimeArray) -> Row:
    """Return what a guest gives by design, on the hours of its host."""
    lacking = {*guest.not_made, *registry.lacks().get(model, ())}
    return {
        name: align_hours(values[row], guest.time, time)
        for name, values in guest.quantities.items()
        if name not in lacking
    }


def _worse(own: Row, said: Row) -> Row:
    """Return the worse of both where the guest says something, else the host's own values."""
    found = {
        name: np.where(np.isnan(said[name]), own[name], WORSE[name](own[name], said[name]))
        for name in WORSE.keys() & own.keys() & said.keys()
    }
    if {SPEED, FROM} <= own.keys() & said.keys():
        found[FROM] = np.where(said[SPEED] > own[SPEED], said[FROM], own[FROM])
    return found

"""Stations of the Canadian Hydrographic Service, and what each predicts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC
from typing import TYPE_CHECKING, Any

from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text
from safety_check.model.weather import Provenance
from safety_check.sources.answers import number
from safety_check.sources.listing import Listing, read_list, require_entries
from safety_check.sources.moving_water import events_span
from safety_check.sources.stations import Station, distance

if TYPE_CHECKING:
    from safety_check.arrays import TimeArray

PATH = "/api/v1/stations"
HIGH_AND_LOW, CURRENT_EVENTS = "wlp-hilo", "wcp1-events"


@dataclass(frozen=True)
class SeriesStation:
    """One station.

    Parameters
    ----------
    station
        Where it is; its name is the service's key for requests.
    series
        The codes of its time series.
    """

    station: Station
    series: frozenset[str]


def query(code: str, hours: TimeArray) -> dict[str, str]:
    """Return what to ask of one series around some hours; the service allows seven days."""
    begin, end = (moment.astimezone(UTC) for moment in events_span(hours))
    return {
        "time-series-code": code,
        "from": f"{begin:%Y-%m-%dT00:00:00Z}",
        "to": f"{end:%Y-%m-%dT23:59:59Z}",
    }


def data_path(station: Station) -> str:
    """Return the address of a station's data."""
    return f"{PATH}/{station.name}/data"


def parse_stations(body: bytes, provenance: Provenance) -> Listing[SeriesStation]:
    """Return every station of the list."""
    stations = read_list(entries_of(body, provenance), _station, provenance.source, "stations")
    return require_entries(stations, provenance.source, "stations")


def entries_of(body: bytes, provenance: Provenance) -> list[Any]:
    """Return the entries of an answer, which is one list; raise DataError where it is none."""
    from pydantic import TypeAdapter, ValidationError

    try:
        entries: list[Any] = TypeAdapter(list[Any]).validate_json(body)
    except ValidationError as trouble:
        start = clean_text(body[:40].decode("utf-8", "replace")) or "nothing"
        raise DataError(
            f"{provenance.source}: not a JSON list as documented, it begins with {start!r}. The"
            " answer can't be used. Try again later, or enter the value by hand."
        ) from trouble
    return entries


def _station(entry: object) -> SeriesStation | None:
    match entry:
        case {"id": str(key), "timeSeries": [*series], **about} if key.isalnum():
            label = clean_text(str(about.get("officialName") or ""))
            place = number(about.get("latitude")), number(about.get("longitude"))
            station = Station.of(key, label, *place)
            codes = (clean_text(str(one.get("code"))) for one in series if isinstance(one, dict))
            return SeriesStation(station, frozenset(codes)) if station else None
        case _:
            return None


def nearest_with(
    stations: Iterable[SeriesStation], code: str, here: tuple[float, float], within: float
) -> tuple[float, Station] | None:
    """Return the nearest station that has a series, within a distance [m]; None without one."""
    near = [(distance(*here, one.station), one.station) for one in stations if code in one.series]
    near = [pair for pair in near if pair[0] <= within]
    return min(near, key=lambda pair: pair[0], default=None)

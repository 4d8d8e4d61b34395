"""River and lake gauges of the US Geological Survey: water temperature and discharge.

The newer service is asked first, the older one where it fails. Gauges measure in the channel
near a bank; the surface of a lake may be warmer or colder.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any
from urllib.parse import parse_qsl

from pydantic import Field

from safety_check.errors import DataError, SourceError
from safety_check.model.weather import Observation, Provenance
from safety_check.sources.answers import Answer, instant, link, number, read
from safety_check.sources.listing import Listing, read_list
from safety_check.sources.sent_place import sent_box
from safety_check.sources.stations import Station, greatest_distance
from safety_check.sources.usgs import gauges_legacy
from safety_check.sources.usgs.readings import (
    NO_VALUE,
    PARAMETERS,
    Reading,
    observations,
    plain,
    remarks,
)

if TYPE_CHECKING:
    from safety_check.sources.http.client import Client

# Version 0 of the newer service. A version 1 was announced for 2026; it was not seen yet.
LATEST = "/ogcapi/v0/collections/latest-continuous/items"
LOCATIONS = "/ogcapi/v0/collections/monitoring-locations/items"
PAGE = 1000
MOST_PAGES = 4


class Collection(Answer):
    """A page of features; nothing found is an empty list, as the service documents it."""

    features: list[Any]
    links: list[dict[str, Any]] = Field(default_factory=list)


@dataclass(frozen=True)
class Page:
    """One page of values or of gauges.

    Parameters
    ----------
    readings
        The values as received; empty on a page of gauges.
    places
        The gauges by number, if they were sent with their place.
    unreadable
        How many entries or values can't be read.
    next_query
        The query for the next page; None where this is the last.
    provenance
        Where it comes from.
    """

    readings: tuple[Reading, ...]
    places: Mapping[str, Station]
    unreadable: int
    next_query: Mapping[str, str] | None
    provenance: Provenance


def query(latitude: float, longitude: float, within: float) -> dict[str, str]:
    """Return the query for the newest values of all gauges in a box around a place."""
    return query_locations(latitude, longitude, within) | {"parameter_code": ",".join(PARAMETERS)}


def query_locations(latitude: float, longitude: float, within: float) -> dict[str, str]:
    """Return the query for the gauges in a box around a place."""
    return {"bbox": sent_box("usgs", latitude, longitude, within), "limit": str(PAGE), "f": "json"}


def parse_page(body: bytes, provenance: Provenance) -> Page:
    """Return a page of values; some have the place of their gauge."""
    collection = read(body, Collection, provenance.source)
    readings = read_list(collection.features, _reading, provenance.source, "values")
    places = {gauge.name: gauge for gauge in map(_station, collection.features) if gauge}
    unusable = observations(readings, {}, (0.0, 0.0), provenance).unreadable
    unreadable = readings.unreadable + unusable
    return Page(readings, places, unreadable, _next_query(collection), provenance)


def parse_locations(body: bytes, provenance: Provenance) -> Page:
    """Return a page of gauges."""
    collection = read(body, Collection, provenance.source)
    gauges = read_list(collection.features, _station, provenance.source, "gauges")
    places = {gauge.name: gauge for gauge in gauges}
    return Page((), places, gauges.unreadable, _next_query(collection), provenance)


def _next_query(collection: Collection) -> dict[str, str] | None:
    more = [entry.get("href") for entry in collection.links if entry.get("rel") == "next"]
    return dict(parse_qsl(link(more[0]).query)) if more else None


def parse(
    body: bytes,
    provenance: Provenance,
    sites: Mapping[str, Station],
    here: tuple[float, float],
) -> Listing[Observation]:
    """Return the newest value of every sensor.

    Parameters
    ----------
    body
        A page of latest-continuous or continuous values.
    sites
        The gauges by number, for answers without places; a gauge that is in neither has
        no distance.
    here
        Latitude and longitude to measure from. [deg]

    Notes
    -----
    The newest value may be years old: it keeps its time, and the rules check its age.
    """
    page = parse_page(body, provenance)
    return observations(page.readings, {**sites, **page.places}, here, provenance)


async def ask(client: Client, latitude: float, longitude: float) -> tuple[Observation, ...]:
    """Request the newest values of the gauges within reach; else from the older service."""
    within = greatest_distance(quantity for quantity, _ in PARAMETERS.values())
    try:
        return await _ask_newer(client, latitude, longitude, within)
    except (SourceError, DataError):
        older_query = gauges_legacy.query(latitude, longitude, within)
        older_parse = partial(gauges_legacy.parse, here=(latitude, longitude))
        return await client.read(gauges_legacy.PATH, older_query, older_parse, source="usgs_legacy")


async def _ask_newer(
    client: Client, latitude: float, longitude: float, within: float
) -> tuple[Observation, ...]:
    here = (latitude, longitude)
    pages, places = await ask_pages(client, here, within, query(*here, within))
    return tuple(
        observation
        for page in pages
        for observation in observations(page.readings, places, here, page.provenance)
    )


async def ask_pages(
    client: Client, here: tuple[float, float], within: float, asked: Mapping[str, str]
) -> tuple[list[Page], dict[str, Station]]:
    """Return every page of newest values around a place, and where each gauge of them is.

    Parameters
    ----------
    client
        Makes the requests.
    here
        Latitude and longitude. [deg]
    within
        Half the width of the box. [m]
    asked
        The query for the values.
    """
    pages = await _pages(client, LATEST, asked, parse_page)
    places = {name: gauge for page in pages for name, gauge in page.places.items()}
    sites = {reading.site for page in pages for reading in page.readings}
    if not sites <= places.keys():
        located = await _pages(client, LOCATIONS, query_locations(*here, within), parse_locations)
        places |= {name: gauge for page in located for name, gauge in page.places.items()}
        _require_places(sites - places.keys(), pages[0].provenance)
    return pages, places


def _require_places(unplaced: set[str], provenance: Provenance) -> None:
    if unplaced:
        raise DataError(
            f"{provenance.source}: the place of {len(unplaced)} gauges with values is unknown, for"
            f" example {min(unplaced)!r}. They may be the ones near you, so none is used."
        )


async def _pages(
    client: Client,
    path: str,
    first_query: Mapping[str, str],
    parse_one: Callable[[bytes, Provenance], Page],
) -> list[Page]:
    """Return every page of an answer; if one fails, all fail, so that no gauge is missed."""
    pages: list[Page] = []
    more: Mapping[str, str] | None = first_query
    while more is not None:
        if len(pages) == MOST_PAGES:
            raise DataError(
                f"{pages[0].provenance.source}: more than {MOST_PAGES} pages of gauges around one"
                " place. The list is not complete, so none is used."
            )
        pages.append(await client.read(path, more, parse_one, source="usgs"))
        more = pages[-1].next_query
    return pages


def _reading(feature: object) -> Reading | None:
    properties = feature.get("properties") if isinstance(feature, dict) else None
    if not isinstance(properties, dict) or "value" not in properties:
        return None
    remark = properties.get("qualifier")
    raw = properties["value"]
    return Reading(
        site=plain(properties.get("monitoring_location_id")),
        sensor=plain(properties.get("time_series_id")),
        described="",
        parameter=plain(properties.get("parameter_code")),
        value=number(raw),
        unit=plain(properties.get("unit_of_measure")),
        given=raw not in (None, "") and number(raw) != NO_VALUE,
        time=instant(properties.get("time")),
        qualifiers=remarks([remark] if isinstance(remark, str) else remark),
    )


def _station(feature: Any) -> Station | None:
    match feature:
        case {
            "geometry": {"coordinates": [longitude, latitude, *_]},
            "properties": dict() as properties,
        }:
            name = plain(properties.get("monitoring_location_id") or feature.get("id"))
            label = plain(properties.get("monitoring_location_name"))
            return Station.of(name, label, number(latitude), number(longitude)) if name else None
        case _:
            return None

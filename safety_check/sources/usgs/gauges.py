"""River and lake gauges of the US Geological Survey: water temperature and discharge.

The newer service is asked first, the older one in its stead. Gauges stand in the
channel near a bank; the surface of a lake may be warmer or colder.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import TYPE_CHECKING, Any
from urllib.parse import parse_qsl

from pydantic import Field

from safety_check.errors import DataError, SourceError
from safety_check.model.weather import Observation, Provenance
from safety_check.sources.answers import Answer, instant, link, number, read
from safety_check.sources.stations import Station, greatest_distance
from safety_check.sources.usgs import gauges_legacy
from safety_check.sources.usgs.readings import (
    PARAMETERS,
    Reading,
    box,
    observations,
    plain,
    remarks,
)

if TYPE_CHECKING:
    from safety_check.sources.http.client import Client

# Version 0 of the newer service: a version 1 is said to have come in 2026, not seen yet.
LATEST = "/ogcapi/v0/collections/latest-continuous/items"
LOCATIONS = "/ogcapi/v0/collections/monitoring-locations/items"
PAGE = 1000
MOST_PAGES = 4


class Collection(Answer):
    """A page of features; nothing found is an empty list."""

    features: list[dict[str, Any]]
    links: list[dict[str, Any]] = Field(default_factory=list)


def query(latitude: float, longitude: float, within: float) -> dict[str, str]:
    """Return what to ask for the newest values of all gauges in a box around a place."""
    return query_locations(latitude, longitude, within) | {"parameter_code": ",".join(PARAMETERS)}


def query_locations(latitude: float, longitude: float, within: float) -> dict[str, str]:
    """Return what to ask for the gauges in a box around a place."""
    return {"bbox": box(latitude, longitude, within), "limit": str(PAGE), "f": "json"}


def next_page(body: bytes, provenance: Provenance) -> dict[str, str] | None:
    """Return what to ask for the page after this one; None where it is the last."""
    links = read(body, Collection, provenance.source).links
    more = [each.get("href") for each in links if each.get("rel") == "next"]
    return dict(parse_qsl(link(more[0]).query)) if more else None


def parse_locations(body: bytes, provenance: Provenance) -> dict[str, Station]:
    """Return the gauges of a page by their number."""
    found = (_station(each) for each in read(body, Collection, provenance.source).features)
    return {each.name: each for each in found if each}


def parse(
    body: bytes,
    provenance: Provenance,
    sites: Mapping[str, Station],
    here: tuple[float, float],
) -> tuple[Observation, ...]:
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
    "Newest" may be years old: the time stays with the value, and the rules weigh it.
    """
    features = read(body, Collection, provenance.source).features
    places = dict(sites) | {each.name: each for each in map(_station, features) if each}
    readings = (_reading(each.get("properties")) for each in features)
    return observations((each for each in readings if each), places, here, provenance)


async def ask(client: Client, latitude: float, longitude: float) -> tuple[Observation, ...]:
    """Ask for the newest values of the gauges within reach; the older service stands in."""
    within = greatest_distance(quantity for quantity, _ in PARAMETERS.values())
    try:
        return await _ask_newer(client, latitude, longitude, within)
    except (SourceError, DataError):
        asked = gauges_legacy.query(latitude, longitude, within)
        meant = partial(gauges_legacy.parse, here=(latitude, longitude))
        return await client.read(gauges_legacy.PATH, asked, meant, source="usgs_legacy")


async def _ask_newer(
    client: Client, latitude: float, longitude: float, within: float
) -> tuple[Observation, ...]:
    here = (latitude, longitude)
    bodies = await _pages(client, LATEST, query(latitude, longitude, within))
    seen = [each for page in bodies for each in parse(*page, {}, here)]
    if all(each.distance is not None for each in seen):
        return tuple(seen)
    asked = query_locations(latitude, longitude, within)
    sites = {
        name: site
        for page in await _pages(client, LOCATIONS, asked)
        for name, site in parse_locations(*page).items()
    }
    return tuple(each for page in bodies for each in parse(*page, sites, here))


async def _pages(
    client: Client, path: str, asked: dict[str, str]
) -> list[tuple[bytes, Provenance]]:
    """Return every page of an answer; one that fails fails them all, lest some be missed."""
    pages: list[tuple[bytes, Provenance]] = []
    more: dict[str, str] | None = asked
    while more is not None:
        if len(pages) == MOST_PAGES:
            raise DataError(
                f"{pages[0][1].source}: more than {MOST_PAGES} pages of gauges around one place."
                " The list is not complete, so none is taken."
            )
        pages.append(await client.get(path, more, source="usgs"))
        more = next_page(*pages[-1])
    return pages


def _reading(properties: object) -> Reading | None:
    if not isinstance(properties, dict):
        return None
    remark = properties.get("qualifier")
    return Reading(
        site=plain(properties.get("monitoring_location_id")),
        sensor=plain(properties.get("time_series_id")),
        described="",
        parameter=plain(properties.get("parameter_code")),
        value=number(properties.get("value")),
        unit=plain(properties.get("unit_of_measure")),
        time=instant(properties.get("time")),
        qualifiers=remarks([remark] if isinstance(remark, str) else remark),
    )


def _station(feature: Mapping[str, Any]) -> Station | None:
    match feature:
        case {
            "geometry": {"coordinates": [longitude, latitude, *_]},
            "properties": dict() as properties,
        }:
            name = properties.get("monitoring_location_id") or feature.get("id")
            label = plain(properties.get("monitoring_location_name"))
            return Station.of(plain(name), label, number(latitude), number(longitude))
        case _:
            return None

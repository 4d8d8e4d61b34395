"""Waters by name from OpenStreetMap (documentation: nominatim.org/release-docs/latest/api/Search/).

Asked only for what a user has typed and sent off, when a water is added; never while typing, and
never in a check. The answer is stored.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text
from safety_check.model.place import is_on_earth
from safety_check.sources.answers import Answer, number, read

if TYPE_CHECKING:
    from safety_check.model.weather import Provenance
    from safety_check.sources.http.client import Client

PATH = "/search"
MOST = 20  # of 40 that the service allows: waters of one name are fewer
LONGEST_NAME = 200  # characters of a search
SHAPES = ("way", "relation")
KINDS = (("natural", "water"), ("water", ""), ("landuse", "reservoir"), ("waterway", "riverbank"))


class Answered(Answer):
    """What the service answers: the best match first."""

    places: list[dict[str, Any]]


@dataclass(frozen=True)
class NamedWater:
    """A water that has the name.

    Parameters
    ----------
    name, where
        Its name, and the same with county, state and country.
    kind
        Such as lake or reservoir; "water" where the map does not say.
    osm_type, osm_id
        Of the outline to ask for: "way" or "relation", and its number.
    latitude, longitude
        A place on it or near its middle. [deg]
    """

    name: str
    where: str
    kind: str
    osm_type: str
    osm_id: int
    latitude: float
    longitude: float


def query(name: str) -> dict[str, str]:
    """Return the query for waters of a name, with or without state and country."""
    asked = " ".join(name.split())[:LONGEST_NAME]
    return {"q": asked, "format": "jsonv2", "limit": str(MOST), "layer": "natural,manmade"}


def parse(body: bytes, provenance: Provenance, name: str) -> tuple[NamedWater, ...]:
    """Return the waters of an answer, the best match first.

    Raises
    ------
    DataError
        Where the answer can't be read, or no water has the name.
    """
    answer = read(b'{"places":' + body + b"}", Answered, provenance.source)
    found = [water for place in answer.places if (water := _water(place)) is not None]
    if not found:
        others = [where for place in answer.places if (where := _text(place, "display_name"))]
        also = f" It found {others[0]}, which is not a lake or reservoir." if others else ""
        raise DataError(
            f"{provenance.source}: no lake or reservoir named {name!r} was found.{also} Add the"
            ' state or country, as in "Orvel Lake, Minnesota", or give coordinates with --near'
            " LAT,LON."
        )
    return tuple({(water.osm_type, water.osm_id): water for water in found}.values())


async def ask(client: Client, name: str) -> tuple[NamedWater, ...]:
    """Ask for the waters of a name."""
    return await client.read(PATH, query(name), partial(parse, name=name), source="nominatim")


def _water(place: dict[str, Any]) -> NamedWater | None:
    """Return a place that is a water with an outline; None for any other."""
    category, kind = (_text(place, key) for key in ("category", "type"))
    identity = place.get("osm_id")
    wet = any(category == key and value in ("", kind) for key, value in KINDS)
    numbered = isinstance(identity, int) and 0 < identity < 2**63  # as the map numbers its parts
    shaped = _text(place, "osm_type") in SHAPES and numbered
    latitude, longitude = number(place.get("lat")), number(place.get("lon"))
    if not (wet and shaped and is_on_earth(latitude, longitude)):
        return None
    where = _text(place, "display_name")
    return NamedWater(
        name=_text(place, "name") or where.partition(",")[0],
        where=where,
        kind=kind,
        osm_type=_text(place, "osm_type"),
        osm_id=int(place["osm_id"]),
        latitude=latitude,
        longitude=longitude,
    )


def _text(place: dict[str, Any], key: str) -> str:
    value = place.get(key)
    return clean_text(value) if isinstance(value, str) else ""

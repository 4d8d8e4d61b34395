"""Build a water from a file or the map, and store it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from safety_check.errors import PlanError
from safety_check.model.place import Launch, Water, is_on_earth
from safety_check.settings.settings import Settings
from safety_check.use_cases.saved_plans import require_free_name
from safety_check.waters import files
from safety_check.waters.add import from_geometry
from safety_check.waters.feature_files import SUFFIXES, read_features
from safety_check.waters.geojson import LONGEST_NAME, describe, launches_in

if TYPE_CHECKING:
    from safety_check.sources.openstreetmap.overpass import Found, Outline

UNNAMED = "my lake"
LONGEST_LIST = 10  # how many waters of a name are shown
FLOWS = "the map says that it flows, so its ends are not shores"


def from_outline(
    name: str,
    found: Found,
    outline: Outline,
    launches: Sequence[Launch] = (),
    depth: float | None = None,
) -> Water:
    """Return the water of an outline on the map.

    Parameters
    ----------
    name
        The user's name for it; empty to use the name on the map.
    found, outline
        What the map answered, and which of its outlines.
    launches, depth
        As in `waters.add.from_geometry`.
    """
    credit = f"{found.provenance.attribution} ({outline.osm_id})"
    name = name or describe(outline.name, LONGEST_NAME) or UNNAMED
    water = from_geometry(name, outline.geometry, launches, depth, credit, outline.osm_id)
    return replace(water, repairs=(*water.repairs, FLOWS)) if outline.flowing else water


def store_water(water: Water, settings: Settings) -> bool:
    """Write a water's file; return whether it replaced one of the same name.

    Raises
    ------
    PlanError
        Where a saved plan has that name, or another water has nearly the same.
    """
    require_free_name(water.name, settings)
    folder = settings.folders.waters
    replaced = files.known(water.name, folder)
    files.save(water, folder)
    return replaced


def describe_outline(outline: Outline) -> str:
    """Return an outline on the map in words: name, kind, area, islands, distance."""
    polygons: Any = outline.geometry["coordinates"]
    polygons = [polygons] if outline.geometry["type"] == "Polygon" else polygons
    islands = sum(len(polygon) - 1 for polygon in polygons)
    flows = ", flowing: its ends are not shores" if outline.flowing else ""
    away = f", {outline.distance:.0f} m away" if outline.distance else ""
    return (
        f"{outline.name or 'unnamed'} ({outline.kind}{flows}): {outline.area / 1e6:.2f} km²,"
        f" {islands} {'island' if islands == 1 else 'islands'}{away}, {outline.osm_id}"
    )


def read_launches(texts: Sequence[str]) -> list[Launch]:
    """Return launches from "NAME=LAT,LON", or from the points of GeoJSON, GPX or KML files."""
    found: list[Launch] = []
    for text in texts:
        path = Path(text)
        if path.suffix.lower() in SUFFIXES:
            found += launches_in(read_features(path), path.name)
        else:
            found.append(read_launch(text))
    return found


def read_launch(text: str) -> Launch:
    """Return a launch from "NAME=LAT,LON"."""
    name, _, at = text.rpartition("=")
    try:
        latitude, longitude = (float(part) for part in at.split(","))
    except ValueError:
        raise PlanError(
            f'launch {text!r} can\'t be read. Write NAME=LATITUDE,LONGITUDE: "ramp=43.201,-72.105",'
            " or the name of a GeoJSON, GPX or KML file with points."
        ) from None
    name = name.strip()
    sound = name and describe(name, LONGEST_NAME) == name
    if not (sound and is_on_earth(latitude, longitude)):
        raise PlanError(
            f"launch {text!r} is not a named point on Earth. Write NAME=LATITUDE,LONGITUDE,"
            " latitude first."
        )
    return Launch(name, latitude, longitude)

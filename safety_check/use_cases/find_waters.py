"""Find waters that the user may mean, in a file or on the map, to choose one and build it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from safety_check.errors import PlanError, SeveralWatersError
from safety_check.model.place import Water
from safety_check.settings.settings import Settings
from safety_check.use_cases.new_water import LONGEST_LIST, describe_outline, from_outline
from safety_check.waters.add import ShapeFile, from_features
from safety_check.waters.feature_files import features_in
from safety_check.waters.geojson import LONGEST_NAME, describe
from safety_check.waters.pick import pick_shape, shape_name

Place = tuple[float, float]  # latitude, longitude
LONGEST_CHOICE = 60  # waters of one file


@dataclass(frozen=True)
class Candidate:
    """A water that the user may mean.

    Parameters
    ----------
    title
        In words, to choose from.
    name
        What it is called where it was found; empty where it has no name.
    build
        Returns it without launches but those of its file, from the user's name and its depth
        [m]; it may ask a service.
    """

    title: str
    name: str
    build: Callable[[str, float | None], Water]


@dataclass(frozen=True)
class Candidates:
    """What was found.

    Parameters
    ----------
    options
        The best first; at least one.
    notes
        What cannot be used, and the credit of the search.
    near
        Where the user looked; None for a file or a name.
    """

    options: tuple[Candidate, ...]
    notes: tuple[str, ...] = ()
    near: Place | None = None


def in_file(content: bytes, name: str) -> Candidates:
    """Return the waters of a GeoJSON, GPX or KML file.

    Points of the file that are not at the shore are left out, with a note in the water.

    Parameters
    ----------
    content
        All of it.
    name
        Of the file: its ending says what it is, and messages name it. It is not a path.

    Raises
    ------
    ConfigError
        Where it cannot be read, or has no water.
    """
    called = describe(name.replace("\\", "/").rpartition("/")[2], LONGEST_NAME) or "the file"
    file = ShapeFile(called, features_in(content, called))
    try:
        named = shape_name(pick_shape(file.features, called))
    except SeveralWatersError as several:
        shown, rest = several.names[:LONGEST_CHOICE], several.names[LONGEST_CHOICE:]
        more = f"The file has {len(rest)} more waters. Export only yours to choose another."
        options = tuple(_of_file(file, one, one) for one in shown)
        return Candidates(options, (more,) if rest else ())
    return Candidates((_of_file(file, named, None),))


def _of_file(file: ShapeFile, name: str, pick: str | None) -> Candidate:
    def build(called: str, depth: float | None) -> Water:
        return from_features(called, file, depth, (), pick, every_launch=False)

    return Candidate(name or file.name, name, build)


def near_place(place: Place, settings: Settings) -> Candidates:
    """Return the waters on the map at a place, the nearest first.

    Raises
    ------
    PlanError
        Where there is none.
    SourceError, DataError
        Where the service fails, or its answer can't be used.
    """
    from safety_check.sources.openstreetmap import nearby

    found = nearby.find_waters(*place, settings)
    if not found.outlines:
        raise PlanError(
            "OpenStreetMap has no usable water there. Give a point on the water or at its shore,"
            " or a file with the shoreline.",
            field="near",
        )

    def build(number: int, called: str, depth: float | None) -> Water:
        return from_outline(called, found, found.outlines[number], (), depth)

    options = tuple(
        Candidate(describe_outline(one), describe(one.name, LONGEST_NAME), partial(build, number))
        for number, one in enumerate(found.outlines)
    )
    notes = [f"Not usable: {refused}" for refused in found.refused]
    return Candidates(options, (*notes, found.provenance.attribution), place)


def of_name(name: str, settings: Settings) -> Candidates:
    """Return the waters of a name on the map, the best match first.

    Raises
    ------
    SourceError, DataError
        Where the service fails, or no water has that name.
    """
    from safety_check.sources.openstreetmap import nearby
    from safety_check.sources.registry import load_sources

    waters = nearby.find_named(name, settings)[:LONGEST_LIST]

    def build(number: int, called: str, depth: float | None) -> Water:
        found = nearby.find_outline(waters[number], settings)
        return from_outline(called, found, found.outlines[0], (), depth)

    options = tuple(
        Candidate(f"{water.where} ({water.kind})", water.name, partial(build, number))
        for number, water in enumerate(waters)
    )
    return Candidates(options, (f"Search: {load_sources()['nominatim'].attribution}",))

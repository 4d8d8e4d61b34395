"""Pick the water that is meant from a file with several."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from safety_check.errors import ConfigError, LaunchError, SeveralWatersError
from safety_check.model.place import Launch
from safety_check.settings.spelling import suggest_spelling
from safety_check.waters.geojson import LONGEST_NAME, describe

POLYGONS = ("Polygon", "MultiPolygon")
SHOWN = 8  # how many names an error lists


def pick_shape(
    found: Sequence[Mapping[str, Any]], file: str, pick: str | None = None
) -> Mapping[str, Any]:
    """Return the shape of the only water of a file, or of the one that is picked.

    Parameters
    ----------
    found
        The features of the file.
    file
        Its name, for the messages.
    pick
        The name of a water in it, or its number; None where the user named none.

    Raises
    ------
    ConfigError
        Where there is no water, or none of that name; SeveralWatersError where there are
        several.
    """
    shapes = [feature for feature in found if feature["geometry"]["type"] in POLYGONS]
    if not shapes:
        _refuse_without_area(found, file)
    names = _names(shapes)
    if pick is not None:
        return shapes[_position(pick, names, file)]
    if len(shapes) == 1:
        return shapes[0]
    listed = ", ".join(repr(name) for name in names[:SHOWN])
    more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
    raise SeveralWatersError(
        f"{file}, features: it has {len(shapes)} polygons, and a water is exactly one (islands"
        f" are its holes). Name the one you want with --pick: {listed}{more}.",
        tuple(names),
    )


def launches_of(
    shape: Mapping[str, Any],
    launches: Sequence[Launch],
    found: Sequence[Mapping[str, Any]],
    file: str,
    every_launch: bool = True,
) -> tuple[list[Launch], list[str]]:
    """Return a file's launches, and a note on those that belong to other waters of the file.

    In a file with one water every launch belongs to it, and one that is off the shore is an
    error of the file, unless not every launch is wanted.
    """
    alone = sum(feature["geometry"]["type"] in POLYGONS for feature in found) == 1
    if alone and every_launch:
        return list(launches), []
    from safety_check.waters.launches import require_launch_at_shore
    from safety_check.waters.shoreline import check_shoreline

    rings, _ = check_shoreline(shape["geometry"], file)
    near = []
    for launch in launches:
        try:
            require_launch_at_shore(launch, rings, file)
        except (LaunchError, ConfigError):
            continue
        near.append(launch)
    left_out = len(launches) - len(near)
    points = "1 point that is" if left_out == 1 else f"{left_out} points that are"
    return near, [f"left out {points} not at this shore"] if left_out else []


def _refuse_without_area(found: Sequence[Mapping[str, Any]], file: str) -> None:
    if any(feature["geometry"]["type"].endswith("LineString") for feature in found):
        raise ConfigError(
            f"{file}, features: it has lines but no polygon, and a water is an area. Close the"
            " shoreline into one Polygon and try again; a track around the water must end where it"
            " began."
        )
    raise ConfigError(
        f"{file}, features: it has 0 polygons, and a water is exactly one (islands are its holes)."
        " Export the outline of the water and try again."
    )


def _names(shapes: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return a name for each shape, made different by a number where it is not."""
    names = [shape_name(shape) or "unnamed" for shape in shapes]
    return [
        name if names.count(name) == 1 else f"{name} {names[: place + 1].count(name)}"
        for place, name in enumerate(names)
    ]


def shape_name(shape: Mapping[str, Any]) -> str:
    """Return the name of a shape in its file; empty where it has none."""
    properties = shape.get("properties")
    named = properties.get("name") if isinstance(properties, dict) else None
    return describe(named, LONGEST_NAME)


def _position(pick: str, names: Sequence[str], file: str) -> int:
    folded = [name.casefold() for name in names]
    if pick.casefold() in folded:
        return folded.index(pick.casefold())
    if pick.isascii() and pick.isdigit() and 1 <= int(pick) <= len(names):
        return int(pick) - 1
    listed = ", ".join(repr(name) for name in names[:SHOWN])
    raise ConfigError(
        f"{file}, --pick {pick!r}: no water of this name is in the file."
        f"{suggest_spelling(pick, names)} It has {listed}."
    )

"""The user's waters, stored as one GeoJSON file each."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.errors import ConfigError, PlanError
from safety_check.model.place import HIGHEST, LOWEST, FetchTable, Launch, Water, is_on_earth
from safety_check.model.water_estimate import DEPTH_CLASSES, EXCLUSIONS, EstimateBasis
from safety_check.settings import toml_file
from safety_check.settings.private_files import only_change
from safety_check.settings.spelling import suggest_spelling
from safety_check.waters.add import DEEPEST, LONGEST_FETCH, polygons_of
from safety_check.waters.geojson import launches_in, read_json, require_text
from safety_check.waters.movement import (
    keep_movement,
    movement_as_json,
    read_kind,
    read_mark,
    with_dries,
)
from safety_check.waters.notes import read_drive, read_rules

LONGEST_FILE = 255  # bytes that common file systems take for a name


def slug(name: str) -> str:
    """Return a file name for a water's name.

    Examples
    --------
    >>> slug("Løn Bay / north")
    'løn-bay-north'
    """
    return re.sub(r"[^\w]+", "-", name.casefold()).strip("-_") or "water"


def save(water: Water, folder: Path) -> Path:
    """Write a new water's file completely or not at all; one with the same name is replaced.

    What the user declared of a water that is replaced stays, unless the new one says it anew.

    Raises
    ------
    PlanError
        Where its file is that of a water with another name.
    """
    path = folder / f"{slug(water.name)}.geojson"
    with only_change(folder):
        before = _before(path)
        if before is not None and before.name != water.name:
            raise PlanError(
                f"{water.name!r}: this is too similar to {before.name!r}, which exists already."
                " Choose another name, or remove that water first.",
                field="name",
            )
        return _write(water if before is None else _with_declared(water, before), folder)


def _with_declared(water: Water, before: Water) -> Water:
    """Return a water with what the user declared of the one that it replaces."""
    return replace(
        keep_movement(water, before),
        rules=before.rules,
        drive=before.drive,
        elevation=before.elevation if water.elevation is None else water.elevation,
        estimate=water.estimate or before.estimate,
    )


def change(name: str, folder: Path, edit: Callable[[Water], Water]) -> Water:
    """Apply an edit to a known water, which no other run changes meanwhile; return it as it is now.

    Parameters
    ----------
    name, folder
        As for `load`.
    edit
        A function that takes the water and returns the changed one.
    """
    with only_change(folder):
        water = edit(load(name, folder))
        _write(water, folder)
    return water


def _write(water: Water, folder: Path) -> Path:
    path = folder / f"{slug(water.name)}.geojson"
    toml_file.save(path, json.dumps(_as_geojson(water), ensure_ascii=False, allow_nan=False))
    return path


def _before(path: Path) -> Water | None:
    """Return the water in a file; None where there is none, or it can't be read."""
    try:
        return load_file(path) if path.exists() else None
    except ConfigError:
        return None


def names(folder: Path) -> list[str]:
    """Return the names of the waters in a folder, in order."""
    return sorted(load_file(path).name for path in folder.glob("*.geojson"))


def known(name: str, folder: Path) -> bool:
    """Return whether there is a water's file of a name."""
    file = f"{slug(name)}.geojson"
    return len(file) <= LONGEST_FILE and (folder / file).exists()


def load(name: str, folder: Path) -> Water:
    """Return a water by name.

    Raises
    ------
    PlanError
        Where it is not known, with the nearest name that is.
    """
    if not known(name, folder):
        others = names(folder)
        listed = (
            f" Known waters: {', '.join(others)}." if others else " No water has been added yet."
        )
        raise PlanError(
            f"{name!r} is not known.{suggest_spelling(name, others)}{listed}",
            field="water",
            remedy=f'Add it with: safety-check water add "{name}" --find "{name}"',
        )
    return load_file(folder / f"{slug(name)}.geojson")


def remove(name: str, folder: Path) -> None:
    """Delete a water's file, also one that can no longer be read."""
    if not known(name, folder):
        load(name, folder)  # its error lists the known waters
    with only_change(folder):
        (folder / f"{slug(name)}.geojson").unlink()


def load_file(path: Path) -> Water:
    """Return the water in a file that `save` wrote, read as strictly as any other."""
    answer = read_json(path)
    try:
        own = answer["properties"]
        table = own.get("fetch_table")
        launches = with_dries(launches_in(answer["features"], path.name), answer["features"])
        shapes = [
            feature
            for feature in answer["features"]
            if feature["geometry"]["type"] == "MultiPolygon"
        ]
        return Water(
            name=require_text(own["name"]),
            time_zone=ZoneInfo(own["time_zone"]).key,
            launches=launches,
            shoreline=tuple(
                _ring(ring)
                for shape in shapes
                for polygon in shape["geometry"]["coordinates"]
                for ring in polygon
            ),
            fetch_table=_fetch_table(table) if table else None,
            depth=_depth(own["depth_m"]),
            attribution=require_text(own["attribution"]),
            repairs=tuple(map(require_text, own["repairs"])),
            elevation=_elevation(own.get("elevation_m")),
            estimate=_estimate(own.get("estimate")),
            rules=read_rules(own),
            drive=read_drive(own),
            kind=read_kind(own),
            bar=read_mark(own, "bar"),
            dam=read_mark(own, "dam"),
        )
    except (
        *(LookupError, TypeError, ValueError, ArithmeticError, AttributeError),
        OSError,  # of a time zone whose name no file can have
    ) as trouble:
        raise ConfigError(
            f"{path.name} is not a water file of this program ({trouble!r} is wrong or missing)."
            " Add the water again from its shoreline."
        ) from trouble


def _ring(said: Any) -> FloatArray:
    ring = np.array(said, dtype=float)
    if ring.ndim != 2 or ring.shape[1] != 2 or len(ring) < 4 or (ring[0] != ring[-1]).any():
        raise ValueError("a ring is not closed, or a position is not two numbers")
    return ring


def _fetch_table(said: Any) -> FetchTable:
    bearing, fetch = (np.array(column, dtype=float) for column in said)
    sound = (bearing >= 0) & (bearing <= 360) & (fetch >= 0) & (fetch <= LONGEST_FETCH)
    if not sound.size or sound.ndim != 1 or not sound.all():
        raise ValueError("fetch_table: a bearing or a length of open water is not a usable number")
    return FetchTable(bearing, fetch)


def _depth(value: Any) -> float | None:
    if value is not None and not 0 < float(value) < DEEPEST:
        raise ValueError(f"depth_m = {value!r}")
    return None if value is None else float(value)


def _elevation(said: Any) -> float | None:
    if said is not None and not LOWEST <= float(said) <= HIGHEST:
        raise ValueError(f"elevation_m = {said!r}")
    return None if said is None else float(said)


def _estimate(said: Any) -> EstimateBasis | None:
    """Return what allows an estimate of the water's temperature, read as strictly as the rest."""
    if said is None:
        return None
    depth = str(said["depth"])
    excluded = None if said["excluded"] is None else tuple(map(str, said["excluded"]))
    metres = None if said["mean_depth_m"] is None else float(said["mean_depth_m"])
    if depth not in (*DEPTH_CLASSES, "") or not set(excluded or ()) <= set(EXCLUSIONS):
        raise ValueError(f"estimate: depth {depth!r}, excluded {excluded!r}")
    if metres is not None and not 0 < metres < DEEPEST:
        raise ValueError(f"estimate: mean_depth_m {metres!r}")
    return EstimateBasis(depth, metres, excluded)


def _estimate_as_json(basis: EstimateBasis) -> dict[str, Any]:
    return {
        "depth": basis.depth,
        "mean_depth_m": basis.mean_depth,
        "excluded": None if basis.excluded is None else list(basis.excluded),
    }


def _as_geojson(water: Water) -> dict[str, Any]:
    features: list[dict[str, Any]] = [
        {
            "type": "Feature",
            "properties": {"name": launch.name}
            | ({} if launch.dries is None else {"dries_m": launch.dries}),
            "geometry": {"type": "Point", "coordinates": [launch.longitude, launch.latitude]},
        }
        for launch in water.launches
    ]
    if water.shoreline:
        polygons = [[ring.tolist() for ring in polygon] for polygon in polygons_of(water.shoreline)]
        shape = {"type": "MultiPolygon", "coordinates": polygons}
        features.insert(0, {"type": "Feature", "properties": {}, "geometry": shape})
    table = water.fetch_table
    return {
        "type": "FeatureCollection",
        "properties": {
            "name": water.name,
            "time_zone": water.time_zone,
            "depth_m": water.depth,
            "elevation_m": water.elevation,
            "attribution": water.attribution,
            "repairs": list(water.repairs),
            "fetch_table": [table.bearing.tolist(), table.fetch.tolist()] if table else None,
            "rules": [asdict(rule) for rule in water.rules],
            "drive_s": water.drive,
            **movement_as_json(water),
            "estimate": _estimate_as_json(water.estimate) if water.estimate else None,
        },
        "features": features,
    }


def launch_named(water: Water, name: str | None) -> Launch:
    """Return a launch by name, the only one where none is named, or a "LAT,LON" point."""
    if name is None and len(water.launches) == 1:
        return water.launches[0]
    found = next((launch for launch in water.launches if launch.name == name), None)
    if found:
        return found
    if name and (point := re.fullmatch(r"\s*(-?\d+\.?\d*)\s*,\s*(-?\d+\.?\d*)\s*", name)):
        launch = Launch(name.replace(" ", ""), float(point[1]), float(point[2]))
        _require_known_place(launch, water)
        return launch
    launches = [launch.name for launch in water.launches]
    if not launches:
        raise PlanError(
            f"{water.name} has no launch yet. Give a point (latitude, longitude), or add the"
            " water again with its launches.",
            field="--launch",
        )
    if name is None:
        raise PlanError(
            f"{water.name} has more than one launch. Name one: {', '.join(launches)}.",
            field="--launch",
        )
    raise PlanError(
        f"{name!r} is not known on {water.name}.{suggest_spelling(name, launches)} Name one:"
        f" {', '.join(launches)}.",
        field="--launch",
    )


def _require_known_place(launch: Launch, water: Water) -> None:
    from safety_check.waters.launches import (
        require_launch_at_shore,
        require_launch_of_table,
    )  # imported only where geometry is needed

    if not is_on_earth(launch.latitude, launch.longitude):
        raise PlanError(
            f"{launch.name!r} is not a place on Earth. Latitude comes first.", field="--launch"
        )
    if water.shoreline:
        require_launch_at_shore(launch, water.shoreline, water.name)
    elif water.launches:
        require_launch_of_table(launch, water)

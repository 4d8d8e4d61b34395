"""The launches of a survey, from CSV, Parquet or GeoJSON."""

from __future__ import annotations

import csv
import json
import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from safety_check.errors import ConfigError, SafetyCheckError
from safety_check.model.place import Launch, Water, WaterKind
from safety_check.units import parse
from safety_check.waters.add import from_file, from_geometry, from_sectors
from safety_check.waters.geojson import LONGEST_NAME, describe

REQUIRED = ("name", "latitude", "longitude")
OPTIONAL = (
    *("fetch", "shoreline", "water", "depth", "kind"),
    *("craft", "reach", "water_temperature", "elevation"),
)


@dataclass(frozen=True)
class SurveyLaunch:
    """A launch to judge.

    Parameters
    ----------
    name
        Its own name in the table.
    water
        With this launch alone.
    craft, reach, water_temperature
        In words, as on the command line; empty where the table does not say.
    """

    name: str
    water: Water
    craft: str = ""
    reach: str = ""
    water_temperature: str = ""


@dataclass(frozen=True)
class RefusedRow:
    """A row that can't be judged, and why."""

    row: int
    name: str
    why: str


def read_launches(path: Path) -> tuple[list[SurveyLaunch], list[RefusedRow]]:
    """Return the launches of a table, and the rows that can't be used.

    Parameters
    ----------
    path
        CSV with a heading, Parquet, or GeoJSON whose points are the launches and whose polygons,
        named by `name`, are the waters that a launch names by `water`.

    Raises
    ------
    ConfigError
        Where the file can't be read as a table, lacks a column, or has no launches.
    """
    rows, shapes = _rows(path)
    _require_columns(rows, path)
    names = Counter(str(row.get("name") or "") for row in rows)
    found: list[SurveyLaunch] = []
    refused: list[RefusedRow] = []
    for number, row in enumerate(rows, start=1):
        name = str(row.get("name") or "").strip()
        try:
            if names[str(row.get("name") or "")] > 1:
                raise ConfigError(f"the name {name!r} stands in {names[name]} rows; use each once")
            found.append(_launch(name, row, shapes, path))
        except SafetyCheckError as trouble:
            refused.append(RefusedRow(number, describe(name, LONGEST_NAME), str(trouble)))
    return found, refused


def _rows(path: Path) -> tuple[list[dict[str, Any]], dict[str, Mapping[str, Any]]]:
    """Return the rows of a table, and the shapes of a GeoJSON file by name."""
    ending = path.suffix.lower()
    try:
        if ending == ".csv":
            with path.open(encoding="utf-8-sig", newline="") as file:
                return [{**row} for row in csv.DictReader(file)], {}
        if ending == ".parquet":
            from pyarrow import parquet

            return parquet.read_table(path).to_pylist(), {}
        if ending in (".geojson", ".json"):
            return _features(json.loads(path.read_text(encoding="utf-8")))
    except (OSError, UnicodeDecodeError, ValueError, csv.Error, KeyError, TypeError) as trouble:
        raise ConfigError(
            f"{path.name} cannot be read as a table of launches: {trouble}. Give CSV with a"
            " heading, Parquet or GeoJSON."
        ) from trouble
    except ImportError as trouble:
        raise ConfigError(
            f"{path.name} needs pyarrow ({trouble}). Install it: pip install 'safety-check[survey]'"
        ) from trouble
    raise ConfigError(
        f"{path.name}: the ending {ending!r} is not known. Give .csv, .parquet or .geojson."
    )


def _features(document: Any) -> tuple[list[dict[str, Any]], dict[str, Mapping[str, Any]]]:
    rows: list[dict[str, Any]] = []
    shapes: dict[str, Mapping[str, Any]] = {}
    for feature in document["features"]:
        properties, geometry = feature.get("properties") or {}, feature.get("geometry") or {}
        if geometry.get("type") == "Point":
            longitude, latitude = geometry["coordinates"][:2]
            rows.append({**properties, "latitude": latitude, "longitude": longitude})
        elif geometry.get("type") in ("Polygon", "MultiPolygon"):
            shapes[str(properties.get("name", ""))] = geometry
    return rows, shapes


def _require_columns(rows: Sequence[Mapping[str, Any]], path: Path) -> None:
    if not rows:
        raise ConfigError(f"{path.name} has no launches. Give one in each row.")
    columns = {name for row in rows for name in row}
    missing = [name for name in REQUIRED if name not in columns]
    if missing:
        raise ConfigError(
            f"{path.name}: no column {' and no '.join(missing)}. Each launch needs"
            f' {", ".join(REQUIRED)}, and fetch ("N 300 m, E 2 km, …"), shoreline (a file) or'
            f" water (a polygon of a GeoJSON table); it may have {', '.join(OPTIONAL)}."
        )


def _launch(
    name: str, row: Mapping[str, Any], shapes: Mapping[str, Mapping[str, Any]], path: Path
) -> SurveyLaunch:
    said = {key: "" if row.get(key) is None else str(row[key]).strip() for key in OPTIONAL}
    for key, text in said.items():
        if not text.isprintable():
            raise ConfigError(f"{key} {text[:40]!r}: give printable characters")
    if not 0 < len(name) <= LONGEST_NAME:
        raise ConfigError(f"name {name[:40]!r}: give 1 to {LONGEST_NAME} characters")
    launch = Launch(name, _degrees(row, "latitude", 90), _degrees(row, "longitude", 180))
    depth = parse(said["depth"], "length", "depth") if said["depth"] else None
    water = _water(launch, said, shapes, depth, path)
    elevation = parse(said["elevation"], "length", "elevation") if said["elevation"] else None
    water = replace(water, kind=_kind(said["kind"]), elevation=elevation)
    return SurveyLaunch(name, water, said["craft"], said["reach"], said["water_temperature"])


def _degrees(row: Mapping[str, Any], key: str, most: float) -> float:
    try:
        value = float(row[key])
    except (KeyError, TypeError, ValueError):
        value = math.nan
    if not abs(value) <= most:
        raise ConfigError(f"{key} {row.get(key)!r}: give degrees from -{most:g} to {most:g}")
    return value


def _kind(text: str) -> WaterKind:
    try:
        return WaterKind(text or WaterKind.STILL)
    except ValueError:
        raise ConfigError(f"kind {text!r}: give {', '.join(WaterKind)}") from None


def _water(
    launch: Launch,
    said: Mapping[str, str],
    shapes: Mapping[str, Mapping[str, Any]],
    depth: float | None,
    path: Path,
) -> Water:
    """Return the water of a launch: by fetch, a file of its shore, or a shape of the table."""
    given = [key for key in ("fetch", "shoreline", "water") if said[key]]
    if len(given) != 1:
        raise ConfigError(
            f"{'nothing' if not given else ' and '.join(given)} says how open the water is; give"
            " one of fetch, shoreline and water"
        )
    if said["fetch"]:
        return from_sectors(launch.name, said["fetch"], launch, depth)
    if said["shoreline"]:
        file = path.parent / said["shoreline"]
        shore = from_file(launch.name, file, depth, (launch,))
        return replace(shore, launches=(launch,))
    if said["water"] not in shapes:
        raise ConfigError(f"water {said['water']!r}: {path.name} has no polygon of that name")
    return from_geometry(launch.name, shapes[said["water"]], (launch,), depth, "", path.name)

"""Read GeoJSON (RFC 7946) strictly enough that nothing in it is guessed."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from safety_check.errors import ConfigError
from safety_check.model.place import Launch

GREATEST_FILE = 50_000_000  # bytes


def read_json(path: Path) -> Any:
    """Return a JSON file of bounded size; ConfigError where it is none."""
    try:
        if path.stat().st_size > GREATEST_FILE:
            raise ConfigError(
                f"{path.name} holds more than {GREATEST_FILE // 1_000_000} MB, more than any lake's"
                " shore needs. Cut out the one water that is meant."
            )
        return json.loads(path.read_text(encoding="utf-8-sig"), parse_constant=_refuse_constant)
    except (OSError, UnicodeDecodeError) as trouble:
        raise ConfigError(f"{path.name} can't be read: {trouble}. Check the file.") from trouble
    except (ValueError, RecursionError) as trouble:
        raise ConfigError(
            f"{path.name} is not GeoJSON: {trouble}. Export it anew as GeoJSON (RFC 7946)."
        ) from trouble


def _refuse_constant(text: str) -> float:
    raise ValueError(f"{text} is no coordinate")


def features(answer: Any, file: str) -> list[dict[str, Any]]:
    """Return the features that have a geometry, whatever the file wraps them in."""
    kind = answer.get("type") if isinstance(answer, dict) else None
    if kind == "FeatureCollection" and isinstance(answer.get("features"), list):
        found = answer["features"]
    elif kind == "Feature":
        found = [answer]
    else:
        found = [{"type": "Feature", "properties": {}, "geometry": answer}]
    sound = [
        each
        for each in found
        if isinstance(each, dict)
        and isinstance(each.get("geometry"), dict)
        and isinstance(each["geometry"].get("type"), str)
    ]
    if not sound:
        raise ConfigError(
            f"{file}, type = {kind!r}: no feature with a geometry was found. A water's file is a"
            " GeoJSON FeatureCollection with one Polygon and a Point for each launch."
        )
    return sound


def launches_in(features: Sequence[Mapping[str, Any]], file: str) -> list[Launch]:
    """Return the points as launches, each with its name or a number."""
    points = [each for each in features if each["geometry"]["type"] == "Point"]
    return [_launch(each, number, file) for number, each in enumerate(points, 1)]


def _launch(feature: Mapping[str, Any], number: int, file: str) -> Launch:
    properties = feature.get("properties")
    named = properties.get("name") if isinstance(properties, dict) else None
    name = str(named or f"launch {number}")
    at = feature["geometry"].get("coordinates")
    if (
        not isinstance(at, list)
        or len(at) < 2
        or not all(isinstance(each, int | float) and math.isfinite(each) for each in at[:2])
    ):
        raise ConfigError(
            f"{file}, launch {name!r}, coordinates = {at!r}: they must be two numbers, longitude"
            " first. Correct the point."
        )
    return Launch(name, latitude=float(at[1]), longitude=float(at[0]))

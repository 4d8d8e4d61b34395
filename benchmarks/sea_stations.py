"""Write the places of sea stations for config/sea_stations.toml from recorded station lists.

Run with `python -m benchmarks.sea_stations LATEST_OBS STATIONS_JSON`: the newest values of all
stations of the National Data Buoy Center, and a station list of NOAA CO-OPS. It prints the
`places` of the US regions in coverage.toml; date, source and what the list lacks are written by
hand.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from pathlib import Path

from safety_check.sources.coverage import regions

Place = tuple[float, float]
GROUP = "united_states"  # both services are of the United States


def buoy_places(text: str) -> list[Place]:
    """Return latitude and longitude of each station in a list of newest values. [deg]."""
    rows = (line.split() for line in text.splitlines() if line and not line.startswith("#"))
    return [(float(row[1]), float(row[2])) for row in rows]


def tide_places(text: str) -> list[Place]:
    """Return latitude and longitude of each station in a list of tide stations. [deg]."""
    stations = json.loads(text)["stations"]
    return [(float(station["lat"]), float(station["lng"])) for station in stations]


def covered_places(places: Iterable[Place]) -> list[Place]:
    """Return the places in a US region of coverage.toml, sorted, to a hundredth of a degree."""
    here = {
        (round(north, 2), round(east, 2))
        for north, east in places
        if any(region.group == GROUP and region.holds(north, east) for region in regions())
    }
    return sorted(here)


def main() -> None:
    """Print the places as TOML."""
    latest, stations = (Path(name).read_text(encoding="latin-1") for name in sys.argv[1:3])
    places = covered_places([*buoy_places(latest), *tide_places(stations)])
    pairs = [f"[{north:g}, {east:g}]" for north, east in places]
    print("places = [")
    for first in range(0, len(pairs), 6):
        print("    " + ", ".join(pairs[first : first + 6]) + ",")
    print("]")


if __name__ == "__main__":
    main()

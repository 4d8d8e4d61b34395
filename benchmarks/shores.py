"""Waters of the seasons' benchmark: round invented lakes, and shorelines, with four launches."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.model.place import Launch, Water
from safety_check.waters.geojson import features, read_json
from safety_check.waters.projection import to_degrees
from safety_check.waters.shoreline import check_shoreline

LAKES = {"0.6 km": 600.0, "3 km": 3_000.0, "12 km": 12_000.0}
MIDDLE = (-90.0, 45.0)  # longitude and latitude of the invented lakes; any place will do
CORNERS = 72
SIDES = {"north": (0, 1), "east": (1, 0), "south": (0, -1), "west": (-1, 0)}
LONGEST = 0.6  # ° of latitude; larger lakes are drawn too coarsely here, and take minutes


def invented_lake(name: str) -> Water:
    """Return a round lake with a launch on each of four shores."""
    turn = np.radians(np.linspace(0.0, 360.0, CORNERS + 1))
    ring = LAKES[name] / 2 * np.column_stack([np.sin(turn), np.cos(turn)])
    ring[-1] = ring[0]
    return _with_launches(name, [to_degrees(ring, *MIDDLE)])


def real_lakes(folder: Path) -> Iterator[Water]:
    """Return the shorelines of a folder that are no larger than a big inland lake."""
    for path in sorted(folder.glob("*.geojson")):
        geometry = features(read_json(path), path.name)[0]["geometry"]
        rings, _ = check_shoreline(geometry, path.stem)
        if np.ptp(rings[0][:, 1]) <= LONGEST:
            aside = np.array([MIDDLE[0] - rings[0][:, 0].mean(), 0.0])  # to the invented morning
            yield _with_launches(path.stem, [ring + aside for ring in rings])


def _with_launches(name: str, rings: Sequence[FloatArray]) -> Water:
    shore = rings[0][:-1]
    launches = tuple(
        Launch(side, *shore[np.argmax(shore @ np.array(towards))][::-1].tolist())
        for side, towards in SIDES.items()
    )
    return Water(name, "America/Chicago", launches, shoreline=tuple(rings))

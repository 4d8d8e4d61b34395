"""Count the calls of Open-Meteo's free tier that a check and an outlook of five launches cost.

Run with `python -m benchmarks.calls`. The services are the fakes of the tests, so every request
that would be sent is counted by the service's own rule (`call_weight`). The five launches are on
an invented lake of 10 km. The last line is what one check costs where it costs most.
"""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

from safety_check.sources.gather import gather_briefing
from safety_check.sources.open_meteo.call_weight import call_weight
from tests.sources import fakes
from tests.sources.fake_server import Asked
from tests.sources.fakes import SAYS, Services
from tests.sources.gathering import question, settings, trip

COUNTED = ("open_meteo", "open_meteo_ensemble", "open_meteo_marine")
APART = 2.5 / 111.2  # degrees of latitude: launches 2.5 km apart, along a lake of 10 km
LAUNCHES = 5
PLACES = {
    "a lake of the northern plains, United States": (44.9, -99.6),
    "a lake near Toronto, Canada": (44.4, -79.4),
    "a fjord, Norway": (60.1, 6.5),
    "Lough Neagh, Northern Ireland": (54.6, -6.4),
    "Lake Constance": (47.6, 9.4),
    "Lake Geneva": (46.4, 6.5),
}

Place = tuple[float, float]


def calls_of(launches: Sequence[Place]) -> float:
    """Return what checks of all launches of one water cost, one after the other."""
    at = patch.object(fakes, "HERE", launches[0])  # where the answers of the services are for
    with at, Services() as services, tempfile.TemporaryDirectory() as folder:
        own = settings(services.addresses(), Path(folder))
        for here in launches:
            asked = replace(question(trip(), own), here=here, launches=tuple(launches))
            gather_briefing(replace(asked, places=(here,)), own)
        return sum(map(_weight, services.server.asked))


def _weight(request: Asked) -> float:
    counted = any(request.path in SAYS[name](False) for name in COUNTED)
    return call_weight(request.query) if counted else 0.0


def along_a_lake(first: Place) -> list[Place]:
    """Return five launches on a lake of 10 km."""
    return [(first[0] + number * APART, first[1]) for number in range(LAUNCHES)]


def main() -> None:
    """Print the calls at each place."""
    greatest = 0.0
    for name, here in PLACES.items():
        check, outlook = calls_of([here]), calls_of(along_a_lake(here))
        greatest = max(greatest, check)
        print(f"{name}: check {check:.1f}, outlook of five launches {outlook:.1f}")
    print(f"calls_of_a_check: {greatest:.1f}")


if __name__ == "__main__":
    main()

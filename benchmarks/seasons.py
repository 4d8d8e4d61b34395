"""The verdicts of the rules on the mornings of real seasons: `--buoys DIR` or `--invented DAYS`.

Run with `python -m benchmarks.seasons --buoys DIR`, a folder of the National Data Buoy Center's
season files. The measured wind and gusts, at ten metres, stand for a perfect forecast of a trip
from 06:00 to 11:00; everything else is benign: water of 22 °C, life jacket worn, no weather.
A morning is fine with wind under 8 mph and gusts under 12 mph all the time, a blow with wind of
15 mph or gusts of 22 mph at any hour, a breeze where its strongest wind is 8 to 11.5 mph.
Each craft class goes out on three round lakes, to three reaches, alone and in company, from a
launch on each of four shores; the shares are over mornings and launches together. `--lakes DIR`
adds a kayak alone on shorelines. Nothing is sampled, unless `--every N` asks for each Nth morning
only. The figures that have an aim are printed beside it, also for each season file and for the
earlier and later halves, so that a limit that fits one of them alone is seen. `--invented DAYS`
takes invented climates in place of the buoys. The last lines are the share of fine
mornings that a kayak alone is refused on 3 km and half a mile, and the number of blow mornings
that any outing permits.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from datetime import timedelta
from itertools import product
from pathlib import Path
from unittest.mock import patch

import numpy as np

from benchmarks.invented_seasons import invented_mornings
from benchmarks.mornings import FIRST, LAST, START, Mornings, as_briefing, read_mornings
from benchmarks.season_counts import ALL, Count, Outing, chosen, count, parts
from benchmarks.season_report import (
    SOLO,
    headline,
    of_part,
    show,
    show_aims,
    show_hours,
    show_parts,
    show_reasons,
)
from benchmarks.shores import LAKES, invented_lake, real_lakes
from safety_check.arrays import IntArray, hour_axis
from safety_check.assess.quick_verdict import SeaMemory
from safety_check.assess.weighing import weigh_hours, weigh_trip
from safety_check.conditions import sea_met
from safety_check.conditions.case import Case
from safety_check.errors import DataError
from safety_check.model.craft import Paddler
from safety_check.model.place import Launch, OpenWater, Water
from safety_check.model.plan import Plan
from safety_check.settings.crafts import load_craft_classes
from safety_check.settings.folders import Folders
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import OddsTable, UserSettings
from safety_check.units import MILE, kelvin
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from safety_check.waters.open_water import open_water

REACHES = {"200 m": 200.0, "0.5 mi": MILE / 2, "1 mi": MILE}
COMPANY = ("alone", "group")
WATER = kelvin(22.0, "C")
LOOKED_AHEAD = 12  # h from the launch on, so that a slow way home ends in known hours


# -- one launch --------------------------------------------------------------------------------


def everything_allowed(folder: Path) -> Settings:
    """Return default settings; the forecasts are not widened, because they are perfect."""
    return Settings(Folders(folder, folder, folder), UserSettings(odds=OddsTable(dressing=False)))


def trip(water: Water, launch: Launch, outing: Outing, reach: float, settings: Settings) -> Plan:
    """Return the morning's plan of a paddler who is ready for it."""
    ready = Paddler(
        life_jacket="worn",
        wearing="none",
        company=outing.company,
        light=True,
        sound_signal=True,
        means_to_call=True,
        self_rescue=True,
    )
    return Plan(
        water=water,
        launch=launch,
        craft=settings.craft(outing.craft),
        paddler=ready,
        start=START,
        end=START + timedelta(hours=LAST - FIRST),
        reach=reach,
        water_temperature=WATER,
    )


def judge_mornings(
    plan: Plan, around: OpenWater, mornings: Mornings, settings: Settings
) -> tuple[IntArray, dict[str, IntArray]]:
    """Return the severity of each morning and hour of the trip, and the same by hazard."""
    hours = hour_axis(START, START + timedelta(hours=LOOKED_AHEAD))
    case = Case(plan, as_briefing(mornings), around, settings, load_trust())
    rulebook = load_rulebook()
    seen = weigh_trip(case, weigh_hours(case, hours, rulebook), rulebook)
    at = seen.trip
    by_hazard = {weighed.hazard.name: weighed.members[:, at] for weighed in seen.weighing.hazards}
    return seen.weighing.members[:, at], by_hazard


# -- many launches -----------------------------------------------------------------------------


def run_launch(
    mornings: Mornings, water: Water, launch: Launch, outings: Sequence[Outing], cache: Path
) -> dict[Outing, Count]:
    """Return the verdicts on each outing at one launch, all of one reach."""
    settings = everything_allowed(cache)
    reach = REACHES[outings[0].reach]
    found: dict[Outing, Count] = {}
    around: OpenWater | None = None
    with patch.object(sea_met, "height_through_hours", SeaMemory()):
        for outing in outings:
            plan = trip(water, launch, outing, reach, settings)
            around = around or replace(open_water(plan, cache), whole=None)
            hours, by_hazard = judge_mornings(plan, around, mornings, settings)
            found |= by_part(outing, mornings, hours, by_hazard)
    return found


def by_part(
    outing: Outing, mornings: Mornings, hours: IntArray, by_hazard: Mapping[str, IntArray]
) -> dict[Outing, Count]:
    """Return what was said to an outing on each part of the mornings."""
    return {
        replace(outing, part=part): count(
            chosen(mornings, at), hours[at], {name: found[at] for name, found in by_hazard.items()}
        )
        for part, at in parts(mornings).items()
    }


def run_all(
    mornings: Mornings, launches: Iterable[tuple[Water, Launch, list[Outing]]]
) -> dict[Outing, Count]:
    """Return the verdicts on every outing, the launches together, on both cores."""
    found: dict[Outing, Count] = {}
    with tempfile.TemporaryDirectory() as folder, ProcessPoolExecutor(2) as pool:
        jobs = [
            pool.submit(run_launch, mornings, water, launch, outings, Path(folder))
            for water, launch, outings in launches
        ]
        for job in jobs:
            for outing, more in job.result().items():
                found[outing] = found[outing] + more if outing in found else more
    return found


def invented() -> Iterator[tuple[Water, Launch, list[Outing]]]:
    """Return each launch of each round lake, with its outings of one reach."""
    for lake, reach in product(LAKES, REACHES):
        water = invented_lake(lake)
        for launch in water.launches:
            yield (
                water,
                launch,
                [
                    Outing(craft, who, lake, reach)
                    for craft, who in product(load_craft_classes(), COMPANY)
                ],
            )


def real(folder: Path) -> Iterator[tuple[Water, Launch, list[Outing]]]:
    """Return each launch of each shoreline, for a kayak alone."""
    for water in real_lakes(folder):
        for launch, reach in product(water.launches, REACHES):
            yield water, launch, [Outing(*SOLO, water.name, reach)]


def thinned(mornings: Mornings, every: int) -> Mornings:
    """Return each so manyth morning."""
    return chosen(mornings, np.arange(len(mornings.name)) % max(every, 1) == 0)


def main() -> int:
    """Judge every morning in every outing; 1 where there is no season to judge."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    winds = parser.add_mutually_exclusive_group(required=True)
    winds.add_argument("--buoys", type=Path, help="folder of season files, *.txt")
    winds.add_argument("--invented", type=int, metavar="DAYS", help="days of each invented climate")
    parser.add_argument("--lakes", type=Path, help="folder of *.geojson")
    parser.add_argument("--every", type=int, default=1, help="only each Nth morning")
    asked = parser.parse_args()
    try:
        known = read_mornings(asked.buoys) if asked.buoys else invented_mornings(asked.invented)
    except DataError as trouble:
        print(trouble, file=sys.stderr)
        return 1
    report(thinned(known, asked.every), asked.lakes)
    return 0


def report(mornings: Mornings, lakes: Path | None) -> None:
    """Judge every morning in every outing, and print all tables."""
    kinds = ", ".join(
        f"{getattr(mornings, kind).sum()} {kind}" for kind in ("fine", "breeze", "blow")
    )
    print(f"{len(mornings.name)} mornings: {kinds}")
    found = run_all(mornings, invented())
    together = of_part(found, ALL)
    for table in (show, show_reasons, show_hours):
        table(together)
    on_shores = run_all(mornings, real(lakes)) if lakes else {}
    show(of_part(on_shores, ALL))
    show_parts(found, on_shores)
    show_aims(together, of_part(on_shores, ALL))
    print(headline(together | of_part(on_shores, ALL)))


if __name__ == "__main__":
    sys.exit(main())

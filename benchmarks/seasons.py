"""What the rules say on the mornings of real seasons: `--buoys DIR [--lakes DIR]`.

Run with `python -m benchmarks.seasons --buoys DIR`, a folder of the National Data Buoy Center's
season files. The measured wind and gusts, at ten metres, stand for a perfect forecast of a trip
from 06:00 to 11:00; everything else is benign: water of 22 °C, life jacket worn, no weather.
A morning is fine with wind under 8 mph and gusts under 12 mph all the time, a blow with wind of
15 mph or gusts of 22 mph at any hour, a breeze where its strongest wind is 8 to 11.5 mph.
Each craft class goes out on three round lakes, to three reaches, alone and in company, from a
launch on each of four shores; the shares are over mornings and launches together. `--lakes DIR`
adds a kayak alone on shorelines. Nothing is sampled, unless `--every N` asks for each Nth morning
only. The figures that have an aim are printed beside it. The last lines are the share of fine
mornings that a kayak alone is refused on 3 km and half a mile, and the number of blow mornings
that any outing permits.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import product
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np

from benchmarks.mornings import FIRST, LAST, START, Mornings, as_briefing, read_mornings
from benchmarks.shores import LAKES, invented_lake, real_lakes
from safety_check.arrays import FloatArray, IntArray, hour_axis
from safety_check.assess.weighing import weigh_hours, weigh_trip
from safety_check.conditions import conditions
from safety_check.conditions.case import Case
from safety_check.errors import DataError
from safety_check.model.craft import Paddler
from safety_check.model.place import Launch, OpenWater, Water
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity
from safety_check.physics.growth_through_hours import sea_through_hours
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
SOLO = ("sit-on-top-kayak", "alone")
HEADLINE = (*SOLO, "3 km", "0.5 mi")
# Shares of fine mornings refused, in per cent: (outing or its craft and company …, the most).
AIMS = {
    "kayak alone, 3 km, 0.5 mi": (HEADLINE, 10.0),
    "kayak alone, 3 km, 200 m": ((*SOLO, "3 km", "200 m"), 8.0),
    "kayak alone, 12 km, 200 m": ((*SOLO, "12 km", "200 m"), 12.0),
    "kayak in company, 3 km, 200 m": (("sit-on-top-kayak", "group", "3 km", "200 m"), 5.0),
    "float tube alone, 3 km, 200 m": (("float-tube", "alone", "3 km", "200 m"), 25.0),
    "float tube in company, 3 km, 200 m": (("float-tube", "group", "3 km", "200 m"), 15.0),
    "canoe alone, 3 km, 200 m": (("canoe", "alone", "3 km", "200 m"), 15.0),
}
ON_SHORES = 10.0  # % of fine mornings refused to a kayak alone at most, on each shoreline
BEARABLE = 90.0  # % of breezes that are GO or MARGINAL at least, kayak alone on the smallest lake
LOOKED_AHEAD = 12  # h from the launch on, so that a slow way home ends in known hours


@dataclass(frozen=True)
class Outing:
    """One craft and company on one water, and how far it goes."""

    craft: str
    company: str
    lake: str
    reach: str


@dataclass
class Count:
    """What the rules said over some launches, added up.

    Parameters
    ----------
    mornings, go, fine, fine_refused, blow, blow_go, breeze, breeze_bearable
        Numbers of mornings and launches; bearable is GO or MARGINAL.
    because
        Hazard → fine mornings that it refuses, with others or alone.
    hours : array (hour, 2)
        Fine hours by hour of the trip, and how many of them are no GO.
    """

    mornings: int
    go: int
    fine: int
    fine_refused: int
    blow: int
    blow_go: int
    breeze: int
    breeze_bearable: int
    because: Counter[str]
    hours: IntArray

    def __add__(self, other: Count) -> Count:
        """Return both together."""
        pairs = zip(vars(self).values(), vars(other).values(), strict=True)
        return Count(*(one + another for one, another in pairs))


# -- one launch --------------------------------------------------------------------------------


def everything_allowed(folder: Path) -> Settings:
    """Return settings of nobody; the forecasts count as they come, for they are perfect."""
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


def count(mornings: Mornings, hours: IntArray, by_hazard: Mapping[str, IntArray]) -> Count:
    """Return what was said of some mornings, by kind of morning and by hour."""
    worst = hours.max(axis=1)
    go, refused = worst == Severity.GO, mornings.fine & (worst > Severity.GO)
    fine_hours = mornings.fine_hours
    no_go = fine_hours & (hours[:, : fine_hours.shape[1]] > Severity.GO)
    return Count(
        mornings=len(worst),
        go=int(go.sum()),
        fine=int(mornings.fine.sum()),
        fine_refused=int(refused.sum()),
        blow=int(mornings.blow.sum()),
        blow_go=int((mornings.blow & go).sum()),
        breeze=int(mornings.breeze.sum()),
        breeze_bearable=int((mornings.breeze & (worst <= Severity.MARGINAL)).sum()),
        because=Counter(
            {
                name: int((refused & (members.max(axis=1) > Severity.GO)).sum())
                for name, members in by_hazard.items()
            }
        ),
        hours=np.stack([fine_hours.sum(axis=0), no_go.sum(axis=0)], axis=-1),
    )


# -- many launches -----------------------------------------------------------------------------


def run_launch(
    mornings: Mornings, water: Water, launch: Launch, outings: Sequence[Outing], cache: Path
) -> dict[Outing, Count]:
    """Return what is said to each outing at one launch, all of one reach."""
    settings = everything_allowed(cache)
    reach = REACHES[outings[0].reach]
    found: dict[Outing, Count] = {}
    around: OpenWater | None = None
    with patch.object(conditions, "sea_through_hours", computed_once(sea_through_hours)):
        for outing in outings:
            plan = trip(water, launch, outing, reach, settings)
            around = around or replace(open_water(plan, cache), whole=None)
            found[outing] = count(mornings, *judge_mornings(plan, around, mornings, settings))
    return found


def computed_once(compute: Callable[..., Any]) -> Callable[..., Any]:
    """Return a function that remembers its answers: one launch has one sea for all craft."""
    answers: dict[tuple[bytes, ...], Any] = {}

    def remembered(*arguments: FloatArray | float) -> Any:
        key = tuple(np.asarray(argument).tobytes() for argument in arguments)
        if key not in answers:
            answers[key] = compute(*arguments)
        return answers[key]

    return remembered


def run_all(
    mornings: Mornings, launches: Iterable[tuple[Water, Launch, list[Outing]]]
) -> dict[Outing, Count]:
    """Return what is said to every outing, the launches together, on both cores."""
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


# -- what it shows -----------------------------------------------------------------------------


def thinned(mornings: Mornings, every: int) -> Mornings:
    """Return each so manyth morning."""
    fields = vars(mornings).values()
    return Mornings(*(field[:: max(every, 1)] for field in fields))


def percent(part: int, whole: int) -> str:
    """Return a share in per cent, or a dash of nothing."""
    return f"{100 * part / whole:6.1f}" if whole else f"{'-':>6}"


def show(found: Mapping[Outing, Count]) -> None:
    """Print a line of shares for each outing."""
    print(f"\n{'craft, company, lake, reach':54}    GO   fine refused  blow GO  breeze not NO-GO")
    for outing, one in found.items():
        name = f"{outing.craft}, {outing.company}, {outing.lake}, {outing.reach}"
        print(
            f"{name:54}{percent(one.go, one.mornings)}  {percent(one.fine_refused, one.fine)}"
            f"         {one.blow_go:5d}   {percent(one.breeze_bearable, one.breeze)}"
        )


def show_reasons(found: Mapping[Outing, Count]) -> None:
    """Print what refuses fine mornings, in per cent of them, for each craft and company."""
    print("\nWhat refuses fine mornings, with others or alone, % of them, all lakes and reaches")
    for craft, who in dict.fromkeys((outing.craft, outing.company) for outing in found):
        outings = [
            one for outing, one in found.items() if (outing.craft, outing.company) == (craft, who)
        ]
        together = sum(outings[1:], outings[0])
        told = [
            f"{name} {100 * number / together.fine:.0f}"
            for name, number in together.because.most_common()
            if number > 0.005 * together.fine
        ]
        print(f"{craft}, {who}: {', '.join(told) or 'nothing'}")


def show_hours(found: Mapping[Outing, Count]) -> None:
    """Print how many fine hours are no GO for a kayak alone, by the hour of the trip."""
    clock = "".join(f"{hour:02d}:00 " for hour in range(FIRST, LAST))
    print(f"\n{'Fine hours that are no GO, kayak alone, %':54}{clock}")
    for outing, one in found.items():
        if (outing.craft, outing.company) == SOLO:
            shares = "".join(percent(int(bad), int(fine)) for fine, bad in one.hours)
            print(
                f"{f'{outing.craft}, {outing.company}, {outing.lake}, {outing.reach}':52}{shares}"
            )


def show_aims(found: Mapping[Outing, Count], on_shores: Mapping[Outing, Count]) -> None:
    """Print each figure that has an aim, and whether it is reached."""
    rows = [
        (f"fine refused, {name}", one.fine_refused, one.fine, most, False)
        for name, (outing, most) in AIMS.items()
        for one in [found[Outing(*outing)]]
    ]
    rows += [
        (
            f"fine refused, {one.lake}, {one.reach}",
            on_shore.fine_refused,
            on_shore.fine,
            ON_SHORES,
            False,
        )
        for one, on_shore in on_shores.items()
    ]
    pond = found[Outing(*SOLO, "0.6 km", "200 m")]
    rows.append(
        ("breeze not NO-GO, 0.6 km, 200 m", pond.breeze_bearable, pond.breeze, BEARABLE, True)
    )
    blow = sum(one.blow_go for one in {**found, **on_shores}.values())
    print(f"\n{'against the aims, %':54} reached      aim")
    for name, part, whole, aim, at_least in rows:
        share = 100 * part / whole if whole else float("nan")
        met = share >= aim if at_least else share <= aim
        sign = ">=" if at_least else "<="
        print(f"{name:54}{percent(part, whole)}   {sign} {aim:4.0f}  {'met' if met else 'MISSED'}")
    print(f"{'blow mornings GO, all cases':54}{blow:6d}   <=    0  {'MISSED' if blow else 'met'}")


def headline(found: Mapping[Outing, Count]) -> str:
    """Return the two lines that all work on the limits is steered by."""
    solo = found[Outing(*HEADLINE)]
    permitted = sum(one.blow_go for one in found.values())
    refused = solo.fine_refused / solo.fine if solo.fine else float("nan")
    return f"fine_refused: {refused:.3f}\nblow_permitted: {permitted}"


def main() -> int:
    """Judge every morning in every outing; 1 where there is no season to judge."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--buoys", type=Path, required=True, help="folder of season files, *.txt")
    parser.add_argument("--lakes", type=Path, help="folder of *.geojson")
    parser.add_argument("--every", type=int, default=1, help="only each Nth morning")
    asked = parser.parse_args()
    try:
        mornings = thinned(read_mornings(asked.buoys), asked.every)
    except DataError as trouble:
        print(trouble, file=sys.stderr)
        return 1
    kinds = ", ".join(
        f"{getattr(mornings, kind).sum()} {kind}" for kind in ("fine", "breeze", "blow")
    )
    print(f"{len(mornings.name)} mornings: {kinds}")
    found = run_all(mornings, invented())
    for part in (show, show_reasons, show_hours):
        part(found)
    on_shores = run_all(mornings, real(asked.lakes)) if asked.lakes else {}
    show(on_shores)
    show_aims(found, on_shores)
    print(headline(found | on_shores))
    return 0


if __name__ == "__main__":
    sys.exit(main())

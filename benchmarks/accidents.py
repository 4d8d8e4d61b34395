"""The verdicts of the rules before real small-craft accidents: `--cases FILE`.

Run with `python -m benchmarks.accidents --cases FILE`, a table of boating accident reports with
the columns named below, one row a vessel. Only what a report tells is weighed: craft, wind
class, state of the water, its temperature, life jacket, company. Nothing is tuned to it.
"""

from __future__ import annotations

import argparse
import csv
import sys
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from safety_check.conditions.conditions import Conditions
from safety_check.conditions.return_trip import HomeWinds, find_return_trip
from safety_check.model.craft import Craft, Paddler
from safety_check.model.place import Launch, OpenWater, Water
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity
from safety_check.physics.odds import Tolerance
from safety_check.physics.off_wind import smoothed_radials
from safety_check.physics.paddling import hold_station_wind
from safety_check.rules.engine import Weighing, weigh
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.limits import choose_limits, total_reduction
from safety_check.settings.folders import Folders
from safety_check.settings.limits import (
    load_default_limits,
    load_greatest_reduction,
    load_reductions,
)
from safety_check.settings.propulsion import derive_drive
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import UserSettings
from safety_check.units import FOOT, MILE_PER_HOUR, kelvin
from safety_check.use_cases.planning import COLDEST, WARMEST

# Our class for each type of vessel. No report says which kind of kayak it was.
CRAFT = {
    "Kayak": "sit-on-top-kayak",
    "Canoe": "canoe",
    "Inflatable": "inflatable-kayak",
    "Rowboat": "rowing-boat",
    "Standup paddleboard": "stand-up-paddleboard",
    "Open motorboat": "small-motor-skiff",
}
# Lower end, middle and upper end of each class of the report form, mph and ft. The classes are
# those of form CG-3865 (from memory); the last of each has no upper end, so one is assumed.
WIND = {
    "No wind": (0.0, 0.0, 0.0),
    "Light": (0.0, 3.0, 6.0),
    "Moderate": (7.0, 10.5, 14.0),
    "Strong": (15.0, 20.0, 25.0),
    "Storm": (25.0, 30.0, 35.0),
}
WAVES = {
    "Calm": (0.0, 0.25, 0.5),
    "Choppy": (0.5, 1.25, 2.0),
    "Rough": (2.0, 4.0, 6.0),
    "Very rough": (6.0, 7.0, 8.0),
}
READINGS = ("lower end", "middle", "upper end")
MIDDLE = 1
COLUMNS = (
    *("VesselType", "Wind", "WaterConditions", "WaterTemperature", "VesselDeaths", "PFDworn"),
    "NumberPeopleOnboard",
)
FIELD = {  # hazard → the field of the report that it was weighed from
    "wind_too_strong": "wind",
    "held_in_place": "wind",
    "capsize_by_waves": "state of the water",
    "cold_water": "water temperature",
    "no_life_jacket": "life jacket",
    "company_not_declared": "company",
}
WIND_ALONE = ("wind_too_strong",)


@dataclass(frozen=True)
class Case:
    """One vessel of a report.

    Parameters
    ----------
    craft
        Our class.
    wind, waves
        Words of the report.
    water
        [K]; NaN where it is not stated.
    paddler
        Life jacket and company as stated; no immersion clothing, which no report mentions.
    deaths
        Deaths on this vessel.
    """

    craft: Craft
    wind: str
    waves: str
    water: float
    paddler: Paddler
    deaths: int


def read(path: Path) -> list[Case]:
    """Return the vessels of a file whose type is one of ours."""
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = csv.DictReader(file)
        missing = set(COLUMNS) - set(rows.fieldnames or ())
        if missing:
            sys.exit(f"{path.name} has no column {', '.join(sorted(missing))}; it needs them all.")
        return [case(row) for row in rows if row["VesselType"] in CRAFT]


def case(row: Mapping[str, str]) -> Case:
    """Return one row as a case."""
    nobody = Settings(Folders(Path(), Path(), Path()), UserSettings())
    deaths, worn = number(row["VesselDeaths"], 0.0), number(row["PFDworn"], 0.0)
    jacket = "worn" if worn >= max(deaths, 1.0) else "none"
    people = number(row["NumberPeopleOnboard"], float("nan"))
    company = "group" if people > 1 else "alone" if people == 1 else None
    return Case(
        craft=nobody.craft(CRAFT[row["VesselType"]]),
        wind=row["Wind"],
        waves=row["WaterConditions"],
        water=water_temperature(number(row["WaterTemperature"], float("nan"))),
        paddler=Paddler(life_jacket=jacket, wearing="none", company=company, light=True),
        deaths=int(deaths),
    )


def water_temperature(fahrenheit: float) -> float:
    """Return a temperature that open water can have [K]; NaN for anything else."""
    value = kelvin(fahrenheit, "F")
    return value if COLDEST <= value <= WARMEST else float("nan")


def number(text: str, otherwise: float) -> float:
    """Return a cell as a number, or the value used for an empty or garbled one."""
    try:
        return float(text)
    except ValueError:
        return otherwise


# -- the rules ---------------------------------------------------------------------------------


def calm_hour() -> Conditions:
    """Return an hour without any quantity, to be filled with those of a case."""
    start = datetime(2023, 7, 1, 15, tzinfo=UTC)
    launch = Launch("ramp", 45.0, -95.0)
    nobody = Settings(Folders(Path(), Path(), Path()), UserSettings())
    craft = nobody.craft("sit-on-top-kayak")
    end = start + timedelta(hours=1)
    plan = Plan(Water("any", "UTC", (launch,)), launch, craft, Paddler(), start, end, 100.0)
    bearings = np.arange(0.0, 360.0, 5.0)
    fetch = np.full((len(bearings), 1), 100.0)
    radials = smoothed_radials(bearings, fetch)
    shore = np.array([50.0])
    water = OpenWater(np.zeros((1, 2)), bearings, fetch, radials, shore, (), np.inf)
    hours = np.array([np.datetime64("2023-07-01T15", "s")])
    still = np.zeros((1, 2))
    way = find_return_trip(plan, hours, water, HomeWinds(still, still, np.ones(1)))
    return Conditions(hours, ("report",), np.ones(1), {}, {}, {}, water, way)


CALM = calm_hour()


def weighed(one: Case, reading: int, hazards: Sequence[str]) -> Weighing:
    """Return one case weighed by some hazards, its classes read at an end or the middle."""
    wind = WIND.get(one.wind, (float("nan"),) * 3)[reading] * MILE_PER_HOUR
    waves = WAVES.get(one.waves, (float("nan"),) * 3)[reading] * FOOT
    jacket = 1.0 if one.paddler.life_jacket == "worn" else 0.0
    alone = {None: np.nan, "alone": 1.0, "group": 0.0}[one.paddler.company]
    told = {
        "wind_speed": wind,
        "share_of_hold_station_wind": wind / hold_station_wind(derive_drive(one.craft)),
        "sea_surface_wave_significant_height": waves,
        "water_temperature": one.water,
        "life_jacket_worn": jacket,
        "company_declared": alone * 0 + 1,
        "alone": alone,
    }
    quantities = {name: np.full((1, 1), value) for name, value in told.items()}
    steps, _ = total_reduction(load_reductions(), quantities, load_greatest_reduction())
    return weigh(
        replace(CALM, quantities=quantities),
        choose_limits(one.craft, one.paddler, load_default_limits(), ()),
        np.zeros((1, 1)) if hazards == WIND_ALONE else steps,
        tolerance=Tolerance(0.1, 0.1),
        hazards=[hazard for hazard in HAZARDS if hazard.name in hazards],
    )


# -- what it shows -----------------------------------------------------------------------------


def shares(cases: Sequence[Case], reading: int, hazards: Sequence[str]) -> dict[Severity, float]:
    """Return the share of cases at each severity."""
    met = Counter(Severity(int(weighed(case, reading, hazards).hours[0])) for case in cases)
    return {severity: met[severity] / len(cases) for severity in Severity}


def show(label: str, share: Mapping[Severity, float]) -> None:
    """Print one line of shares."""
    columns = "".join(f"{100 * share[severity]:9.1f}" for severity in Severity)
    print(f"{label:44}{columns}{100 * (1 - share[Severity.GO]):9.1f}")


def decided(cases: Sequence[Case]) -> tuple[Counter[str], Counter[str]]:
    """Return how often each field was among those that decided, and how often it was alone."""
    among: Counter[str] = Counter()
    alone: Counter[str] = Counter()
    for one in cases:
        found = weighed(one, MIDDLE, tuple(FIELD))
        severity = int(found.hours[0])
        if severity == Severity.GO:
            continue
        fields = {
            FIELD[hazard.hazard.name] for hazard in found.hazards if hazard.hours[0] == severity
        }
        among.update(fields)
        alone.update(fields if len(fields) == 1 else ())
    return among, alone


def main() -> None:
    """Weigh every fatal case and print the verdicts."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=Path, required=True, help="accident reports as CSV")
    fatal = [case for case in read(parser.parse_args().cases) if case.deaths > 0]
    if not fatal:
        sys.exit("The file has no fatal case of a craft that the rules know.")
    rules = tuple(FIELD)
    kinds = Counter(case.craft.label for case in fatal)
    print(f"{len(fatal)} vessels with a death: " + ", ".join(f"{n} {k}" for k, n in kinds.items()))
    print(
        f"\n{'share of them, %':44}"
        + "".join(f"{severity!s:>9}" for severity in Severity)
        + "  not GO"
    )
    for reading in (MIDDLE, 0, 2):
        show(f"all rules, classes at their {READINGS[reading]}", shares(fatal, reading, rules))
    for reading in (MIDDLE, 0, 2):
        show(f"wind alone, at its {READINGS[reading]}", shares(fatal, reading, WIND_ALONE))
    worn = [replace(case, paddler=replace(case.paddler, life_jacket="worn")) for case in fatal]
    show("all rules, every life jacket taken as worn", shares(worn, MIDDLE, rules))
    whole = [case for case in fatal if complete(case)]
    if whole:
        show(f"all rules, the {len(whole)} complete reports", shares(whole, MIDDLE, rules))
    among, alone = decided(fatal)
    print("\nfield that decided          with others or alone   alone")
    for field, count in among.most_common():
        print(f"{field:27} {count:20} {alone[field]:7}")
    share = 1 - shares(fatal, MIDDLE, rules)[Severity.GO]
    print(f"\nshare_at_least_marginal: {share:.3f}")


def complete(one: Case) -> bool:
    """Return whether a report states everything that is weighed."""
    told = one.wind in WIND and one.waves in WAVES and one.paddler.company is not None
    return bool(told and np.isfinite(one.water))


if __name__ == "__main__":
    main()

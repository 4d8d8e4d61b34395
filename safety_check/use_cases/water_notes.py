"""Store what the user says about a water: local rules, and the drive to it."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

from safety_check.errors import PlanError
from safety_check.model.place import LocalRule, Water
from safety_check.model.plan import Plan
from safety_check.settings.settings import Settings
from safety_check.settings.spelling import suggest_spelling
from safety_check.units import parse
from safety_check.use_cases.amounts_in_words import parse_wind
from safety_check.use_cases.direction_in_words import parse_direction
from safety_check.use_cases.time_grammar import read_time
from safety_check.waters import files
from safety_check.waters.geojson import LONGEST_NAME, describe
from safety_check.waters.nearness import say_if_by_sea
from safety_check.waters.notes import LONGEST_DRIVE

MOST_ADDED = 30.0  # m/s; more is a typing error
POINT = re.compile(r"[NESW]{1,3}", re.IGNORECASE)
HALF_POINT = 11.25  # deg; SW means all that is nearer to SW than to its neighbours
DASH = r"\s*(?:-|–|to)\s*"


def read_rule(name: str, add_wind: str, hours: str | None, sector: str | None) -> LocalRule:
    """Return a local rule as the user says it.

    Parameters
    ----------
    name
        In the user's words.
    add_wind
        How much wind it adds, with a unit.
    hours
        "12:00-18:00"; None for all day.
    sector
        "SW-NW", clockwise, or one direction; None for every wind.

    Raises
    ------
    PlanError
        Where a part can't be read, or the rule adds nothing.
    """
    if not name.strip() or describe(name, LONGEST_NAME) != name:
        raise PlanError(
            f"{name[: 2 * LONGEST_NAME]!r} is not valid. Use one line of at most {LONGEST_NAME}"
            " printable characters.",
            field="--name",
        )
    added = parse_wind(add_wind, "--add-wind").high
    if not 0 < added <= MOST_ADDED:
        raise PlanError(
            f"{add_wind!r}: a rule adds wind, more than 0 and up to {MOST_ADDED:g} m/s."
            " It never takes any away.",
            field="--add-wind",
        )
    return LocalRule(name, added, _hours(hours), _sector(sector))


def _hours(text: str | None) -> tuple[int, int] | None:
    if text is None:
        return None
    parts = re.split(DASH, text.strip())
    if len(parts) != 2:
        raise PlanError(f"{text!r} is not a span of the day. Write: 12:00-18:00.", field="--hours")
    first, last = (_minute(part) for part in parts)
    return (first, last) if first != last else None


def _minute(text: str) -> int:
    if text == "24:00":
        return 24 * 60
    time = read_time(text, "--hours")
    if time.day is not None:
        raise PlanError(
            f"{text!r} names a day; a rule holds every day. Write 12:00.", field="--hours"
        )
    return time.clock.hour * 60 + time.clock.minute


def _sector(text: str | None) -> tuple[float, float] | None:
    """Return a sector; a compass point reaches halfway to its neighbours of sixteen."""
    if text is None:
        return None
    parts = re.split(DASH, text.strip())
    if len(parts) > 2:
        raise PlanError(
            f"{text!r} is not a sector. Write SW-NW, clockwise, or 225-315.", field="--from"
        )
    first, last = (parts[0], parts[-1])
    edges = parse_direction(first, "--from") - _half(first), parse_direction(last, "--from")
    return edges[0] % 360, (edges[1] + _half(last)) % 360


def _half(text: str) -> float:
    return HALF_POINT if POINT.fullmatch(text) else 0.0


def add_rule(water: str, rule: LocalRule, folder: Path) -> bool:
    """Store a rule of a water; return whether it replaced one of the same name."""
    replaced = False

    def edit(known: Water) -> Water:
        nonlocal replaced
        others = tuple(one for one in known.rules if one.name.casefold() != rule.name.casefold())
        replaced = len(others) < len(known.rules)
        return replace(known, rules=(*others, rule))

    files.change(water, folder, edit)
    return replaced


def remove_rule(water: str, name: str, folder: Path) -> Water:
    """Remove a rule of a water by its name; return the water as it is now."""

    def edit(known: Water) -> Water:
        others = tuple(one for one in known.rules if one.name.casefold() != name.casefold())
        if len(others) == len(known.rules):
            names = [rule.name for rule in known.rules]
            listed = f" Its rules: {'; '.join(names)}." if names else " It has no rule yet."
            raise PlanError(
                f"{known.name} has no rule {name!r}.{suggest_spelling(name, names)}{listed}"
            )
        return replace(known, rules=others)

    return files.change(water, folder, edit)


def read_drive_time(text: str) -> float:
    """Return how long the user drives to a water. [s]."""
    seconds = parse(text, "duration", "--drive")
    if not (math.isfinite(seconds) and 0 <= seconds <= LONGEST_DRIVE):
        raise PlanError(
            f"{text!r}: give from 0 to {LONGEST_DRIVE / 3600:.0f} hours.", field="--drive"
        )
    return seconds


def with_notes(plan: Plan, settings: Settings) -> Plan:
    """Return a plan with what is declared of its water now; as it was where the water is gone."""
    folders = settings.folders
    if not files.known(plan.water.name, folders.waters):
        return plan
    now = files.load(plan.water.name, folders.waters)
    water = replace(
        plan.water,
        rules=now.rules,
        elevation=now.elevation,
        estimate=now.estimate,
        kind=now.kind,
        by_sea=False,
        bar=now.bar,
        dam=now.dam,
    )
    dries = {launch.name: launch.dries for launch in now.launches}
    launch = replace(plan.launch, dries=dries.get(plan.launch.name, plan.launch.dries))
    water = say_if_by_sea(water, launch, folders.cache)
    return replace(plan, water=water, launch=launch)

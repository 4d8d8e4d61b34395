"""What the rules said on many mornings, added up over launches, for all mornings and for parts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from benchmarks.mornings import Mornings
from safety_check.arrays import BoolArray, IntArray
from safety_check.model.verdict import Severity

ALL = "all"


@dataclass(frozen=True)
class Outing:
    """One craft and company on one water, and how far it goes, on all mornings or a part."""

    craft: str
    company: str
    lake: str
    reach: str
    part: str = ALL


@dataclass
class Count:
    """The verdicts over some launches, added up.

    Parameters
    ----------
    mornings, go, fine, fine_refused, blow, blow_go, breeze, breeze_bearable
        Numbers of mornings and launches; bearable is GO or MARGINAL.
    because
        Hazard → fine mornings that it refuses, with others or alone.
    hours : array (hour, 2)
        Fine hours by hour of the trip, and how many of them are not GO.
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


def parts(mornings: Mornings) -> dict[str, BoolArray]:
    """Return which mornings are in each part: all, each season file, the files' halves in time."""
    season = np.array([name.split()[0] for name in mornings.name])
    found = {ALL: np.ones(len(season), dtype=bool)}
    earlier = np.zeros(len(season), dtype=bool)
    for name in dict.fromkeys(season.tolist()):
        found[name] = season == name
        earlier |= found[name] & (np.cumsum(found[name]) <= found[name].sum() / 2)
    return {**found, "earlier halves": earlier, "later halves": ~earlier}


def chosen(mornings: Mornings, at: BoolArray) -> Mornings:
    """Return some of the mornings."""
    name = tuple(name for name, kept in zip(mornings.name, at, strict=True) if kept)
    return Mornings(name, mornings.wind[at], mornings.gust[at], mornings.direction[at])


def count(mornings: Mornings, hours: IntArray, by_hazard: Mapping[str, IntArray]) -> Count:
    """Return the verdicts on some mornings, by kind of morning and by hour."""
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

"""Fine mornings on a large lake with the wind off the shore: `--buoys DIR`.

Common practice keeps a float tube off a large water while the wind blows off the shore. So a share
of fine mornings is refused at each of four shores, and that is intended. This counts how often the
wind blows off the launch's shore, what is refused with and without that, and on how many mornings
one of the four shores gets a GO.
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from benchmarks.mornings import ON_THE_WATER, Mornings, read_mornings
from benchmarks.season_counts import Outing, chosen
from benchmarks.seasons import everything_allowed, judge_mornings, trip
from benchmarks.shores import SIDES, invented_lake
from safety_check.arrays import BoolArray
from safety_check.model.verdict import Severity
from safety_check.waters.open_water import open_water

CRAFT = ("float-tube", "stand-up-paddleboard", "canoe", "sit-on-top-kayak")
LAKE, REACH = "12 km", 200.0
ASKEW = 60.0  # deg from straight off the shore that still count as off it
STIRRING = 1.0  # m/s; less wind blows off no shore


@dataclass(frozen=True)
class Shares:
    """Of fine mornings and launches [1]: refused, of all and without the wind off the shore.

    Parameters
    ----------
    refused, refused_onshore
        Refused; the same where the wind never blows off the launch's shore.
    permitted_offshore
        GO where it does at any hour.
    anywhere
        Mornings with a GO from at least one shore.
    """

    refused: float
    refused_onshore: float
    permitted_offshore: float
    anywhere: float


def off_the_shore(mornings: Mornings, askew: float) -> BoolArray:
    """Return for each side and morning whether the wind blows off that shore at any hour."""
    sides = np.degrees([np.arctan2(east, north) for east, north in SIDES.values()])
    direction = mornings.direction[:, ON_THE_WATER]
    apart = np.abs((direction - sides[:, None, None] + 180) % 360 - 180)
    stirs = mornings.wind[:, ON_THE_WATER] >= STIRRING
    return np.asarray(((apart <= askew) & stirs).any(axis=2))


def shares(go: BoolArray, offshore: BoolArray) -> Shares:
    """Return the shares of arrays (side, morning).

    Examples
    --------
    >>> go = np.array([[True, False], [False, False]])
    >>> shares(go, np.array([[False, False], [True, True]]))
    Shares(refused=0.75, refused_onshore=0.5, permitted_offshore=0.0, anywhere=0.5)
    """
    return Shares(
        float(1 - go.mean()),
        float(1 - go[~offshore].mean()),
        float(go[offshore].mean()),
        float(go.any(axis=0).mean()),
    )


def permitted(mornings: Mornings, craft: str) -> BoolArray:
    """Return for each side and morning whether an outing in company gets GO there."""
    water, found = invented_lake(LAKE), []
    with tempfile.TemporaryDirectory() as folder:
        settings = everything_allowed(Path(folder))
        for launch in water.launches:
            plan = trip(water, launch, Outing(craft, "group", LAKE, "200 m"), REACH, settings)
            around = replace(open_water(plan, Path(folder)), whole=None)
            hours, _ = judge_mornings(plan, around, mornings, settings)
            found.append(hours.max(axis=1) == Severity.GO)
    return np.array(found)


def report(offshore: BoolArray, of: Mapping[str, Shares]) -> None:
    """Print the shares in per cent."""
    print(f"Wind off the launch's shore at any hour: {offshore.mean():.0%} of launches")
    print(f"{'in company, 12 km, 200 m':24} refused, refused without it, GO with it, ", end="")
    print("mornings with a GO from a shore")
    for craft, one in of.items():
        figures = (one.refused, one.refused_onshore, one.permitted_offshore, one.anywhere)
        print(f"{craft:24}" + "".join(f"{share:12.0%}" for share in figures))


def main() -> None:
    """Judge the fine mornings of the season files at four shores."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--buoys", type=Path, required=True, help="folder of season files, *.txt")
    everything = read_mornings(parser.parse_args().buoys)
    fine = chosen(everything, everything.fine)
    offshore = off_the_shore(fine, ASKEW)
    report(offshore, {craft: shares(permitted(fine, craft), offshore) for craft in CRAFT})


if __name__ == "__main__":
    main()

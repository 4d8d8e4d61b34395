"""The way home for every hour and member, against the same balance solved one by one.

Run with `python -m benchmarks.getting_home`. Prints, for three sizes, how many speeds made good
and ways home are computed a second, and the ratio to a plain loop on a sample in the same run.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.physics import paddling
from safety_check.physics.drive import AIR_DENSITY, Drive, cruising
from safety_check.physics.paddling import speed_made_good
from safety_check.physics.passage import HOUR, time_to_return

SIT_ON_TOP = cruising(1.25, 4.5, 0.50, 22.0)
SIZES = ((24, 12, 5), (72, 40, 10), (168, 120, 20))
SAMPLE = 400
REPEATS = 5


def looped_speed(wind: float, wind_from: float, course: float, drive: Drive) -> float:
    """Return the speed made good of one hour, member and leg, in plain Python."""
    angle = math.radians(wind_from - course)
    body = wind * math.log(paddling.BODY_HEIGHT / 0.0002) / math.log(10 / 0.0002)
    against, abeam = body * math.cos(angle), body * math.sin(angle)
    area = AIR_DENSITY / 2 * drive.drag_area
    v = -max(against, 0.0)
    step = abs(against) + math.sqrt(drive.greatest_thrust / drive.hull_drag)
    for _ in range(paddling.BISECTIONS):
        step /= 2
        trial = v + step
        along = against + trial
        drag = drive.hull_drag * trial * abs(trial) + area * along * math.hypot(along, abeam)
        thrust = drive.power / max(trial, drive.power / drive.greatest_thrust)
        v = trial if drag < thrust else v
    lower, upper = paddling.WAVES_BY_WIND
    slowed = min(max((wind - lower) / (upper - lower), 0.0), 1.0)
    v *= 1 - (1 - paddling.IN_WAVES) * slowed if v > 0 else 1.0
    kept = v * abs(v) - (paddling.SIDEWAYS_DRIFT * wind * math.sin(angle)) ** 2
    current = paddling.SURFACE_CURRENT * wind * max(math.cos(angle), 0.0)
    return math.copysign(math.sqrt(abs(kept)), kept) - current


def looped_way_home(speed: list[list[float]], lengths: list[float], departure: int) -> float:
    """Return the time home from one hour for one member, in plain Python."""
    at = departure * HOUR
    for leg, length in enumerate(lengths):
        left = length
        while left > 0:
            hour = int(at // HOUR)
            if hour >= len(speed):
                return math.nan
            if min(speed[hour][leg:]) <= 0:
                return math.inf
            spell = min(left / speed[hour][leg], (hour + 1) * HOUR - at)
            at += spell
            left -= spell * speed[hour][leg] * (1 + 1e-12)
    return at - departure * HOUR


def seconds(work: Callable[[], object]) -> float:
    """Return the least processor time of several runs."""
    spent = []
    for _ in range(REPEATS):
        began = time.process_time()
        work()
        spent.append(time.process_time() - began)
    return min(spent)


def weather(hours: int, members: int) -> tuple[FloatArray, FloatArray]:
    """Return an invented wind with a daily cycle: speed and direction (member, hour, 1)."""
    rng = np.random.default_rng(20261125)
    daily = 5.0 - 3.5 * np.cos(2 * np.pi * np.arange(hours) / 24)
    wind = np.maximum(daily + rng.normal(0, 1.2, (members, hours)), 0.0)
    direction = (240 + rng.normal(0, 25, (members, hours))) % 360
    return wind[..., np.newaxis], direction[..., np.newaxis]


def compare(hours: int, members: int, legs: int) -> float:
    """Print one size's rates and ratios; return how many times the loop the whole is."""
    wind, direction = weather(hours, members)
    courses = np.linspace(0, 340, legs)
    lengths = np.full(legs, 4000.0 / legs)
    speed = speed_made_good(wind, direction, courses, SIT_ON_TOP)
    home = time_to_return(speed, lengths)

    rng = np.random.default_rng(1)
    picks = [tuple(rng.integers(speed.shape)) for _ in range(SAMPLE)]
    rows = speed.tolist()

    def loop_speeds() -> list[float]:
        return [
            looped_speed(wind[m, h, 0], direction[m, h, 0], courses[leg], SIT_ON_TOP)
            for m, h, leg in picks
        ]

    def loop_ways() -> list[float]:
        return [looped_way_home(rows[m], lengths.tolist(), int(h)) for m, h, _ in picks]

    off_speed = max(abs(speed[p] - v) for p, v in zip(picks, loop_speeds(), strict=True))
    pairs = [(home[m, h], t) for (m, h, _), t in zip(picks, loop_ways(), strict=True)]
    off_home = max((abs(a - b) for a, b in pairs if math.isfinite(a)), default=math.nan)
    agree = sum(math.isfinite(a) == math.isfinite(b) for a, b in pairs)

    speeds = seconds(lambda: speed_made_good(wind, direction, courses, SIT_ON_TOP))
    ways = seconds(lambda: time_to_return(speed, lengths))
    looped = (
        seconds(loop_speeds) / SAMPLE * speed.size,
        seconds(loop_ways) / SAMPLE * home.size,
    )
    ratio = sum(looped) / (speeds + ways)
    print(f"{hours} hours x {members} members x {legs} legs")
    print(f"  speeds made good  {speed.size / speeds:12,.0f} a second, {looped[0] / speeds:.0f} x")
    print(f"  ways home         {home.size / ways:12,.0f} a second, {looped[1] / ways:.0f} x")
    print(f"  both              {speeds + ways:12.3f} s, {ratio:.0f} times the loop")
    print(f"  largest difference {off_speed:.1e} m/s, {off_home:.1e} s; agree {agree}/{SAMPLE}")
    return ratio


def main() -> None:
    """Compare the three sizes."""
    ratios = [compare(*size) for size in SIZES]
    print(f"times_the_loop: {ratios[-1]:.0f}")


if __name__ == "__main__":
    main()

"""The sea of each sector followed through the hours: equivalent fetch, growth and decay.

The state of a sector is the grown share: for the law H = a tanh(z)^p, the quantity H^(1/p). In it
growth is tanh and its inverse without powers, and of raised and old sea the greater one stays.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray
from safety_check.physics.decay import DISSIPATION, GROWN_STEEPNESS, HOUR, MEAN_PERIOD
from safety_check.physics.waves import FAINTEST_WIND, GRAVITY, HEIGHT, PERIOD

GLANCING = 1e-6
"""Least cosine off the wind, used instead of 0. [1]"""

COMPLETE = 20.0
"""Stage at which growth is complete to the last bit. [1]"""

VALUES_AT_ONCE = 65_536
"""Values of forcing computed at once; more would not fit into the processor's cache. [1]"""

SEAS = 2
"""The spread sea and the straight one. [1]"""

_LEFT = 1 - PERIOD.fetch_power * PERIOD.power
_TRAVEL = _LEFT / HEIGHT.fetch_power
_PACE = PERIOD.full * PERIOD.fetch_factor**PERIOD.power / (4 * np.pi) * GRAVITY * _LEFT
_BREAKING = DISSIPATION * 2 * np.pi / MEAN_PERIOD * HOUR / (2 * HEIGHT.power)
_PERIOD_OF_GROWN = np.sqrt(2 * np.pi / (GRAVITY * GROWN_STEEPNESS))


class Sectors(NamedTuple):
    """The wind, and the water of each sector, that a sea is followed in.

    Parameters
    ----------
    wind, direction : array (hour, place)
        [m s⁻¹, deg true], known everywhere.
    known : array (hour, place)
        False where the wind was not known; the sea after such an hour is fully grown.
    sectors : array (sector,)
        [deg true]
    water, near : array (place, sector)
        Open water, and the part of it that counts however narrow it is. [m]
    depth : array (place,)
        [m]; infinite where it is not known.
    """

    wind: FloatArray
    direction: FloatArray
    known: BoolArray
    sectors: FloatArray
    water: FloatArray
    near: FloatArray
    depth: FloatArray


class FollowedSea(NamedTuple):
    """The sea of each hour, spread and straight.

    Parameters
    ----------
    spread, straight : array (hour, place)
        Sum and greatest of the sectors' squared heights. [m²]
    energy : array (hour, sea, place, sector)
        Square of the height of each sector, as if it held the whole sea [m²]; None where it was
        not asked for.
    young : array, shape of energy
        Whether the wind of the hour has raised it, or it is an old sea; None likewise.
    """

    spread: FloatArray
    straight: FloatArray
    energy: FloatArray | None
    young: BoolArray | None


def follow_sea(given: Sectors, each_sector: bool) -> FollowedSea:
    """Follow the sea of each sector through the hours.

    Parameters
    ----------
    given
        Wind and water.
    each_sector
        Whether the sectors are wanted, or only the sea that they make together.

    Notes
    -----
    As `growth_through_hours.sea_through_hours` describes. No loop runs over places or sectors.
    """
    hours, places = given.wind.shape
    shape = (SEAS, places, len(given.sectors))
    spread, straight = np.empty((2, hours, places))
    kept = hours if each_sector else 0
    energy, young = np.empty((kept, *shape)), np.empty((kept, *shape), dtype=bool)
    state = _State(given.water, given.near)
    starts = np.concatenate([[True], ~given.known[:-1].all(axis=1)])
    step = max(1, VALUES_AT_ONCE // max(1, math.prod(shape)))
    squared = np.empty((min(step, hours), *shape))
    with np.errstate(divide="ignore"):
        for begin in range(0, hours, step):
            some = slice(begin, min(begin + step, hours))
            for at, one in enumerate(zip(*force(given, some), strict=True)):
                hour, forcing = begin + at, Forcing(*one)
                if starts[hour]:
                    state.start(forcing, given.known[hour - 1] & (hour > 0))
                state.advance(forcing, squared[at])
                if each_sector:
                    energy[hour], young[hour] = squared[at], state.young()
            found = squared[: some.stop - begin]
            found[:, 0].sum(axis=-1, out=spread[some])
            found[:, 1].max(axis=-1, out=straight[some])
    return FollowedSea(spread, straight, *((energy, young) if each_sector else (None, None)))


class Forcing(NamedTuple):
    """What drives the sectors within 90° of the wind, arrays (hour, sea, place, half the sectors).

    Parameters
    ----------
    at
        Which sector it is, as its place in an array (sea, place, sector).
    raised
        The state that the wind raises where growth is complete.
    full
        The same for a wind of at least `FAINTEST_WIND`, from which the equivalent fetch is found.
    most
        The stage of growth at the end of the open water.
    pace
        What an hour adds to the stage, to the power in which a sea travels evenly.
    """

    at: IntArray
    raised: FloatArray
    full: FloatArray
    most: FloatArray
    pace: FloatArray


def force(given: Sectors, hours: slice) -> Forcing:
    """Return what drives each sector in some hours."""
    count, places = len(given.sectors), len(given.water)
    facing, wind = given.direction[hours][..., None], given.wind[hours][..., None]
    first = np.floor((facing - 90) / (360 / count)).astype(np.int64) + 1
    sector = (first + np.arange(count // 2)) % count
    at = np.arange(places)[:, None] * count + sector
    along = np.maximum(np.cos(np.radians(given.sectors[sector] - facing)), GLANCING)
    angle = np.log(along)
    water, near = (np.log(far).take(at) for far in (given.water, given.near))
    spread = _forced(given.depth, wind, angle, along, angle + water)  # it shares by cos²
    straight = _forced(given.depth, wind * along, np.zeros(()), np.ones(()), near)
    parts = (np.stack(both, axis=1) for both in zip(spread, straight, strict=True))
    return Forcing(np.stack([at, at + places * count], axis=1), *parts)


def _forced(
    depth: FloatArray, blown: FloatArray, held: FloatArray, share: FloatArray, length: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Return what `Forcing` has of one sea beside `at`, arrays (hour, place, half the sectors).

    `held` is the logarithm of the share of the sea that each sector holds, `length` that of its
    water; the wind blows along it.
    """
    moving = np.maximum(blown, FAINTEST_WIND)
    log_moving = np.log(moving)
    limit = _depth_limit(depth, log_moving)
    full = limit * np.exp((held + 2 * log_moving + np.log(HEIGHT.full / GRAVITY)) / HEIGHT.power)
    stage = np.exp(HEIGHT.fetch_power * (np.log(GRAVITY) + length - 2 * log_moving))
    full, stage = np.broadcast_arrays(full, stage)
    pace = _PACE * HOUR * share / moving / np.power(limit / HEIGHT.fetch_factor, _TRAVEL)
    faint = np.broadcast_to(blown < moving, full.shape)
    raised = full.copy()
    raised[faint] *= np.broadcast_to(blown / moving, full.shape)[faint] ** (2 / HEIGHT.power)
    most = np.minimum(HEIGHT.fetch_factor * stage / limit, COMPLETE)
    return raised, full, most, np.broadcast_to(pace, full.shape)


def _depth_limit(depth: FloatArray, moving: FloatArray) -> FloatArray:
    """Return how far the depth lets a wind's sea grow; `moving` is the logarithm of the wind."""
    if np.isposinf(depth).all():
        return np.ones((1,) * moving.ndim)
    deep = np.where(depth > 0, depth, np.nan)
    by_depth = HEIGHT.depth_factor * (GRAVITY * deep) ** HEIGHT.depth_power
    limit: FloatArray = np.tanh(by_depth[:, None] * np.exp(-2 * HEIGHT.depth_power * moving))
    return np.maximum(limit, 1e-12)


class _State:
    """The sea of each sector in one hour, arrays (sea, place, sector), changed in place.

    `grown` is the height to the power 1/p, as if the sector held the whole sea, and `root` the
    square root of the height; a sector farther than 90° off the wind only decays.
    """

    def __init__(self, water: FloatArray, near: FloatArray) -> None:
        reach = np.maximum(np.stack([water, near]), 1.0)
        self._run = GRAVITY * _PERIOD_OF_GROWN / (16 * np.pi) * HOUR / reach
        self._grown, self._root, self._left = np.zeros((3, *reach.shape))
        self._at: IntArray = np.zeros(0, dtype=np.int64)
        self._raised = self._kept = np.zeros(0)

    def start(self, forcing: Forcing, known_before: BoolArray) -> None:
        """Where the hour before is not known, begin with the sea that this wind has grown."""
        whole = np.zeros_like(self._grown)
        whole.ravel()[forcing.at] = forcing.raised * np.tanh(forcing.most)
        np.copyto(self._grown, whole, where=~known_before[:, None])
        _power(self._grown, HEIGHT.power / 2, self._root)

    def advance(self, forcing: Forcing, squared: FloatArray) -> None:
        """Go on by an hour; write the square of each sector's height [m²]."""
        self._at, self._raised = forcing.at, self._raise(forcing)
        left = self._decay().ravel()
        self._kept = left[forcing.at]
        left[forcing.at] = np.maximum(self._raised, self._kept)
        self._grown, self._left = self._left, self._grown
        root = _power(self._grown, HEIGHT.power / 2, self._root)
        np.multiply(root, root, out=squared)
        squared *= squared

    def young(self) -> BoolArray:
        """Return whether the wind of the hour has raised the sea of each sector."""
        raised = np.zeros(self._grown.shape, dtype=bool)
        raised.ravel()[self._at] = self._raised >= self._kept
        return raised

    def _raise(self, forcing: Forcing) -> FloatArray:
        """Return the state that the wind raises in the hour from the equivalent fetch of now."""
        stage: FloatArray = self._grown.ravel()[forcing.at]
        stage /= forcing.full
        np.minimum(stage, 1.0, out=stage)
        np.arctanh(stage, out=stage)
        _power(stage, _TRAVEL, stage)
        stage += forcing.pace
        _power(stage, 1 / _TRAVEL, stage)
        np.minimum(stage, forcing.most, out=stage)
        np.tanh(stage, out=stage)
        stage *= forcing.raised
        return stage

    def _decay(self) -> FloatArray:
        """Return the state that is left of the sea after an hour, as `left_after_an_hour`."""
        left: FloatArray = np.multiply(self._root, self._run, out=self._left)
        np.log1p(left, out=left)
        left *= -2 / HEIGHT.power
        root = self._root
        root *= _PERIOD_OF_GROWN
        np.maximum(root, 0.1, out=root)
        left -= np.divide(_BREAKING, root, out=root)
        np.exp(left, out=left)
        left *= self._grown
        return left


def _power(values: FloatArray, exponent: float, out: FloatArray) -> FloatArray:
    """Compute a power in logarithms, which is faster; 0 stays 0."""
    np.log(values, out=out)
    out *= exponent
    raised: FloatArray = np.exp(out, out=out)
    return raised

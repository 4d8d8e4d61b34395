"""What logged water temperatures of a lake add to the range that is estimated for it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.conditions.lake_band import Band
from safety_check.settings.lake_file import Learning


def learn_band(band: Band, readings: Sequence[tuple[int, float]], by: Learning) -> Band:
    """Return the band of each day with what was logged at this water.

    Parameters
    ----------
    band
        Of successive days.
    readings
        Number of the day and what was measured then. [degC]
    by
        From config.

    Notes
    -----
    The lower quartile of measured less middle shifts the middle, and the cold end is to lie at
    least `left` below that. Where this is colder than the estimate it holds at once, however old
    the readings are. Where it is warmer the cold end comes nearer: by n / (n + `trust_after`) of
    the way after n readings, to a place that is the lower the older they are. The warm end is
    raised by the upper quartile where that is warmer, and never lowered: readings of one season
    said too little about the warm end in another.
    """
    if len(readings) < by.least:
        return band
    missed = np.array([value - band.middle[day] for day, value in readings])
    slack = _grown(len(band.middle), [day for day, _ in readings], by)
    cold = np.maximum(0.0, _learn_cold_end(band.cold, band.middle, missed, slack, by))
    warm = band.middle + float(np.quantile(missed, 1 - by.quantile)) + by.left
    return Band(cold, band.middle, np.maximum(band.warm, np.maximum(warm, cold)))


def _learn_cold_end(
    end: FloatArray, middle: FloatArray, missed: FloatArray, slack: FloatArray, by: Learning
) -> FloatArray:
    fresh = middle + float(np.quantile(missed, by.quantile)) - by.left
    part = len(missed) / (len(missed) + by.trust_after)
    closer = end + part * np.maximum(fresh - slack - end, 0.0)
    return np.where(fresh < end, fresh, closer)


def _grown(days: int, read_on: Sequence[int], by: Learning) -> FloatArray:
    """Return how much more may be wrong on each day for the age of the readings. [K]."""
    age = np.maximum(0, np.arange(days)[:, None] - np.array(read_on))
    grown = by.grows * -np.expm1(-age / by.grows_over)
    slack: FloatArray = grown.mean(axis=1) / np.sqrt(len(read_on))
    return slack

"""Signs on the water that mean: leave now."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class LeaveSigns:
    """The signs that it is time to leave the water, from a verdict's own numbers.

    Parameters
    ----------
    wind, gust, wave
        Above these it is time to leave; NaN where no limit holds. [m s⁻¹, m s⁻¹, m]
    whitecaps
        Whether whitecaps alone show that the wind is above its sign.
    offshore
        The compass points [deg true from] from which a wind blows off the shore here; only where
        no forecast expects wind from one of them.
    by
        When to turn back, or to be off the water where that is not known.
    turn_back
        Whether `by` is the time to turn back.
    """

    wind: float
    gust: float
    wave: float
    whitecaps: bool
    offshore: tuple[float, ...]
    by: datetime
    turn_back: bool

"""How a finding reads: one sentence that a tired person at a ramp understands."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo

import numpy as np

from safety_check.model.craft import Craft
from safety_check.model.verdict import Limit, Severity
from safety_check.rules.hazard import Hazard
from safety_check.rules.limits import Limits
from safety_check.units import Preferences, compass, show

SHARE_WORTH_SAYING = 0.995
AT_THE_LAUNCH = 100.0  # m


@dataclass(frozen=True)
class ReasonContext:
    """To whom a reason speaks.

    Parameters
    ----------
    preferences
        The units that the user reads in.
    zone
        The water's local time.
    craft
        The boat, named in the limits.
    book
        The limits that hold.
    lowered_for
        In words, what lowers the wind limits on this trip.
    warnings
        The headlines of official warnings, worst first.
    """

    preferences: Preferences
    zone: tzinfo
    craft: Craft
    book: Limits
    lowered_for: tuple[str, ...]
    warnings: tuple[str, ...] = ()

    def value(self, value: float, shown_as: str) -> str:
        """Return a value as the user reads it.

        Raises
        ------
        KeyError
            For a way of showing that no hazard has.
        """
        if math.isnan(value):
            return "unknown"
        kinds = {
            "wind": ("speed", self.preferences.wind),
            "wave": ("length", self.preferences.wave),
            "distance": ("length", self.preferences.distance),
            "temperature": ("temperature", self.preferences.temperature),
            "minutes": ("duration", "min"),
        }
        if shown_as in kinds:
            return show(value, *kinds[shown_as])
        others: dict[str, Callable[[float], str]] = {
            "temperature_sum": self._sum,
            "angle": _sun,
            "energy": lambda energy: f"{energy:.0f} J/kg",
            "rain": lambda rain: f"{rain:.0f} mm",
            "share": lambda share: f"{100 * share:.0f} %",
            "part": lambda part: "more than all" if math.isinf(part) else f"{100 * part:.0f} %",
            "times": lambda times: "wholly beyond" if math.isinf(times) else f"{times:.1f} times",
            "turn": lambda turn: f"{turn:.0f}°",
            "pressure": lambda fall: f"{fall / 100:.1f} hPa",
            "spare": lambda spare: _margin(spare, "", "long before"),
            "before_sunset": lambda left: _margin(left, " sunset", "in full daylight"),
            "before_dusk": lambda left: _margin(left, " dusk", "in full daylight"),
            "flag": lambda flag: f"{flag:.0f}",
        }
        return others[shown_as](value)

    def _sum(self, celsius: float) -> str:
        if self.preferences.temperature == "F":
            return f"{celsius * 1.8 + 64:.0f} °F"
        return f"{celsius:.0f} °C"

    def place(self, hazard: Hazard, place: tuple[float, float] | None) -> str:
        """Return where a point stands from the launch, or a warning's own headlines."""
        if hazard.name == "official_warning":
            return "; ".join(self.warnings)
        if place is None or math.hypot(*place) < AT_THE_LAUNCH:
            return ""
        far = show(math.hypot(*place), "length", self.preferences.distance)
        return f" {far} {compass(math.degrees(math.atan2(*place)))} of the launch"

    def hour(self, time: np.datetime64) -> str:
        """Return "at 10:00" in the water's local time."""
        return f"at {to_local(time, self.zone):%H:%M}"

    def limit(self, hazard: Hazard, severity: Severity, bound: float) -> str:
        """Return the clause that names the bound, whose it is and what lowered it."""
        limit = self.book.limits[hazard.weighs]
        forbids = severity == Severity.NO_GO
        whose = "your limit" if limit.basis == "personal" else "the limit"
        if not forbids:
            whose = "your caution" if limit.basis == "personal" else "caution"
            whose += " starts at" if severity == Severity.MARGINAL else " would start at"
        else:
            whose += _for_whom(hazard, limit, self.craft) + " is"
        clause = f"{whose} {self.value(bound, hazard.shown_as)}"
        return clause + self._beside(hazard, limit, forbids, bound)

    def _beside(self, hazard: Hazard, limit: Limit, forbids: bool, bound: float) -> str:
        """Return what a reader should know of the bound: whose it is, what moved it."""
        default = self.book.defaults[hazard.weighs]
        usual = default.no_go if forbids else default.marginal
        notes = ["yours"] if limit.basis == "personal" else []
        if usual is not None and not math.isclose(usual, bound):
            notes.append(f"default {self.value(usual, hazard.shown_as)}")
            if limit.basis != "personal":
                notes.append("lowered: " + ", ".join(self.lowered_for))
        if limit.loosened is not None:
            notes.append("looser than the default, as you asked")
        return f" ({', '.join(notes)})" if notes else ""


def _for_whom(hazard: Hazard, limit: Limit, craft: Craft) -> str:
    if hazard.chosen_by == "craft":
        return f" for this {craft.label}" if limit.basis != "personal" else " for this craft"
    if hazard.chosen_by == "wearing":
        worn = limit.applies_to.removeprefix("wearing ")
        return " without immersion clothing" if worn == "none" else f" in a {worn}"
    return ""


def _margin(seconds: float, event: str, endless: str) -> str:
    """Return how long before or after an event something is.

    Examples
    --------
    >>> _margin(1500.0, " sunset", ""), _margin(-600.0, " dusk", "")
    ('25 min before sunset', '10 min after dusk')
    """
    if math.isinf(seconds):
        return endless if seconds > 0 else f"not before{event}"
    minutes = abs(seconds) / 60
    span = f"{minutes:.0f} min" if minutes < 100 else f"{minutes / 60:.0f} h"
    return f"{span} {'before' if seconds >= 0 else 'after'}{event}"


def _sun(degrees: float) -> str:
    side = "below" if degrees < 0 else "above"
    return f"the sun stands {abs(degrees):.0f}° {side} the horizon"


def to_local(time: np.datetime64, zone: tzinfo) -> datetime:
    """Return an instant of UTC as the clock on the water's wall."""
    moment: datetime = time.astype("datetime64[s]").item()
    return moment.replace(tzinfo=UTC).astimezone(zone)


def write_reason(
    hazard: Hazard,
    voice: ReasonContext,
    severity: Severity,
    value: float,
    bound: float,
    time: np.datetime64,
    odds: float,
    where: str,
) -> str:
    """Return a finding's reason.

    Parameters
    ----------
    hazard, voice
        What, and to whom.
    severity, value, bound, time, odds
        Of the worst hour; a NaN value reads as unknown.
    where
        The place of the worst value, or the headline of a warning.
    """
    if hazard.weighs in voice.book.undeclared:
        return UNDECLARED[hazard.chosen_by]
    if severity == Severity.UNKNOWN or math.isnan(value):
        what = plain_name(hazard.weighs)
        return f"{what[0].upper()}{what[1:]} is not known {voice.hour(time)}. {hazard.mend}"
    says = FINE.get(hazard.weighs, hazard.says) if severity == Severity.GO else hazard.says
    text = says.format(
        value=voice.value(value, hazard.shown_as),
        hour=voice.hour(time),
        limit=voice.limit(hazard, severity, bound),
        where=where,
    )
    if severity > Severity.GO and odds < SHARE_WORTH_SAYING:
        text = f"{text.removesuffix('.')} (in {100 * odds:.0f} % of the forecasts)."
    return text


def plain_name(quantity: str) -> str:
    """Return a quantity in everyday words."""
    return PLAIN.get(quantity, quantity.replace("_", " "))


FINE = {
    "life_jacket_worn": "A life jacket is worn.",
    "thunderstorm": "No thunder is forecast.",
    "official_warning": "No official warning is known for these hours.",
    "solar_elevation_angle": "It is light enough {hour}: {value}.",
    "time_to_dark": "{value} of daylight are left {hour}.",
}

UNDECLARED = {
    "wearing": "What you wear in the water is not declared. Declare it:"
    " safety-check paddler set --wearing none (or wetsuit, drysuit)",
    "light": "Whether you carry a light is not declared. Declare it:"
    " safety-check paddler set --light yes (or no)",
}


PLAIN = {
    "sea_surface_wave_significant_height": "wave height",
    "wind_speed_of_gust": "gust speed",
    "atmosphere_convective_available_potential_energy": "energy for thunderstorms (CAPE)",
    "forecast_complete": "what some of the forecasts say of the wind, and so the odds,",
    "forecast_in_date": "whether the forecast still holds (it is too old, or there is none)",
    "life_jacket_worn": "whether a life jacket is worn",
    "company_declared": "whether you go alone",
    "solar_elevation_angle": "how dark it gets",
    "time_to_dark_once_home": "how much daylight is left once you are home",
    "time_to_dusk_once_home": "how much twilight is left once you are home",
    "share_of_hold_station_wind": "how near the wind comes to what stops this craft",
    "way_home_share_of_trip": "how long the way home takes",
    "spare_time_before_worse": "whether you are home before it gets worse",
    "offshore_wind_speed": "whether the wind blows offshore",
    "swim_to_shore_share": "whether the shore can be reached by swimming",
    "probability_of_thunder": "the chance of thunder",
    "wind_shift": "how the wind turns",
    "wind_rise": "how fast the wind rises",
    "pressure_fall": "how fast the pressure falls",
    "thunderstorm": "whether thunder is forecast",
    "forecast_growth": "how far the wind forecast has risen since an earlier check",
    "official_warning": "whether an official warning holds",
    "visibility_in_air": "visibility",
    "precipitation_amount": "rain",
    "sum_of_air_and_water_temperature": "air temperature beside the water's",
    "water_temperature": "water temperature",
}

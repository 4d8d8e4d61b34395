"""Weather that turns within the trip."""

from __future__ import annotations

from safety_check.rules.hazard import FORECAST, Hazard

TURNING_WEATHER = (
    Hazard(
        name="thunder_possible",
        weighs="probability_of_thunder",
        required=False,
        chosen_by="any",
        shown_as="share",
        says="The chance of thunder is {value} {hour}; {limit}.",
        because="A paddler is the highest point on the water.",
        blind_to="services that give no chance of thunder: most of them do not",
        mend=FORECAST,
    ),
    Hazard(
        name="wind_shift",
        weighs="wind_shift",
        required=False,
        chosen_by="any",
        shown_as="turn",
        says="The wind turns by {value} within the hour {hour}; {limit}.",
        because="A sudden turn of a fresh wind is how a front arrives: squalls, and a cross sea.",
        blind_to="fronts that pass between a model's hours, lighter winds, thermal turns at noon",
        mend=FORECAST,
    ),
    Hazard(
        name="wind_jumps",
        weighs="wind_rise",
        required=False,
        chosen_by="craft",
        shown_as="wind",
        says="The wind rises by {value} within the hour {hour}; {limit}.",
        because="A calm dawn that jumps to a blow leaves no time to come in.",
        blind_to="jumps within an hour, squalls smaller than a model's grid",
        mend=FORECAST,
    ),
    Hazard(
        name="pressure_falls",
        weighs="pressure_fall",
        required=False,
        chosen_by="any",
        shown_as="pressure",
        says="Air pressure falls by {value} in the three hours to the end of the hour {hour};"
        " {limit}.",
        because="Fast falling pressure announces a front, and with it wind.",
        blind_to="models that give no pressure; thunderstorms, which need no fall",
        mend=FORECAST,
    ),
)

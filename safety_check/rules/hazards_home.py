"""What goes wrong on the way home, and when it fails."""

from __future__ import annotations

from safety_check.rules.hazard import FORECAST, Hazard

WAY = "Wind and its direction must be forecast until you are home."
SHORE = "The water needs a shoreline or a table of open water, and its temperature must be known."

WORSE_BEFORE_HOME = Hazard(
    name="worse_before_home",
    weighs="spare_time_before_worse",
    required=True,
    chosen_by="any",
    shown_as="spare",
    says="Still at the farthest place {hour}, you are home {value} it turns NO-GO or unknown.",
    because="The way home is part of the trip, and it is begun too late more often than too early.",
    blind_to="that you turn back earlier than that; hours beyond the ones that are looked at",
    mend=WAY,
)

GETTING_HOME = (
    Hazard(
        name="held_in_place",
        weighs="share_of_hold_station_wind",
        required=True,
        chosen_by="any",
        shown_as="share",
        says="The wind {hour} is {value} of what stops this craft; {limit}.",
        because="Near that wind all strength goes into staying where you are.",
        blind_to="gusts, fatigue, yaw, steep chop, a craft loaded higher than its class",
        mend=FORECAST,
    ),
    Hazard(
        name="slow_way_home",
        weighs="way_home_share_of_trip",
        required=True,
        chosen_by="any",
        shown_as="part",
        says="The way home from the farthest place takes {value} of the trip's time {hour};"
        " {limit}.",
        because="Who needs all the trip for the way home is late before it begins.",
        blind_to="the way out; rests; the fish that keeps you",
        mend=WAY,
    ),
    Hazard(
        name="dark_is_near",
        weighs="time_to_dark_once_home",
        required=True,
        chosen_by="light",
        shown_as="before_sunset",
        says="Turning back only {hour}, you are home {value}; {limit}.",
        because="A slow way home ends in the dark.",
        blind_to="hills, trees and cloud that bring the dark forward",
        mend=WAY,
    ),
    Hazard(
        name="dusk_before_home",
        weighs="time_to_dusk_once_home",
        required=True,
        chosen_by="light",
        shown_as="before_dusk",
        says="Turning back only {hour}, you are home {value}; {limit}.",
        because="A light makes you seen; it does not show you shores, stumps or squalls.",
        blind_to="hills, trees and cloud that bring the dark forward",
        mend=WAY,
    ),
    Hazard(
        name="offshore_wind",
        weighs="offshore_wind_speed",
        required=True,
        chosen_by="craft",
        shown_as="wind",
        says="The wind {hour} blows {value} off the launch's shore, out over open water; {limit}.",
        because="Off a shore the water looks calm, and every lost stroke carries you away from it.",
        blind_to="winds along the shore, and how the wind turns round points and bays",
        mend=FORECAST,
    ),
    Hazard(
        name="too_far_to_swim",
        weighs="swim_to_shore_share",
        required=True,
        chosen_by="wearing",
        shown_as="times",
        says="The shore lies {value} a swimmer's reach in this water {hour}; {limit}.",
        because="In cold water arms and legs fail long before the body is cold.",
        blind_to="waves in the face, swimming skill, help that is near, shores one can't climb,"
        " islands on which nobody finds you",
        mend=SHORE,
    ),
)

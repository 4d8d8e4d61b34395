"""What can go wrong on the way home."""

from __future__ import annotations

from safety_check.rules.hazard import CHECK_AGAIN, LIGHT_UNDECLARED, WEARING_UNDECLARED, Hazard

NEEDS_WIND = "Check again later: this needs wind and its direction until you are home."
NEEDS_SHORE = (
    'Enter the water temperature with --water-temp "58 F"; if the water has no shoreline, add'
    " one: safety-check water add."
)

WORSE_BEFORE_HOME = Hazard(
    name="worse_before_home",
    weighs="spare_time_before_worse",
    lacking=(),
    required=True,
    chosen_by="any",
    shown_as="spare",
    lowered_by_reductions=False,
    needs_past=False,
    only_where_made=False,
    quantity_label="whether you are home before conditions become NO-GO or UNKNOWN",
    says="If you leave the farthest point {start}, you are back {value} conditions become NO-GO or"
    " UNKNOWN.",
    says_within="If you leave the farthest point {start}, you are back {value} conditions become"
    " NO-GO or UNKNOWN.",
    says_unknown="Whether you are home before conditions become NO-GO or UNKNOWN is not known"
    " {hour}.",
    says_undeclared="",
    remedy=NEEDS_WIND,
    rationale="The way home is part of the trip, and people start it too late more often than too"
    " early.",
    limitations="an earlier start for home than planned; hours after the ones that are checked",
)

GETTING_HOME = (
    Hazard(
        name="held_in_place",
        weighs="share_of_hold_station_wind",
        lacking=(),
        required=True,
        chosen_by="any",
        shown_as="share",
        lowered_by_reductions=False,
        needs_past=False,
        only_where_made=False,
        quantity_label="how close the wind comes to stopping this craft",
        says="The wind {hour} is {value} of what stops this craft; {limit}.",
        says_within="The wind {hour} is {value} of what stops this craft; {limit}.",
        says_unknown="How close the wind comes to stopping this craft is not known {hour}.",
        says_undeclared="",
        remedy=CHECK_AGAIN,
        rationale="Near that wind you can barely hold position.",
        limitations="gusts, fatigue, yaw, steep chop, a craft loaded more heavily than its class",
    ),
    Hazard(
        name="slow_way_home",
        weighs="way_home_share_of_trip",
        lacking=(),
        required=True,
        chosen_by="any",
        shown_as="part",
        lowered_by_reductions=False,
        needs_past=False,
        only_where_made=False,
        quantity_label="how long the way home takes",
        says="The way home from the farthest point takes {value} of the trip time {hour}; {limit}.",
        says_within="The way home from the farthest point takes {value} of the trip time {hour};"
        " {limit}.",
        says_unknown="How long the way home takes is not known {hour}.",
        says_undeclared="",
        remedy=NEEDS_WIND,
        rationale="If the return takes the whole trip time, you will be late.",
        limitations="the way out; rests; delays while fishing",
    ),
    Hazard(
        name="dark_is_near",
        weighs="time_to_dark_once_home",
        lacking=(),
        required=True,
        chosen_by="light",
        shown_as="before_sunset",
        lowered_by_reductions=False,
        needs_past=False,
        only_where_made=False,
        quantity_label="how much daylight is left once you are home",
        says="If you turn back {at_end}, you are home {value}; {limit}.",
        says_within="If you turn back {at_end}, you are home {value}; {limit}.",
        says_unknown="How much daylight is left once you are home is not known {hour}.",
        says_undeclared=LIGHT_UNDECLARED,
        remedy=NEEDS_WIND,
        rationale="A slow way home ends in the dark.",
        limitations="hills, trees and clouds that make it dark earlier",
    ),
    Hazard(
        name="dusk_before_home",
        weighs="time_to_dusk_once_home",
        lacking=(),
        required=True,
        chosen_by="light",
        shown_as="before_dusk",
        lowered_by_reductions=False,
        needs_past=False,
        only_where_made=False,
        quantity_label="how much twilight is left once you are home",
        says="If you turn back {at_end}, you are home {value}; {limit}.",
        says_within="If you turn back {at_end}, you are home {value}; {limit}.",
        says_unknown="How much twilight is left once you are home is not known {hour}.",
        says_undeclared=LIGHT_UNDECLARED,
        remedy=NEEDS_WIND,
        rationale="A light lets others see you; it does not show you shores, stumps or squalls.",
        limitations="hills, trees and clouds that make it dark earlier",
    ),
    Hazard(
        name="offshore_wind",
        weighs="offshore_wind_speed",
        lacking=(),
        required=True,
        chosen_by="craft",
        shown_as="wind",
        lowered_by_reductions=False,
        needs_past=False,
        only_where_made=False,
        quantity_label="offshore wind speed",
        says="The wind {hour} blows at {value} from the launch's shore out over open water;"
        " {limit}.",
        says_within="The wind {hour} blows at {value} from the launch's shore out over open water;"
        " {limit}.",
        says_unknown="Whether the wind blows offshore is not known {hour}.",
        says_undeclared="",
        remedy=CHECK_AGAIN,
        rationale="Close to the shore it blows from, the water looks calm, and the wind carries"
        " you farther out with every stroke you miss.",
        limitations="winds along the shore, and how the wind bends round points and bays",
    ),
    Hazard(
        name="too_far_to_swim",
        weighs="swim_to_shore_share",
        lacking=(),
        required=True,
        chosen_by="wearing",
        shown_as="times",
        lowered_by_reductions=False,
        needs_past=False,
        only_where_made=False,
        quantity_label="whether you could swim to the shore",
        says="The shore is up to {far} away, and in this water you could swim {swim} {hour};"
        " {limit}. Stay closer to the shore. Company, practice in climbing back aboard, and"
        " a phone or radio on you also help.",
        says_within="The shore is up to {far} away, and in this water you could swim {swim} {hour};"
        " {limit}.",
        says_unknown="Whether you could swim to the shore is not known {hour}.",
        says_undeclared=WEARING_UNDECLARED,
        remedy=NEEDS_SHORE,
        rationale="In cold water arms and legs fail long before the body is cold. Alone, nobody"
        " helps you back aboard, tows you or calls for help.",
        limitations="waves in the face, swimming skill, help that is near, shores that cannot be"
        " climbed, islands where nobody finds you",
    ),
)

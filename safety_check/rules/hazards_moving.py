"""What can go wrong where the water itself moves: tide, current, river and dam.

They are weighed only on water that moves; `weigh` leaves them out elsewhere.
"""

from __future__ import annotations

from functools import partial

from safety_check.rules.hazard import CHECK_AGAIN, Hazard

ENTER_CURRENT = (
    "Look it up in a tidal current table and enter the strongest, where it comes from and when it"
    ' is slack: --current "1.5 kt from NE, slack 09:20". Where the water does not move at all, say'
    " so: --current none, or safety-check water set NAME --kind still if it never does."
)
ENTER_TIDE = (
    'Look up high water in a tide table and enter it: --high-water "08:10". If the tide never'
    " reaches this water, say so: safety-check water set NAME --kind still."
)
ENTER_GAUGE = (
    'Read the gauge and enter it: --gauge "2.1 ft rising". A number of its own says nothing, so set'
    ' your limit for it once: safety-check limits set gauge --water NAME --no-go "3 ft".'
)

_moving = partial(
    Hazard,
    lacking=(),
    required=True,
    chosen_by="any",
    lowered_by_reductions=False,
    needs_past=False,
    only_where_made=False,
    says_undeclared="",
)

MOVING_WATER: tuple[Hazard, ...] = (
    _moving(
        name="strong_current",
        weighs="sea_water_speed",
        chosen_by="craft",
        shown_as="current",
        quantity_label="current",
        says="The current {hour} runs at up to {value}; {limit}.",
        says_within="The current {hour} runs at up to {value}; {limit}.",
        says_unknown="The current is not known {hour}.",
        remedy=ENTER_CURRENT,
        rationale="A current carries you where it goes, through narrows and under trees, and a"
        " swimmer with it.",
        limitations="eddy lines, races and narrows away from the station; what wind and river flood"
        " add to the prediction",
    ),
    _moving(
        name="current_of_sea_model",
        weighs="sea_water_speed_of_sea_model",
        required=False,
        shown_as="current",
        quantity_label="current of the sea model",
        says="A coarse sea model has a current of up to {value} {hour}; {limit}.",
        says_within="A coarse sea model has a current of up to {value} {hour}; {limit}.",
        says_unknown="The current of the sea model is not known {hour}.",
        remedy=CHECK_AGAIN,
        rationale="Where even cells of 8 km have a strong current, narrows have a stronger one.",
        limitations="inlets, narrows, harbours and river mouths: a weak current clears nothing",
    ),
    _moving(
        name="current_stops_craft",
        weighs="current_share_of_cruise_speed",
        shown_as="share",
        quantity_label="how close the current comes to the speed of this craft",
        says="The current {hour} is {value} of the speed that you keep up; {limit}.",
        says_within="The current {hour} is {value} of the speed that you keep up; {limit}.",
        says_unknown="How close the current comes to the speed of this craft is not known {hour}.",
        remedy=ENTER_CURRENT,
        rationale="At half of your speed the way back against it takes twice as long; at all of it"
        " there is no way back.",
        limitations="eddies and slack edges that help; sprints; fatigue",
    ),
    _moving(
        name="wind_against_current",
        weighs="wave_height_against_current",
        chosen_by="craft",
        shown_as="wave",
        quantity_label="waves that run into the current",
        says="{where}: waves up to {value} {hour}; {limit}.",
        says_within="Waves that run into the current reach {value} {hour}; {limit}.",
        says_unknown="How high the waves become on the current is not known {hour}.",
        remedy=ENTER_CURRENT,
        rationale="A current against the waves shortens them and makes them higher, until they"
        " break. The change comes with the turn of the tide, in the same wind.",
        limitations="where the current bends, narrows or runs over shoals; how far the waves meet"
        " it",
    ),
    _moving(
        name="waves_break_on_current",
        weighs="height_of_waves_that_break_on_current",
        shown_as="wave",
        quantity_label="waves that break on the current",
        says="{where}: the waves break or are stopped, up to {value} {hour}; {limit}.",
        says_within="Waves that break on the current reach {value} {hour}; {limit}.",
        says_unknown="Whether waves break on the current is not known {hour}.",
        remedy=ENTER_CURRENT,
        rationale="A breaking wave rolls a craft that would ride over the same wave unbroken.",
        limitations="waves that break on a bar or a shoal without a current",
    ),
    _moving(
        name="ebb_at_bar",
        weighs="ebb_at_bar",
        shown_as="flag",
        quantity_label="whether the ebb runs at the bar or inlet",
        says="The ebb runs out over the bar or through the inlet {hour}.",
        says_within="The ebb does not run at the bar or inlet {hour}.",
        says_unknown="Whether the ebb runs at the bar or inlet is not known {hour}.",
        remedy='Enter the current with its name: --current "ebb 1.5 kt from NE, slack 09:20".',
        rationale="On the ebb the waves from the sea stand up and break on a bar, and the current"
        " carries you out to them.",
        limitations="swell that breaks on the flood too; a bar that you did not mark",
    ),
    _moving(
        name="tide_not_known",
        weighs="tide_known",
        shown_as="flag",
        quantity_label="high and low water",
        says="The tide is known {hour}.",
        says_within="High and low water are known {hour}.",
        says_unknown="High and low water are not known {hour}.",
        remedy=ENTER_TIDE,
        rationale="The tide decides where you can land, and what lies dry on the way home.",
        limitations="wind, air pressure, surge and river flow, which change every predicted tide",
    ),
    _moving(
        name="launch_dries",
        weighs="water_over_launch",
        shown_as="wave",
        quantity_label="water over the launch",
        says="The launch has {value} of water {hour}; {limit}.",
        says_within="The launch has {value} of water {hour}; {limit}.",
        says_unknown="Whether the launch has water is not known {hour}.",
        remedy='Enter the heights of the tide too: --high-water "08:10 2.1 m, low 14:20 0.4 m".',
        rationale="A launch that falls dry leaves you on mud, or outside until the tide is back.",
        limitations="surge, air pressure and wind, which lower a tide; mud that carries nobody",
    ),
    _moving(
        name="river_in_flood",
        weighs="river_flood_category",
        shown_as="flood",
        quantity_label="flood category of the river",
        says="The river is at {value} {hour}; {limit}.",
        says_within="The river is {value} {hour}.",
        says_unknown="Whether the river is in flood is not known {hour}.",
        remedy=ENTER_GAUGE,
        rationale="High water is fast and cold, carries trees, and leaves no bank to land on.",
        limitations="reaches without a gauge; ice; what a tributary brings below the gauge",
    ),
    _moving(
        name="river_high_for_the_day",
        weighs="river_percentile",
        required=False,
        shown_as="percentile",
        quantity_label="how high the river is for the day of the year",
        says="The river is {value} of its days at this time of year {hour}; {limit}.",
        says_within="The river is {value} of its days at this time of year {hour}; {limit}.",
        says_unknown="How high the river is for the time of year is not known {hour}.",
        remedy=ENTER_GAUGE,
        rationale="More water than usual is faster than the river you know.",
        limitations="it compares an instant with the means of whole days",
    ),
    _moving(
        name="river_high_and_rising",
        weighs="river_percentile_while_rising",
        shown_as="percentile",
        quantity_label="how high the river is while it rises",
        says="The river rises, {value} of its days at this time of year {hour}; {limit}.",
        says_within="The river is {value} of its days at this time of year, or does not rise,"
        " {hour}.",
        says_unknown="How high the river is while it rises is not known {hour}.",
        remedy=ENTER_GAUGE,
        rationale="A high river that still rises gets worse during the trip.",
        limitations="how fast it rises further",
    ),
    _moving(
        name="river_gauge",
        weighs="river_gauge_height",
        shown_as="wave",
        quantity_label="river gauge",
        says="The gauge stands at {value}; {limit}.",
        says_within="The gauge stands at {value}; {limit}.",
        says_unknown="What the gauge shows is not known {hour}.",
        remedy=ENTER_GAUGE,
        rationale="No number holds for every river, so the limit is your own.",
        limitations="how the river changes after the reading",
    ),
    _moving(
        name="river_discharge",
        weighs="river_discharge",
        shown_as="flow",
        quantity_label="discharge of the river",
        says="The river carries {value}; {limit}.",
        says_within="The river carries {value}; {limit}.",
        says_unknown="What the river carries is not known {hour}.",
        remedy='Read the gauge and enter it: --gauge "450 cfs rising".',
        rationale="No number holds for every river, so the limit is your own.",
        limitations="how the river changes after the reading",
    ),
    _moving(
        name="dam_release",
        weighs="dam_release",
        required=False,
        shown_as="release",
        quantity_label="releases of the dam upstream",
        says="Release from the dam upstream: {value} {hour}. Ask its operator for today's plan, and"
        ' enter it: --release none, or --release "14:00".',
        says_within="You asked, and the dam upstream releases no water {hour}.",
        says_unknown="Whether the dam upstream releases water is not known {hour}.",
        remedy="Ask the operator of the dam for today's plan, and enter it: --release none.",
        rationale="Below a dam the water rises by metres within minutes, without rain and often"
        " without a sound.",
        limitations="a release that nobody announced",
    ),
)
OF_MOVING_WATER = frozenset(hazard.name for hazard in MOVING_WATER)

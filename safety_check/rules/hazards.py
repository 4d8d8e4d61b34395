"""Each hazard: what it weighs, whether that must be known, how its reason reads."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Hazard:
    """One way in which a trip goes wrong, and the one quantity that stands for it.

    Parameters
    ----------
    name
        Ours.
    weighs
        The quantity, as `conditions` computes it and limits.toml bounds it.
    required
        True: not known is UNKNOWN. False: wanted, and not known is MARGINAL at best.
    chosen_by
        What picks the limit: "craft", "wearing", "light" or "any".
    shown_as
        How a value reads: a kind of `units`, or "share", "angle", "flag".
    says
        The sentence; `{value}`, `{hour}` and `{limit}` are filled in.
    because
        Why it is a hazard.
    blind_to
        What this hazard can't see.
    mend
        What the user can do when the quantity is not known.
    lowered_by_steps
        True where company, distance, offshore wind and cold lower the limit.
    needs_past
        True where it is weighed only if there was an earlier check to compare with.
    """

    name: str
    weighs: str
    required: bool
    chosen_by: str
    shown_as: str
    says: str
    because: str
    blind_to: str
    mend: str
    lowered_by_steps: bool = False
    needs_past: bool = False


FORECAST = "Ask another source, or try again later."

HAZARDS = (
    Hazard(
        name="forecast_too_old",
        weighs="forecast_in_date",
        required=True,
        chosen_by="any",
        shown_as="flag",
        says="The forecast is new enough.",
        because="An old forecast may still forbid, but it permits nothing.",
        blind_to="a run that its service never names, and so may be older than the answer",
        mend="Ask anew, or fetch a newer file.",
    ),
    Hazard(
        name="wind_too_strong",
        weighs="wind_speed",
        required=True,
        chosen_by="craft",
        shown_as="wind",
        says="Wind reaches {value} {hour}; {limit}.",
        because="Past a certain wind a paddler neither holds a course nor gets home.",
        blind_to="local funnels, thermal lake breezes, shelter of trees and banks",
        mend=FORECAST,
        lowered_by_steps=True,
    ),
    Hazard(
        name="gusts_too_strong",
        weighs="wind_speed_of_gust",
        required=True,
        chosen_by="craft",
        shown_as="wind",
        says="Gusts reach {value} {hour}; {limit}.",
        because="A gust decides about balance and control, not the mean wind.",
        blind_to="gusts between a model's own steps, squalls smaller than its grid",
        mend=FORECAST,
        lowered_by_steps=True,
    ),
    Hazard(
        name="capsize_by_waves",
        weighs="sea_surface_wave_significant_height",
        required=True,
        chosen_by="craft",
        shown_as="wave",
        says="Waves reach {value} {hour}{where}; {limit}.",
        because="Waves taken on the side roll a short hull, and crests fill an open one.",
        blind_to="boat wakes, waves thrown back by a wall, wind against current, weed beds",
        mend="Wind and its direction must be forecast, and the water needs a shoreline.",
    ),
    Hazard(
        name="no_life_jacket",
        weighs="life_jacket_worn",
        required=True,
        chosen_by="any",
        shown_as="flag",
        says="No life jacket worn: that alone forbids the launch.",
        because="Most who drown from small craft wore none, in calm water and light wind.",
        blind_to="a jacket that does not fit or is not fastened",
        mend="safety-check paddler set --life-jacket worn",
    ),
    Hazard(
        name="company_not_declared",
        weighs="company_declared",
        required=True,
        chosen_by="any",
        shown_as="flag",
        says="Company is declared.",
        because="Alone, nobody helps a swimmer back in, so the wind limits are lower.",
        blind_to="companions who can't help",
        mend="safety-check paddler set --company alone",
    ),
    Hazard(
        name="cold_water",
        weighs="water_temperature",
        required=True,
        chosen_by="wearing",
        shown_as="temperature",
        says="The water is at {value}; {limit}.",
        because="Cold shock drowns within minutes, long before the body cools.",
        blind_to="colder water below the surface or farther out, health, age, fitness",
        mend='Enter it: --water-temp "58 F" (measured at the launch, or the newest report).',
    ),
    Hazard(
        name="cold_air_over_cold_water",
        weighs="sum_of_air_and_water_temperature",
        required=False,
        chosen_by="wearing",
        shown_as="temperature_sum",
        says="Air and water together make {value} {hour}; {limit}.",
        because="A wet swimmer in cold air does not warm up again.",
        blind_to="everything but two temperatures; it only ever tightens",
        mend=FORECAST,
    ),
    Hazard(
        name="dark_without_daylight",
        weighs="solar_elevation_angle",
        required=True,
        chosen_by="light",
        shown_as="angle",
        says="It is dark {hour}: {value}; {limit}.",
        because="Nobody sees an unlit paddler, and a paddler sees no shore, stump or squall.",
        blind_to="hills, trees and cloud that bring the dark forward",
        mend="safety-check paddler set --light yes",
    ),
    Hazard(
        name="dark_is_near",
        weighs="time_to_dark",
        required=True,
        chosen_by="light",
        shown_as="minutes",
        says="Only {value} of daylight are left {hour}; {limit}.",
        because="A slow way home ends in the dark.",
        blind_to="hills, trees and cloud that bring the dark forward",
        mend="safety-check paddler set --light yes",
    ),
    Hazard(
        name="thunderstorm",
        weighs="thunderstorm",
        required=True,
        chosen_by="any",
        shown_as="flag",
        says="Thunder is forecast {hour}. Off the water at the first thunder or flash, and 30"
        " minutes after the last.",
        because="A paddler is the highest point on the water.",
        blind_to="storms that no model sees hours ahead: the first strike comes unannounced",
        mend=FORECAST,
    ),
    Hazard(
        name="air_ready_for_storms",
        weighs="atmosphere_convective_available_potential_energy",
        required=False,
        chosen_by="any",
        shown_as="energy",
        says="The air can feed thunderstorms {hour} (CAPE {value}); {limit}.",
        because="Much energy in the air turns a small cloud into a squall within the hour.",
        blind_to="whether anything sets the storm off",
        mend=FORECAST,
    ),
    Hazard(
        name="fog",
        weighs="visibility_in_air",
        required=False,
        chosen_by="any",
        shown_as="distance",
        says="Visibility falls to {value} {hour}; {limit}.",
        because="In fog a paddler loses the shore and motor boats do not see a paddler.",
        blind_to="fog banks over cold water, smaller than the model's grid",
        mend=FORECAST,
    ),
    Hazard(
        name="heavy_rain",
        weighs="precipitation_amount",
        required=False,
        chosen_by="any",
        shown_as="rain",
        says="Rain reaches {value} in the hour {hour}; {limit}.",
        because="Heavy rain hides the shore, chills, and often brings gusts.",
        blind_to="showers between the model's grid points",
        mend=FORECAST,
    ),
    Hazard(
        name="cold_air",
        weighs="wind_chill_temperature",
        required=False,
        chosen_by="any",
        shown_as="temperature",
        says="Wind chill falls to {value} {hour}; {limit}.",
        because="Cold hands can't paddle, tie, call or climb back in.",
        blind_to="wet clothing, which cools far faster",
        mend=FORECAST,
    ),
    Hazard(
        name="heat",
        weighs="heat_index",
        required=False,
        chosen_by="any",
        shown_as="temperature",
        says="The heat index reaches {value} {hour}; {limit}.",
        because="There is no shade on the water, and heat takes judgment first.",
        blind_to="sun, which adds up to 8 °C (15 °F); clothing",
        mend=FORECAST,
    ),
    Hazard(
        name="forecast_growing",
        weighs="forecast_growth",
        required=False,
        chosen_by="any",
        shown_as="wind",
        says="From one check to a later one the wind forecast {hour} rose by {value}; {limit}.",
        because="A forecast that has just moved so far is not settled, and may move on.",
        blind_to="what happened between the checks, and models that did not speak in both",
        mend="Check again when a new forecast is out.",
        needs_past=True,
    ),
    Hazard(
        name="official_warning",
        weighs="official_warning",
        required=False,
        chosen_by="any",
        shown_as="flag",
        says="An official warning holds {hour}: {where}.",
        because="A forecaster on duty knows more than any rule here.",
        blind_to="warnings of neighbouring zones; inland lakes seldom get any",
        mend="Look at the official warnings yourself before you launch.",
    ),
)

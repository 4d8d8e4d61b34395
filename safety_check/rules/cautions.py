"""Cautions that every report repeats, and those for this paddler and this water."""

from __future__ import annotations

from safety_check.model.place import Water
from safety_check.model.plan import Plan

COLD_SHOCK_BELOW = 298.15  # K; breathing begins to be affected below 25 °C (from memory)

ALWAYS = (
    "This is an aid, not a permission. Local regulations, official forecasts and warnings, and"
    " your own judgment at the water come first.",
    "Wear your life jacket, fastened, before you leave the shore.",
    "No alcohol or drugs: one in six deaths in small craft with a known cause begins with them.",
    "The program does not know your health. With a heart condition, or any other condition that"
    " cold or effort can set off, ask a doctor first and do not go alone.",
    "Tell someone where you are going and when you will be back.",
    "Weather can change faster than any forecast: look again at the launch, and turn back early.",
)
COLD = (
    "Cold shock makes you gasp at once. If you fall in, hold on to the boat, float, and get your"
    " breathing under control for a minute before you do anything else."
)
DAM = (
    "Below a dam the water can rise by metres within minutes. Ask its operator for the releases of"
    " the day, and leave at once when the water rises or a siren sounds."
)
RIVER = (
    "The speed of the river is not known unless you enter it with --current. Keep clear of trees"
    " and debris in the water, and know your last place to get out."
)
TIDE = (
    "A prediction knows one point. Eddy lines, races, narrows and shoals beside it are not seen,"
    " and wind and rain shift every tide."
)
MOTOR = (
    "Check fuel, motor, engine cut-off and load before you leave, and carry oars or an anchor: with"
    " a dead motor this boat only drifts."
)
UNDECLARED_OR_NOT = {
    "means_to_call": "Carry a phone or radio that works when wet. Keep it on you, not in the boat.",
    "sound_signal": "Carry a whistle or horn: nobody hears you shout against the wind.",
    "within_capacity": "Stay within the capacity on the maker's plate, gear included, and keep the"
    " load low and even.",
    "self_rescue": "Practise climbing back aboard in warm, shallow water before you need it.",
}


CALLED_FOR = (
    "Wear your life jacket, fastened, before you leave the shore.",
    "Tell someone where you are going and when you will be back: safety-check plan.",
    "Look again at the launch (safety-check recheck), and turn back early.",
)


def cautions_called_for(plan: Plan, water_temperature: float) -> tuple[str, ...]:
    """Return the cautions that this trip calls for, and those repeated before every launch.

    Parameters
    ----------
    plan, water_temperature
        As for `list_cautions`.
    """
    cold = () if water_temperature >= COLD_SHOCK_BELOW else (COLD,)
    return (*CALLED_FOR, *cold, *_for_water(plan.water), *_for_paddler(plan))


def _for_water(water: Water) -> list[str]:
    """Return the cautions of water that moves; none on still water."""
    marks = ((DAM, water.dam), (RIVER, water.flowing), (TIDE, water.tidal))
    return [text for text, holds in marks if holds]


def _for_paddler(plan: Plan) -> list[str]:
    undeclared = [text for key, text in UNDECLARED_OR_NOT.items() if not getattr(plan.paddler, key)]
    return [MOTOR, *undeclared] if plan.craft.propulsion == "motor" else undeclared


def list_cautions(plan: Plan, water_temperature: float) -> tuple[str, ...]:
    """Return the cautions for a plan; anything unknown adds its caution.

    Parameters
    ----------
    plan
        Who goes where.
    water_temperature
        NaN where it is not known. [K]
    """
    cautions = list(ALWAYS)
    if not water_temperature >= COLD_SHOCK_BELOW:
        cautions.append(COLD)
    cautions += [*_for_water(plan.water), *_for_paddler(plan)]
    cautions.append(f"The usual way this craft gets into trouble: {plan.craft.fails_by}.")
    if plan.water.depth is None:
        cautions.append(
            "The depth is not known, so deep water is assumed, which gives the higher waves."
        )
    if plan.water.attribution:
        cautions.append(f"Shoreline: {plan.water.attribution}.")
    return tuple(cautions)

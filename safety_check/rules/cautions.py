"""What always holds, and what this paddler or this water adds to it."""

from __future__ import annotations

from safety_check.model.plan import Plan

COLD_SHOCK_BELOW = 298.15  # K; breathing begins to be affected below 25 °C (from memory)

ALWAYS = (
    "This is an aid, not a permission. Local regulations, official forecasts and warnings, and"
    " your own judgment at the water come first.",
    "Wear the life jacket, fastened, from the shore on.",
    "Tell someone where you go and when you will be back.",
    "Weather can outrun any forecast: look again at the launch, and turn back early.",
)
COLD = (
    "Cold shock takes the breath at once: if you fall in, float and breathe for a minute before"
    " anything else, and hold on to the boat."
)
UNDECLARED_OR_NOT = {
    "means_to_call": "Carry a phone or radio that works afloat and wet, on you, not in the boat.",
    "sound_signal": "Carry a whistle or horn: a voice does not carry over wind.",
    "self_rescue": "Practise getting back in, in warm shallow water, before you need it.",
}


def list_cautions(plan: Plan, water_temperature: float) -> tuple[str, ...]:
    """Return the cautions for a plan; what is unknown counts as a reason to say it.

    Parameters
    ----------
    plan
        Who goes where.
    water_temperature
        NaN where it is not known. [K]
    """
    said = list(ALWAYS)
    if not water_temperature >= COLD_SHOCK_BELOW:
        said.append(COLD)
    said += [text for key, text in UNDECLARED_OR_NOT.items() if not getattr(plan.paddler, key)]
    said.append(f"How this craft usually fails: {plan.craft.fails_by}.")
    if plan.water.depth is None:
        said.append("Depth is not known, so deep water is assumed: the higher wave of the two.")
    if plan.water.attribution:
        said.append(f"Shoreline: {plan.water.attribution}.")
    return tuple(said)

"""The boat and the person in it."""

from __future__ import annotations

import math
from dataclasses import dataclass


def with_article(noun: str) -> str:
    """Return a noun with "a" or "an".

    Examples
    --------
    >>> with_article("canoe"), with_article("open rowing boat")
    ('a canoe', 'an open rowing boat')
    """
    return f"{'an' if noun[:1].casefold() in tuple('aeiou') else 'a'} {noun}"


@dataclass(frozen=True)
class Craft:
    """The user's own boat; where the user gave no figure, that of its class is used.

    Parameters
    ----------
    name
        What the user calls it.
    kind
        Its class in `config/crafts.toml`, for example "sit-on-top-kayak".
    label
        The class in words.
    propulsion
        "paddle", "pedal", "oars", "fins" or "motor".
    cruise_speed
        The speed that its owner can hold for hours on flat water without wind. [m s⁻¹]
    hull_drag
        k in R = k v². [N s² m⁻²]
    drag_area
        Cd·A of hull, gear and person in the wind. [m²]
    greatest_thrust
        The thrust that the person can hold at zero speed. [N]
    length, beam
        [m]
    leeway
        Row of the published leeway table that fits a disabled craft of this class.
    fails_by
        How this class usually fails, in words.
    troll
        The slowest and the fastest speed that its owner trolls at [m s⁻¹]; NaN in a check that
        was stored before it was asked for.
    """

    name: str
    kind: str
    label: str
    propulsion: str
    cruise_speed: float
    hull_drag: float
    drag_area: float
    greatest_thrust: float
    length: float
    beam: float
    leeway: str
    fails_by: str
    troll: tuple[float, float] = (math.nan, math.nan)


@dataclass(frozen=True)
class Paddler:
    """What the person brings; None where it has not been declared.

    Parameters
    ----------
    life_jacket
        "worn", "carried" or "none".
    wearing
        "none", "wetsuit" or "drysuit".
    company
        "alone" or "group".
    light
        Whether a white light is on board.
    within_capacity
        Whether people and gear stay within the capacity that the maker states.
    sound_signal, means_to_call, self_rescue
        A whistle or horn; a phone or radio that works afloat; practised getting back in.
    """

    life_jacket: str | None = None
    wearing: str | None = None
    company: str | None = None
    light: bool | None = None
    sound_signal: bool | None = None
    means_to_call: bool | None = None
    self_rescue: bool | None = None
    within_capacity: bool | None = None

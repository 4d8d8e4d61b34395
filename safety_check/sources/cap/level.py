"""How severe a message says that it is: the higher of its severity and its colour."""

from __future__ import annotations

from safety_check.sources.cap.message import Info

LEVELS = ("Minor", "Moderate", "Severe", "Extreme")  # CAP 1.2, severity
COLOURS = {"yellow": "Moderate", "orange": "Severe", "amber": "Severe", "red": "Extreme"}
AWARENESS = "awareness_level"  # MeteoAlarm and its members: "3; orange; Severe"
COLOUR_NAMES = (AWARENESS, "ColourCode", "risk_colour", "warningLevel", "riskMatrixColor")
GREEN = "green"


def level(info: Info) -> str:
    """Return the highest level that a block gives; its own word where that is no word of CAP.

    Examples
    --------
    >>> from safety_check.sources.cap.message import Named
    >>> orange = (Named("awareness_level", "3; orange; Severe"),)
    >>> level(Info("de-DE", "Met", "STURMBÖEN", severity="Moderate", parameters=orange))
    'Severe'
    """
    known = [info.severity.capitalize(), *(COLOURS.get(colour, "") for colour in colours(info))]
    ranked = [word for word in LEVELS if word in known]
    return ranked[-1] if ranked else info.severity


def colours(info: Info) -> tuple[str, ...]:
    """Return the colours that a block gives, in lower case."""
    return tuple(
        part.strip().casefold()
        for value in info.parameter_values(*COLOUR_NAMES)
        for part in value.split(";")
    )


def green(info: Info) -> bool:
    """Return whether a block says that there is nothing to be aware of.

    MeteoAlarm's level 1 is green: "no particular awareness of the weather is required". A block
    that also has a higher colour or severity is none.
    """
    found = colours(info)
    return GREEN in found and level(info) in ("Minor", "Unknown", "")

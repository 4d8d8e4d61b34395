"""The units of what names no water: those of the user's waters, where these agree."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from safety_check.errors import SafetyCheckError
from safety_check.model.place import Water
from safety_check.settings.settings import Settings
from safety_check.waters import files


def at_own_waters(settings: Settings) -> Settings:
    """Return settings for what names no water, such as a craft's figures.

    Where all of the user's waters are in countries of the same units, these are the units;
    otherwise those of the program, unless the user has set any.
    """
    there = [settings.at_water(water) for water in _own_waters(settings)]
    spoken = {replace(place.preferences, note="") for place in there}
    return there[0] if len(spoken) == 1 else settings


def _own_waters(settings: Settings) -> Iterator[Water]:
    """Yield the waters that have a launch; a damaged file is left out."""
    for path in sorted(settings.folders.waters.glob("*.geojson")):
        try:
            water = files.load_file(path)
        except SafetyCheckError:
            continue
        if water.launches:
            yield water

"""What a user has still to say before a first check can be a GO."""

from __future__ import annotations

from dataclasses import dataclass

from safety_check.model.craft import Paddler
from safety_check.model.place import Water
from safety_check.settings.settings import Settings
from safety_check.waters.nearness import say_if_by_sea


@dataclass(frozen=True)
class Lack:
    """Something that keeps every check from being a GO.

    Parameters
    ----------
    about
        "water" or "paddler".
    says
        What is missing and what follows, in words.
    water
        The name of the water that it is about; empty otherwise.
    """

    about: str
    says: str
    water: str = ""


def find_lacks(settings: Settings, waters: list[Water]) -> tuple[Lack, ...]:
    """Return what keeps every check of a user from being a GO, in the order to mend it.

    Parameters
    ----------
    settings
        What the user declared.
    waters
        The user's waters.

    Notes
    -----
    Only what the user says once is looked at: a check takes any class of craft. Each check also
    needs a forecast, the water's temperature and, where no service can tell, the user's reading of
    official warnings.
    """
    places = [lack for water in waters if (lack := _of_water(water, settings))]
    first = [] if waters else [Lack("water", "No water has been added yet.")]
    # One water that is complete is enough for a GO there.
    blocking = places if len(places) == len(waters) else []
    return (*first, *blocking, *_of_paddler(settings.paddler))


def _of_water(water: Water, settings: Settings) -> Lack | None:
    if not water.launches:
        return Lack("water", "It has no launch yet.", water.name)
    here = say_if_by_sea(water, water.launches[0], settings.folders.cache)
    if here.by_sea:
        return Lack(
            "water",
            "You have not said whether it moves, and the sea is near: until you do, each check"
            " needs its tide and current.",
            water.name,
        )
    return None


def _of_paddler(paddler: Paddler) -> list[Lack]:
    said = {
        "You have not said whether you wear a life jacket.": paddler.life_jacket is None,
        "Without a life jacket that you wear, every check is NO-GO.": paddler.life_jacket
        in ("carried", "none"),
        "You have not said whether you go alone.": paddler.company is None,
        "You have not said what you wear in cold water.": paddler.wearing is None,
        "You have not said whether you carry a white light.": paddler.light is None,
        "People and gear exceed the maker's capacity: every check is NO-GO.": (
            paddler.within_capacity is False
        ),
    }
    return [Lack("paddler", text) for text, lacks in said.items() if lacks]

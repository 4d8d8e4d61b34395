"""Which services ask for a contact in the requests for a water, until the user was asked once."""

from __future__ import annotations

from collections.abc import Iterable

from safety_check.errors import SafetyCheckError
from safety_check.model.place import Launch
from safety_check.settings.settings import Settings
from safety_check.sources.coverage import covers
from safety_check.sources.registry import COUNTRIES, load_sources
from safety_check.waters import files


def services_without_contact(waters: Iterable[str | None], settings: Settings) -> tuple[str, ...]:
    """Return the titles of the services to be asked that lack the contact they ask for.

    Parameters
    ----------
    waters
        Waters or saved plans, as the user named them, a launch after a colon or not. One that
        is not known is left to the command itself.
    settings
        A contact.email in the user's file, even an empty one, is the user's answer: then
        nothing is missing.
    """
    if "email" in settings.user.contact.model_fields_set:
        return ()
    launches = [launch for water in waters for launch in _launches(water, settings)]
    titles = (
        source.title
        for name, source in load_sources().items()
        if source.contact and (source.adapter or source.covers == COUNTRIES)
        for launch in launches
        if covers(name, launch.latitude, launch.longitude)
    )
    return tuple(dict.fromkeys(titles))


def _launches(water: str | None, settings: Settings) -> tuple[Launch, ...]:
    """Return the launches of a water; none where it is not known or cannot be read."""
    if not water:
        return ()
    saved = settings.user.plan.get(water)
    named = saved.water if saved else water
    known = files.known(named, settings.folders.waters)
    try:
        name = named if known else named.rpartition(":")[0]
        return tuple(files.load(name, settings.folders.waters).launches)
    except SafetyCheckError:  # the command itself reports it
        return ()

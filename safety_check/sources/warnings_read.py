"""Who read the official warnings of a place: nobody, unless every service there answered."""

from __future__ import annotations

from dataclasses import replace

from safety_check.model.weather import Briefing, SourceFailure
from safety_check.sources.coverage import warnings_covered
from safety_check.sources.question import ALERTS, Place, not_covered
from safety_check.sources.registry import load_sources
from safety_check.sources.warning_services.services import link_only

NO_WARNING_SERVICE = SourceFailure(
    "official warnings",
    "None of the services asked here issues warnings for this place. Read the warnings of your"
    " own weather service.",
    ALERTS,
    applies=False,
)


def settle_warnings(briefing: Briefing, here: Place) -> Briefing:
    """Return a briefing that says who read the official warnings of a place.

    Parameters
    ----------
    briefing
        Of all services.
    here
        The launch: latitude and longitude. [deg]

    Notes
    -----
    A service that covers the place and failed, or one that has a warning that nobody can place,
    leaves the warnings unknown, whatever the others said. Where all is known, services of other
    countries are not listed as failing.
    """
    missed = any(failure.applies and failure.wanted == ALERTS for failure in briefing.silences)
    if not warnings_covered(*here):
        unread = _nobody_warns(here)
        return replace(briefing, silences=(*briefing.silences, unread), warnings_read=())
    if missed:
        return replace(briefing, warnings_read=())
    elsewhere = _elsewhere() if briefing.warnings_read else frozenset()
    kept = tuple(failure for failure in briefing.silences if failure not in elsewhere)
    return replace(briefing, silences=kept)


def _nobody_warns(here: Place) -> SourceFailure:
    """Return that no service was asked; where people read the warnings, if that is known."""
    linked = link_only(*here)
    if linked is None:
        return NO_WARNING_SERVICE
    reason = (
        f"They are not read here, because {linked.because}. Read them at {linked.link}, and say"
        " so with --warnings none --read-at and the time."
    )
    return SourceFailure(f"official warnings of {linked.title}", reason, ALERTS, applies=False)


def _elsewhere() -> frozenset[SourceFailure]:
    """Return the entries of the services that do not cover a place."""
    sources = load_sources().items()
    return frozenset(not_covered(name) for name, source in sources if "alerts" in source.provides)

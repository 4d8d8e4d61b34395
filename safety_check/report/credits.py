"""The credits that the licences of weather data and shorelines ask for, each once."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

from markupsafe import Markup, escape

from safety_check.model.clean_text import remove_invisible
from safety_check.model.place import Water
from safety_check.model.verdict import Verdict
from safety_check.model.weather import Provenance

if TYPE_CHECKING:
    from safety_check.model.outlook import Outlook

_ADDRESS = re.compile(r"https://[\w./-]*[\w/]")


def credits_of(verdict: Verdict) -> list[str]:
    """Return the credits of all data behind a verdict."""
    return data_credits(verdict.provenance, verdict.plan.water)


def origins_of_outlook(outlook: Outlook) -> list[Provenance]:
    """Return where the forecasts and the air temperatures behind an outlook come from."""
    return [*(forecast.provenance for forecast in outlook.briefing.forecasts), *outlook.air]


def credits_of_outlook(outlook: Outlook) -> list[str]:
    """Return the credits of all data behind an outlook."""
    return data_credits(origins_of_outlook(outlook), outlook.plan.water)


def data_credits(provenance: Iterable[Provenance], water: Water | None = None) -> list[str]:
    """Return the credits of weather data, and of a water's shoreline.

    Parameters
    ----------
    provenance
        The origin of the data that an output uses.
    water
        The water whose shoreline it uses; None for none.
    """
    credits = [item.attribution for item in provenance]
    shore = [f"Shoreline: {water.attribution}"] if water and water.attribution else []
    return [*dict.fromkeys(filter(None, credits)), *shore]


def with_links(text: str) -> Markup:
    """Return text as HTML in which each web address is a link."""
    linked = _ADDRESS.sub(lambda found: _link(found[0]), str(escape(remove_invisible(text))))
    return Markup(linked)  # every part was escaped above


def _link(address: str) -> str:
    return f'<a href="{address}" rel="noreferrer">{address}</a>'

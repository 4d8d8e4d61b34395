"""The bundled, invented scenario as a home of its own, so that the live page can be tried."""

from __future__ import annotations

from typing import Any

from safety_check import assess, toml_file, water_file
from safety_check import settings as configured
from safety_check.planning import Asked
from safety_check.web.desk import REMEMBERED, Desk


def desk(remembered: int = REMEMBERED) -> Desk:
    """Return a desk with the invented water, paddler and forecast.

    Parameters
    ----------
    remembered
        How many checks it has at hand.

    Notes
    -----
    It writes into the user's folders as they stand now: point `SAFETY_CHECK_HOME` at an
    empty one first.
    """
    folder = configured.shipped("sample")
    said = toml_file.read(folder / "plan.toml", assess.SampleFile)
    water = water_file.load_file(folder / said.water)
    water_file.save(water, configured.folders().waters)
    paddler = said.paddler.model_dump(exclude_none=True)

    def declared(document: Any) -> None:
        document["paddler"] = paddler
        document["default_craft"] = said.craft

    configured.change(declared)
    asked = Asked(
        water=water.name,
        launch=said.launch,
        craft=said.craft,
        start=said.start,
        hours=said.hours,
        reach=said.reach,
        water_temperature=said.water_temperature,
    )
    return Desk(folder / said.forecast, said.as_of, asked, remembered)

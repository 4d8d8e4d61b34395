"""Set up the bundled, invented scenario in its own folders, to try the live page."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from safety_check.settings import toml_file
from safety_check.settings.edit import edit_settings
from safety_check.settings.folders import find_folders, shipped_file
from safety_check.use_cases.sample import SampleFile, request_of
from safety_check.waters import files
from safety_check.web.session import REMEMBERED, Session


def sample_session(remembered: int = REMEMBERED) -> Session:
    """Return a session with the invented water, paddler and forecast.

    Parameters
    ----------
    remembered
        How many checks can be shown again.

    Notes
    -----
    It writes into the current folders of the user: set `SAFETY_CHECK_HOME` to an
    empty one first.
    """
    folder = shipped_file("sample")
    said = toml_file.read(folder / "plan.toml", SampleFile)
    water = files.load_file(folder / said.water)
    files.save(water, find_folders().waters)
    paddler = said.paddler.model_dump(exclude_none=True)

    def declared(document: Any) -> None:
        document["paddler"] = paddler
        document["default_craft"] = said.craft

    edit_settings(declared)
    asked = replace(request_of(said), water=water.name)
    return Session(folder / said.forecast, said.as_of, asked, remembered)

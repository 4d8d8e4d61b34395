"""Past weather of a launch, year by year: from the store, else from the service."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Iterable, Mapping
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.model.place import Launch
from safety_check.model.weather import Forecast, Provenance
from safety_check.settings.reanalysis_file import load_reanalysis_file
from safety_check.settings.settings import Settings
from safety_check.sources.open_meteo.reanalysis import SOURCE, ask_year
from safety_check.sources.registry import load_sources
from safety_check.sources.sent_place import sent_place
from safety_check.waters.array_cache import read_arrays, write_arrays

FOLDER = "past_weather"
VERSION = 1  # of the stored form
DEADLINE, PATIENCE = 90.0, 30.0  # s; a year takes longer than a forecast (judgement)
TIME, FETCHED, CELL, HEIGHT = "time", "fetched", "cell", "height"


async def load_years(
    launch: Launch,
    years: Iterable[int],
    settings: Settings,
    begins: Callable[[int], None] = lambda year: None,
) -> AsyncIterator[Forecast]:
    """Yield the weather of past years; each is asked for once, and then stored for good.

    Parameters
    ----------
    launch
        Where.
    years
        That are over, ascending.
    settings
        Contact, addresses of the services, and the folders.
    begins
        Called with a year before it is read or asked for.

    Raises
    ------
    SourceError, DataError
        Where the service does not give a year that is not stored.
    """
    here = (launch.latitude, launch.longitude)
    for year in years:
        begins(year)
        found = _stored(settings.folders.data, here, year)
        if found is None:
            found = await _asked(here, year, settings)
            _store(settings.folders.data, here, year, found)
        yield found


async def _asked(here: tuple[float, float], year: int, settings: Settings) -> Forecast:
    from safety_check.sources.gather import saved_answers
    from safety_check.sources.http.asker import RetryPolicy
    from safety_check.sources.http.client import open_client

    async with open_client(
        saved_answers(settings.folders),
        contact=settings.user.contact.email,
        addresses=settings.user.services,
        policy=RetryPolicy(deadline=DEADLINE, patience=PATIENCE),
    ) as client:
        return await ask_year(client, here, year)


def _place(folder: Path, here: tuple[float, float], year: int) -> tuple[Path, str]:
    """Return the file of a place's year, and the name that it must carry."""
    north, east = sent_place(SOURCE, *here)
    model = load_reanalysis_file().asked.model
    name = f"{model}_{north}_{east}_{year}_{VERSION}"
    return folder / FOLDER / f"{name}.npz", name


def _stored(folder: Path, here: tuple[float, float], year: int) -> Forecast | None:
    """Return a stored year; None where there is none, or its file is damaged."""
    arrays = read_arrays(*_place(folder, here, year))
    asked = load_reanalysis_file().asked
    if arrays is None or not {*asked.quantities, TIME, FETCHED, CELL, HEIGHT} <= arrays.keys():
        return None
    return _forecast(arrays, asked.quantities, asked.model)


def _forecast(arrays: Mapping[str, FloatArray], quantities: Iterable[str], model: str) -> Forecast:
    entry = load_sources()[SOURCE]
    fetched = datetime.fromtimestamp(float(arrays[FETCHED]), UTC)
    height = float(arrays[HEIGHT])
    return Forecast(
        time=arrays[TIME].astype("datetime64[s]"),
        models=(model,),
        members=("",),
        quantities={name: arrays[name] for name in quantities},
        provenance=Provenance(
            entry.title, model, entry.base_url, None, fetched, True, entry.attribution
        ),
        cell=(float(arrays[CELL][0]), float(arrays[CELL][1])),
        elevation=None if np.isnan(height) else height,
    )


def _store(folder: Path, here: tuple[float, float], year: int, found: Forecast) -> None:
    """Store a year for good, completely or not at all."""
    path, name = _place(folder, here, year)
    height = np.nan if found.elevation is None else found.elevation
    write_arrays(
        path,
        name,
        {
            **{one: found.quantities[one] for one in load_reanalysis_file().asked.quantities},
            TIME: found.time.astype("datetime64[s]").astype(np.int64).astype(float),
            FETCHED: np.array(found.provenance.fetched.timestamp()),
            CELL: np.array(found.cell),
            HEIGHT: np.array(height),
        },
    )

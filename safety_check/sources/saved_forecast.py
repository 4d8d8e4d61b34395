"""A forecast read from a file, as a service sent it, so that a check can be run again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from safety_check.errors import DataError
from safety_check.model.plan import Plan
from safety_check.model.weather import Briefing, Forecast, Provenance, SourceFailure
from safety_check.sources import registry
from safety_check.sources.open_meteo import forecast, marine
from safety_check.sources.open_meteo.answer import Place, earliest_issue, parse_answer
from safety_check.sources.open_meteo.answer import read_answer as read_answer
from safety_check.sources.open_meteo.variables import MARINE, columns

LARGEST = 32_000_000  # bytes; four times what is taken from a service


@dataclass(frozen=True)
class Form:
    """One kind of file.

    Parameters
    ----------
    source
        Its service in config/sources.toml.
    recognised
        Whether a JSON document is of this kind.
    made
        The earliest moment at which it can have been made.
    meant
        What turns its bytes into a forecast.
    """

    source: str
    recognised: Callable[[Any], bool]
    made: Callable[[bytes, Place | None], datetime | None]
    meant: Callable[[bytes, Provenance, Place | None], Forecast]


NOT_ASKED = SourceFailure(
    source="official warnings",
    reason="This check works from a saved forecast alone; no service was asked for warnings.",
    wanted=("alerts",),
    applies=False,
)


def read_briefing(path: Path, plan: Plan, now: datetime) -> Briefing:
    """Return all that a check from a saved forecast knows.

    Parameters
    ----------
    path
        The file.
    plan
        Its launch chooses among several places in the file.
    now
        The clock of the check.
    """
    told = read_forecast(path, (plan.launch.latitude, plan.launch.longitude))
    told = replace(told, provenance=_written_by(now, path, told.provenance))
    return Briefing(at=now, forecasts=(told,), silences=(*forecast.missing_models(told), NOT_ASKED))


def read_forecast(path: Path, place: Place | None = None) -> Forecast:
    """Return the forecast in a file, told by what is in it and not by its name.

    Parameters
    ----------
    path
        The file, as the service sent it.
    place
        The launch: of a file for several places the nearest is taken, else the first.

    Returns
    -------
    Forecast
        Its provenance is recorded. When the service made it, and when it was received, are
        told by nobody: `issued` and `fetched` are both the earliest moment that is possible
        (see `earliest_issue`), or the file's own date where its content tells none.

    Raises
    ------
    DataError
        Naming the file and what to do.
    """
    body = _body(path)
    try:
        document = parse_answer(body, path.name)
        form = next((each for each in FORMS if each.recognised(document)), None)
        if form is None:
            raise DataError(
                f"{path.name}: this is JSON, but no forecast that is known here. Save the answer"
                " of Open-Meteo's forecast, ensemble or marine service as it comes."
            )
        made = form.made(body, place)
        return form.meant(body, _provenance(path, form, made), place)
    except DataError as trouble:
        told = str(trouble)
        raise DataError(told if told.startswith(path.name) else f"{path.name}, {told}") from trouble


def _body(path: Path) -> bytes:
    try:
        if path.is_dir():
            raise DataError(f"{path}: this is a folder. Name a file with a saved forecast.")
        with path.open("rb") as file:
            body = file.read(LARGEST + 1)
    except FileNotFoundError as trouble:
        raise DataError(f"{path}: there is no such file. Check the name and folder.") from trouble
    except (OSError, ValueError) as trouble:
        raise DataError(f"{path}: this can't be read ({trouble}). Mend its rights.") from trouble
    if len(body) > LARGEST:
        raise DataError(
            f"{path}: larger than {LARGEST / 1e6:g} MB, which no forecast for one trip is. Save"
            " fewer days or models."
        )
    return body


def _provenance(path: Path, form: Form, made: datetime | None) -> Provenance:
    written = datetime.fromtimestamp(path.stat().st_mtime, UTC)
    earliest = made or written
    entry = registry.load_sources()[form.source]
    return Provenance(
        source=entry.title,
        model="",
        url="",
        issued=earliest,
        fetched=earliest,
        recorded=True,
        attribution=entry.attribution,
    )


def _written_by(now: datetime, path: Path, origin: Provenance) -> Provenance:
    """Return the origin of a file whose first hour is still to come: its own date tells more."""
    if origin.issued is not None and origin.issued <= now:
        return origin
    written = min(datetime.fromtimestamp(path.stat().st_mtime, UTC), now)
    return replace(origin, issued=written, fetched=written)


# -- Open-Meteo --------------------------------------------------------------------------------


def _open_meteo(document: Any) -> bool:
    first = document[0] if isinstance(document, list) and document else document
    if not isinstance(first, dict):
        return False
    sections = {"hourly", "daily", "minutely_15", "current", "current_weather"}
    place = {"latitude", "longitude"} <= first.keys()
    return "error" in first or (place and bool(sections & first.keys()))


def _open_meteo_marine(document: Any) -> bool:
    first = document[0] if isinstance(document, list) and document else document
    hourly = first.get("hourly") if isinstance(first, dict) else None
    return isinstance(hourly, dict) and bool(columns(hourly, MARINE, registry.spellings()))


def _open_meteo_made(body: bytes, place: Place | None) -> datetime | None:
    return earliest_issue(read_answer(body, "Open-Meteo", place))


FORMS = (
    Form(
        "open_meteo_marine",
        _open_meteo_marine,
        _open_meteo_made,
        lambda body, provenance, place: marine.parse(body, provenance, place=place),
    ),
    Form(
        "open_meteo",
        _open_meteo,
        _open_meteo_made,
        lambda body, provenance, place: forecast.parse(body, provenance, place=place),
    ),
)

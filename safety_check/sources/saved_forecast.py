"""Read a forecast from a file, as a service sent it, so that a check can be repeated."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from safety_check.errors import DataError
from safety_check.model.plan import Plan
from safety_check.model.weather import Briefing, Forecast, Provenance, SourceFailure
from safety_check.sources import registry
from safety_check.sources.elevation import check_elevations
from safety_check.sources.grid_point import check_grid_points
from safety_check.sources.open_meteo import forecast, marine
from safety_check.sources.open_meteo.answer import (
    Place,
    earliest_issue,
    parse_answer,
    read_answer,
)
from safety_check.sources.open_meteo.variables import MARINE, columns

LARGEST = 32_000_000  # bytes; four times what is accepted from a service


@dataclass(frozen=True)
class Form:
    """One kind of file.

    Parameters
    ----------
    source
        Its service in config/sources.toml.
    recognised
        Whether a JSON document is of this kind.
    earliest_issue
        The earliest moment at which it can have been made.
    parse
        Reads its bytes as a forecast.
    """

    source: str
    recognised: Callable[[Any], bool]
    earliest_issue: Callable[[bytes, Place | None], datetime | None]
    parse: Callable[[bytes, Provenance, Place | None], Forecast]


NOT_ASKED = SourceFailure(
    source="official warnings",
    reason="This check uses only a saved forecast; no service was asked for warnings.",
    wanted=("alerts",),
    applies=False,
)


def read_briefing(path: Path, plan: Plan, now: datetime, unit: str = "mi") -> Briefing:
    """Return the briefing for a check from a saved forecast.

    Parameters
    ----------
    path
        The file.
    plan
        Its launch selects one of several places in the file.
    now
        The time of the check.
    unit
        The unit in which the user reads distances.
    """
    here = (plan.launch.latitude, plan.launch.longitude)
    found = read_forecast(path, here)
    found = replace(found, provenance=_issued_by(now, path, found.provenance))
    failures = (*forecast.missing_models(found), NOT_ASKED)
    told = Briefing(at=now, forecasts=(found,), silences=failures)
    return check_elevations(check_grid_points(told, here, unit), plan.water.elevation, unit)


def read_forecast(path: Path, place: Place | None = None) -> Forecast:
    """Return the forecast in a file, recognised by its content and not by its name.

    Parameters
    ----------
    path
        The file, as the service sent it.
    place
        The launch: of several places in a file the nearest is used; without it the first.

    Returns
    -------
    Forecast
        Its provenance is recorded. The file does not say when the service made it or when it
        was received: `issued` and `fetched` are both the earliest possible moment (see
        `earliest_issue`), or the file's own date where its content gives none.

    Raises
    ------
    DataError
        It names the file and says what to do.
    """
    body = _body(path)
    try:
        document = parse_answer(body, path.name)
        form = next((form for form in FORMS if form.recognised(document)), None)
        if form is None:
            raise DataError(
                f"{path.name}: this is JSON, but not a forecast in a known format. Save the answer"
                " of Open-Meteo's forecast, ensemble or marine service unchanged."
            )
        issued = form.earliest_issue(body, place)
        return form.parse(body, _provenance(path, form, issued), place)
    except DataError as trouble:
        reason = str(trouble)
        named = reason if reason.startswith(path.name) else f"{path.name}, {reason}"
        raise DataError(named) from trouble


def _body(path: Path) -> bytes:
    try:
        if path.is_dir():
            raise DataError(f"{path}: this is a folder. Name a file with a saved forecast.")
        with path.open("rb") as file:
            body = file.read(LARGEST + 1)
    except FileNotFoundError as trouble:
        raise DataError(
            f"{path}: there is no such file. Check the name and the folder."
        ) from trouble
    except (OSError, ValueError) as trouble:
        raise DataError(
            f"{path}: this can't be read ({trouble}). Check its permissions."
        ) from trouble
    if len(body) > LARGEST:
        raise DataError(
            f"{path}: larger than {LARGEST / 1e6:g} MB, too large for a forecast of one trip."
            " Save fewer days or models."
        )
    return body


def _provenance(path: Path, form: Form, issued: datetime | None) -> Provenance:
    written = datetime.fromtimestamp(path.stat().st_mtime, UTC)
    earliest = _made_on_day_written(issued, written) if issued else written
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


def _made_on_day_written(first: datetime, written: datetime) -> datetime:
    """Return from when on a file can have been made, by its first row and its own date.

    The program's own request begins with yesterday. So a file that was written on the day after
    its first row counts from the first hour of the day on which it was written.

    Examples
    --------
    >>> yesterday = datetime(2026, 6, 11, tzinfo=UTC)
    >>> _made_on_day_written(yesterday, datetime(2026, 6, 12, 20, tzinfo=UTC)).isoformat()
    '2026-06-12T00:00:00+00:00'
    >>> _made_on_day_written(yesterday, datetime(2026, 6, 13, 1, tzinfo=UTC)).isoformat()
    '2026-06-11T00:00:00+00:00'
    """
    midnight = written.replace(hour=0, minute=0, second=0, microsecond=0)
    return midnight if midnight - first == timedelta(days=1) else first


def _issued_by(now: datetime, path: Path, origin: Provenance) -> Provenance:
    """Return the origin of a file; where its first hour is in the future, its own date counts."""
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


def _open_meteo_issue(body: bytes, place: Place | None) -> datetime | None:
    return earliest_issue(read_answer(body, "Open-Meteo", place))


FORMS = (
    Form(
        "open_meteo_marine",
        _open_meteo_marine,
        _open_meteo_issue,
        lambda body, provenance, place: marine.parse(body, provenance, place=place),
    ),
    Form(
        "open_meteo",
        _open_meteo,
        _open_meteo_issue,
        lambda body, provenance, place: forecast.parse(body, provenance, place=place),
    ),
)

"""The shape of every Open-Meteo answer: a place, a clock, columns of hours."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import numpy as np
from pydantic import Field, ValidationError
from pydantic_core import from_json

from safety_check.arrays import FloatArray, IntArray, TimeArray
from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text
from safety_check.model.place import is_on_earth
from safety_check.sources import answers

Place = tuple[float, float]
REMEDY = "It can't be used: ask the service again, or use another source."
LONGEST = 10_000  # hours; more than a year is an archive, not a forecast
FURTHEST_OFFSET = 14 * 3600  # the zones of the world reach from -12 to +14 h
_LOCAL = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}(:[0-9]{2})?")
_LAST = 2**33  # the year 2242; beyond it numbers could overflow


class Answer(answers.Answer):
    """One place's answer; keys that this program does not use are ignored."""

    hourly: dict[str, list[Any]]
    hourly_units: dict[str, Any] = Field(default_factory=dict)
    utc_offset_seconds: int | None = None
    latitude: float | None = None
    longitude: float | None = None
    elevation: Any = None
    current: Any = None
    current_units: Any = None

    @property
    def cell(self) -> Place | None:
        """The grid cell that answered, where the answer names one on this Earth."""
        latitude, longitude = self.latitude, self.longitude
        if latitude is None or longitude is None:
            return None
        return (latitude, longitude) if is_on_earth(latitude, longitude) else None

    @property
    def height(self) -> float | None:
        """The height to which the service fits its temperatures [m], where the answer names it."""
        return answers.elevation(self.elevation)


# -- from bytes to one place's answer -------------------------------------------------------


def read_answer(body: bytes, source: str, place: Place | None = None) -> Answer:
    """Return the answer for one place.

    Parameters
    ----------
    body
        As received.
    source
        Named in errors.
    place
        Latitude and longitude of the launch; of several places the nearest is used, and
        without it the first.

    Raises
    ------
    DataError
        Where the body is not an answer, or a refusal.
    """
    document = parse_answer(body, source)
    if isinstance(document, list):
        document = _nearest(document, place)
    if not isinstance(document, dict) or not document:
        raise DataError(f"{source}: this is JSON, but not a forecast for a place. {REMEDY}")
    if document.get("error"):
        reason = clean_text(str(document.get("reason") or "no reason"), limit=200)
        raise DataError(f"{source}: the service refuses the request and says {reason!r}. {REMEDY}")
    if "hourly" not in document:
        has = ", ".join(clean_text(str(key), limit=30) for key in list(document)[:12])
        raise DataError(f"{source}: the answer has no hourly section, only {has}. {REMEDY}")
    try:
        answer = Answer.model_validate(document)
    except ValidationError as trouble:
        raise DataError(f"{source}: {_first(trouble)}. {REMEDY}") from trouble
    _require_equal_lengths(answer, source)
    return answer


def parse_answer(body: bytes, source: str) -> Any:
    """Return JSON as plain objects, or raise DataError."""
    try:
        return from_json(body)
    except ValueError as trouble:
        start = clean_text(body[:40].decode("utf-8", "replace")) if body else "nothing"
        raise DataError(
            f"{source}: not complete JSON ({len(body)} bytes that begin with {start!r}). {REMEDY}"
        ) from trouble


def _nearest(document: list[Any], place: Place | None) -> Any:
    places = [entry for entry in document if isinstance(entry, dict)]
    if not places or place is None:
        return places[0] if places else None
    return min(places, key=lambda answer: _distance(answer, place))


def _distance(answer: dict[str, Any], place: Place) -> float:
    """Return a length that grows with the distance; infinite where it is unknown."""
    latitude, longitude = (answers.number(answer.get(key)) for key in ("latitude", "longitude"))
    north, east = latitude - place[0], (longitude - place[1] + 180) % 360 - 180
    length = math.hypot(north, east * math.cos(math.radians(place[0])))
    return math.inf if math.isnan(length) else length


def _first(trouble: ValidationError) -> str:
    first = trouble.errors(include_url=False, include_input=False, include_context=False)[0]
    where = clean_text(".".join(str(part) for part in first["loc"]), limit=100)
    return f"{where} is not as documented ({first['msg']})"


def _require_equal_lengths(answer: Answer, source: str) -> None:
    rows = len(answer.hourly.get("time", ()))
    for name, column in answer.hourly.items():
        if len(column) != rows:
            raise DataError(
                f"{source}: column {clean_text(name, limit=60)!r} has {len(column)} rows beside"
                f" {rows} times, so the hours of its values are unknown. {REMEDY}"
            )


# -- the clock -------------------------------------------------------------------------------


@dataclass(frozen=True)
class Hours:
    """Rows laid on whole hours UTC.

    Parameters
    ----------
    time : array (hour,)
        Every hour from the first row to the last, those without a row included.
    row : array (row,)
        The index of each row's hour.
    """

    time: TimeArray
    row: IntArray

    def lay(self, values: FloatArray) -> FloatArray:
        """Return a column by hour: NaN where no row has it, or rows disagree."""
        laid = np.full(self.time.size, np.nan)
        laid[self.row] = values
        laid[self.row[laid[self.row] != values]] = np.nan
        return laid


def hours(answer: Answer, source: str) -> Hours:
    """Return where each row belongs.

    Notes
    -----
    Text without a zone is local by the answer's one offset, which the service takes from
    the moment of asking and applies to every row, also beyond a change of clocks; so
    UTC = text - offset, always. Rows that are not on whole hours in UTC, as zones of
    30 or 45 minutes make them, are refused, because shifting them would invent data.

    Raises
    ------
    DataError
        Where the rows can't be placed in time.
    """
    rows = instants(
        answer.hourly.get("time", []), answer.hourly_units.get("time"), answer.utc_offset_seconds
    )
    if rows is None or not rows.size:
        raise DataError(f"{source}: the hours can't be placed in time. {REMEDY}")
    if (rows % 3600).any():
        raise DataError(
            f"{source}: the rows are not on whole hours (its zone is offset by"
            f" {answer.utc_offset_seconds} s). Ask again with timezone=GMT."
        )
    first, last = int(rows.min()), int(rows.max())
    if last - first >= LONGEST * 3600:
        raise DataError(
            f"{source}: the hours span {(last - first) / 86400:.0f} days, which no forecast does."
            f" {REMEDY}"
        )
    time = np.arange(first, last + 3600, 3600).astype("datetime64[s]")
    return Hours(time, (rows - first) // 3600)


def instants(times: Sequence[Any], unit: Any, offset: int | None) -> IntArray | None:
    """Return seconds since 1970 UTC, or None where the text or its unit can't be trusted."""
    if unit == "unixtime" and all(type(value) is int and 0 <= value < _LAST for value in times):
        return np.array(times, dtype=np.int64)
    if unit != "iso8601" or offset is None or abs(offset) > FURTHEST_OFFSET:
        return None
    if not all(isinstance(value, str) and _LOCAL.fullmatch(value) for value in times):
        return None
    try:
        local = np.array(list(times), dtype="datetime64[s]").astype(np.int64)
    except ValueError:
        return None
    return local - offset if ((local > 0) & (local < _LAST)).all() else None


def earliest_issue(answer: Answer) -> datetime | None:
    """Return the earliest moment at which an answer can have been made.

    The service says neither when it answered nor which run it used. Its `current` block is
    at most a quarter of an hour older than the answer; without one, the first row is, since
    the service begins with the present day. A file requested with a later `start_date` would
    look younger than it is: `saved` also looks at the file's own date.
    """
    now = _current(answer)
    rows = instants(
        answer.hourly.get("time", []), answer.hourly_units.get("time"), answer.utc_offset_seconds
    )
    known = now if now is not None else int(rows.min()) if rows is not None and rows.size else None
    return None if known is None else datetime.fromtimestamp(known, UTC)


def _current(answer: Answer) -> int | None:
    block, units = answer.current, answer.current_units
    if not isinstance(block, dict) or not isinstance(units, dict) or "time" not in block:
        return None
    rows = instants([block["time"]], units.get("time"), answer.utc_offset_seconds)
    return None if rows is None else int(rows[0])


# -- the numbers -----------------------------------------------------------------------------


def numbers(column: Iterable[Any]) -> FloatArray:
    """Return a column of JSON as numbers; anything that is not a number is NaN."""
    return np.array([_number(value) for value in column], dtype=np.float64)


def _number(value: Any) -> float:
    if type(value) is float:
        return value
    try:
        return float(value) if type(value) is int else math.nan
    except OverflowError:
        return math.nan

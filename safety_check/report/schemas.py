"""JSON Schemas of everything that the commands print as JSON."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, TypeAdapter

from safety_check.report.changes import Rechecked
from safety_check.report.json import Level, Part, Report
from safety_check.report.json_climate import ClimateReport
from safety_check.report.json_outlook import OutlookReport
from safety_check.settings.user_file import SavedPlan, UserSettings

DIALECT = "https://json-schema.org/draft/2020-12/schema"
IDENTIFIER = "urn:safety-check:schema:{name}:1"


class HistoryLine(Part):
    """A check in the history; times UTC."""

    id: int
    at: datetime
    name: str
    water: str
    launch: str
    time_zone: str
    craft: str
    start: datetime
    end: datetime
    severity: Level
    because: str
    program: str


class Repeated(Part):
    """An old check repeated: by this program, and with today's settings."""

    id: int
    same: bool
    then: Level
    again: Level
    today: Level
    program_then: str
    program: str
    changes: list[str]
    settings_changes: list[str]


class LimitRow(Part):
    """A limit that holds for a craft, in `unit`; null is never reached.

    `set_at` names the water whose own limit sets a bound.
    """

    marginal: float | None
    no_go: float | None
    unit: str
    worse: Literal["higher", "lower"]
    basis: str
    source: str
    since: date
    loosened: bool
    set_at: list[str]


class SuggestedLimit(Part):
    """A bound that logged trips suggest, SI, and the command that sets it."""

    quantity: str
    level: Literal["marginal", "no_go"]
    bound: float
    now: float | None
    tighter: bool
    trips: list[int]
    command: str


class Suggestions(Part):
    """The limits that the trip log of a craft suggests."""

    craft: str
    least_trips: int
    rated_trips: dict[str, int]
    suggestions: list[SuggestedLimit]


class CraftList(Part):
    """Your craft by name with their class, and the classes with their labels."""

    craft: dict[str, str]
    classes: dict[str, str]


class CraftFigures(Part):
    """A craft; SI."""

    name: str
    kind: str
    label: str
    propulsion: str
    cruise_speed: float
    hull_drag: float
    drag_area: float
    greatest_thrust: float
    length: float
    beam: float
    leeway: str
    fails_by: str
    troll: tuple[float, float]


class Declared(Part):
    """What a paddler has declared; null is not declared."""

    life_jacket: Literal["worn", "carried", "none"] | None
    wearing: Literal["none", "wetsuit", "drysuit"] | None
    company: Literal["alone", "group"] | None
    light: bool | None
    sound_signal: bool | None
    means_to_call: bool | None
    self_rescue: bool | None
    within_capacity: bool | None


class DrawnMap(Part):
    """A wave map that was written to a file; SI, null is not known."""

    file: str
    water: str
    time: datetime | None
    wind_speed: float | None
    wind_from_direction: float | None
    lowest: float | None
    highest: float | None
    lee: str
    reach_assumed: bool
    credits: list[str]


class LoggedTrip(Part):
    """A logged trip; SI and UTC, null is not entered. Of a range `_least` is the lower end."""

    id: int
    logged: datetime
    start: datetime
    water: str
    launch: str
    time_zone: str
    craft: str
    went: bool
    wind_speed: float | None
    wind_speed_of_gust: float | None
    wave_height: float | None
    beaufort: int | None
    comfort: int | None
    notes: str
    check: int | None
    wind_speed_least: float | None
    wind_speed_of_gust_least: float | None
    wave_height_least: float | None
    water_temperature: float | None
    wind_from_direction: float | None
    track: str
    ended: datetime | None


class GearItem(Part):
    """A piece of gear; null is not declared."""

    what: str
    ready: bool | None


class FloatPlanReport(Part):
    """A float plan as values, and as the label and text of each section."""

    return_by: datetime
    alarm: datetime
    sunset: datetime | None
    water_temperature: float | None
    credits: list[str]
    clothing: dict[str, Level]
    gear: list[GearItem]
    sections: dict[str, list[tuple[str, str]]]


class PackedItem(Part):
    """Stored data, and until when it is valid."""

    source: str
    received: datetime
    good_until: datetime


class MissedSource(Part):
    """A source that was not stored, and why."""

    source: str
    reason: str


class Packed(Part):
    """What was stored for a trip without a signal."""

    water: str
    launch: str
    verdict: Level
    packed: datetime
    good_at_launch: bool
    go_until: datetime | None
    known_until: datetime | None
    items: list[PackedItem]
    missed: list[MissedSource]
    credits: list[str]


class WatchLine(Part):
    """One line of a watch; `before` is the verdict of the check before."""

    at: datetime
    verdict: Level
    before: Level
    changed: bool
    credits: list[str]
    because: list[str]


class WaterFile(BaseModel):
    """A water as GeoJSON (RFC 7946): its shoreline and launches as features."""

    model_config = ConfigDict(extra="allow")

    type: Literal["FeatureCollection"]
    features: list[dict[str, Any]]


KINDS: dict[str, Any] = {
    "report": Report,
    "recheck": Rechecked,
    "outlook": OutlookReport,
    "climate": ClimateReport,
    "watch": WatchLine,
    "pack": Packed,
    "plan": FloatPlanReport,
    "plan-list": dict[str, SavedPlan],
    "history-list": list[HistoryLine],
    "history-repeat": Repeated,
    "limits": dict[str, LimitRow],
    "suggestions": Suggestions,
    "craft-list": CraftList,
    "craft": CraftFigures,
    "paddler": Declared,
    "settings": UserSettings,
    "trips": list[LoggedTrip],
    "water-list": list[str],
    "water": WaterFile,
    "water-map": DrawnMap,
}
"""Name → the type of what is printed. `history show` and `page` print a report."""


def schema_of(name: str) -> dict[str, Any]:
    """Return the JSON Schema of an output by its name."""
    made = TypeAdapter(KINDS[name]).json_schema(mode="serialization")
    return {"$schema": DIALECT, "$id": IDENTIFIER.format(name=name), **made}

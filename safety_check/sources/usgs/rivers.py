"""A river at the nearest gauge: stage, discharge, rise, rank for the day, and flood category."""

from __future__ import annotations

import math
from collections.abc import Awaitable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import partial
from typing import TypeVar

from safety_check.model.moving_water import (
    FloodCategory,
    MovingWater,
    PredictionStation,
    RiverReading,
    RiverStages,
)
from safety_check.model.weather import Briefing, Provenance, SourceFailure
from safety_check.settings.moving_water import load_moving_water
from safety_check.sources.answers import AHEAD, believable
from safety_check.sources.http.client import Client
from safety_check.sources.http.error_messages import NothingToReport
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.listing import Listing
from safety_check.sources.moving_water import (
    no_station,
    not_answered,
    notes_on,
    unreadable_note,
)
from safety_check.sources.nwps import gauge
from safety_check.sources.nwps.gauge import GaugeFlood
from safety_check.sources.question import TROUBLE, Question, failure_of
from safety_check.sources.stations import Station, distance, greatest_distance, load_reaches
from safety_check.sources.usgs import statistics
from safety_check.sources.usgs.gauges import Page, ask_pages, parse_page, query_locations
from safety_check.sources.usgs.readings import DISCHARGE, NORMAL, Reading
from safety_check.sources.usgs.statistics import DayPercentiles
from safety_check.units import FOOT

Part = TypeVar("Part")

SOURCE = "usgs_rivers"
FLOW, STAGE = "00060", "00065"
QUANTITY = "water_volume_transport_in_river_channel"
CONTINUOUS = "/ogcapi/v0/collections/continuous/items"
UNITS = {FLOW: DISCHARGE, STAGE: {"ft": (FOOT, 0.0), "m": (1.0, 0.0)}}
BOUNDS = {FLOW: QUANTITY, STAGE: "river_stage"}
TREND = timedelta(hours=6)
"""How far back the rise of the stage is measured."""

SHORTEST_TREND = timedelta(hours=1)
"""A rise over less than this is not told from the noise of the gauge (judgement)."""

ORDER = tuple(FloodCategory)[:-1]
FLOODED = ORDER[1:]


@dataclass(frozen=True)
class Level:
    """One value of a gauge in SI units.

    Parameters
    ----------
    parameter
        `FLOW` or `STAGE`.
    value
        [m³ s⁻¹] or [m].
    time
        When it was measured.
    """

    parameter: str
    value: float
    time: datetime


def query(latitude: float, longitude: float, within: float) -> dict[str, str]:
    """Return the query for the newest stage and discharge of the gauges around a place."""
    return query_locations(latitude, longitude, within) | {"parameter_code": f"{FLOW},{STAGE}"}


def query_trend(site: str, at: datetime) -> dict[str, str]:
    """Return the query for the stage of a gauge in the last hours, up to the quarter hour."""
    end = at.astimezone(UTC).replace(minute=at.minute // 15 * 15, second=0, microsecond=0)
    return {
        "monitoring_location_id": site,
        "parameter_code": STAGE,
        "time": f"{end - TREND:%Y-%m-%dT%H:%M:%SZ}/{end:%Y-%m-%dT%H:%M:%SZ}",
        "limit": "1000",
        "f": "json",
    }


def level_of(reading: Reading, fetched: datetime) -> Level | None:
    """Return a value that can be used: known unit, plausible, not from the future, no remark."""
    factor, _ = UNITS.get(reading.parameter, {}).get(reading.unit, (math.nan, 0.0))
    time = reading.time
    if time is None or time > fetched + AHEAD or not reading.given:
        return None
    if any(remark not in NORMAL for remark in reading.qualifiers):
        return None
    value = reading.value * factor
    if math.isnan(value) or math.isnan(believable(BOUNDS[reading.parameter], value)):
        return None
    return Level(reading.parameter, value, time)


def levels_of(
    pages: Iterable[Page], places: Mapping[str, Station]
) -> Listing[tuple[Station, Level]]:
    """Return every usable value with its gauge; a remarked or missing value is not a loss."""
    found, unreadable = [], 0
    for page in pages:
        for reading in page.readings:
            level = level_of(reading, page.provenance.fetched)
            if level is not None:
                found.append((places[reading.site], level))
            remarked = any(remark not in NORMAL for remark in reading.qualifiers)
            unreadable += level is None and reading.given and not remarked
    return Listing(found, unreadable)


def parse_trend(body: bytes, provenance: Provenance) -> float:
    """Return how fast a stage rose lately [m s⁻¹]; NaN where that is not known."""
    page = parse_page(body, provenance)
    usable = (level_of(reading, provenance.fetched) for reading in page.readings)
    return rise_of([level for level in usable if level is not None])


def rise_of(levels: Iterable[Level]) -> float:
    """Return the rise of a stage from its lowest recent value to its newest [m s⁻¹].

    Where the newest value is the lowest, the stage falls: then from the first value on. A rise
    that is no more than the steps of a gauge is none.
    """
    stages = sorted((level for level in levels if level.parameter == STAGE),
                    key=lambda level: level.time)  # fmt: skip
    old = [level for level in stages if stages[-1].time - level.time >= SHORTEST_TREND]
    if not old:
        return math.nan
    newest, lowest = stages[-1], min(old, key=lambda level: level.value)
    from_level = lowest if lowest.value < newest.value else old[0]
    seconds = (newest.time - from_level.time).total_seconds()
    gained = newest.value - from_level.value
    return 0.0 if 0 < gained <= load_moving_water().river.steady else gained / seconds


def category_of(level: float, bounds: RiverStages) -> FloodCategory:
    """Return the category that a level has reached by the gauge's own thresholds.

    Below them it is NONE only where the lowest, the action stage, is defined.
    """
    if math.isnan(level):
        return FloodCategory.UNKNOWN
    reached = FloodCategory.UNKNOWN if bounds.action is None else FloodCategory.NONE
    for category in FLOODED:
        bound = getattr(bounds, category.value)
        if bound is not None and level >= bound:
            reached = category
    return reached


def worst(categories: Iterable[FloodCategory]) -> FloodCategory:
    """Return the highest known category; UNKNOWN where none is known."""
    known = [one for one in categories if one is not FloodCategory.UNKNOWN]
    return max(known, key=ORDER.index, default=FloodCategory.UNKNOWN)


async def ask_rivers(client: Client, question: Question) -> Briefing:
    """Return what is known of the river at the nearest gauge, and what is missing."""
    recording = RecordingClient(client)
    here, within = question.here, greatest_distance([QUANTITY])
    try:
        pages, places = await ask_pages(recording, here, within, query(*here, within))
    except TROUBLE as trouble:
        return not_answered(SOURCE, question, trouble)
    found = levels_of(pages, places)
    notes = (*notes_on(recording, SOURCE), *unreadable_note(SOURCE, found.unreadable))
    reading = nearest_river(found, question, pages[0].provenance, within)
    if reading is None:
        told = no_station(SOURCE, question, within, "stage or discharge")
        return replace(told, silences=(*notes, *told.silences))
    whole, failures = await _with_more(client, question, reading)
    return Briefing(
        at=question.at, moving=MovingWater(rivers=(whole,)), silences=(*notes, *failures)
    )


def nearest_river(
    found: Iterable[tuple[Station, Level]],
    question: Question,
    provenance: Provenance,
    within: float,
) -> RiverReading | None:
    """Return the newest fresh levels of the nearest gauge that has any."""
    oldest = question.at - timedelta(seconds=load_reaches()[QUANTITY].age)
    near = sorted(
        (
            (distance(*question.here, station), station, level)
            for station, level in found
            if level.time >= oldest
        ),
        key=lambda item: (item[0], item[2].time),
    )
    if not near or near[0][0] > within:
        return None
    away, station, _ = near[0]
    levels = {level.parameter: level for _, one, level in near if one.name == station.name}
    values = {name: level.value for name, level in levels.items()}
    return RiverReading(
        PredictionStation(station.name, station.label, away),
        min(level.time for level in levels.values()),
        replace(provenance, model=station.label or station.name),
        values.get(STAGE, math.nan),
        values.get(FLOW, math.nan),
    )


async def _with_more(
    client: Client, question: Question, reading: RiverReading
) -> tuple[RiverReading, tuple[SourceFailure, ...]]:
    """Return a reading with its rise, its rank for the day and its flood category."""
    import asyncio  # imported only where rivers are asked

    site, day = reading.station.name, question.at.astimezone(UTC).date()
    rank_of = partial(statistics.parse, site=site, day=day)
    trend, statistic = query_trend(site, question.at), statistics.query(site, day)
    rise, ranks, flood = await asyncio.gather(
        _part(client.read(CONTINUOUS, trend, parse_trend, source=SOURCE), SOURCE),
        _part(
            client.read(statistics.PATH, statistic, rank_of, source="usgs_statistics"),
            "usgs_statistics",
        ),
        _part(
            client.read(gauge.path(site), {}, gauge.parse, source="nwps", one_station=True), "nwps"
        ),
    )
    return _joined(reading, rise[0], ranks[0], flood[0]), (*rise[1], *ranks[1], *flood[1])


async def _part(
    answer: Awaitable[Part], source: str
) -> tuple[Part | None, tuple[SourceFailure, ...]]:
    """Return a part of what is known of a river, or why it is missing."""
    try:
        return await answer, ()
    except TROUBLE as trouble:
        applies = not isinstance(trouble, NothingToReport)
        return None, (failure_of(source, trouble, applies=applies),)


def _joined(
    reading: RiverReading,
    rise: float | None,
    ranks: DayPercentiles | None,
    flood: GaugeFlood | None,
) -> RiverReading:
    ranked = ranks or DayPercentiles((), 0)
    with_rank = replace(
        reading,
        rise=math.nan if rise is None else rise,
        percentile=ranked.between(reading.discharge),
        years=ranked.years,
    )
    if flood is None:
        return with_rank
    by_stage = category_of(reading.stage, flood.stages)
    by_flow = category_of(reading.discharge, flood.flows)
    category = worst((flood.category, by_stage, by_flow))
    return replace(
        with_rank,
        category=category,
        forecast_category=flood.forecast,
        stages=flood.stages,
        flows=flood.flows,
        also_from=(flood.provenance,),
    )

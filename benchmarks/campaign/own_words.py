"""What reads the user's own words and files, with examples of each."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

from benchmarks.campaign import made_bodies
from benchmarks.campaign.parsers import Parser, from_file
from safety_check.model.verdict import Limit
from safety_check.rules.limits import choose_limits
from safety_check.settings.limits import load_default_limits
from safety_check.settings.settings import Settings, load_settings
from safety_check.sources.metar_text import parse_metar
from safety_check.units import parse
from safety_check.use_cases.amounts_in_words import met_wind, parse_height, parse_hours, parse_wind
from safety_check.use_cases.direction_in_words import parse_direction
from safety_check.use_cases.moving_words import (
    TimeFrame,
    read_current,
    read_gauge,
    read_releases,
    read_tides,
)
from safety_check.use_cases.place_in_words import require_position
from safety_check.use_cases.survey.table import read_launches
from safety_check.use_cases.times_in_words import parse_past_time, parse_time
from safety_check.waters.route import parse_route

ZONE = "America/Chicago"
NOW = datetime(2026, 6, 12, 20, tzinfo=UTC)
FRAME = TimeFrame(ZONE, NOW)
LAKE = made_bodies.invented_lake()
SETTINGS = """\
default_craft = "red"
[units]
wind = "kt"
[paddler]
life_jacket = "worn"
company = "alone"
light = true
[craft.red]
class = "canoe"
beam = "34 in"
cruise_speed = "3 mph"
[[limit]]
craft = "red"
quantity = "wind_speed"
marginal = "8 mph"
no_go = "12 mph"
[[limit]]
water = "Invented Lake"
quantity = "wind_speed_of_gust"
no_go = "5 Bft"
[plan.dawn]
water = "Invented Lake"
start = "06:00"
hours = "4"
[odds]
tolerance = 0.05
"""
LAUNCHES = """\
name,latitude,longitude,fetch,craft,depth
north ramp,44.91,-99.60,"N 800 m, E 2 km, S 500 m, W 1 km",canoe,8 m
south ramp,44.89,-99.58,"N 0.5 mi, E 3/4 mi, S 500 m, W 1 km",kayak,
"""


def _words(name: str, read: Callable[[str], object], *examples: str) -> Parser:
    """Return a parser of text, which bytes become as those of a command line do."""
    made = tuple(_encoded(example) for example in examples)
    return Parser(name, (), lambda body: read(body.decode("utf-8", "surrogateescape")), made)


def _encoded(text: str) -> Callable[[], bytes]:
    return lambda: text.encode()


def _settings_in(body: bytes) -> object:
    """Return the figures of every craft and limit that a settings file gives."""
    with tempfile.TemporaryDirectory() as home:
        Path(home, "settings.toml").write_bytes(body)
        settings = load_settings(Path(home))
    names = [*settings.user.craft, "canoe"]
    return [(settings.craft(name), *_bounds(settings, name)) for name in names]


def _bounds(settings: Settings, craft: str) -> Iterator[tuple[float | None, float | None]]:
    chosen = choose_limits(
        settings.craft(craft),
        settings.paddler,
        load_default_limits(),
        settings.user.limit,
        water="Invented Lake",
    )
    for quantity, limit in chosen.limits.items():
        if limit.loosened is None and _permits_more(limit, chosen.defaults[quantity]):
            raise AssertionError(f"{quantity} is looser than the default, and nothing says so")
        yield limit.marginal, limit.no_go


def _permits_more(own: Limit, default: Limit) -> bool:
    pairs = ((own.marginal, default.marginal), (own.no_go, default.no_go))
    sign = 1 if own.worse == "higher" else -1
    return any(
        theirs is not None and (mine is None or sign * mine > sign * theirs)
        for mine, theirs in pairs
    )


WORDS = (
    Parser("settings", (), _settings_in, (_encoded(SETTINGS),)),
    Parser(
        "launches of a survey", (), from_file(read_launches, ".csv"), (_encoded(LAUNCHES),)
    ),
    _words(
        "a time",
        lambda text: parse_time(text, ZONE, NOW, "--start"),
        "tomorrow 06:00", "sat 5:30 am", "28 Nov 6am", "2026-06-13T06:00-05:00", "6/14/2026 6:15",
    ),
    _words(
        "a past time",
        lambda text: parse_past_time(text, ZONE, NOW, "--began"),
        "yesterday 21:00", "thu 06:00", "now",
    ),
    _words("a wind", lambda text: parse_wind(text, "--wind"), "10-14 mph", "up to 5 kt", "3 Bft"),
    _words("a wind that was met", met_wind, "8 mph", "gentle breeze"),
    _words("a height", lambda text: parse_height(text, "--waves"), "1-2 ft", "0.3 m", "flat"),
    _words("hours", lambda text: parse_hours(text, "--hours"), "4", "2:30", "1 1/2 h", "90 min"),
    _words("a length", lambda text: parse(text, "length", "--reach"), "3/4 mi", "1,200 m"),
    _words("a temperature", lambda text: parse(text, "temperature", "--water"), "58 F", "14.5 C"),
    _words("a direction", lambda text: parse_direction(text, "--from"), "north-west", "315°"),
    _words(
        "a place",
        lambda text: require_position(text, "--at"),
        "43.201, -72.105", "43.201 N, 72.105° W",
    ),
    _words("a route", lambda text: parse_route(text, *LAKE), "44.901,-99.601; 44.902,-99.6"),
    _words(
        "a current",
        lambda text: read_current(text, FRAME, True),
        "ebb 1.5 kt from NE, slack 21:20", "0.8 m/s to 200, slack 20:10, slack 02:30", "none",
    ),
    _words("tides", lambda text: read_tides(text, FRAME), "22:10 2.1 m, low 02:20 -0.4 m"),
    _words("a river", read_gauge, "2.1 ft rising", "1,200 cfs falling 0.1 ft/h"),
    _words("releases", lambda text: read_releases(text, FRAME), "18:00, 20:30"),
    _words("a report of an aerodrome", parse_metar, "METAR KMSP 121553Z 35009G19KT 10SM A2984"),
)  # fmt: skip

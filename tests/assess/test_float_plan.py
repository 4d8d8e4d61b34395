"""The float plan says who, where, when, whom to call and when; nothing is sent."""

from __future__ import annotations

import html.parser
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.assess.float_plan import (
    CLOTHING,
    FloatPlan,
    allows,
    build_float_plan,
    first_sunset,
)
from safety_check.errors import PlanError
from safety_check.model.craft import Paddler
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity
from safety_check.report import float_plan
from safety_check.report.map.float_plan_map import water_map
from safety_check.settings.user_file import ContactTable
from safety_check.units import Preferences, kelvin
from tests import scenes
from tests.assess import by_hand

WARM, COLD = kelvin(74, "F"), kelvin(52, "F")
PREFER = Preferences()
CONTACT = ContactTable(
    name="A. Angler",
    phone="+1 555 0100",
    emergency_name="B. Ashore",
    emergency_phone="+1 555 0199",
    vehicle="grey pickup",
    colours="orange kayak",
)
SHORE = np.array(
    [[-99.63, 44.89], [-99.57, 44.89], [-99.57, 44.93], [-99.63, 44.93], [-99.63, 44.89]]
)


def trip(**changes: object) -> Plan:
    return replace(scenes.plan(water_temperature=WARM), **changes)  # type: ignore[arg-type]


def made(plan: Plan | None = None, **more: object) -> FloatPlan:
    return build_float_plan(plan or trip(), CONTACT, **more)  # type: ignore[arg-type]


def said(plan: FloatPlan) -> str:
    """Return the text on one line, so that no break hides a phrase."""
    return re.sub(r"\s+", " ", float_plan.text(plan, PREFER))


def rows(plan: FloatPlan, title: str) -> list[tuple[str, str]]:
    return [
        row
        for section in float_plan.sections(plan, PREFER)
        if section.title == title
        for row in section.rows
    ]


# -- when ----------------------------------------------------------------------------------------


def test_the_alarm_comes_an_hour_past_the_return_and_sooner_on_cold_water() -> None:
    assert made().alarm == trip().end + timedelta(hours=1)
    cold = made(trip(water_temperature=COLD))
    assert cold.alarm == cold.plan.end + timedelta(minutes=30)


def test_water_that_nobody_measured_counts_as_cold() -> None:
    unknown = made(trip(water_temperature=None))
    assert unknown.alarm == unknown.plan.end + timedelta(minutes=30)
    assert "dress for the coldest" in said(unknown)


def test_the_alarm_is_raised_by_sunset_but_never_before_a_quarter_of_an_hour() -> None:
    sunset = first_sunset(trip(), trip().start)
    assert sunset is not None
    for before, expected in ((40, 40), (5, 15)):
        end = sunset - timedelta(minutes=before)
        assert made(trip(end=end)).alarm - end == timedelta(minutes=expected)


def test_a_trip_that_ends_in_the_dark_keeps_its_hour() -> None:
    start = datetime(2026, 6, 14, 3, tzinfo=UTC)  # 22:00 at the invented water
    night = made(trip(start=start, end=start + timedelta(hours=2), night=True))
    assert night.alarm == night.plan.end + timedelta(hours=1)


def test_the_users_own_time_holds_and_an_absurd_one_is_refused() -> None:
    assert made(alarm_after=timedelta(minutes=5)).alarm == trip().end + timedelta(minutes=5)
    for wrong in (timedelta(minutes=-1), timedelta(hours=13)):
        with pytest.raises(PlanError, match="--alarm-after"):
            made(alarm_after=wrong)


# Sunset 21:25 on 2026-06-13 at 44.9 N 99.6 W, by the program's own daylight tests.
def test_the_sunset_is_the_first_after_the_launch() -> None:
    assert first_sunset(trip(), trip().start) == datetime(2026, 6, 14, 2, 25, 46, tzinfo=UTC)
    north = replace(scenes.LAUNCH, latitude=70.0)
    assert first_sunset(trip(launch=north), trip().start) is None
    assert made(trip(launch=north)).alarm == trip().end + timedelta(hours=1)


def test_a_sunset_is_looked_for_within_two_days() -> None:
    # At 70° N 25° E the sun does not set from May until the end of July.
    north = trip(launch=replace(scenes.LAUNCH, latitude=70.0, longitude=25.0))
    sunset = first_sunset(north, datetime(2026, 7, 26, tzinfo=UTC))
    assert sunset is not None
    for hours, found in ((47.5, sunset), (48.5, None)):
        assert first_sunset(north, sunset - timedelta(hours=hours)) == found


def test_the_users_own_time_may_be_none_at_all_and_twelve_hours_at_most() -> None:
    for hours in (0, 12):
        assert made(alarm_after=timedelta(hours=hours)).alarm == trip().end + timedelta(hours=hours)
    for wrong in (timedelta(seconds=-1), timedelta(hours=12, seconds=1)):
        with pytest.raises(PlanError, match="from 0 min to 12 h"):
            made(alarm_after=wrong)


# -- water, clothing, gear -----------------------------------------------------------------------


@given(st.floats(271, 313), st.floats(0, 30))
def test_warmer_water_never_asks_for_more_clothing(temperature: float, warmer: float) -> None:
    for clothing in CLOTHING:
        assert allows(clothing, temperature + warmer) <= allows(clothing, temperature)


@given(st.floats(271, 313))
def test_more_clothing_never_allows_less(temperature: float) -> None:
    severities = [allows(garment, temperature) for garment in CLOTHING]
    assert severities == sorted(severities, reverse=True)


def test_unknown_water_proves_no_clothing_enough() -> None:
    assert [allows(garment, float("nan")) for garment in CLOTHING] == [Severity.UNKNOWN] * 3


# National Search and Rescue table as tabled in the cold-water tests: 50 to 60 °F, 1 to 2 h.
def test_cold_water_is_told_in_clothing_and_hours() -> None:
    cold = said(made(trip(water_temperature=COLD)))
    assert "no immersion clothing: not enough for this water temperature: do not go" in cold
    assert "a wetsuit: extra caution in this water temperature" in cold
    assert "exhausted after 60 min to 2 h" in cold


def test_what_is_declared_is_ticked_what_is_not_stays_open_and_what_is_lacking_is_marked() -> None:
    paddler = Paddler(life_jacket="carried", means_to_call=True)
    gear = dict((what, mark) for mark, what in rows(made(trip(paddler=paddler)), "Gear"))
    assert gear["life jacket, worn and fastened"] == "[!]"
    assert gear["phone or radio that works afloat, on the body"] == "[x]"
    assert gear["whistle or horn"] == "[ ]"


def test_a_light_is_asked_for_near_the_night_and_dry_clothes_on_cold_water() -> None:
    def wants(plan: Plan) -> set[str]:
        return {piece.what for piece in made(plan).gear}

    noon = wants(trip())
    assert not any("light" in value or "dry clothes" in value for value in noon)
    sunset = first_sunset(trip(), trip().start)
    assert sunset is not None
    assert any("light" in quantity for quantity in wants(trip(end=sunset - timedelta(minutes=30))))
    assert any("dry clothes" in quantity for quantity in wants(trip(water_temperature=COLD)))
    # At 64 °F a wetsuit is within its limits, and no immersion clothing is not.
    cool = trip(water_temperature=kelvin(64, "F"))
    assert any("dry clothes" in quantity for quantity in wants(cool))


# Sunrise 05:47 and sunset 21:25 by the water's clock, five hours behind UTC.
@pytest.mark.parametrize(
    ("start", "end", "dark"),
    [
        ((11, 40), (16, 0), True),  # launch at 06:40, less than an hour after sunrise at 05:52
        ((12, 0), (16, 0), False),
        ((16, 0), (25, 20), False),  # return at 20:20, more than an hour before sunset
        ((16, 0), (25, 30), True),
    ],
)
def test_a_light_is_asked_for_within_an_hour_of_the_dark(
    start: tuple[int, int], end: tuple[int, int], dark: bool
) -> None:
    midnight = datetime(2026, 6, 13, tzinfo=UTC)
    first, last = (
        midnight + timedelta(hours=hours, minutes=minutes) for hours, minutes in (start, end)
    )
    gear = made(trip(start=first, end=last)).gear
    assert any("light" in piece.what for piece in gear) == dark


def test_a_drysuit_leaves_the_coldest_water_to_caution() -> None:
    assert allows("drysuit", kelvin(34, "F")) == Severity.MARGINAL


def test_the_temperature_is_that_of_the_plan_or_else_of_the_last_check() -> None:
    checked = by_hand.verdict(
        findings=[
            by_hand.finding("wind", Severity.GO, "wind_speed", 5.0),
            by_hand.finding("cold", Severity.GO, "water_temperature", COLD),
        ]
    )
    assert made(trip(water_temperature=None), verdict=checked).water_temperature == COLD
    assert made(trip(water_temperature=WARM), verdict=checked).water_temperature == WARM


# -- what is said --------------------------------------------------------------------------------


def test_it_names_who_where_when_and_whom_to_call() -> None:
    text = said(made(note="Bass along the west bank."))
    for phrase in (
        "A. Angler",
        "+1 555 0100",
        "B. Ashore +1 555 0199",
        "grey pickup",
        "orange kayak",
        "Invented Lake",
        "ramp (44.90000, -99.60000)",
        "Up to 1 mi from the launch",
        "Sat 13 Jun 2026 10:00, for 5 h",
        "Sat 13 Jun 2026 15:00 (America/Chicago)",
        "16:00 Raise the alarm",
        "911 in the US and Canada, 112 in Europe",
        "VHF channel 16",
        "A life jacket is worn.",
        "Bass along the west bank.",
    ):
        assert phrase in text


@pytest.mark.promise("nothing else is sent")
def test_it_says_that_nothing_was_sent_and_to_whom_it_must_be_given() -> None:
    assert "Nothing has been sent. Give this to B. Ashore" in said(made())
    nobody = build_float_plan(trip(), ContactTable())
    assert "someone who stays ashore" in said(nobody)
    assert "contact.name" in float_plan.missing_entries(nobody)
    assert float_plan.missing_entries(made()) == ""


def test_the_wind_of_the_last_check_tells_where_a_drifting_craft_goes() -> None:
    verdict = scenes.verdict(scenes.forecast({"wind_from_direction": 315.0}))
    plan = made(verdict=verdict)
    assert plan.downwind == pytest.approx(135.0)
    assert "The wind pushes anything adrift to the SE." in said(plan)
    assert "last check GO, made Fri 12 Jun 2026 17:00" in said(plan)
    unknown = scenes.verdict(scenes.forecast({"wind_from_direction": float("nan")}))
    assert made(verdict=unknown).downwind is None


def downwind(*winds: tuple[float, float]) -> float | None:
    """Return where a craft drifts in hours of a wind, and from where it blows."""
    shown = [{"wind_speed_high": wind, "wind_from_direction": source} for wind, source in winds]
    hours = by_hand.hours([Severity.GO] * len(winds), shown)
    return made(verdict=by_hand.verdict(hours)).downwind


def test_a_craft_drifts_where_the_strongest_known_wind_goes() -> None:
    unknown = float("nan")
    assert downwind((3.0, 10.0), (5.0, 100.0), (4.0, 200.0), (unknown, 40.0)) == 280.0
    assert downwind((5.0, 180.0)) == 0.0
    assert downwind((0.5, 90.0)) == 270.0
    assert downwind((0.0, 90.0)) == 270.0
    assert downwind((unknown, 90.0)) is None
    assert downwind((5.0, unknown)) is None


def test_a_route_is_told_in_its_places() -> None:
    route = np.array([[-99.61, 44.905], [-99.62, 44.91]])
    text = said(made(trip(route=route)))
    assert "From the launch via 44.90500, -99.61000; 44.91000, -99.62000, and back" in text


def test_a_return_on_the_next_day_carries_its_day() -> None:
    overnight = made(trip(end=trip().end + timedelta(hours=20)))
    assert "at 10:00 from ramp" in said(overnight)
    assert "due back by Sun 11:00" in said(overnight)
    assert overnight.alarm == overnight.plan.end + timedelta(hours=1)


def test_the_text_fits_a_terminal() -> None:
    long = replace(scenes.WATER, name="a very long name of a water " * 4)
    plan = made(trip(water=long), verdict=scenes.verdict(scenes.forecast({"wind_speed": 9.0})))
    assert max(map(len, float_plan.text(plan, PREFER).splitlines())) <= 80


# -- the page ------------------------------------------------------------------------------------


class Page(html.parser.HTMLParser):
    """Collects what a page asks for from elsewhere, its text, and its open elements."""

    VOID = frozenset({"meta"})

    def __init__(self, page: str) -> None:
        super().__init__()
        self.text: list[str] = []
        self.asks: list[str] = []
        self.open: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.asks += [value or "" for name, value in attrs if name in ("src", "href")]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.asks += [value or "" for name, value in attrs if name in ("src", "href")]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def shored() -> Plan:
    return trip(water=replace(scenes.WATER, shoreline=(SHORE,), attribution="invented"))


def test_the_page_says_what_the_text_says_and_needs_nothing_but_itself() -> None:
    plan = made(shored(), note="Bass.")
    page = Page(float_plan.html(plan, PREFER))
    assert page.open == []
    assert page.asks == []
    told = " ".join(page.text)
    for section in float_plan.sections(plan, PREFER):
        for label, text in section.rows:
            assert label in told
            assert text in told
    assert "invented" in told


def test_what_the_user_wrote_is_escaped_on_the_page() -> None:
    page = float_plan.html(made(note="<script>alert(1)</script>"), PREFER)
    assert "<script" not in page
    assert "&lt;script&gt;" in page


def test_a_water_without_a_shoreline_has_no_map() -> None:
    assert "<svg" not in float_plan.html(made(), PREFER)
    assert "<svg" in float_plan.html(made(shored()), PREFER)


def test_the_map_shows_the_whole_reach_or_the_route() -> None:
    whole = water_map(shored())
    assert whole is not None
    left, top, width, height = whole.view
    x, y = whole.launch
    assert left <= x - whole.reach
    assert x + whole.reach <= left + width
    assert top <= y - whole.reach
    assert y + whole.reach <= top + height
    routed = water_map(replace(shored(), route=np.array([[-99.59, 44.92]])))
    assert routed is not None
    assert routed.reach == 0
    assert routed.route.startswith("M")

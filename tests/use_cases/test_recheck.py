"""What is seen at the launch only ever tightens; what was received earlier keeps its age."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.conditions.case import Case
from safety_check.conditions.ensemble import SEA
from safety_check.errors import PlanError
from safety_check.model.moving_water import MovingWater
from safety_check.model.place import FetchTable, OpenWater, WaterKind
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity
from safety_check.model.weather import (
    OWN_WORD,
    Alert,
    Briefing,
    Forecast,
    Observation,
    Provenance,
    SourceFailure,
)
from safety_check.physics.off_wind import smoothed_radials
from safety_check.settings.folders import Folders
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import OddsTable, PaddlerTable, UserSettings
from safety_check.store.store import CheckRecord, Store
from safety_check.use_cases import recheck
from safety_check.use_cases.launch_observation import LaunchObservation, observed_values
from safety_check.use_cases.observed import (
    add_observation,
    fill_from_stored,
    mark_as_stored,
    offline_briefing,
    remaining_plan,
)
from safety_check.use_cases.planning import GRACE
from safety_check.use_cases.recheck import (
    MovementRequest,
    RecheckRequest,
    WatchedPlan,
    again_needs_own_word,
    recheck_plan,
)
from safety_check.use_cases.record import judge_and_store
from safety_check.use_cases.rulebook import load_rulebook
from tests import scenes
from tests.properties import cases

NOW = scenes.NOW
TRIP = scenes.plan(start=NOW + timedelta(minutes=5), hours=3)


def long_lake() -> OpenWater:
    """Return a lake with ten kilometres of open water from east and west, and little else."""
    bearings = np.arange(0.0, 360.0, 5.0)
    fetch = np.where(np.abs(np.cos(np.radians(bearings - 90))) > 0.9, 10_000.0, 300.0)[:, None]
    return replace(
        scenes.POND,
        bearings=bearings,
        fetch=fetch,
        radials=smoothed_radials(bearings, fetch),
    )


LAKE = long_lake()


def severity(
    given: Forecast, seen: LaunchObservation, water: OpenWater = LAKE, trip: Plan = TRIP
) -> Severity:
    plan, briefing = add_observation(trip, scenes.with_warnings_read(Briefing(NOW, (given,))), seen)
    return scenes.judge_severity(plan, briefing, water, scenes.settings())


def perhaps(values: st.SearchStrategy[str]) -> st.SearchStrategy[str | None]:
    return st.none() | values


amounts = st.floats(0, 20).map(lambda value: f"{value:.2f}")
SEEN = st.builds(
    LaunchObservation,
    wind=perhaps(amounts.map(lambda text: f"{text} m/s")),
    gust=perhaps(amounts.map(lambda text: f"{text} m/s")),
    from_direction=perhaps(st.integers(0, 360).map(str)),
    whitecaps=st.booleans(),
    waves=perhaps(st.floats(0, 2).map(lambda value: f"{value:.2f} m")),
    water_temperature=perhaps(st.floats(32, 90).map(lambda value: f"{value:.1f} F")),
)
unknown = st.just(float("nan"))
WEATHER = st.fixed_dictionaries(
    {
        "wind_speed": st.floats(0, 10) | unknown,
        "wind_speed_of_gust": st.floats(0, 14) | unknown,
        "wind_from_direction": st.floats(0, 359) | unknown,
    }
)


@pytest.mark.promise("what you see is never milder")
@cases(40)
@given(st.lists(WEATHER, min_size=1, max_size=3), SEEN)
def test_an_observation_never_makes_a_better_verdict(
    weather: list[dict[str, float]], seen: LaunchObservation
) -> None:
    given = scenes.forecast(*weather)
    assert severity(given, seen) >= severity(given, LaunchObservation())


@pytest.mark.promise("what you see is never milder")
@cases(20)
@given(WEATHER, st.floats(0, 20), st.floats(0, 20), st.sampled_from(["wind", "gust", "waves"]))
def test_more_observed_wind_never_improves_a_verdict(
    weather: dict[str, float], amount: float, more: float, name: str
) -> None:
    given = scenes.forecast(weather)
    unit = "m" if name == "waves" else "m/s"
    scale = 0.1 if name == "waves" else 1.0
    less, greater = (
        LaunchObservation(**{name: f"{scale * value:.3f} {unit}"})  # type: ignore[arg-type]
        for value in (amount, amount + more)
    )
    assert severity(given, greater) >= severity(given, less)


@cases(15)
@given(WEATHER, st.integers(0, 7), SEEN)
def test_nor_where_the_forecast_is_unknown_at_just_that_hour(
    weather: dict[str, float], lost: int, seen: LaunchObservation
) -> None:
    given = scenes.forecast(weather)
    at = int(np.flatnonzero(given.time == np.datetime64("2026-06-12T20", "s"))[0]) + lost
    for name in weather:
        given.quantities[name][:, at] = np.nan
    assert severity(given, seen) >= severity(given, LaunchObservation())


def test_wind_forecast_for_later_still_forbids_when_the_hour_of_the_observation_is_unknown() -> (
    None
):
    given = scenes.forecast({"wind_speed": 9.0, "wind_speed_of_gust": 12.0})
    given.quantities["wind_speed"][:, given.time == np.datetime64(NOW.replace(tzinfo=None))] = (
        np.nan
    )
    assert severity(given, LaunchObservation()) == Severity.NO_GO
    assert severity(given, LaunchObservation(wind="3 m/s")) == Severity.NO_GO


# Fairly frequent white horses are Beaufort 4, from 11 kt on (WMO code table 1100).
def test_whitecaps_mean_wind_even_where_none_is_forecast() -> None:
    tube = replace(TRIP, craft=scenes.settings().craft("float-tube"))
    assert severity(scenes.forecast(), LaunchObservation(), scenes.POND, tube) == Severity.GO
    assert (
        severity(scenes.forecast(), LaunchObservation(whitecaps=True), scenes.POND, tube)
        > Severity.GO
    )
    assert observed_values(LaunchObservation(whitecaps=True))["wind_speed"] == pytest.approx(
        10.7 * 1852 / 3600, abs=0.05
    )


def test_whitecaps_are_a_least_wind_and_not_a_reading() -> None:
    def sign(seen: LaunchObservation) -> str:
        _, told = add_observation(TRIP, Briefing(NOW), seen)
        return next(
            observation.sign
            for observation in told.observations
            if observation.quantity == "wind_speed"
        )

    assert sign(LaunchObservation(whitecaps=True)) == "whitecaps"
    assert sign(LaunchObservation(whitecaps=True, wind="3 mph")) == "whitecaps"
    assert sign(LaunchObservation(whitecaps=True, wind="20 mph")) == ""


def test_whitecaps_never_lower_a_wind_that_was_read() -> None:
    assert observed_values(LaunchObservation(wind="20 mph", whitecaps=True)) == observed_values(
        LaunchObservation(wind="20 mph")
    )


def test_observed_waves_count_where_no_wind_explains_them_and_fade() -> None:
    seen = LaunchObservation(waves="2 ft")
    assert severity(scenes.forecast(), seen) == Severity.NO_GO
    tomorrow = scenes.plan()
    assert severity(scenes.forecast(), seen, trip=tomorrow) == Severity.GO


def sea(given: Forecast, seen: LaunchObservation) -> float:
    """Return the wave that decides in the worst hour of the trip. [m]."""
    plan, briefing = add_observation(TRIP, scenes.with_warnings_read(Briefing(NOW, (given,))), seen)
    findings = scenes.judge(plan, briefing, LAKE, scenes.settings()).findings
    return next(finding.value for finding in findings if finding.quantity == SEA)


def test_an_observed_direction_along_the_lake_raises_its_sea() -> None:
    north, east = (
        scenes.forecast({"wind_speed": 5.0, "wind_from_direction": bearing})
        for bearing in (0.0, 90.0)
    )
    assert sea(north, LaunchObservation(from_direction="E")) > 1.5 * sea(north, LaunchObservation())
    assert sea(east, LaunchObservation(from_direction="N")) == sea(east, LaunchObservation())


def test_colder_water_than_entered_counts_and_warmer_does_not() -> None:
    assert (
        severity(scenes.forecast(), LaunchObservation(water_temperature="52 F")) == Severity.NO_GO
    )
    cold = replace(TRIP, water_temperature=285.0)
    assert (
        severity(scenes.forecast(), LaunchObservation(water_temperature="75 F"), trip=cold)
        == Severity.NO_GO
    )


def test_an_unknown_water_temperature_is_known_once_it_is_measured() -> None:
    unknown_water = replace(TRIP, water_temperature=None)
    assert severity(scenes.forecast(), LaunchObservation(), trip=unknown_water) == Severity.UNKNOWN
    measured = LaunchObservation(water_temperature="75 F")
    assert severity(scenes.forecast(), measured, trip=unknown_water) == Severity.GO


@pytest.mark.parametrize(
    "seen",
    [
        LaunchObservation(wind="twelve"),
        LaunchObservation(wind="12"),
        LaunchObservation(gust="300 mph"),
        LaunchObservation(from_direction="up"),
        LaunchObservation(from_direction="400"),
        LaunchObservation(waves="90 ft"),
        LaunchObservation(water_temperature="300 F"),
    ],
)
def test_what_can_not_be_meant_is_refused_with_its_option(seen: LaunchObservation) -> None:
    with pytest.raises(PlanError, match="--"):
        observed_values(seen)


# -- later ---------------------------------------------------------------------------------------


def test_of_a_plan_under_way_only_the_rest_is_weighed() -> None:
    trip = scenes.plan()
    assert remaining_plan(trip, NOW) == trip
    assert remaining_plan(trip, trip.start + timedelta(minutes=50)) == trip
    late = trip.start + timedelta(hours=2)
    assert remaining_plan(trip, late).start == late
    with pytest.raises(PlanError, match="ended 2026-06-13 15:00"):
        remaining_plan(trip, trip.end)


LIVE = Provenance("Open-Meteo", "", "https://example.org", NOW, NOW, recorded=False)
WARNED = Alert(
    *("Gale Warning", "Severe", "Expected", "Likely", "Gale Warning", "", ""),
    onset=NOW,
    ends=NOW + timedelta(days=1),
    area="",
    provenance=replace(LIVE, source="National Weather Service, alerts"),
)
QUIET = SourceFailure("official warnings", "no answer", ("alerts",))


def test_an_earlier_forecast_is_used_where_there_is_no_other_and_keeps_its_age() -> None:
    stored = Briefing(NOW, (scenes.forecast(provenance=LIVE),))
    for later, expected in ((8, Severity.GO), (30, Severity.UNKNOWN)):
        at = NOW + timedelta(hours=later)
        told = fill_from_stored(scenes.with_warnings_read(Briefing(at)), stored)
        assert told.forecasts[0].provenance.recorded
        trip = scenes.plan(start=at.replace(hour=15), hours=2)
        verdict = scenes.judge(trip, told, scenes.POND, scenes.settings())
        assert verdict.severity == expected


def test_a_new_forecast_takes_the_place_of_the_earlier_one() -> None:
    stored = Briefing(NOW, (scenes.forecast({"wind_speed": 9.0}),))
    fresh = Briefing(NOW, (scenes.forecast(),))
    assert fill_from_stored(fresh, stored).forecasts == fresh.forecasts


def test_a_warning_holds_on_until_the_services_are_asked_for_warnings_again() -> None:
    stored = Briefing(NOW, alerts=(WARNED,))
    silent = Briefing(NOW, silences=(QUIET,))
    assert [alert.event for alert in fill_from_stored(silent, stored).alerts] == ["Gale Warning"]
    assert fill_from_stored(Briefing(NOW), stored).alerts == ()


def test_offline_a_warning_service_counts_until_its_last_answer_is_too_old() -> None:
    stored = Briefing(NOW, others=(WARNED.provenance,))
    ages = {WARNED.provenance.source: 3600.0}
    assert offline_briefing(stored, NOW + timedelta(minutes=59), ages).silences == ()
    overdue = offline_briefing(stored, NOW + timedelta(minutes=61), ages).silences
    assert [(entry.source, entry.applies) for entry in overdue] == [
        (WARNED.provenance.source, True)
    ]


def test_an_observation_of_an_hour_ago_still_counts() -> None:
    _, earlier = add_observation(
        TRIP, Briefing(NOW, (scenes.forecast(),)), LaunchObservation(wind="12 m/s")
    )
    later = NOW + timedelta(hours=1)
    told = fill_from_stored(Briefing(later, (scenes.forecast(),)), earlier)
    assert scenes.judge_severity(TRIP, told, LAKE, scenes.settings()) == Severity.NO_GO
    assert fill_from_stored(told, earlier).observations == told.observations


def test_the_sighting_is_dated_by_the_clock_of_the_check() -> None:
    _, briefing = add_observation(TRIP, Briefing(NOW), LaunchObservation(wind="3 m/s"))
    assert [observation.time for observation in briefing.observations] == [NOW]


# -- a stored check, again -----------------------------------------------------------------------


ROUND = replace(
    scenes.WATER, fetch_table=FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.full(4, 300.0))
)
HOUR_LATER = NOW + timedelta(hours=1)


@pytest.fixture
def own(tmp_path: Path) -> Settings:
    folders = Folders(tmp_path, tmp_path / "data", tmp_path / "cache")
    return Settings(folders, UserSettings(odds=OddsTable(dressing=False)))


def stored(
    own: Settings, briefing: Briefing | None = None, name: str = "", hours: float = 3, **plan: Any
) -> CheckRecord:
    """Store a check of a trip that begins at two in the morning UTC, and return its record."""
    trip = scenes.plan(start=NOW + timedelta(hours=4), hours=hours)
    trip = replace(trip, **{"water": ROUND, **plan})
    case = Case(trip, briefing or scenes.briefing(), scenes.POND, own, scenes.load_trust())
    done = judge_and_store(case, load_rulebook(), name, words={"hours": "3"})
    with Store.open(own.folders.data) as store:
        return store.check(done.number or 0)


def test_a_check_again_is_stored_under_its_name_with_the_words_it_was_asked_in(
    own: Settings,
) -> None:
    first = stored(own, name="dawn", water=replace(ROUND, kind=WaterKind.FLOWING))
    moves = MovementRequest(gauge="2 ft")
    asked = RecheckRequest(name="dawn", offline=True, moves=moves)
    done = recheck_plan(asked, own, HOUR_LATER)
    assert done.number == first.line.id + 1
    assert done.verdict.at == HOUR_LATER
    plan, before = done.verdict.plan, first.kept.plan
    assert (plan.start, plan.end, plan.reach) == (before.start, before.end, before.reach)
    assert done.changes.since == NOW
    with Store.open(own.folders.data) as store:
        again = store.check(done.number)
    assert again.line.name == "dawn"
    assert again.kept.words == {"hours": "3", "gauge": "2 ft"}


def test_a_check_again_after_the_start_judges_what_remains(own: Settings) -> None:
    first = stored(own)
    later = first.kept.plan.start + timedelta(hours=2)
    done = recheck_plan(RecheckRequest(offline=True), own, later)
    assert (done.verdict.plan.start, done.verdict.plan.end) == (later, first.kept.plan.end)


def test_what_is_seen_is_told_apart_from_what_the_forecasts_changed(own: Settings) -> None:
    stored(own, night=True)
    seen = LaunchObservation(wind="12 m/s", water_temperature="22.5 C")
    without = recheck_plan(RecheckRequest(offline=True), own, HOUR_LATER)
    assert without.changes.alone == without.changes.after < Severity.NO_GO
    done = recheck_plan(RecheckRequest(seen=seen, number=1, offline=True), own, HOUR_LATER)
    assert done.changes.alone < done.changes.after == Severity.NO_GO
    assert done.verdict.plan.water_temperature == pytest.approx(295.65)


def test_what_the_paddler_has_declared_since_counts_and_what_was_said_then_stays(
    own: Settings,
) -> None:
    said = replace(scenes.READY, life_jacket=None, wearing="wetsuit")
    stored(own, paddler=said)
    table = PaddlerTable(life_jacket="worn", wearing="none")
    declared = replace(own, user=own.user.model_copy(update={"paddler": table}))
    plan = recheck_plan(RecheckRequest(offline=True), declared, HOUR_LATER).verdict.plan
    assert (plan.paddler.life_jacket, plan.paddler.wearing) == ("worn", "wetsuit")


def test_the_time_of_a_check_again_may_be_told_in_the_zone_of_the_water(own: Settings) -> None:
    stored(own)
    asked = RecheckRequest(offline=True, as_of="2026-06-12 19:00")  # five hours behind UTC
    assert recheck_plan(asked, own, NOW).verdict.at == NOW + timedelta(hours=2)


def test_without_a_check_the_history_says_what_it_lacks(own: Settings) -> None:
    for asked, said in (
        (RecheckRequest(), "no check yet"),
        (RecheckRequest(name="dawn"), "no check named 'dawn' yet"),
        (RecheckRequest(number=7), "no check 7"),
    ):
        with pytest.raises(PlanError, match=said):
            recheck_plan(asked, own, NOW)


@pytest.mark.one_in(2)
@pytest.mark.parametrize(
    ("asked", "word", "needed"),
    [
        ({}, False, False),  # the alert service of the place is asked
        ({"offline": True}, False, False),  # its answer of an hour ago is known
        ({"offline": True, "as_of": "2026-06-13 18:00"}, False, True),
        ({"forecast": Path("saved.json")}, False, True),
        ({"forecast": Path("saved.json")}, True, False),  # the user has read them
        ({"forecast": Path("saved.json"), "as_of": "2026-06-13 18:00"}, True, True),
        ({"forecast": Path("saved.json"), "warnings": "none"}, False, False),
    ],
)
def test_the_user_is_asked_for_the_warnings_where_no_one_will_answer(
    own: Settings, asked: dict[str, Any], word: bool, needed: bool
) -> None:
    briefing = scenes.briefing()
    if word:
        read = replace(scenes.FROM_THE_ALERT_SERVICE, source=OWN_WORD, fetched=NOW)
        briefing = replace(briefing, warnings_read=(read,))
    last = stored(own, briefing)
    at = {"as_of": "2026-06-12 18:00"} | asked
    assert again_needs_own_word(last, RecheckRequest(**at)) == needed


def test_where_no_service_covers_the_place_the_user_is_asked_for_the_warnings(
    own: Settings,
) -> None:
    at_sea = replace(scenes.LAUNCH, latitude=-50.0, longitude=-120.0)  # the South Pacific
    last = stored(own, launch=at_sea)
    assert again_needs_own_word(last, RecheckRequest(as_of="2026-06-14 18:00"))


def test_a_watched_plan_follows_its_own_checks_and_says_its_word_once(
    own: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    heard: list[RecheckRequest] = []
    numbers = iter([8, None, 9])

    def fake(asked: RecheckRequest, settings: Settings, now: datetime) -> SimpleNamespace:
        heard.append(asked)
        return SimpleNamespace(number=next(numbers))

    monkeypatch.setattr(recheck, "recheck_plan", fake)
    watched = WatchedPlan(5, own, None, "none", "06:00")
    for _ in range(3):
        watched.again(NOW)
    assert [asked.number for asked in heard] == [5, 8, 8]  # one could not be stored
    assert [asked.warnings for asked in heard] == ["none", None, None]
    assert [asked.read_at for asked in heard] == ["06:00", None, None]


# -- combined with what was received earlier -----------------------------------------------------


def test_the_same_observation_at_the_same_moment_counts_once() -> None:
    seen = LaunchObservation(wind="5 m/s", from_direction="N")
    _, once = add_observation(TRIP, Briefing(NOW), seen)
    _, twice = add_observation(TRIP, once, seen)
    assert twice.observations == once.observations
    _, other = add_observation(TRIP, once, LaunchObservation(wind="6 m/s"))
    assert sorted(one.value for one in other.observations) == [0.0, 5.0, 6.0]


def test_a_plan_that_began_within_the_grace_is_left_whole() -> None:
    assert remaining_plan(TRIP, TRIP.start + GRACE) == TRIP
    late = TRIP.start + GRACE + timedelta(seconds=1)
    assert remaining_plan(TRIP, late).start == late
    assert remaining_plan(TRIP, TRIP.end - timedelta(seconds=1)).end == TRIP.end
    with pytest.raises(PlanError, match="nothing is left to check"):
        remaining_plan(TRIP, TRIP.end)


@pytest.mark.parametrize(("age", "late"), [(3600, False), (3601, True)])
def test_offline_an_answer_on_warnings_counts_to_the_last_second_of_its_age(
    age: int, late: bool
) -> None:
    old = scenes.with_warnings_read(Briefing(NOW))
    ages = {scenes.FROM_THE_ALERT_SERVICE.source: 3600.0}
    told = offline_briefing(old, NOW + timedelta(seconds=age), ages)
    assert bool(told.silences) == late
    assert told.at == NOW + timedelta(seconds=age)
    assert all(word.recorded for word in told.warnings_read)
    unlisted = offline_briefing(old, NOW + timedelta(seconds=1), {})
    assert unlisted.silences  # of an unknown service nothing counts


def test_the_origins_of_a_stored_sea_stay_only_with_the_stored_forecast() -> None:
    old, new = scenes.FROM_A_FILE, replace(scenes.FROM_A_FILE, source="Other")
    stored_one = Briefing(NOW, (scenes.forecast(),), others=(old,))
    replaced = Briefing(NOW, (scenes.forecast(),), others=(new,))
    assert fill_from_stored(replaced, stored_one).others == (new,)
    assert fill_from_stored(replace(replaced, forecasts=()), stored_one).others == (new, old)


def test_a_newer_observation_of_the_same_station_and_time_replaces_the_stored_one() -> None:
    old, new = (Briefing(NOW, observations=(scenes.observation("wind_speed", v),)) for v in (3, 4))
    assert [one.value for one in fill_from_stored(new, old).observations] == [4]
    other = replace(new.observations[0], station="another")
    both = fill_from_stored(replace(new, observations=(other,)), old)
    assert [one.value for one in both.observations] == [4, 3]


def test_the_movement_of_the_water_that_was_stored_is_kept_where_nothing_newer_is_known() -> None:
    old = Briefing(NOW, moving=MovingWater(releases=(NOW,), tidal=True))
    assert fill_from_stored(Briefing(NOW), Briefing(NOW)).moving is None
    kept = fill_from_stored(Briefing(NOW, moving=MovingWater(tidal=True)), old).moving
    assert kept is not None
    assert kept.releases == (NOW,)
    fresh = Briefing(NOW, moving=MovingWater(releases=()))
    assert fill_from_stored(fresh, Briefing(NOW)).moving == fresh.moving


def test_everything_stored_is_marked_as_stored() -> None:
    live = replace(scenes.FROM_A_FILE, recorded=False)
    alert = Alert("Wind", "", "", "", "", "", "", None, None, "", live)
    seen = replace(scenes.observation("wind_speed", 3), provenance=live)
    told = Briefing(
        NOW, (scenes.forecast(provenance=live),), (seen,), (alert,), (), (live,), (live,)
    )
    old = mark_as_stored(told)
    items: tuple[Forecast | Observation | Alert, ...]
    items = (*old.forecasts, *old.observations, *old.alerts)
    assert [item.provenance.recorded for item in items] == [True] * 3
    assert [origin.recorded for origin in (*old.others, *old.warnings_read)] == [True] * 2

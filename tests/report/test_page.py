"""The page says what the verdict says, all by itself, whatever text stands in it."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from html import unescape

import numpy as np
import pytest

from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Severity, Verdict
from safety_check.model.wave_map import TripMaps
from safety_check.model.weather import Alert
from safety_check.report import words
from safety_check.report.page import page
from safety_check.report.page.page_map import draw_map
from safety_check.report.page.unweighed import was_asked
from safety_check.rules.hazards import HAZARDS
from safety_check.settings.settings import Settings
from safety_check.units import MILE_PER_HOUR, Preferences, compass, show, show_limit
from safety_check.use_cases.sample import check_sample
from safety_check.use_cases.wave_map import map_hours_around
from tests import scenes
from tests.hostile import DIRECTIONS, HOSTILE, as_shown
from tests.report.reading import Reader

LIMIT = 1_000_000  # bytes; what a phone keeps and a mail takes without a thought
LIMIT_OF_A_LONG_PLAN = 500_000  # bytes


@pytest.fixture(scope="module")
def sample() -> tuple[str, Verdict]:
    settings, verdict = check_sample()
    return page.render_page(verdict, settings), verdict


@pytest.fixture(scope="module")
def mapped() -> tuple[Settings, Verdict, TripMaps]:
    settings, verdict = check_sample()
    return settings, verdict, map_hours_around(verdict, settings)


def html(verdict: Verdict) -> str:
    return page.render_page(verdict, scenes.settings())


# -- one file ----------------------------------------------------------------------------------


def test_the_page_is_one_file_that_asks_for_nothing(sample: tuple[str, Verdict]) -> None:
    text, _ = sample
    assert len(text.encode()) < LIMIT
    for tag, attributes in Reader(text).tags:
        assert tag not in ("link", "iframe", "object", "embed", "base", "form")
        for name in ("src", "href", "xlink:href", "srcset", "data", "poster", "action"):
            if (tag, name) == ("a", "href"):  # a reader may follow a credit; nothing is loaded
                assert (attributes.get(name) or "#").startswith(("#", "https://"))
            else:
                assert (attributes.get(name) or "#").startswith(("#", "data:image/png;base64,"))
        assert "style" not in attributes
        assert not any(attribute.startswith("on") for attribute in attributes)
    assert "@import" not in text
    assert not re.search(r"url\((?!#)", text)


def test_two_days_of_hours_stay_far_under_the_limit() -> None:
    text = html(scenes.verdict(trip=scenes.plan(hours=48)))
    assert len(text.encode()) < LIMIT / 4


def test_its_policy_names_exactly_its_own_style_and_script(sample: tuple[str, Verdict]) -> None:
    reader = Reader(sample[0])
    (policy,) = (
        attributes["content"] or ""
        for tag, attributes in reader.tags
        if attributes.get("http-equiv") == "Content-Security-Policy"
    )
    for kind in ("style", "script"):
        (written,) = reader.parts[kind]
        assert f"{kind}-src {page.digest(written)};" in policy
    assert policy.startswith("default-src 'none';")
    assert "unsafe" not in policy


# -- it says what the verdict says -------------------------------------------------------------


def test_the_answer_comes_first_in_the_words_of_the_terminal(sample: tuple[str, Verdict]) -> None:
    text, verdict = sample
    said = Reader(text).text
    assert said.index("NO-GO : " + words.MEANS[Severity.NO_GO]) < said.index("Why")
    assert verdict.plan.water.name in said


def test_every_finding_is_listed_worst_first(sample: tuple[str, Verdict]) -> None:
    text, verdict = sample
    said = Reader(text).text
    weighty = [finding for finding in verdict.findings if finding.severity > Severity.GO]
    places = [said.index(finding.reason) for finding in weighty]
    assert places == sorted(places)
    for finding in verdict.findings:
        if was_asked(finding, verdict):
            assert finding.source in said[said.index(finding.reason) :]


def test_a_reason_opens_to_value_limit_hours_odds_and_source(sample: tuple[str, Verdict]) -> None:
    text, verdict = sample
    wind = next(finding for finding in verdict.findings if finding.quantity == "wind_speed")
    assert wind.limit is not None
    at = text.index(wind.reason)
    opened = Reader(text[at : text.index("</details>", at)]).text
    mph = MILE_PER_HOUR
    for part in (
        f"Value {wind.value / mph:.0f} mph",
        f"Limit here {show_limit(wind.bound, 'speed', 'mph')} (no-go)",
        f"Limit as set {show_limit(wind.limit.marginal or 0, 'speed', 'mph')} (caution),"
        f" {show_limit(wind.limit.no_go or 0, 'speed', 'mph')} (no-go); higher is worse",
        f"Odds {100 * wind.odds:.0f} % of the forecasts give NO-GO",
        "Hours ",
        "Source",
        wind.source,
        "Cannot see",
    ):
        assert part in opened
    assert "or worse" not in opened  # nothing is worse than NO-GO


def test_what_stays_within_its_limits_never_reads_as_a_danger() -> None:
    for hazard in HAZARDS:
        if hazard.shown_as in ("flag", "declared", "warning"):
            assert hazard.says_within != hazard.says, hazard.name
    said = Reader(html(scenes.verdict())).text
    assert "A life jacket is worn." in said
    assert "No life jacket worn" not in said


def test_cautions_provenance_and_what_is_not_known_are_all_there() -> None:
    verdict = scenes.verdict(scenes.without(scenes.forecast(), "wind_speed_of_gust"))
    said = Reader(html(verdict)).text
    assert "UNKNOWN : not enough is known to say GO" in said
    for text in (*verdict.cautions, *(unknown_item.remedy for unknown_item in verdict.unknown)):
        assert text in said
    assert words.origin(verdict.provenance[0], verdict.at) in said


def test_the_shore_contacts_part_is_there_and_names_what_was_not_declared() -> None:
    said = Reader(html(scenes.verdict())).text
    for part in ("If I am not back 15:00 I will be off the water", "Raise the alarm",
                 "Who name not given", "launch ramp (44.90000, -99.60000)"):  # fmt: skip
        assert part in said


@pytest.mark.promise("never a permission")
def test_a_go_says_that_nothing_passes_a_limit() -> None:
    said = Reader(html(scenes.verdict())).text
    assert "GO : within every limit weighed here" in said
    assert "No hazard that the program weighs exceeds a limit." in said


def test_a_severity_always_has_its_word_and_its_shape(sample: tuple[str, Verdict]) -> None:
    text, _ = sample
    for word in re.findall(r'<span class="level">(.*?)</span>', text):
        shape = re.search(r"#shape-([a-z-]+)", word)
        assert shape is not None
        assert word.endswith(shape[1].upper())


# -- the map -----------------------------------------------------------------------------------


def test_the_map_has_a_layer_and_words_for_every_hour_and_shows_the_worst(
    mapped: tuple[Settings, Verdict, TripMaps],
) -> None:
    settings, verdict, maps = mapped
    lake = draw_map(verdict, maps, settings.preferences)
    assert lake is not None
    assert len(lake.words) == lake.svg.count('class="lm-hour"') == len(verdict.around)
    assert lake.svg.count('display="none"') == len(verdict.around) - 1
    waves = [hour.shown["sea_surface_wave_significant_height_high"] for hour in verdict.hours]
    worst = verdict.hours[int(np.argmax(waves))]
    assert verdict.around[lake.chosen].time == worst.time
    assert "style=" not in lake.svg
    text = page.render_page(verdict, settings, lake)
    assert len(text.encode()) < LIMIT
    assert set(lake.words) <= {unescape(match) for match in re.findall("<li>(.*?)</li>", text)}
    assert lake.whole.count('class="lm-hour"') == len(verdict.around)


@pytest.mark.thorough
def test_each_hour_shows_and_tells_its_own_drift(
    mapped: tuple[Settings, Verdict, TripMaps],
) -> None:
    settings, verdict, maps = mapped
    lake = draw_map(verdict, maps, settings.preferences)
    assert lake is not None
    assert verdict.advice is not None
    (windiest,) = (hour for hour in maps.near if hour.time == verdict.advice.drifts[0].begins)
    assert windiest.drifts == verdict.advice.drifts
    assert len({hour.drifts[0].ends for hour in maps.near}) > len(maps.near) / 2
    clock = LocalClock.of(verdict.plan)
    for hour, said in zip(maps.near, lake.words, strict=True):
        assert said.count(f"At {clock.time(hour.drifts[0].begins)}, ") == 2
    layers = lake.svg.split('class="lm-hour"')[1:]
    for hour, layer in zip(maps.near, layers, strict=True):
        known = [drift for drift in hour.drifts if np.isfinite(drift.ends).all()]
        assert layer.count('class="drift"') == len(known)
        assert len(known) == 2 or not hour.in_trip  # the table of the current is shorter


@pytest.mark.thorough
def test_the_lee_on_the_map_is_that_of_the_words(
    mapped: tuple[Settings, Verdict, TripMaps],
) -> None:
    settings, verdict, maps = mapped
    near, whole = maps.near[0].grid, maps.whole[0].grid
    assert near.sheltered is not None
    assert whole.sheltered is not None
    share, far, side = re.findall(r"about (\d+) %.*nearest is ([\d.]+) mi (\w+) of", verdict.lee)[0]
    assert whole.sheltered.mean() == pytest.approx(int(share) / 100, abs=0.05)
    way = near.whole.points[near.sheltered]
    nearest = way[np.argmin(np.hypot(*way.T))]
    assert show(float(np.hypot(*nearest)), "length", "mi") == f"{far} mi"
    assert compass(float(np.degrees(np.arctan2(*nearest)))) == side
    for hour in maps.near:
        if hour.in_trip:
            # A verdict counts both ends of an hour and the forecasts' spread; a map the hour's
            # high end. So no sheltered place reaches caution on the map.
            assert (hour.height[near.sheltered] < hour.caution).all()
    lake = draw_map(verdict, maps, settings.preferences)
    assert lake is not None
    used = lake.svg.count('href="#lake-map-lee-area"')
    assert used == sum(hour.in_trip for hour in maps.near)


@pytest.mark.thorough
def test_two_days_of_maps_stay_under_the_limit() -> None:
    settings, verdict = check_sample()
    hours = tuple(replace(verdict.hours[3], time=hour.time + timedelta(days=day))
                  for day in range(3) for hour in verdict.around)  # fmt: skip
    long = replace(verdict, around=hours, hours=hours[6:55])
    assert (
        len(
            page.render_page(
                long,
                settings,
                draw_map(long, map_hours_around(long, settings), settings.preferences),
            ).encode()
        )
        < LIMIT_OF_A_LONG_PLAN
    )


def test_a_water_without_a_shore_has_no_map() -> None:
    verdict = scenes.verdict()
    assert draw_map(verdict, map_hours_around(verdict, scenes.settings()), Preferences()) is None
    assert "Waves on the water" not in html(verdict)


# -- hostile text ------------------------------------------------------------------------------


def everywhere(text: str) -> Verdict:
    """Return a verdict with a text wherever a user or a service can put one."""
    plan = scenes.plan()
    plan = replace(
        plan,
        water=replace(plan.water, name=text, attribution=text),
        launch=replace(plan.launch, name=text),
        craft=replace(plan.craft, name=text, label=text, fails_by=text),
    )
    origin = replace(scenes.FROM_A_FILE, source=text, model=text, attribution=text)
    alert = Alert(event=text, severity="Severe", urgency=text, certainty=text, headline=text,
                  description=text, instruction=text, onset=None, ends=None, area=text,
                  provenance=origin)  # fmt: skip
    return scenes.verdict(scenes.forecast(provenance=origin), trip=plan, alerts=[alert])


@pytest.mark.one_in(4)
@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_is_shown_as_text(name: str) -> None:
    text = HOSTILE[name]
    written = html(everywhere(text))
    reader = Reader(written)
    plain = Reader(html(everywhere("harmless")))
    assert [tag for tag, _ in reader.tags] == [tag for tag, _ in plain.tags]
    assert [set(one_tag) for _, one_tag in reader.tags] == [
        set(one_tag) for _, one_tag in plain.tags
    ]
    assert reader.parts["script"] == plain.parts["script"]
    assert as_shown(text) in reader.text
    assert not DIRECTIONS & set(written)


# -- colours -----------------------------------------------------------------------------------

# The set of Okabe and Ito (2008), "Color Universal Design", as its authors publish it.
OKABE_ITO = {"#e69f00", "#56b4e9", "#009e73", "#f0e442", "#0072b2", "#d55e00", "#cc79a7"}
STYLE = page.style()


def _luminance(colour: str) -> float:
    """Return the relative luminance of "#rrggbb" (WCAG 2.2, definition)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (x / 12.92 if x <= 0.04045 else ((x + 0.055) / 1.055) ** 2.4 for x in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours (WCAG 2.2, definition)."""
    dark, light = sorted((_luminance(one), _luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def _schemes() -> dict[str, dict[str, str]]:
    light, dark = (
        dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", part))
        for part in STYLE.split("@media (prefers-color-scheme: dark)")
    )
    return {"light": light, "dark": light | dark}


def test_contrast_is_computed_as_its_definition_says() -> None:
    # WCAG 2.2: black on white is 21 to 1, the greatest there is.
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_can_be_read_in_sunlight(scheme: str) -> None:
    colours = _schemes()[scheme]
    for text in ("ink", "quiet"):
        for ground in ("paper", "wash"):
            assert contrast(colours[text], colours[ground]) >= 7  # WCAG 2.2, 1.4.6 (AAA)
    for line in ("line", "edge"):
        assert contrast(colours[line], colours["paper"]) >= 3  # WCAG 2.2, 1.4.11


def test_severities_and_lines_come_from_one_colour_blind_safe_set() -> None:
    for colours in _schemes().values():
        used = {colours[value] for value in ("go", "marginal", "unknown", "no-go", "line")}
        assert used <= OKABE_ITO

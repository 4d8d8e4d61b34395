"""An error stands at its field, in the words of the form; a form sent twice is done once."""

from __future__ import annotations

import re
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import httpx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import ConfigError, DataError, SourceError
from safety_check.web import labels
from safety_check.web.form_errors import at_fields
from tests.hostile import HOSTILE
from tests.live import Live
from tests.properties import cases
from tests.report.reading import Reader
from tests.web.test_checking import MARROWICK, SHORT

WRONG = [
    ({"place": "nowhere"}, "place", "not one of the options"),
    ({"place": '["Nowhere", "ramp"]'}, "place", "is not known"),
    ({"place": "[1, 2]"}, "place", "not one of the options"),
    ({"point": "1,2,3"}, "point", "is not known"),
    ({"point": "95,200"}, "point", "not a place on Earth"),
    ({"start": "soon"}, "start", "is not a time"),
    ({"start": ""}, "start", "when the trip starts"),
    ({"start": "2026-06-11T10:00"}, "start", "is in the past"),
    ({"hours": "many"}, "hours", "is not a length of time"),
    ({"hours": "nan"}, "hours", "is not a length of time"),
    ({"hours": ""}, "hours", "how many hours"),
    ({"hours": "0"}, "hours", "is not after the start"),
    ({"hours": "90"}, "hours", "Check each day separately"),
    ({"reach": "1"}, "reach", "has no unit"),
    ({"reach": "1", "reach_unit": "furlong"}, "reach", "not a known unit"),
    ({"reach": "-1", "reach_unit": "mi"}, "reach", "is negative"),
    ({"reach": "99", "reach_unit": "mi"}, "reach", "up to 50 km"),
    ({"from_shore": "x"}, "from_shore", "not a number with a unit"),
    ({"water_temperature": "58"}, "water_temperature", "F, C, K"),
    ({"water_temperature": "200", "water_temperature_unit": "F"}, "water_temperature", "between"),
    ({"craft": "kanoo"}, "craft", "is not known"),
    ({"current": "fast"}, "current", "can't be read"),
    ({"high_water": "noonish"}, "high_water", "is not a time"),
    ({"gauge": "high"}, "gauge", "not a number with a unit"),
    ({"wearing": "wool"}, "wearing", "not one of the options"),
    ({"read_at": "2026-06-12T20:40"}, "read_at", "in the future"),
]  # fmt: skip
WRONG_LIMITS = [
    ({"quantity": "wind_speed"}, "marginal", "enter a caution"),
    ({"quantity": "wind_speed", "no_go": "5"}, "no_go", "has no unit"),
    ({"quantity": "wind_speed", "no_go": "5", "no_go_unit": "ft"}, "no_go", "not a known unit"),
    ({"quantity": "wind_speed", "marginal": "9", "marginal_unit": "mph", "no_go": "5 mph"},
     "no_go", "before the caution"),
    ({"quantity": "wind_speed", "no_go": "40 mph"}, "loosen", "looser than the default"),
    ({"quantity": "beauty", "no_go": "40 mph"}, "quantity", "not one of the options"),
]  # fmt: skip
WRONG_TRIPS = [
    ({"began": "2999-01-01T10:00"}, "began", "not between"),
    ({"began": "2199-01-01T10:00"}, "began", "in the future"),
    ({"ended": "2026-06-13T09:00"}, "ended", "after the start"),
    ({"wind": "windy"}, "wind", "is not known here"),
    ({"wind": "20-10", "wind_unit": "mph"}, "wind", "lower number first"),
    ({"gust": "15"}, "gust", "has no unit"),
    ({"waves": "x", "waves_unit": "ft"}, "waves", "not a number with a unit"),
    ({"comfort": "9"}, "comfort", "is not known here"),
]
TRIP = {"water": "Marrowick Arm (invented)", "began": "2026-06-13T10:00"}


def named(text: str, name: str) -> dict[str, str | None]:
    """Return the attributes of the control with a name."""
    return next(attributes for _, attributes in Reader(text).tags if attributes.get("id") == name)


def require_at_field(answer: httpx.Response, table: dict[str, str], name: str, part: str) -> None:
    assert answer.status_code == 422
    control = named(answer.text, name)
    assert control["aria-invalid"] == "true"
    assert "autofocus" in control
    controls = [attributes for _, attributes in Reader(answer.text).tags]
    assert sum("autofocus" in one for one in controls) == 1
    assert sum("aria-invalid" in one for one in controls) == 1
    assert f"{name}-error" in (control["aria-describedby"] or "").split()
    said = Reader(answer.text).text
    assert said.count("Not valid:") == 1
    assert part.casefold() in said.split("Not valid:")[1].casefold()
    summary = re.search(r'role="alert">.*?</div>', answer.text, re.DOTALL)
    assert summary is not None
    assert f'<a href="#{name}">{table[name]}</a>' in summary[0].replace("&#39;", "'")
    require_words_of_a_form(said)


def require_words_of_a_form(said: str) -> None:
    assert not re.search(r"(?<![\w-])--[a-z]", said)
    assert "safety-check " not in said
    assert not re.search(r"\b(from_shore|read_at|high_water|no_go|wind_speed|water_temp)\b", said)


@pytest.mark.one_in(4)
@pytest.mark.parametrize(("change", "name", "part"), WRONG)
def test_an_error_of_a_check_stands_at_its_field_and_the_form_stays_as_typed(
    live: Live, change: dict[str, str], name: str, part: str
) -> None:
    form = {**SHORT, "current": "", "high_water": "", **change}
    answer = live.send("/check", **form)
    require_at_field(answer, labels.PLAN, name, part)
    assert answer.text.count('value="300 yd"') == ("reach" not in change)
    kept = named(answer.text, "start")["value"]
    assert kept == form["start"]


@pytest.mark.parametrize(("form", "name", "part"), WRONG_LIMITS)
def test_an_error_of_a_limit_stands_at_its_field(
    live: Live, form: dict[str, str], name: str, part: str
) -> None:
    before = live.session.last() or live.session.check(live.session.first)
    answer = live.send(f"/check/{before.number}/limit", **form)
    require_at_field(answer, labels.LIMIT, name, part)
    assert named(answer.text, "no_go")["value"] == form.get("no_go", "")


@pytest.mark.parametrize(("change", "name", "part"), WRONG_TRIPS)
def test_an_error_of_a_logged_trip_stands_at_its_field(
    live: Live, change: dict[str, str], name: str, part: str
) -> None:
    answer = live.send("/trips", **{**TRIP, "notes": "as typed", **change})
    require_at_field(answer, labels.TRIP, name, part)
    assert "as typed" in answer.text
    assert live.session.trips() == ()


def test_an_error_without_a_field_of_the_form_concerns_the_whole_form() -> None:
    table = {"reach": "Reach"}
    assert at_fields(SourceError("the service is silent."), table) == {"": "The service is silent."}
    assert at_fields(DataError("x.", field="--as-of"), table) == {"": "As of: x."}
    assert at_fields(
        ConfigError("bad.", field="settings.toml, reach", remedy="Use --x."), table
    ) == {"reach": "Bad."}


# -- a form that is sent twice -------------------------------------------------------------------


def number(answer: httpx.Response) -> str:
    assert answer.status_code == 200
    return answer.url.path


@pytest.mark.thorough
def test_a_double_tap_makes_one_check_also_while_the_first_is_at_work(live: Live) -> None:
    form = {"token": live.token(), **SHORT, "once": "the-key-of-one-form"}
    with ThreadPoolExecutor(3) as taps:
        answers = list(taps.map(lambda _: live.client.post("/check", data=form), range(3)))
    assert len({number(answer) for answer in answers}) == 1
    assert number(live.client.post("/check", data=form)) == number(answers[0])
    other_key = live.client.post("/check", data={**form, "once": "another"})
    assert number(other_key) != number(answers[0])
    changed = live.client.post("/check", data={**form, "reach": "200 yd"})
    assert number(changed) not in {number(answers[0]), number(other_key)}


def test_a_form_that_was_refused_can_be_sent_again(live: Live) -> None:
    form = {"token": live.token(), **SHORT, "once": "refused", "reach": "far"}
    assert live.client.post("/check", data=form).status_code == 422
    assert live.client.post("/check", data=form).status_code == 422


def test_a_double_tap_logs_one_trip(live: Live) -> None:
    before = len(live.session.trips())
    form = {"token": live.token(), **TRIP, "notes": "twice", "once": "the-key-of-a-trip"}
    for _ in range(2):
        assert live.client.post("/trips", data=form).status_code == 200
    assert len(live.session.trips()) == before + 1


def test_each_form_that_is_shown_has_a_key_of_its_own(live: Live) -> None:
    keys = [named_once(live.client.get("/").text) for _ in range(2)]
    assert len(set(keys)) == 2


def named_once(text: str) -> str:
    found = re.search(r'name="once" value="([^"]+)"', text)
    assert found is not None
    return found[1]


# -- any input -----------------------------------------------------------------------------------

NUMBERS = ["0", "-0", "1e309", "-1", "1/0", "0x10", "١٢", "1,5", ".", "9" * 300, "NaN", "inf", "½"]
WORDS = ["none", "now", "yes", "\x00", "24:00", "2026-02-30T10:00", "[]", '["a"]', "null"]
ANY = st.one_of(
    st.sampled_from([*NUMBERS, *WORDS, *(text[:3000] for text in HOSTILE.values())]),
    st.text(max_size=80),
)
FIELDS = {
    "/check": (*labels.PLAN, "reach_unit", "from_shore_unit", "water_temperature_unit", "once"),
    "/outlook": (*labels.OUTLOOK, "place0", "place1", "reach_unit", "calendar"),
    "/trips/limits": ("craft", "quantity"),
    "/trips": (*labels.TRIP, "water", "launch", "craft", "wind_unit", "gust_unit", "waves_unit"),
    "/check/1/limit": (*labels.LIMIT, "marginal_unit", "no_go_unit"),
}
STARTS: dict[str, dict[str, str]] = {
    "/check": SHORT,
    "/trips": TRIP,
    "/check/1/limit": {"quantity": "wind_speed"},
    "/outlook": {"place0": MARROWICK, "days": "1"},
    "/trips/limits": {"craft": "canoe", "quantity": "wind_speed"},
}


@st.composite
def sent(draw: st.DrawFn, *paths: str) -> tuple[str, dict[str, str]]:
    path = draw(st.sampled_from(paths))
    changes = draw(st.dictionaries(st.sampled_from(FIELDS[path]), ANY, min_size=1, max_size=3))
    return path, {**STARTS[path], **changes}


@cases(45)  # few: a form that is not refused makes a whole check
@given(sent=sent("/check", "/outlook"))
def test_any_input_to_a_check_gives_an_answer(live: Live, sent: tuple[str, dict[str, Any]]) -> None:
    require_answer(live, *sent)


@pytest.mark.thorough
@cases(240)
@given(sent=sent("/trips", "/check/1/limit", "/trips/limits"))
def test_any_input_to_the_other_forms_gives_an_answer(
    live: Live, sent: tuple[str, dict[str, Any]]
) -> None:
    require_answer(live, *sent)


def require_answer(live: Live, path: str, form: dict[str, str]) -> None:
    answer = live.send(path, **form)
    assert answer.status_code in (200, 422)
    if answer.status_code == 422:
        assert 'role="alert"' in answer.text
        alert = answer.text.split('role="alert"')[1]
        assert re.search(r"<bdi>[^<]", alert)


def test_a_water_of_the_form_is_the_one_that_is_checked(live: Live) -> None:
    assert named(live.send("/check", **{**SHORT, "reach": "x"}).text, "reach")["value"] == "x"
    selected = re.search(r'<option value="([^"]+)" selected>', live.client.get("/").text)
    assert selected is not None
    assert MARROWICK.replace('"', "&#34;") == selected[1]

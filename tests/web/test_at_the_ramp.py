"""The ramp on the live page: a real re-check of a check that was made here."""

from __future__ import annotations

import re

import pytest

pytest.importorskip("uvicorn", reason="the live page needs the extra web")

from tests.live import Live


def check(live: Live) -> str:
    """Make the bundled check and return the address of its ramp."""
    home = live.client.get("/").text
    place = re.search(r'<option value="([^"]+)"[^>]*>Marrowick', home)
    assert place is not None
    done = live.send(
        "/check",
        place=place[1].replace("&#34;", '"'),
        start="2026-06-13T06:00",
        hours="2",
        reach="1/2 mi",
        water_temperature="68 F",
        life_jacket="worn",
        company="group",
    )
    found = re.search(r'href="(/check/\d+/ramp)"', done.text)
    assert found is not None
    return found[1]


def test_what_changed_stands_before_the_verdict(live: Live) -> None:
    ramp = check(live)
    shown = live.client.get(ramp)
    assert shown.status_code == 200
    assert all(word in shown.text for word in ("Many whitecaps", "Wind comes from", "Re-check"))
    told = live.send(ramp, state="many whitecaps", from_direction="NW", wind="", gust="")
    assert told.status_code == 200
    seen = told.text.index("You see wind from NW, many whitecaps: 18 mph or more")
    assert seen < told.text.index('id="now"')


@pytest.mark.thorough
def test_a_number_takes_the_unit_beside_its_field(live: Live) -> None:
    told = live.send(check(live), state="", wind="14", water_temperature="61")
    assert "You see wind 14 mph" in told.text


@pytest.mark.thorough
def test_the_next_recheck_begins_from_the_last_one(live: Live) -> None:
    ramp = check(live)
    number = int(ramp.split("/")[2])
    told = live.send(ramp, state="calm")
    following = re.search(r'href="/check/(\d+)/ramp"', told.text)
    assert following is not None
    assert int(following[1]) == number + 1


def test_a_wrong_value_is_named_at_its_field_and_the_form_is_kept(live: Live) -> None:
    told = live.send(check(live), state="ripples", gust="breezy", wind="")
    assert told.status_code == 422
    assert 'aria-invalid="true"' in told.text
    assert 'id="gust-error"' in told.text
    assert "--gust" not in told.text
    assert re.search(r'value="ripples" checked', told.text)


@pytest.mark.thorough
def test_a_form_without_the_token_does_nothing(live: Live) -> None:
    ramp = check(live)
    assert live.client.post(ramp, data={"state": "calm"}).status_code == 403


def test_a_check_that_is_gone_is_one_clear_message(live: Live) -> None:
    told = live.client.get("/check/999999/ramp")
    assert told.status_code in (404, 422)
    assert "no such check" in told.text

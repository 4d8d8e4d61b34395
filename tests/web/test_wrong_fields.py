"""What a user gets wrong in a form or an address is explained, and is never a 500."""

from __future__ import annotations

import pytest

from tests.live import Live
from tests.web.test_checking import SHORT

ODD = [
    "x",
    "nan",
    "inf",
    "-1",
    "9" * 400,
    "1e999",
    "\u0000",
    "\ud7ff\u202e",
    "9999-12-31T23:00",
]
EITHER = ("water_temperature", "craft", "current", "high_water", "gauge", "release")
REQUIRED = ("start", "hours", "place")


@pytest.mark.one_in(16)
@pytest.mark.parametrize("odd", ODD, ids=range(len(ODD)))
@pytest.mark.parametrize("field", ["reach", *EITHER, *REQUIRED])
def test_a_wrong_field_of_a_check_is_explained(live: Live, field: str, odd: str) -> None:
    answer = live.send("/check", **{**SHORT, field: odd})
    assert answer.status_code < 500, answer.text


@pytest.mark.parametrize("field", REQUIRED)
def test_an_empty_field_that_is_needed_is_explained(live: Live, field: str) -> None:
    assert live.send("/check", **{**SHORT, field: ""}).status_code == 422


@pytest.mark.thorough
def test_the_other_fields_may_be_empty(live: Live) -> None:
    answer = live.send("/check", **{**SHORT, **dict.fromkeys(("reach", *EITHER), "")})
    assert answer.status_code < 500, answer.text


@pytest.fixture(scope="module")
def checked(live: Live) -> str:
    """Return the address of a check."""
    return live.send("/check", **SHORT).url.path


@pytest.mark.one_in(20)
@pytest.mark.parametrize("odd", ["", *ODD], ids=range(len(ODD) + 1))
def test_a_wrong_limit_is_explained(live: Live, checked: str, odd: str) -> None:
    for table in ({"marginal": odd}, {"no_go": odd}):
        answer = live.send(f"{checked}/limit", quantity="wind_speed", **table)
        assert answer.status_code == 422, answer.text


def test_a_limit_that_is_far_too_loose_is_explained(live: Live, checked: str) -> None:
    table = {"marginal": "90 mph", "no_go": "95 mph"}
    answer = live.send(f"{checked}/limit", quantity="wind_speed", **table)
    assert answer.status_code == 422


@pytest.mark.parametrize("number", ["x", "-1", "9" * 5000, "1.5", "%00", "१"])
def test_an_address_of_no_check_is_not_found(live: Live, number: str) -> None:
    for path in (f"/check/{number}", f"/check/{number}/file"):
        assert live.client.get(path).status_code in (400, 404)


@pytest.mark.one_in(10)
@pytest.mark.parametrize("odd", ["", *ODD], ids=range(len(ODD) + 1))
@pytest.mark.parametrize("field", ["began", "wind", "waves", "comfort", "water"])
def test_a_wrong_field_of_a_trip_is_explained(live: Live, field: str, odd: str) -> None:
    assert live.send("/trips", went="yes", **{field: odd}).status_code < 500

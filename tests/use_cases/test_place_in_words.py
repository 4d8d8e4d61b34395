"""A place on Earth is read as people write it, and nothing else is taken for one."""

from __future__ import annotations

import pytest

from safety_check.errors import PlanError
from safety_check.use_cases.place_in_words import read_position, require_position


@pytest.mark.parametrize(
    ("said", "place"),
    [
        ("43.201, -72.105", (43.201, -72.105)),
        ("43.201,−72.105", (43.201, -72.105)),  # the sign that typesetters use
        ("+43.201, +72.105", (43.201, 72.105)),
        (" 43.201° N , 72.105 ° W ", (43.201, -72.105)),
        ("43.201n,72.105w", (43.201, -72.105)),
        ("33.9 S, 18.4 E", (-33.9, 18.4)),
        ("+43.201 N, 72.105", (43.201, 72.105)),  # it says the same twice
        ("43.201, 72.105 W", (43.201, -72.105)),
        ("43.201 S, 72.105", (-43.201, 72.105)),
        ("43., -.5", (43.0, -0.5)),
        ("0, 0", (0.0, 0.0)),
        ("90, 180", (90.0, 180.0)),
        ("-90, -180", (-90.0, -180.0)),
    ],
)
def test_latitude_comes_first_and_south_and_west_are_negative(
    said: str, place: tuple[float, float]
) -> None:
    assert read_position(said) == place
    assert require_position(said, "near") == place


@pytest.mark.parametrize(
    "said",
    [
        *("", ",", "43.201", "43.201 -72.105", "43.2, -72.1, 5", "43,2, -72,1"),
        *("90.001, 0", "-90.001, 0", "0, 180.001", "0, -180.001", "99, 0"),
        *("72 W, 43 N", "43 E, 72", "43, 72 N", "43, 72 S", "43 W, 72"),
        *("43 X, 72", "43 NN, 72", "--43, 72", "., 72", "nan, 0", "1e1, 0", "43 12, 72"),
    ],
)
def test_what_is_no_place_is_refused_at_its_field(said: str) -> None:
    assert read_position(said) is None
    with pytest.raises(
        PlanError, match=r"is not a place\. Write latitude and longitude"
    ) as refused:
        require_position(said, "near")
    assert refused.value.field == "near"


@pytest.mark.parametrize(
    "said", ["-43.2 S, 18.4", "-43.2 N, 18.4", "43.2, -72.1 W", "43.2, −72.1E", "-43 s, 72 w"]
)
def test_a_minus_beside_a_letter_is_refused_because_it_can_mean_either_side(said: str) -> None:
    assert read_position(said) is None


def test_sixty_characters_are_a_place_and_one_more_is_not() -> None:
    place = "43.5, 7.25"
    assert read_position(place.ljust(60)) == (43.5, 7.25)
    assert read_position(place.ljust(61)) is None
    with pytest.raises(PlanError) as refused:
        require_position("5" * 100, "at")
    assert f"'{'5' * 60}' is not" in str(refused.value)

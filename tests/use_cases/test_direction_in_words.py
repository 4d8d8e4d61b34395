"""Directions as people write them: points of the compass, words and degrees."""

from __future__ import annotations

import pytest

from safety_check.errors import PlanError
from safety_check.use_cases.direction_in_words import parse_direction

COMPASS = {  # each point is 22.5 degrees after the one before it
    "N": 0.0, "NNE": 22.5, "NE": 45.0, "ENE": 67.5,
    "E": 90.0, "ESE": 112.5, "SE": 135.0, "SSE": 157.5,
    "S": 180.0, "SSW": 202.5, "SW": 225.0, "WSW": 247.5,
    "W": 270.0, "WNW": 292.5, "NW": 315.0, "NNW": 337.5,
}  # fmt: skip


@pytest.mark.parametrize(("point", "degrees"), COMPASS.items())
def test_a_point_of_the_compass_is_read_in_letters_of_either_case(
    point: str, degrees: float
) -> None:
    assert parse_direction(point, "--from") == degrees
    assert parse_direction(f" {point.lower()} ", "--from") == degrees


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("north", 0.0),
        ("East", 90.0),
        ("south", 180.0),
        ("west", 270.0),
        ("north-west", 315.0),
        ("south east", 135.0),
        ("northeast", 45.0),
        ("south-south-west", 202.5),
        ("0", 0.0),
        ("45", 45.0),
        ("202.5 deg", 202.5),
        ("202.5 deg.", 202.5),
        ("315 degrees", 315.0),
        ("1 degree", 1.0),
        ("315°", 315.0),
        ("315 °", 315.0),
        ("360", 0.0),
        ("359.5", 359.5),
    ],
)
def test_words_and_degrees_are_read(text: str, degrees: float) -> None:
    assert parse_direction(text, "--from") == degrees


@pytest.mark.parametrize(
    "text", ["", "up", "nn", "nen", "-1", "-0.5", "360.5", "361", "nan", "inf"]
)
def test_anything_else_is_refused_with_the_option_it_was_given_for(text: str) -> None:
    with pytest.raises(PlanError, match="is not a direction") as told:
        parse_direction(text, "--from")
    assert told.value.field == "--from"

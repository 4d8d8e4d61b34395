"""How the models differ is said in one sentence, each model once."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.model.verdict import Severity
from safety_check.rules.disagreement import describe_disagreement, worst_hour
from tests import scenes

MPH = 0.44704  # m/s, exact: the international mile in an hour


def told(*mph: float, models: list[str] | None = None) -> str:
    names = models or [f"model {number}" for number in range(len(mph))]
    return describe_disagreement(names, np.array(mph) * MPH, "at 10:00", "mph")


@pytest.mark.parametrize(
    ("mph", "sentence"),
    [
        ((9, 10, 11, 17), "At 10:00 three models say 9-11 mph, one says 17."),
        ((17, 10, 11, 9), "At 10:00 three models say 9-11 mph, one says 17."),
        ((4, 15, 16), "At 10:00 two models say 15-16 mph, one says 4."),
        ((5, 6, 15, 16), "At 10:00 two models say 5-6 mph, two say 15-16."),
        ((5, 8, 11, 14), "At 10:00 four models say 5-14 mph."),  # no gap stands out
        ((9, 10), "At 10:00 two models say 9-10 mph."),
        ((4, 12), "At 10:00 one model says 4 mph, one says 12."),
        ((9, 9, 9), "At 10:00 three models say 9 mph."),
        ((9, 9, float("nan")), "At 10:00 two models say 9 mph, one gives no value."),
        (
            (9, 17, *[float("nan")] * 2),
            "At 10:00 one model says 9 mph, one says 17, two give no value.",
        ),
    ],
)
def test_models_in_camps_are_told_apart(mph, sentence):
    assert told(*mph) == sentence


@pytest.mark.parametrize(
    ("speeds", "sentence"),  # m/s; a gap of 1.25 m/s is about half a Beaufort number
    [
        ((4.0, 5.25), "Now one model says 4.0 m/s, one says 5.2."),
        ((4.0, 5.2), "Now two models say 4.0-5.2 m/s."),
        ((4.0, 5.4), "Now one model says 4.0 m/s, one says 5.4."),
        # The gap must also be wider than either group.
        ((2.0, 4.0, 6.0), "Now three models say 2.0-6.0 m/s."),
        ((2.0, 4.1, 6.0), "Now two models say 4.1-6.0 m/s, one says 2.0."),
    ],
)
def test_a_gap_parts_the_models_where_it_is_wide_and_wider_than_each_group(speeds, sentence):
    models = [f"model {number}" for number in range(len(speeds))]
    assert describe_disagreement(models, np.array(speeds), "now", "m/s") == sentence


@pytest.mark.parametrize(
    ("count", "word"),
    [
        *((2, "two"), (3, "three"), (4, "four"), (5, "five"), (6, "six"), (7, "seven")),
        *((8, "eight"), (9, "nine"), (10, "ten"), (11, "eleven"), (12, "twelve"), (13, "13")),
    ],
)
def test_up_to_a_dozen_models_are_counted_in_words(count, word):
    assert told(*[9] * count) == f"At 10:00 {word} models say 9 mph."


def test_one_model_has_nobody_to_differ_from():
    assert told(9) == told(5, 9, 20, models=["a", "a", "a"]) == ""


def test_models_that_all_do_not_say_are_told_elsewhere():
    assert told(float("nan"), float("nan")) == ""


def test_an_ensemble_speaks_once_with_the_middle_of_its_members():
    assert (
        told(9, 10, 2, 10, 30, models=["a", "b", "many", "many", "many"])
        == "At 10:00 three models say 9-10 mph."
    )


def test_an_ensemble_with_a_member_that_is_not_known_does_not_say():
    assert told(9, 10, 9, float("nan"), models=["a", "b", "many", "many"]).endswith(
        "one gives no value."
    )


@given(st.lists(st.floats(0, 40), min_size=2, max_size=20))
def test_every_model_is_counted_once(winds):
    words = describe_disagreement(
        [str(number) for number in range(len(winds))], np.array(winds), "now", "m/s"
    )
    numbers = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7}
    numbers |= {"eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12}
    numbers |= {str(number): number for number in range(13, 21)}

    clauses = words.removesuffix(".").removeprefix("Now ").split(", ")
    assert sum(numbers[clause.split()[0]] for clause in clauses) == len(winds)


def test_the_worst_hour_is_the_windiest_of_those_at_the_worst_verdict():
    wind = np.array([[3.0, 9.0, 5.0, np.nan], [4.0, 2.0, 6.0, np.nan]])

    assert worst_hour(wind, np.array([True, False, True, True])) == 2
    assert worst_hour(wind, np.array([False, False, False, True])) == 3


def test_the_windiest_hour_is_that_of_the_strongest_wind_in_any_forecast():
    assert worst_hour(np.array([[9.0, 6.0], [1.0, 5.0]]), np.array([True, True])) == 0
    assert worst_hour(np.array([[6.0, 9.0], [5.0, 1.0]]), np.array([True, True])) == 1


def test_a_light_wind_counts_before_one_that_is_not_known_and_one_of_another_hour():
    wind = np.array([[np.nan, 0.5, 9.0], [np.nan, 0.4, 9.0]])

    assert worst_hour(wind, np.array([True, True, False])) == 1
    assert worst_hour(wind[:, [1, 0, 2]], np.array([True, True, False])) == 0


def test_a_verdict_says_how_the_models_differ_at_its_worst_hour():
    calm, windy = {"wind_speed": 4.2}, {"wind_speed": 7.7, "wind_speed_of_gust": 9.0}
    given_by_four = scenes.forecast(calm, calm, calm, windy)

    verdict = scenes.verdict(given_by_four)

    assert verdict.severity > Severity.GO
    assert verdict.disagreement == "Between 10:00 and 11:00 three models say 9 mph, one says 17."


def test_a_verdict_from_one_model_says_nothing_of_it():
    assert scenes.verdict().disagreement == ""

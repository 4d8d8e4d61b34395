"""How many calls of the free tier a request counts as, by the service's own rule."""

from __future__ import annotations

import pytest

from safety_check.sources.open_meteo.call_weight import call_weight


# The pricing page of 2026-08-18 (its examples from memory, not read): up to 10 variables of up to
# 14 days are one call, 15 variables are 1.5 calls, and 4 weeks of them are 3.
@pytest.mark.parametrize(
    ("variables", "days", "weight"),
    [(1, 7, 1.0), (10, 14, 1.0), (15, 14, 1.5), (15, 28, 3.0), (20, 7, 2.0), (10, 28, 2.0)],
)
def test_a_request_counts_by_its_variables_and_days(variables, days, weight):
    hourly = ",".join("x" * number for number in range(1, variables + 1))

    assert call_weight({"hourly": hourly, "forecast_days": str(days)}) == pytest.approx(weight)
    split = {"hourly": hourly, "past_days": "2", "forecast_days": str(days - 2)}
    if days > 2:
        assert call_weight(split) == pytest.approx(weight)


def test_a_request_without_days_is_for_seven_of_them():
    hourly = ",".join(["x"] * 40)

    assert call_weight({"hourly": hourly}) == 4.0
    assert call_weight({"hourly": hourly, "past_days": "21"}) == pytest.approx(8.0)


@pytest.mark.parametrize(("models", "weight"), [("", 2.0), ("a", 2.0), ("a,b", 4.0), ("a,,b", 4.0)])
def test_a_variable_counts_once_for_each_model(models, weight):
    assert call_weight({"hourly": ",".join(["x"] * 20), "models": models}) == weight

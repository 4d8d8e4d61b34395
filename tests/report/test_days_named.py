"""Times name their day wherever a plan spans midnight, and nowhere else."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest

from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Verdict
from safety_check.report.advice import advice_paragraphs
from safety_check.report.hour_limits import describe_limits
from safety_check.report.page.page_reasons import explain
from safety_check.report.terminal import trip_text
from safety_check.report.words import go_share
from safety_check.units import Preferences
from tests import scenes

EVENING = datetime(2026, 6, 14, 1, 0, tzinfo=UTC)  # 20:00 on Saturday at the invented water
TIME = re.compile(r"(\w+) \d\d:\d\d")
DAYS = ("Sat", "Sun")


def sentences(verdict: Verdict) -> list[str]:
    """Return the sentences of a report that name times."""
    said = [line for _, lines in advice_paragraphs(verdict, Preferences()) for line in lines]
    said += [finding.reason for finding in verdict.findings]
    said += [dict(reason.facts).get("Hours", "") for reason in explain(verdict, scenes.settings())]
    said += describe_limits(verdict.hours, Preferences(), LocalClock.of(verdict.plan))
    return [*said, trip_text(verdict)]


def test_every_time_of_a_night_trip_has_its_day() -> None:
    windy = scenes.forecast({"wind_speed": 7.0, "wind_speed_of_gust": 10.0})
    trip = scenes.plan(start=EVENING, hours=6, night=True)
    times = [
        found[1] for text in sentences(scenes.verdict(windy, trip)) for found in TIME.finditer(text)
    ]
    assert len(times) > 5
    assert set(times) <= set(DAYS)


def test_times_of_a_day_trip_have_none() -> None:
    verdict = scenes.verdict(scenes.forecast({"wind_speed": 7.0, "wind_speed_of_gust": 10.0}))
    times = [found[1] for text in sentences(verdict) for found in TIME.finditer(text)]
    assert not set(times) & set(DAYS)


def test_another_day_is_named_even_beside_a_day_trip() -> None:
    clock = LocalClock.of(scenes.plan())
    assert clock.time(scenes.START) == "10:00"
    assert clock.time(scenes.START + timedelta(days=1)) == "Sun 10:00"


@pytest.mark.parametrize(
    ("share", "said"), [(1.0, "all"), (0.996, "99 %"), (0.004, "0 %"), (0.0, "none")]
)
def test_a_share_of_go_is_never_rounded_up(share: float, said: str) -> None:
    assert go_share(share) == said

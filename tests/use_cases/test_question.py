"""What a plan asks of the sources: how far from the launch an official warning counts."""

from __future__ import annotations

from dataclasses import replace

import pytest

from safety_check.use_cases.question import build_question
from tests import scenes


@pytest.mark.parametrize(("reach", "counted"), [(6_000.0, 6_000.0), (20_000.0, 12_000.0)])
def test_nobody_is_farther_out_than_the_reach_or_the_longest_fetch(reach, counted):
    plan = replace(scenes.plan(), reach=reach)
    lake = replace(scenes.POND, fetch=scenes.POND.fetch * 0.0 + 12_000.0)  # m, every way

    asked = build_question(plan, lake, scenes.NOW, "km")

    assert asked.reach == pytest.approx(counted)

"""A reach that nobody gave is named as an assumption wherever the trip is."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from safety_check.report import json as json_report
from safety_check.report.layout import Layout
from safety_check.report.page import page
from safety_check.report.terminal import add_verdict
from safety_check.units import Preferences
from tests import scenes
from tests.report.reading import Reader

SAID = "No reach given: 1 mi from the launch assumed."


@pytest.mark.promise("the strict value")
def test_an_assumed_reach_is_named_in_every_report_and_a_given_one_is_not() -> None:
    given = scenes.verdict()
    assumed = replace(given, plan=replace(given.plan, reach_assumed=True))
    for verdict, expected in ((given, False), (assumed, True)):
        layout = Layout()
        add_verdict(verdict, Preferences(), layout)
        assert any(SAID in line for line in layout.lines[:8]) is expected
        read = Reader(page.render_page(verdict, scenes.settings()))
        assert (SAID in read.text) is expected
        assert ("assumed: no reach was given" in read.text) is expected
        said = json.loads(json_report.text(verdict, "0", 0))
        assert said["trip"]["reach_assumed"] is expected

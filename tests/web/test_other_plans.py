"""A button of the live page checks exactly the plan that its row promises."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest

pytest.importorskip("uvicorn", reason="the live page needs the extra web")

from safety_check.model.verdict import Alternative, Severity
from safety_check.use_cases.planning import make_plan_on
from safety_check.web import forms, views
from safety_check.web.other_plans import fields_of
from tests import invented_lake, scenes, six_pages
from tests.live import at_home, running

AGAIN = {
    "place": forms.place("Invented Lake", "ramp"),
    "craft": "sit-on-top-kayak",
    "start": "2026-06-13 10:00",
    "hours": "5",
    "reach": "1 mi",
    "company": "group",
    "water_temperature": "73 F",
    "read_at": "2026-06-12T16:00",
}


@pytest.mark.parametrize("name", ["MARGINAL", "great lake"])
def test_the_form_of_each_alternative_asks_for_the_plan_that_was_judged(
    name: str, tmp_path: Path
) -> None:
    settings, verdict = six_pages.judged(name, tmp_path)
    assert verdict.alternatives
    for one in verdict.alternatives:
        asked = forms.asked(fields_of(one, AGAIN))
        plan, _ = make_plan_on(verdict.plan.water, asked, settings, scenes.NOW)
        for part in ("start", "end", "from_shore", "reach", "launch", "craft"):
            assert getattr(plan, part) == getattr(one.plan, part), (one.kind, part)


@pytest.mark.parametrize(
    ("kind", "option", "field", "value"),
    [
        ("company", "--company group", "company", "group"),
        ("wearing", "--wearing drysuit", "wearing", "drysuit"),
        ("craft", "--craft 'my canoe'", "craft", "my canoe"),
        ("reach", '--reach "1/2 mi"', "reach", "1/2 mi"),
    ],
)
def test_other_changes_change_their_own_field_alone(
    kind: str, option: str, field: str, value: str
) -> None:
    fields = fields_of(Alternative(kind, scenes.plan(), Severity.GO, "", option), AGAIN)
    assert fields == {**AGAIN, field: value}


def test_another_launch_and_another_water_take_their_place() -> None:
    there = replace(
        scenes.plan(), launch=replace(scenes.LAUNCH, name="cove"), water=invented_lake.WATER
    )
    fields = fields_of(Alternative("launch", there, Severity.GO, "", "--launch cove"), AGAIN)
    assert fields == {**AGAIN, "place": forms.place("Invented Lake", "cove")}
    other = fields_of(Alternative("water", there, Severity.GO, "", "other --launch cove"), AGAIN)
    assert other["place"] == forms.place("Invented Lake", "cove")
    assert not {"water_temperature", "read_at", "current"} & set(other)


@pytest.mark.thorough
def test_on_the_live_page_the_button_leads_to_the_promised_verdict(tmp_path: Path) -> None:
    with at_home(tmp_path), running() as live:
        before = live.session.check(live.session.first)
        (one,) = before.verdict.alternatives or ()
        said = views.result(before)
        page = live.client.get(f"/check/{before.number}").text
        assert page.count('aria-label="Check this: From 10:00 to 13:00 (3 h)"') == 1
        form = page[page.index('<ul class="changes">') : page.index("Check this: ")]
        fields = dict(re.findall('name="(.*?)" value="(.*?)"', form))
        fields = {
            name: unescape(text) for name, text in fields.items() if name not in ("token", "once")
        }
        assert fields == said["others"][0]
        assert f"<title>{one.severity}: " in live.send("/check", **fields).text

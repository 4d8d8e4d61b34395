"""What a hazard must say, and what it needs of a model."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from safety_check.assess.verdict import judge
from safety_check.conditions.case import Case
from safety_check.conditions.ensemble import QUANTITIES
from safety_check.model.craft import Paddler
from safety_check.model.verdict import Severity
from safety_check.rules.hazard import DECLARED, Hazard
from safety_check.rules.hazards import HAZARDS
from safety_check.settings.limits import load_default_limits
from safety_check.use_cases.rulebook import load_rulebook
from tests import scenes

FIELDS = dataclasses.asdict(HAZARDS[0])


@pytest.mark.parametrize("field", FIELDS)
def test_no_field_of_a_hazard_can_be_omitted(field: str) -> None:
    given = {name: value for name, value in FIELDS.items() if name != field}
    with pytest.raises(TypeError, match=field):
        Hazard(**given)


@pytest.mark.parametrize("field", [name for name, value in FIELDS.items() if value and value != ()])
def test_no_text_of_a_hazard_can_be_empty(field: str) -> None:
    if not isinstance(FIELDS[field], str) or field in ("chosen_by", "shown_as"):
        return
    with pytest.raises(ValueError, match=field):
        Hazard(**{**FIELDS, field: " "})


@pytest.mark.parametrize("chosen_by", DECLARED)
def test_a_limit_that_needs_a_declaration_says_how_to_declare_it(chosen_by: str) -> None:
    with pytest.raises(ValueError, match="says_undeclared"):
        Hazard(**{**FIELDS, "chosen_by": chosen_by})
    for hazard in HAZARDS:
        if hazard.chosen_by == chosen_by:
            assert f"paddler set --{chosen_by}" in hazard.says_undeclared


@pytest.mark.parametrize("hazard", HAZARDS, ids=lambda hazard: hazard.name)
def test_every_sentence_can_be_filled_in(hazard: Hazard) -> None:
    filled = {"value": "V", "hour": "at 10:00", "limit": "L", "where": " W"}
    for says in (hazard.says, hazard.says_within, hazard.says_unknown):
        assert says.format(**filled).endswith((".", "W."))


@pytest.mark.parametrize("hazard", HAZARDS, ids=lambda hazard: hazard.name)
def test_what_a_hazard_needs_of_a_model_is_a_forecast_variable(hazard: Hazard) -> None:
    assert set(hazard.lacking) <= set(QUANTITIES)


@pytest.mark.parametrize("variable", sorted({name for one in HAZARDS for name in one.lacking}))
def test_a_model_that_by_design_lacks_a_variable_costs_a_calm_day_nothing(variable: str) -> None:
    """Fails where a hazard that needs the variable does not name it in `lacking`."""
    whole = scenes.forecast({}, {}, models=["whole", "lacking"])
    given = scenes.without(whole, variable, slice(1, 2))
    trust = dataclasses.replace(scenes.load_trust(), lacks={"lacking": frozenset({variable})})
    briefing = scenes.briefing(given)
    case = Case(scenes.plan(), briefing, scenes.POND, scenes.settings(), trust)
    verdict = judge(case, load_rulebook())
    assert [one.hazard for one in verdict.findings if one.severity > Severity.GO] == []
    assert not verdict.unknown


@pytest.mark.parametrize("variable", sorted({name for one in HAZARDS for name in one.lacking}))
def test_a_model_that_should_give_a_variable_and_does_not_is_no_calm_day(variable: str) -> None:
    given = scenes.without(scenes.forecast({}, {}), variable, slice(1, 2))
    assert scenes.verdict(given).severity >= Severity.MARGINAL


def test_what_is_not_declared_is_asked_for_in_every_limit_that_it_chooses() -> None:
    """The remedy of a limit that cannot be chosen is the declaration, not the datum."""
    bare = Paddler(life_jacket="worn", company="group")
    undeclared = scenes.verdict(trip=scenes.plan(paddler=bare)).unknown
    remedies = {one.what: one.remedy for one in undeclared}
    for hazard in HAZARDS:
        if hazard.chosen_by in DECLARED:
            assert remedies[hazard.quantity_label] == hazard.says_undeclared


def test_every_shipped_limit_is_weighed_with_finite_conditions() -> None:
    verdict = scenes.verdict()
    weighed = {one.quantity for one in verdict.findings}
    always = {quantity for quantity, whom in load_default_limits() if whom == "any"}
    past = {hazard.weighs for hazard in HAZARDS if hazard.needs_past}
    assert always - past <= weighed
    assert not any(np.isnan(one.value) for one in verdict.findings)

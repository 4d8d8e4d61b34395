"""What a hazard must say, and what it needs of a model."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping

import numpy as np
import pytest

from safety_check.assess.verdict import judge
from safety_check.conditions.case import Case
from safety_check.conditions.ensemble import QUANTITIES
from safety_check.model.craft import Paddler
from safety_check.model.verdict import Severity, Verdict
from safety_check.model.weather import Forecast
from safety_check.rules.hazard import DECLARED, Hazard
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.hazards_moving import OF_MOVING_WATER
from safety_check.settings.limits import load_default_limits
from safety_check.use_cases.rulebook import load_rulebook
from tests import scenes

FIELDS = dataclasses.asdict(HAZARDS[0])


def all_variables(*models: str) -> Forecast:
    """Return a calm forecast of several models, the chance of thunder among its variables."""
    members = ({"probability_of_thunder": 0.0},) * len(models)
    source = scenes.FROM_THE_WEATHER_SERVICE
    return scenes.forecast(*members, models=models, provenance=source)


def judged(given: Forecast, lacks: Mapping[str, frozenset[str]], tolerance: float = 0.1) -> Verdict:
    """Return the verdict where some models by design lack some variables."""
    trust = dataclasses.replace(scenes.load_trust(), lacks=lacks)
    own = scenes.settings(tolerance=tolerance)
    case = Case(scenes.plan(), scenes.briefing(given), scenes.POND, own, trust)
    return judge(case, load_rulebook())


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
    filled = {
        **{"value": "V", "hour": "between 10:00 and 11:00", "limit": "L", "where": ", W"},
        **{"start": "at 10:00", "end": "11:00", "at_end": "at 11:00", "far": "F", "swim": "S"},
    }
    for says in (hazard.says, hazard.says_within, hazard.says_unknown):
        assert says.format(**filled).endswith((".", "W."))


@pytest.mark.parametrize("hazard", HAZARDS, ids=lambda hazard: hazard.name)
def test_what_a_hazard_needs_of_a_model_is_a_forecast_variable(hazard: Hazard) -> None:
    assert set(hazard.lacking) <= set(QUANTITIES)


@pytest.mark.parametrize("variable", sorted({name for one in HAZARDS for name in one.lacking}))
def test_a_model_that_by_design_lacks_a_variable_does_not_lower_the_verdict_of_a_calm_day(
    variable: str,
) -> None:
    """Fails where a hazard that needs the variable does not name it in `lacking`."""
    given = scenes.without(all_variables("whole", "lacking"), variable, slice(1, 2))
    verdict = judged(given, {"lacking": frozenset({variable})})
    assert [one.hazard for one in verdict.findings if one.severity > Severity.GO] == []
    assert all(one.severity == Severity.GO for one in verdict.unknown)


@pytest.mark.parametrize(
    ("quantity", "bad", "hazard"),
    [
        ("visibility_in_air", 500.0, "fog"),
        ("probability_of_thunder", 0.7, "thunder_possible"),
        ("air_pressure_at_mean_sea_level", 0.0, "pressure_falls"),
    ],
)
def test_models_that_say_nothing_do_not_vote(quantity: str, bad: float, hazard: str) -> None:
    """One of two models that can see the danger sees it: that is half, not a quarter."""
    given = all_variables("one", "two", "three", "four")
    falling = 101_500.0 - 150.0 * np.arange(len(given.time))
    given.quantities[quantity][0] = falling if quantity.startswith("air_pressure") else bad
    given = scenes.without(given, quantity, slice(2, 4))
    lacks = {"three": frozenset({quantity}), "four": frozenset({quantity})}
    verdict = judged(given, lacks, tolerance=0.4)
    finding = next(one for one in verdict.findings if one.hazard == hazard)
    assert finding.severity >= Severity.MARGINAL
    assert finding.odds == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("variable", "severity"),
    [("wind_speed_of_gust", Severity.UNKNOWN), ("visibility_in_air", Severity.MARGINAL)],
)
def test_what_no_model_gives_is_unknown_where_required_and_marginal_where_wanted(
    variable: str, severity: Severity
) -> None:
    given = scenes.without(all_variables("one", "two"), variable)
    lacks = {name: frozenset({variable}) for name in ("one", "two")}
    assert judged(given, lacks).severity == severity


def test_the_only_model_that_can_see_fog_decides_however_many_cannot() -> None:
    blind = [f"blind {number}" for number in range(11)]
    given = all_variables("sees", *blind)
    given.quantities["visibility_in_air"][0] = 500.0
    given = scenes.without(given, "visibility_in_air", slice(1, 12))
    verdict = judged(given, {name: frozenset({"visibility_in_air"}) for name in blind})
    assert verdict.severity == Severity.NO_GO
    assert {hour.severity for hour in verdict.hours} == {Severity.NO_GO}


@pytest.mark.parametrize("variable", sorted({name for one in HAZARDS for name in one.lacking}))
def test_a_model_that_should_give_a_variable_and_does_not_is_no_calm_day(variable: str) -> None:
    given = scenes.without(all_variables("whole", "other"), variable, slice(1, 2))
    assert scenes.severity_of(given) >= Severity.MARGINAL


def test_a_quantity_that_no_forecast_gives_is_listed_and_does_not_lower_the_verdict() -> None:
    verdict = scenes.verdict()
    assert verdict.severity == Severity.GO
    listed = {one.what: one for one in verdict.unknown}
    assert "not part of this verdict" in listed["the chance of thunder"].why
    assert listed["the chance of thunder"].severity == Severity.GO
    with_it = scenes.verdict(all_variables("one", "two"))
    assert "the chance of thunder" not in {one.what for one in with_it.unknown}


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
    not_here = {one.weighs for one in HAZARDS if one.needs_past or one.only_where_made}
    not_here |= {one.weighs for one in HAZARDS if one.name in OF_MOVING_WATER}
    assert always - not_here <= weighed
    assert not any(np.isnan(one.value) for one in verdict.findings)

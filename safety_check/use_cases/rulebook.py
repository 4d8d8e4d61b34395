"""Load the rulebook from the shipped config."""

from __future__ import annotations

from safety_check.conditions.drift import load_leeways
from safety_check.conditions.error_models import load_error_models, shipped_odds
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.rulebook import Rulebook
from safety_check.rules.warnings import alert_table
from safety_check.settings.limits import (
    load_default_limits,
    load_greatest_reduction,
    load_reductions,
)
from safety_check.settings.rescue import load_rescue_table


def load_rulebook() -> Rulebook:
    """Return every limit, table and coefficient that the rules use, as shipped."""
    return Rulebook(
        limits=load_default_limits(),
        reductions=load_reductions(),
        greatest_reduction=load_greatest_reduction(),
        hazards=tuple(HAZARDS),
        alerts=alert_table(),
        error_models=load_error_models(),
        most_weight=shipped_odds().members.most_weight,
        leeways=load_leeways(),
        rescue=load_rescue_table(),
    )

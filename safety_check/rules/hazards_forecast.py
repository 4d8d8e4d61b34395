"""Forecasts that cannot be relied on."""

from __future__ import annotations

from safety_check.rules.hazard import Hazard

FORECAST_QUALITY = (
    Hazard(
        name="forecast_too_old",
        weighs="forecast_in_date",
        lacking=(),
        required=True,
        chosen_by="any",
        shown_as="flag",
        lowered_by_reductions=False,
        needs_past=False,
        quantity_label="an up-to-date forecast",
        says="The forecast is out of date.",
        says_within="The forecast is up to date.",
        says_unknown="There is no up-to-date forecast {hour}.",
        says_undeclared="",
        remedy="Check again for a newer forecast, or give a newer file with --forecast.",
        rationale="An out-of-date forecast can give NO-GO but never GO.",
        limitations="a run whose issue time its service does not state: it may be older than it"
        " seems",
    ),
    Hazard(
        name="forecast_with_gaps",
        weighs="forecast_complete",
        lacking=(),
        required=True,
        chosen_by="any",
        shown_as="flag",
        lowered_by_reductions=False,
        needs_past=False,
        quantity_label="the wind in some of the forecasts, and so the odds",
        says="Some forecasts have gaps.",
        says_within="Every forecast that gives wind gives it for every hour.",
        says_unknown="Some forecasts have no wind {hour}, so the odds are not known.",
        says_undeclared="",
        remedy="Check again later, or give a complete forecast with --forecast.",
        rationale="Some ensemble members are missing, so the probability cannot be computed.",
        limitations="a service that fills its gaps before it answers",
    ),
    Hazard(
        name="forecast_growing",
        weighs="forecast_growth",
        lacking=(),
        required=False,
        chosen_by="any",
        shown_as="wind",
        lowered_by_reductions=False,
        needs_past=True,
        quantity_label="how much the wind forecast has risen since an earlier check",
        says="The wind forecast {hour} has risen by {value} between two checks; {limit}.",
        says_within="The wind forecast {hour} has risen by {value} between two checks; {limit}.",
        says_unknown="The rise of the wind forecast {hour} since an earlier check is not known.",
        says_undeclared="",
        remedy="Check again when a new forecast is out.",
        rationale="A forecast that has just changed this much may change again.",
        limitations="changes between the checks, and models that did not answer both times",
    ),
)

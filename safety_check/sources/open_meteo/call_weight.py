"""How many calls of Open-Meteo's free tier a request counts as."""

from __future__ import annotations

from collections.abc import Mapping

from safety_check.sources import registry

VARIABLES, DAYS = 10, 14  # what one call may have (service's pricing page of 2026-08-18)


def call_weight(query: Mapping[str, str]) -> float:
    """Return how many calls a request counts as.

    Notes
    -----
    A call has up to ten variables of up to 14 days; more count in proportion, and fewer as one
    call. A variable counts once for each run of each model (service's published server source).

    Examples
    --------
    >>> from safety_check.sources.open_meteo import forecast
    >>> call_weight(forecast.query(45.0, -93.0))
    4.0
    >>> call_weight({"hourly": "wave_height", "past_days": "1", "forecast_days": "7"})
    1.0
    """
    known = registry.load_models()
    models = [name for name in query.get("models", "").split(",") if name] or [""]
    runs = sum(known[name].members if name in known else 1 for name in models)
    variables = len(query["hourly"].split(",")) * runs
    days = int(query.get("past_days", "0")) + int(query.get("forecast_days", "7"))
    return max(1.0, variables / VARIABLES, variables / VARIABLES * days / DAYS)

"""Print for docs/services.md how many calls of Open-Meteo's free tier a check costs."""

from __future__ import annotations

from collections.abc import Iterator

from docs.markdown import table, wrapped
from safety_check.sources import registry
from safety_check.sources.open_meteo import forecast, marine
from safety_check.sources.open_meteo.call_weight import call_weight
from safety_check.sources.open_meteo.regional import REGIONAL
from safety_check.sources.open_meteo.variables import ENSEMBLE, WIND

WORDS = """\
Open-Meteo's free tier has 10,000 calls a day. A request counts once for every ten variables of
every run of every model, and at least once. `python -m benchmarks.calls` counts what a check and
an outlook of five launches on a lake of 10 km send, and a test holds both to 15 and 25 calls.
Launches of one water that are near each other share answers (`config/models.toml`, sharing)."""
LESS = """\
Before 2026-11-27 all variables were requested three times, one of them was never weighed, the
runs of an ensemble had directions of their own, and the ensemble of the European model was
requested although its gusts were not read. Its vote now belongs to the single forecast of the
same model, so the balance of the models is as it was (docs/odds.md)."""
HERE = (60.0, 7.0)  # any place: the count does not depend on it


def call_parts() -> Iterator[str]:
    """Yield the parts of the section."""
    yield "## Calls of the free tier\n"
    yield wrapped(WORDS)
    requests = _requests()
    whole = ("one check", sum(row[1] for row in requests), sum(row[2] for row in requests))
    rows = [(what, f"{before:.1f}", f"{now:.1f}") for what, before, now in (*requests, whole)]
    yield table(("request", "calls before", "calls now"), rows)
    yield wrapped(LESS)


def _requests() -> list[tuple[str, float, float]]:
    """Return each request of a check, and what it counted as before and counts as now."""
    wind = call_weight(forecast.query(*HERE, table=WIND))
    runs = forecast.query(*HERE, models=registry.default_ensemble(), table=ENSEMBLE)
    names = [area.name for area in registry.regional_areas()[0]][:2]
    regional = forecast.query(*HERE, models=names, table=REGIONAL)
    return [
        ("single forecasts, the cell of the launch", 4.4, call_weight(forecast.query(*HERE))),
        ("single forecasts, the nearest cells of land and sea", 8.8, 2 * wind),
        ("ensemble", 24.6, call_weight(runs)),
        ("regional models, where there are any", 0.0, call_weight(regional)),
        ("waves of the sea", 1.0, call_weight(marine.query(*HERE))),
    ]

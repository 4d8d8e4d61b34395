"""Which model shares the vote of which other, and where a model has what."""

from __future__ import annotations

from functools import cache

from safety_check.sources.registry import (
    OwnModel,
    listed_sources,
    load_models,
    regional_areas,
)


def _own_models() -> list[OwnModel]:
    """Return the models of the services that have a forecast of their own."""
    return [source.model for source in listed_sources().values() if source.model]


@cache
def hosts() -> dict[str, tuple[str, float]]:
    """Return the models that share another's vote: that model, and the hours always given [h]."""
    found = {name: (model.host, model.assured) for name, model in load_models().items()}
    found |= {model.name: (model.host, model.assured) for model in _own_models()}
    return {name: host for name, host in found.items() if host[0]}


def regional_models(latitude: float, longitude: float) -> tuple[str, ...]:
    """Return the regional models that are asked for a place, the first of the config first.

    Examples
    --------
    >>> regional_models(54.6, -6.4)
    ('ukmo_uk_deterministic_2km', 'dmi_harmonie_arome_europe')
    >>> regional_models(44.9, -99.6)
    ()
    """
    areas, most = regional_areas()
    return tuple(area.name for area in areas if area.holds(latitude, longitude))[:most]


def has_here(model: str, quantity: str, latitude: float, longitude: float) -> bool:
    """Return whether the model of a service of its own has a quantity at a place.

    Examples
    --------
    >>> has_here("met_norway", "wind_speed_of_gust", 59.9, 10.7)
    True
    >>> has_here("met_norway", "wind_speed_of_gust", 44.9, -99.6)
    False
    """
    areas = [
        area
        for own in _own_models()
        if own.name == model
        for area in own.only_within
        if area.quantity == quantity
    ]
    return not areas or any(area.holds(latitude, longitude) for area in areas)

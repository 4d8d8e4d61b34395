"""One place for launches of a water that are so near each other that they share an answer."""

from __future__ import annotations

from safety_check.physics.sphere import great_circle_distance
from safety_check.sources.question import Place, Question
from safety_check.sources.registry import sharing_distance


def shared_place(question: Question, source: str) -> Place:
    """Return the place for which a source is asked: the launch, or another of the same water.

    Notes
    -----
    The launches of a water are taken in their order. A launch within the source's distance
    (config/models.toml) of one that is asked shares its answer; any other is asked itself. So
    the answer for a launch does not depend on which launch was checked before. All launches of
    a water have one height above sea level, so its air temperature fits each of them.

    Examples
    --------
    >>> from safety_check.sources.registry import sharing_distance
    >>> sharing_distance("open_meteo") < sharing_distance("open_meteo_ensemble")
    True
    """
    within = sharing_distance(source)
    asked: list[Place] = []
    for launch in question.launches:
        near = next((other for other in asked if _apart(launch, other) <= within), launch)
        if launch == question.here:
            return near
        if near == launch:
            asked.append(launch)
    return question.here


def _apart(one: Place, other: Place) -> float:
    return great_circle_distance(*one, *other)

"""The forms that check another plan: the request again, with one change."""

from __future__ import annotations

import shlex
from collections.abc import Mapping

from safety_check.model.verdict import Alternative
from safety_check.web import forms

OF_THE_WATER = (  # what was said of one water holds for no other
    *("point", "water_temperature", "read_at"),
    *("current", "high_water", "gauge", "release"),
)


def fields_of(one: Alternative, again: Mapping[str, str]) -> dict[str, str]:
    """Return the fields of a form that checks an alternative.

    Parameters
    ----------
    one
        The alternative. The text of its options goes into the form, so that the form asks for
        exactly the plan that was judged.
    again
        The fields that repeat the request.
    """
    there = forms.place(one.plan.water.name, one.plan.launch.name)
    if one.kind == "water":
        stays = {name: text for name, text in again.items() if name not in OF_THE_WATER}
        return {**stays, "place": there}
    if one.kind == "launch":
        return {**again, "place": there}
    return {**again, **_said(one.option)}


def _said(option: str) -> dict[str, str]:
    words = iter(shlex.split(option))
    return {
        name.removeprefix("--").replace("-", "_"): text
        for name, text in zip(words, words, strict=True)
    }

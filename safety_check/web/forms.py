"""Turn the fields of a form into the request of a plan, a limit or a trip."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from safety_check.errors import PlanError
from safety_check.use_cases.own_word import NONE
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.trip_log import TripReport
from safety_check.web.form_fields import with_units
from safety_check.web.labels import QUANTITIES

YES_NO = {"yes": True, "no": False}


def place(water: str, launch: str) -> str:
    """Return the key of a water and launch, as a choice of a form."""
    return json.dumps([water, launch])


def asked(form: Mapping[str, str]) -> PlanRequest:
    """Return the request in a form; an empty field counts as not given."""
    water, launch = chosen_place(form.get("place", ""))
    said = _said(form)
    return PlanRequest(
        water=water,
        launch=said.get("point", launch),
        craft=said.get("craft"),
        start=said.get("start"),
        hours=said.get("hours"),
        reach=said.get("reach"),
        from_shore=said.get("from_shore"),
        water_temperature=said.get("water_temperature"),
        night="night" in said,
        life_jacket=said.get("life_jacket"),
        wearing=said.get("wearing"),
        company=said.get("company"),
        light=YES_NO.get(said.get("light", "")),
        warnings=NONE if "read_at" in said else None,
        read_at=said.get("read_at"),
        current=said.get("current"),
        high_water=said.get("high_water"),
        gauge=said.get("gauge"),
        release=said.get("release"),
    )


def _said(form: Mapping[str, str]) -> dict[str, str]:
    """Return the fields that were filled in, each number with its unit."""
    return {name: text for name, text in with_units(form).items() if text.strip()}


def chosen_place(text: str) -> tuple[str | None, str | None]:
    """Return water and launch of a choice; None where nothing was chosen."""
    if not text:
        return None, None
    try:
        water, launch = json.loads(text)
    except (ValueError, TypeError):
        water, launch = None, None
    if not (isinstance(water, str) and isinstance(launch, str)):
        raise PlanError(f"{text!r} is not one of the options. Choose a water.", field="place")
    return water, launch or None


def limit(form: Mapping[str, str]) -> dict[str, Any]:
    """Return a limit as the settings store it, without the craft."""
    given, quantity = _said(form), form.get("quantity", "")
    if quantity not in QUANTITIES:
        raise PlanError(f"{quantity!r} is not one of the options. Choose one.", field="quantity")
    said: dict[str, Any] = {name: given[name] for name in ("marginal", "no_go") if name in given}
    if not said:
        raise PlanError("enter a caution, a no-go, or both. Nothing was changed.", field="marginal")
    table: dict[str, Any] = {"quantity": quantity, **said}
    return table | ({"loosen": True} if "loosen" in form else {})


def told(form: Mapping[str, str]) -> TripReport:
    """Return the trip in a form; an empty field counts as not given."""
    said = _said(form)
    return TripReport(
        water=said.get("water"),
        launch=said.get("launch"),
        craft=said.get("craft"),
        began=said.get("began"),
        ended=said.get("ended"),
        went=said.get("went", "yes") == "yes",
        wind=said.get("wind", said.get("look")),
        gust=said.get("gust"),
        waves=said.get("waves"),
        comfort=said.get("comfort"),
        notes=said.get("notes", ""),
    )

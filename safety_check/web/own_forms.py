"""Turn the forms of what the user says once into the words of the use cases."""

from __future__ import annotations

from collections.abc import Mapping

from safety_check.use_cases.own_craft import FIGURES
from safety_check.use_cases.own_limits import LimitWords
from safety_check.web import own_labels
from safety_check.web.form_fields import with_units

YES_NO = {"yes": True, "no": False}


def declared(form: Mapping[str, str]) -> dict[str, str | bool | None]:
    """Return what a form declares of the paddler; None takes a declaration back."""
    return {
        key: YES_NO.get(form[key], form[key]) if form[key] else None
        for key in own_labels.PADDLER
        if key in form
    }


def contact(form: Mapping[str, str]) -> dict[str, str | None]:
    """Return the contact of a form; None removes an entry."""
    return {key: form[key].strip() or None for key in own_labels.CONTACT if key in form}


def figures(form: Mapping[str, str]) -> dict[str, str | None]:
    """Return the figures of a craft in a form; None where it is that of the class."""
    fast = form.get("troll_fast", "").strip()
    band = f"{form.get('troll', '').strip()}-{fast}" if fast else form.get("troll", "")
    joined = with_units({**form, "troll": band})
    return {key: joined.get(key, "").strip() or None for key in FIGURES}


def limit(form: Mapping[str, str]) -> LimitWords:
    """Return the limit of a form."""
    joined = with_units(form)
    return LimitWords(
        quantity=form.get("quantity", ""),
        craft=form.get("craft") or None,
        water=form.get("water") or None,
        marginal=joined.get("marginal", "").strip() or None,
        no_go=joined.get("no_go", "").strip() or None,
        loosen="loosen" in form,
    )

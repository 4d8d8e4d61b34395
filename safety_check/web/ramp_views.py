"""Values for the page that points out a ramp on the outline of a water."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from safety_check.errors import PlanError
from safety_check.model.place import Launch, Water
from safety_check.report.map.outline import OutlineMarks, draw_outline
from safety_check.settings.launches import load_greatest_gap
from safety_check.settings.settings import Settings
from safety_check.units import LENGTH, Preferences, compass, show
from safety_check.use_cases import ramp_place
from safety_check.use_cases.place_in_words import read_position, require_position
from safety_check.use_cases.ramp_place import ShoreView
from safety_check.web import water_labels
from safety_check.web.own_views import ramp_page, water_page

SIZES = {"small": 320, "large": 640}  # names of the two drawings, and their sides in pixels
CLOSE = 600.0  # m; the view around coordinates that somebody typed
RAMP = "ramp"
HERE = 1.0  # m


def view_of(water: Water, said: Mapping[str, str]) -> tuple[ShoreView, bool]:
    """Return the view that an address asks for, and whether a place in it was chosen.

    Parameters
    ----------
    water
        With a shoreline.
    said
        `at`, a place; `span`, the side of the view [m]; `around`, the middle of the view where
        no place is chosen. All may be missing.

    Raises
    ------
    PlanError
        Where `at` is not a place.
    """
    at = said.get("at", "").strip()
    span = _span(said.get("span", ""))
    if at:
        return ramp_place.view_around(require_position(at, "at"), span or CLOSE), True
    around = read_position(said.get("around", ""))
    if around and span:
        return ramp_place.view_around(around, span), False
    return ramp_place.whole_view(water), False


def _span(text: str) -> float:
    short = len(text) <= 9 and text.isascii() and text.isdigit()
    return float(text) if short else 0.0


def tapped(water: Water, said: Mapping[str, str]) -> str | None:
    """Return the address after a tap on the drawing; None where nothing was tapped."""
    view, _ = view_of(water, {**said, "at": ""} | _around(said))
    for name, side in SIZES.items():
        x, y = _span(said.get(f"{name}.x", "")), _span(said.get(f"{name}.y", ""))
        if f"{name}.x" in said and not (x == y == 0):
            place = ramp_place.place_in_view(view, x / side, y / side)
            nearest, _ = ramp_place.nearest_shore(water, place)
            return _page(water, ramp_place.closer(view, nearest))
    return None


def _around(said: Mapping[str, str]) -> dict[str, str]:
    return {"around": said["around"]} if "around" in said else {}


def _page(water: Water, view: ShoreView, chosen: bool = True) -> str:
    place = f"{view.latitude:.6f},{view.longitude:.6f}"
    said = {"at" if chosen else "around": place, "span": f"{view.span:.0f}"}
    return f"{ramp_page(water.name)}?{urlencode(said)}"


def ramp(
    settings: Settings, water: Water, said: Mapping[str, str], errors: Mapping[str, str]
) -> dict[str, Any]:
    """Return the page: the drawing, the place that is chosen, and places to choose from."""
    view, chosen = view_of(water, {**said, "at": ""} if "at" in errors else said)
    shore, far = ramp_place.nearest_shore(water, (view.latitude, view.longitude))
    pin = ShoreView(*shore, view.span)
    prefer = _units(settings, view)
    off = show(far, "length", prefer.small_distance) if far > load_greatest_gap() else ""
    whole = ramp_place.whole_view(water)
    wider = ramp_place.view_around((view.latitude, view.longitude), view.span * ramp_place.CLOSER)
    return {
        "labels": water_labels.RAMP,
        "errors": errors,
        "water": water,
        "page": ramp_page(water.name),
        "back": water_page(water.name),
        "sizes": SIZES,
        "around": f"{view.latitude:.6f},{view.longitude:.6f}",
        "span": f"{view.span:.0f}",
        "wide": show(view.span, "length", prefer.distance),
        "place": f"{pin.latitude:.6f}, {pin.longitude:.6f}" if chosen else "",
        "off": off if chosen else "",
        "name": said.get("name", RAMP if not water.launches else ""),
        "typed": said.get("at", "") if "at" in errors else "",
        "wider": _page(water, wider, chosen) if chosen and wider.span < whole.span else "",
        "whole": ramp_page(water.name) if chosen else "",
        "drawing": _drawing(water, view, chosen),
        "places": [
            _choice(water, view, place, prefer) for place in ramp_place.places_in_view(water, view)
        ],
    }


def _choice(
    water: Water, view: ShoreView, place: tuple[float, float], prefer: Preferences
) -> tuple[str, str]:
    """Return a place on the shore in words, seen from the middle, and the view around it."""
    to = _page(water, ramp_place.closer(view, place))
    right, down = ramp_place.shares_in_view(view, *place)
    east, north = (right - 0.5) * view.span, (0.5 - down) * view.span
    far = math.hypot(east, north)
    if far < HERE:
        return "here, in the middle", to
    wide = LENGTH[prefer.distance]
    unit = prefer.distance if far >= wide / 2 else prefer.small_distance
    bearing = compass(math.degrees(math.atan2(east, north)) % 360)
    return f"{show(far, 'length', unit)} {bearing} of the middle", to


def _drawing(water: Water, view: ShoreView, chosen: bool) -> str:
    said = {"around": f"{view.latitude:.6f},{view.longitude:.6f}", "span": f"{view.span:.0f}"}
    return (
        f"{water_page(water.name)}/outline.svg?{urlencode(said | ({'pin': '1'} if chosen else {}))}"
    )


def outline(settings: Settings, water: Water, said: Mapping[str, str]) -> str:
    """Return the drawing of a view as SVG."""
    view, _ = view_of(water, {**said, "at": ""})

    def share(latitude: float, longitude: float) -> tuple[float, float]:
        return ramp_place.shares_in_view(view, latitude, longitude)

    shore, _ = ramp_place.nearest_shore(water, (view.latitude, view.longitude))
    marks = OutlineMarks(
        launches=tuple((one.name, share(one.latitude, one.longitude)) for one in water.launches),
        numbered=tuple(share(*place) for place in ramp_place.places_in_view(water, view)),
        pin=share(*shore) if "pin" in said else None,
    )
    rings = ramp_place.rings_in_view(water, view)
    return draw_outline(rings, marks, view.span, _units(settings, view))


def _units(settings: Settings, view: ShoreView) -> Preferences:
    """Return the units of the country of a view, where the user has chosen none."""
    return settings.at(Launch("", view.latitude, view.longitude)).preferences


def require_shoreline(water: Water) -> Water:
    """Return a water; PlanError where it has no outline to point at."""
    if not water.shoreline:
        raise PlanError(
            f"{water.name} has no outline, only a table of open water. Add its shoreline first."
        )
    return water

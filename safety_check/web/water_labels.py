"""The labels and words of the forms about a water."""

from __future__ import annotations

from safety_check.model.place import WaterKind
from safety_check.model.water_estimate import DEPTH_CLASSES, EXCLUSIONS

FILE, NAME, NEAR = "file", "find", "near"
ADD = {
    FILE: "Shoreline file",
    NAME: "Name of the water, with its state or country",
    NEAR: "Latitude, longitude of your ramp",
}
FOUND = {
    "choice": "Which water",
    "name": "Your name for it",
    "depth": "Depth of its open part",
    "kind": "Does the water move?",
    "replace": "Replace my water of this name",
}
FACTS = {
    "kind": "Does the water move?",
    "bar": "A bar, race or inlet is near the launch: NO-GO on the ebb",
    "dam": "A dam upstream can release water",
    "elevation": "Height of the surface above sea level",
    "drive": "Drive to it",
    "estimate": "Its temperature may be estimated from the air where nobody measured it",
    "depth": "For the estimate: how deep it is",
    "mean_depth": "Or its mean depth",
    "excluded": "What rules an estimate out",
    "launch": "A launch that falls dry",
    "dries": "The tide at which it does",
}
RULE = {
    "name": "The rule in your words",
    "add_wind": "Wind that it adds",
    "hours": "Hours of the day",
    "wind_from": "Wind from",
}
RAMP = {"name": "Name of the launch", "at": "Latitude, longitude"}
KINDS = [
    ("", "not said"),
    (WaterKind.STILL.value, "still: a lake or reservoir"),
    (WaterKind.TIDAL.value, "tidal: the tide reaches it"),
    (WaterKind.FLOWING.value, "flowing: a river"),
    (WaterKind.BOTH.value, "both: a river that the tide reaches"),
]
DEPTHS = [("", "not said"), *((one, one) for one in DEPTH_CLASSES)]
DEPTH_UNITS = ("ft", "m")
DRIVE_UNITS = ("min", "h")
WIND_UNITS = ("mph", "km/h", "kt", "m/s")
EXCLUDED = {f"excluded_{name.replace(' ', '_')}": name for name in EXCLUSIONS}  # by field

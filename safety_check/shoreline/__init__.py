"""From a shoreline in degrees to water in metres: checked, laid on a plane, and kept."""

from safety_check.shoreline.checked import checked_shoreline
from safety_check.shoreline.kept_fetch import fetch_table_for
from safety_check.shoreline.plane import local_rings, to_degrees, to_metres

__all__ = [
    "checked_shoreline",
    "fetch_table_for",
    "local_rings",
    "to_degrees",
    "to_metres",
]

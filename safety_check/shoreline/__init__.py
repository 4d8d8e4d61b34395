"""From a shoreline in degrees to water in metres: checked, and laid on a plane."""

from safety_check.shoreline.checked import checked_shoreline
from safety_check.shoreline.plane import local_rings, to_degrees, to_metres

__all__ = ["checked_shoreline", "local_rings", "to_degrees", "to_metres"]

"""Aerodrome reports of the Aviation Weather Center."""

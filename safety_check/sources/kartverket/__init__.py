"""Tide predictions of the Norwegian Mapping Authority."""

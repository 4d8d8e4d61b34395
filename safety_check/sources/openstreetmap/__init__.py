"""Shorelines from OpenStreetMap."""

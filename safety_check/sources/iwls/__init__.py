"""Tide and current predictions of the Canadian Hydrographic Service."""

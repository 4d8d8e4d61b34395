"""Gauges of the US Geological Survey."""

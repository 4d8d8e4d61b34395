"""Tide and water stations of NOAA CO-OPS."""

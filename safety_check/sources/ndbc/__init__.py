"""Buoys of the US National Data Buoy Center."""

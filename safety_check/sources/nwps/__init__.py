"""Flood categories of the National Water Prediction Service."""

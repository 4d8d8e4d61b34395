"""Verdicts on thousands of launches from gridded forecasts."""

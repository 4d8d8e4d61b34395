"""Open-Meteo."""

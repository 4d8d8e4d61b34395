"""Write a verdict as one HTML page."""

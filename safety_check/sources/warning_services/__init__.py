"""Official warnings by country: who warns for a place, and what they say there."""

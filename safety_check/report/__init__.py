"""A verdict as text, JSON, page and float plan; nothing is computed here."""

"""History and trips on SQLite."""

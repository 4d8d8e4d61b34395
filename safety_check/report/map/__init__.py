"""Draw a water with its waves."""

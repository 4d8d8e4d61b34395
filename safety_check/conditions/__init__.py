"""Where weather meets physics on this water, for this craft."""

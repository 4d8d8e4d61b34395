"""Weather and physics combined: conditions on this water for this craft, by member and hour."""

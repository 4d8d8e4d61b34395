"""The US National Weather Service."""

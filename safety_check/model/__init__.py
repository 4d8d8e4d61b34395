"""Frozen types that the other packages share; no input, no output, no computation."""

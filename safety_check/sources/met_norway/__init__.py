"""MET Norway."""

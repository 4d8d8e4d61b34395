"""Shipped config and the user's own file."""

"""The user's waters: read, checked, projected and stored."""

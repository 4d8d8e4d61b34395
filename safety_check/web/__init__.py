"""The live page for a browser on this machine or the local network; it has no logic."""

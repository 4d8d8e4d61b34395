"""The live page for a browser on this machine or the local network; no logic of its own."""

"""The page live, for a browser on this machine or on the local network; no logic of its own."""

"""HTTP: one client with retries, a cache and clear errors."""

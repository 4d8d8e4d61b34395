"""One open service a file: its answer turned into model objects."""

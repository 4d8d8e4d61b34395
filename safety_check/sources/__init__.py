"""One package for each open service: ask it, and turn its answer into model objects."""

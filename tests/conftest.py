"""How the property tests run: no deadline, since the machine may be shared."""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("house", deadline=None, max_examples=60, derandomize=True)
settings.register_profile("long", deadline=None, max_examples=1000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "house"))

"""Profiles of the property tests; no deadline, since other work may slow the machine."""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("repeatable", deadline=None, max_examples=60, derandomize=True)
settings.register_profile("long", deadline=None, max_examples=1000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "repeatable"))

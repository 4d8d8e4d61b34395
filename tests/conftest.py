"""What holds for every test."""

from __future__ import annotations

from tests.properties import load_profile

load_profile()

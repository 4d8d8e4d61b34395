"""Where the user's own files and the shipped config are."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Folders:
    """Where the user's own files, the store and the cache are."""

    config: Path
    data: Path
    cache: Path

    @property
    def settings_file(self) -> Path:
        """The user's settings."""
        return self.config / "settings.toml"

    @property
    def waters(self) -> Path:
        """One GeoJSON file a water."""
        return self.config / "waters"


def find_folders(home: Path | None = None) -> Folders:
    """Return the folders under a home, else under `SAFETY_CHECK_HOME`, else the platform's."""
    named = home or os.environ.get("SAFETY_CHECK_HOME")
    if named:
        root = Path(named).expanduser()
        return Folders(config=root, data=root / "data", cache=root / "cache")
    from platformdirs import PlatformDirs

    dirs = PlatformDirs("safety-check", appauthor=False)
    return Folders(dirs.user_config_path, dirs.user_data_path, dirs.user_cache_path)


def shipped_file(name: str) -> Path:
    """Return a file of the shipped config: in the wheel when installed, else in the checkout."""
    package = Path(__file__).parents[1]
    inside = package / "config"
    return (inside if inside.exists() else package.parent / "config") / name

"""What the surroundings decide: where results are cached, which version this is."""

from __future__ import annotations

import os
from importlib.metadata import version
from pathlib import Path


def cache_folder() -> Path | None:
    """Return where results of reading and measuring are kept; nothing where LEES_CACHE is empty."""
    chosen = os.environ.get("LEES_CACHE")
    if chosen is not None:
        return Path(chosen) if chosen else None
    base = os.environ.get("XDG_CACHE_HOME")
    return (Path(base) if base else Path.home() / ".cache") / "lees"


def lees_version() -> str:
    """Return the version of Lees."""
    return version("lees")

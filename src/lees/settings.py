"""What the surroundings decide: where things are kept, who works here, which version this is."""

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


def archive_address() -> str:
    """Return where the archive is: LEES_ARCHIVE, or a folder of this user."""
    chosen = os.environ.get("LEES_ARCHIVE")
    if chosen:
        return chosen
    return str(_data_folder() / "archive")


def backups_folder() -> Path:
    """Return where a shared archive's database is saved before it is brought up to date."""
    return _data_folder() / "backups"


def user_name() -> str:
    """Return by what name this user works in the archive: LEES_USER, or `inspector`."""
    return os.environ.get("LEES_USER") or "inspector"


def _data_folder() -> Path:
    base = os.environ.get("XDG_DATA_HOME")
    return (Path(base) if base else Path.home() / ".local" / "share") / "lees"


def lees_version() -> str:
    """Return the version of Lees."""
    return version("lees")

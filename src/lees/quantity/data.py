"""The package's own data files, read once: the only disk that a pure room may touch."""

from __future__ import annotations

import csv
import tomllib
from functools import cache
from importlib import resources
from typing import Any


@cache
def table(room: str, name: str) -> dict[str, Any]:
    """Return the TOML table `name` that lies in the room's `data` folder.

    Raises `FileNotFoundError` where the package was installed without it: a fault of ours.
    """
    return tomllib.loads(text(room, f"{name}.toml"))


@cache
def rows(room: str, name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of the CSV table `name` in the room's `data` folder; `#` starts a comment."""
    lines = [line for line in text(room, f"{name}.csv").splitlines() if not line.startswith("#")]
    return tuple(csv.DictReader(lines))


@cache
def text(room: str, file: str) -> str:
    """Return a text file of the room's `data` folder."""
    return resources.files("lees").joinpath(room, "data", file).read_text(encoding="utf-8")


@cache
def binary(room: str, file: str) -> bytes:
    """Return a file of the room's `data` folder as bytes."""
    return resources.files("lees").joinpath(room, "data", file).read_bytes()

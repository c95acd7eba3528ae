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

    Parameters
    ----------
    room : str
        The room, such as ``quantity``.
    name : str
        The name of the file, without its ending.

    Returns
    -------
    dict
        The table.

    Raises
    ------
    FileNotFoundError
        Where the package was installed without it: a fault of ours.
    """
    return tomllib.loads(text(room, f"{name}.toml"))


@cache
def rows(room: str, name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of the CSV table `name` in the room's `data` folder; `#` starts a comment.

    Parameters
    ----------
    room : str
        The room, such as ``quantity``.
    name : str
        The name of the file, without its ending.

    Returns
    -------
    tuple of dict
        The rows, by the names in the first line.
    """
    lines = [line for line in text(room, f"{name}.csv").splitlines() if not line.startswith("#")]
    return tuple(csv.DictReader(lines))


@cache
def text(room: str, file: str) -> str:
    """Return a text file of the room's `data` folder.

    Parameters
    ----------
    room : str
        The room, such as ``quantity``.
    file : str
        The name of the file, with its ending.

    Returns
    -------
    str
        What it says.
    """
    return resources.files("lees").joinpath(room, "data", file).read_text(encoding="utf-8")


@cache
def binary(room: str, file: str) -> bytes:
    """Return a file of the room's `data` folder as bytes.

    Parameters
    ----------
    room : str
        The room, such as ``quantity``.
    file : str
        The name of the file, with its ending.

    Returns
    -------
    bytes
        What it holds.
    """
    return resources.files("lees").joinpath(room, "data", file).read_bytes()


@cache
def asset(room: str, folder: str, file: str) -> bytes:
    """Return a file of another folder of the room, such as a font.

    Parameters
    ----------
    room : str
        The room, such as ``publish``.
    folder : str
        The folder, such as ``fonts``.
    file : str
        The name of the file, with its ending.

    Returns
    -------
    bytes
        What it holds.
    """
    return resources.files("lees").joinpath(room, folder, file).read_bytes()


def folder(room: str, name: str) -> str:
    """Return where a folder of the room lies, for a library that reads it by itself.

    Parameters
    ----------
    room : str
        The room, such as ``publish``.
    name : str
        The folder, such as ``fonts``.

    Returns
    -------
    str
        Its path.
    """
    return str(resources.files("lees").joinpath(room, name))

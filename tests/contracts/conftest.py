"""The two databases that one contract is held against."""

import itertools
import os

import pytest

from truth.archives import archive_in

_numbers = itertools.count(1)


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request, tmp_path, monkeypatch):
    """Return the address of an archive that is not there yet."""
    if request.param == "sqlite":
        return str(tmp_path / "archive")
    running = request.getfixturevalue("postgresql")
    for name, value in running.environment.items():
        monkeypatch.setenv(name, value)
    database = f"contract_{os.getpid()}_{next(_numbers)}"
    running.create(database)
    return running.address(database, tmp_path / "files")


@pytest.fixture
def archive(place):
    opened = archive_in(place)
    yield opened
    opened.close()

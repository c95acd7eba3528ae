"""A program that is killed while it stores loses nothing that was acknowledged, and breaks nothing."""

import multiprocessing
import os
import random
import signal
import time
from pathlib import Path

import pytest

from lees.archive.cases import get_case
from lees.archive.check import check
from truth.archive_hands import store_until_killed
from truth.archives import archive_in


def killed_again_and_again(place: str, folder: Path, times: int) -> int:
    """Kill a storing program at random moments; return how many entries were acknowledged."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["truth.archive_hands"])
    chance = random.Random(20261125)
    book = folder / "acknowledged"
    book.touch()
    archive_in(place).close()
    read = 0
    surroundings = dict(os.environ)  # the fork server was started in others
    for kill in range(times):
        before = book.stat().st_size
        hand = context.Process(
            target=store_until_killed, args=(place, f"k{kill}", str(book), surroundings)
        )
        hand.start()
        deadline = time.monotonic() + 60
        while book.stat().st_size == before and hand.is_alive() and time.monotonic() < deadline:
            time.sleep(0.002)
        time.sleep(chance.uniform(0, 0.12))
        assert hand.is_alive()
        os.kill(hand.pid, signal.SIGKILL)
        hand.join()
        lines = book.read_text().splitlines()
        archive = archive_in(place)
        found = check(archive)
        assert found.problems == [], f"after kill {kill + 1}"
        for line in lines[read:]:
            ref, what, number = line.split()
            case = get_case(archive, ref)
            if what == "changed":
                assert case.case.fill.notes == f"changed {number}"
            else:
                assert case.files[0].sha256 == what
                assert archive.files.fetch(what)
        assert found.cases >= sum(1 for line in lines if " changed " not in line)
        archive.close()
        read = len(lines)
    return read


@pytest.fixture
def address(postgresql, monkeypatch, tmp_path):
    for name, value in postgresql.environment.items():
        monkeypatch.setenv(name, value)
    database = f"kills_{os.getpid()}_{time.monotonic_ns()}"
    postgresql.create(database)
    return postgresql.address(database, tmp_path / "files")


def test_a_few_kills_lose_nothing(tmp_path):
    assert killed_again_and_again(str(tmp_path / "archive"), tmp_path, 4) >= 4


@pytest.mark.long
def test_two_hundred_kills_lose_nothing(tmp_path):
    acknowledged = killed_again_and_again(str(tmp_path / "archive"), tmp_path, 200)
    print(f"SQLite: 200 kills, {acknowledged} entries acknowledged, all there")
    assert acknowledged >= 200


@pytest.mark.long
def test_two_hundred_kills_lose_nothing_on_postgresql_either(address, tmp_path):
    acknowledged = killed_again_and_again(address, tmp_path, 200)
    print(f"PostgreSQL: 200 kills, {acknowledged} entries acknowledged, all there")
    assert acknowledged >= 200

"""A bench that answers over real HTTP, open for the tests of one module."""

import itertools

import httpx
import pytest

from truth.benches import open_bench

_numbers = itertools.count(1)


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("LEES_CACHE", str(tmp_path_factory.mktemp("cache")))
        with open_bench(tmp_path_factory.mktemp("web") / "archive") as opened:
            yield opened


@pytest.fixture
def http(bench):
    with httpx.Client(base_url=bench.address, timeout=60) as client:
        yield client


@pytest.fixture
def case(http):
    """Return the reference of a case just begun."""
    return http.post("/api/cases", json={"title": f"Pilot launch {next(_numbers)}"}).json()["ref"]

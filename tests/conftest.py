"""What all tests share: the long ones run only when asked for."""

import os

import pytest
from hypothesis import settings
from playwright.sync_api import sync_playwright

from truth.postgresql import cluster, program

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

# A busy machine is no fault of a formula: no test asserts a time.
# A run that guards what lands draws the same examples each time; a run at the desk explores.
settings.register_profile("untimed", deadline=None)
settings.register_profile("repeatable", deadline=None, derandomize=True)
settings.load_profile("repeatable" if os.environ.get("CI") else "untimed")


def pytest_addoption(parser):
    parser.addoption("--long", action="store_true", help="run soak, kill and calibration tests too")


def pytest_collection_modifyitems(config, items):
    if config.getoption("--long"):
        return
    for item in items:
        if "long" in item.keywords:
            item.add_marker(pytest.mark.skip(reason="takes long; run with --long"))


@pytest.fixture(scope="session")
def postgresql():
    """Give a PostgreSQL of the tests' own."""
    if program("initdb") is None:
        pytest.fail("PostgreSQL is not installed; ./dev test installs it")
    with cluster() as running:
        yield running


@pytest.fixture(scope="session")
def chromium():
    """Start one browser for all tests of a process: playwright allows no second."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=ARGUMENTS)
        yield browser
        browser.close()

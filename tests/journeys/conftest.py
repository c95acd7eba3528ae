"""A real browser on a real bench."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe

from truth.benches import open_bench

PHONE = {"width": 360, "height": 740}
LAPTOP = {"width": 1280, "height": 900}


@pytest.fixture
def bench(tmp_path, monkeypatch):
    monkeypatch.setenv("LEES_CACHE", str(tmp_path / "cache"))
    with open_bench(tmp_path / "archive") as opened:
        yield opened


@pytest.fixture
def context(chromium, bench):
    """Return a browser that tells of every request to anybody else and of every broken rule."""
    opened = chromium.new_context(base_url=bench.address, viewport=LAPTOP)
    strangers, broken = [], []

    def seen(request):
        if not request.url.startswith((bench.address, "data:", "blob:")):
            strangers.append(request.url)

    opened.on("request", seen)
    opened.on(
        "console",
        lambda message: (
            broken.append(message.text) if "Content Security Policy" in message.text else None
        ),
    )
    yield opened
    opened.close()
    assert strangers == []
    assert broken == []


@pytest.fixture
def page(context):
    return context.new_page()


def faults(page):
    """Return what axe finds wrong with a page, WCAG 2.2 A and AA, one line each."""
    found = Axe().run(page).response["violations"]
    return [
        f"{one['id']}: {one['help']}: {[node['target'] for node in one['nodes'][:3]]}"
        for one in found
    ]

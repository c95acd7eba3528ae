"""The page asks nothing of a network, says what the findings say, and no tool finds it hard to use."""

from __future__ import annotations

import html
import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser

from lees.publish.page import page_html
from publish.test_letter import sentences, squeezed
from truth.findings import CASES, CLEAN, pictures

PICTURES = pictures()


@pytest.mark.parametrize("case", CASES)
def test_page_says_what_the_findings_say(case: str) -> None:
    page = page_html(CASES[case], PICTURES)
    text = squeezed(html.unescape(re.sub(r"<[^>]+>", "", page.split("</style>")[1])))
    assert [said for said in sentences(CASES[case]) if squeezed(said) not in text] == []


def test_page_asks_nothing_of_a_network() -> None:
    page = page_html(CLEAN, PICTURES)
    assert re.findall(r'(?:src|href)="(?!data:|#)', page) == []
    assert re.findall(r"url\((?!data:)", page) == []
    assert "<script" not in page
    assert "default-src 'none'" in html.unescape(page)


def test_page_is_light_enough() -> None:
    assert len(page_html(CLEAN, PICTURES).encode()) <= 1_500_000


def test_same_findings_same_bytes() -> None:
    assert page_html(CLEAN, PICTURES) == page_html(CLEAN, PICTURES)


@pytest.fixture
def browser(chromium: Browser) -> Browser:
    return chromium


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 360])
@pytest.mark.parametrize("case", ["clean", "metal", "filter"])
def test_page_is_open_to_all(browser: Browser, case: str, width: int, scheme: str) -> None:
    size = {"width": width, "height": 900}
    context = browser.new_context(viewport=size, color_scheme=scheme, bypass_csp=True)
    page = context.new_page()
    page.set_content(page_html(CASES[case], PICTURES))
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    context.close()


def test_page_breaks_none_of_its_own_rules(browser: Browser) -> None:
    context = browser.new_context()
    page = context.new_page()
    asked: list[str] = []
    said: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    page.set_content(page_html(CLEAN, PICTURES))
    fonts = page.evaluate("document.fonts.ready.then(() => [...document.fonts].map(f => f.status))")
    assert set(fonts) == {"loaded"}
    assert [url for url in asked if not url.startswith(("data:", "about:"))] == []
    assert said == []
    context.close()

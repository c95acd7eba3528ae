"""The page asks nothing of a network, says what the findings say, and no tool finds it hard to use."""

from __future__ import annotations

import html
import re

import pytest

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

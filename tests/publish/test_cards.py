"""Cards have their size, leave out what the case does not hold, and repeat byte for byte."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from lees.publish.cards import UPRIGHT, WIDE, card_pngs
from truth.findings import BARE, CASES, CLEAN


def test_three_cards_each_with_and_without_ground() -> None:
    cards = card_pngs(CLEAN, {})
    assert set(cards) == {
        f"{name}{ground}.png"
        for name in ("pleats", "wear", "next-fill")
        for ground in ("", "-transparent")
    }
    for name, data in cards.items():
        with Image.open(io.BytesIO(data)) as card:
            assert card.size == (1920, 1080)
            lowest = card.convert("RGBA").getchannel("A").getextrema()[0]
            assert (lowest == 0) is name.endswith("-transparent.png")


def test_upright_cards() -> None:
    for data in card_pngs(CLEAN, {}, shapes=(UPRIGHT,)).values():
        with Image.open(io.BytesIO(data)) as card:
            assert card.size == (1080, 1920)


def test_a_bare_case_has_no_cards() -> None:
    assert card_pngs(BARE, {}) == {}


@pytest.mark.parametrize("case", CASES)
def test_same_findings_same_bytes(case: str) -> None:
    assert card_pngs(CASES[case], {}, shapes=(WIDE,)) == card_pngs(CASES[case], {}, shapes=(WIDE,))

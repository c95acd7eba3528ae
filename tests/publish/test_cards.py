"""Cards keep their size, leave out what the case does not hold, and show only its numbers."""

from __future__ import annotations

import io
import json
import re

import pytest
from PIL import Image

from lees.chart.key import Sign
from lees.chart.numbers import grouped, odds_in, with_interval
from lees.judge.findings import Findings, as_json
from lees.publish.cards import (
    CLEAR,
    SOLID,
    UPRIGHT,
    WIDE,
    Shape,
    card_pngs,
    cards,
    legible_anywhere,
)
from lees.publish.press import press
from publish.test_letter import read_back
from truth.findings import BARE, CASES, CLEAN, FILTER_ONLY

NUMBER = re.compile(r"\d+(?:\.\d+)?")
GROUP = re.compile(r"(?<=\d)[ \u202f\u00a0](?=\d{3}(?!\d))")
ALL = [
    pytest.param(case, shape, name, id=f"{case}-{shape.width}-{name}")
    for case in CASES
    for shape in (WIDE, UPRIGHT)
    for name in cards(CASES[case], shape)
]


def test_three_cards_each_with_and_without_ground() -> None:
    made = card_pngs(CLEAN, {})
    names = ("pleats", "wear", "next-fill")
    assert set(made) == {f"{n}{ground}.png" for n in names for ground in ("", "-transparent")}
    for name, data in made.items():
        with Image.open(io.BytesIO(data)) as card:
            assert card.size == (1920, 1080)
            lowest = card.convert("RGBA").getchannel("A").getextrema()[0]
            assert (lowest == 0) is name.endswith("-transparent.png")


def test_upright_cards() -> None:
    for data in card_pngs(FILTER_ONLY, {}, shapes=(UPRIGHT,)).values():
        with Image.open(io.BytesIO(data)) as card:
            assert card.size == (1080, 1920)


def test_a_bare_case_has_no_cards() -> None:
    assert card_pngs(BARE, {}) == {}


def test_same_findings_same_bytes() -> None:
    assert card_pngs(CLEAN, {}) == card_pngs(CLEAN, {})


def numbers_of(text: str) -> set[str]:
    """Return the numbers in a text, without the spaces that group their digits."""
    return set(NUMBER.findall(GROUP.sub("", text)))


def numbers_in(findings: Findings) -> set[str]:
    """Return every number that the findings hold, as they stand there and as they are written."""
    found = numbers_of(json.dumps(as_json(findings), ensure_ascii=False))
    fill, media = findings.next_fill, findings.filter.media if findings.filter else None
    runs = [fill.advised, fill.this_fill, fill.maker, *(one.run for one in fill.proposals)]
    written = [grouped(run) for run in runs if run is not None] + [odds_in(fill.risk)]
    if fill.months:
        written.append(f"{fill.months:g}")
    for area in (media.area_by_strip, media.area_by_pleats) if media else ():
        written += [with_interval(area)] if area else []
    return found | {number for text in written for number in numbers_of(text)}


OUR_WORDS = Sign("dot", "this fill, 95 % interval")


@pytest.mark.parametrize(("case", "shape", "name"), ALL)
def test_every_number_on_a_card_is_in_the_findings(case: str, shape: Shape, name: str) -> None:
    card = cards(CASES[case], shape)[name]
    text = read_back(card.printed(SOLID, press(), "pdf")).replace(OUR_WORDS.meaning, "")
    strange = numbers_of(text.replace("\r\n", " ")) - numbers_in(CASES[case])
    assert strange == set()


def test_a_clear_card_is_dark_about_its_letters() -> None:
    clear = cards(CLEAN, WIDE)["next-fill"].printed(CLEAR, press())
    shaded = Image.open(io.BytesIO(legible_anywhere(clear)))
    plain = Image.open(io.BytesIO(clear)).convert("RGBA")
    white = Image.new("RGBA", plain.size, "white")
    on_white = Image.alpha_composite(white, shaded.convert("RGBA")).convert("L")
    lit = plain.getchannel("A").point(lambda a: 255 if a > 250 else 0)
    box = lit.getbbox()
    assert box is not None
    assert on_white.crop(box).getextrema()[0] < 70
    assert shaded.getpixel((5, 5))[3] == 0

"""The cards: one message each on a screen of 1920 × 1080, with a ground and without."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from PIL import Image, ImageFilter

from lees.chart.look import DARK, Look, Palette
from lees.chart.media import areas, has_ring, media_areas, pleat_ring
from lees.chart.numbers import grouped, plain, with_interval
from lees.chart.odds import has_odds, odds_curve
from lees.chart.pieces import Spec
from lees.chart.spread import placeable, spread
from lees.judge.findings import About, ElementRow, Findings, MediaFound
from lees.publish.content import title
from lees.publish.press import Press, press
from lees.publish.settable import each, settable
from lees.publish.wording import Content, words
from lees.quantity.data import text

SOLID = replace(DARK, ground="#12181b")
CLEAR = replace(DARK, quiet="#dfe6e9", faint="#7d8a91")
"""On footage of any kind nothing may be faint."""

MOST_ROWS = 6
EDGE = 108
"""The margin that every card keeps, so that no player's frame cuts into it."""


@dataclass(frozen=True, slots=True)
class Shape:
    """The size of a card in pixels, and the ending of its name."""

    width: int
    height: int
    ending: str = ""

    @property
    def is_wide(self) -> bool:
        """Tell whether the card lies on its side."""
        return self.width > self.height


WIDE = Shape(1920, 1080)
UPRIGHT = Shape(1080, 1920, "-upright")


@dataclass(frozen=True, slots=True)
class Card:
    """What one card says, and its chart, before they are set in type."""

    says: Content
    chart: Spec

    def printed(self, palette: Palette, by: Press, kind: str = "png") -> bytes:
        """Return the card as a file: `png`, `svg` or `pdf`."""
        data = {**self.says, "palette": asdict(palette), "says": self.chart["description"]}
        drawing = by.drawn(_inked(self.chart, palette)).encode()
        settings: dict[str, Any] = {"format": kind, **({"ppi": 72} if kind == "png" else {})}
        return bytes(
            by.pages(text("publish", "card.typ"), {"figure.svg": drawing}, data, **settings)
        )


def card_pngs(
    findings: Findings,
    pictures: Mapping[str, bytes],
    *,
    shapes: tuple[Shape, ...] = (WIDE,),
    with_press: Press | None = None,
) -> dict[str, bytes]:
    """Return the cards of a case as PNG files by name.

    Each comes on a dark ground and, as ``…-transparent.png``, without one. A card for which the
    case holds nothing is left out. `pictures` is taken for cards that will show photographs.
    """
    del pictures
    ours, made = with_press or press(), {}
    for shape in shapes:
        for name, card in cards(findings, shape).items():
            made[f"{name}{shape.ending}.png"] = card.printed(SOLID, ours)
            clear = legible_anywhere(card.printed(CLEAR, ours))
            made[f"{name}{shape.ending}-transparent.png"] = clear
    return made


def cards(findings: Findings, shape: Shape) -> dict[str, Card]:
    """Return the cards that a case allows, by name."""
    clean = each(findings, settable)
    made = {
        "pleats": _pleats(clean, shape),
        "wear": _wear(clean, shape),
        "next-fill": _next(clean, shape),
    }
    return {name: card for name, card in made.items() if card}


def _pleats(findings: Findings, shape: Shape) -> Card | None:
    media = findings.filter.media if findings.filter else None
    if media is None or not (has_ring(media) or areas(media)):
        return None
    size = 600 if shape.is_wide else 760
    look = Look(DARK, text_px=34, width_px=size)
    of_media = words()["word"]["of_media"]
    lines = [f"{with_interval(value)} {of_media}, {name}" for name, value in areas(media)]
    says = _says(findings, About.FILTER, shape) | {"lines": lines[:1], "figure_width": size}
    if not has_ring(media):
        return Card(says, media_areas(media, look))
    says |= {"numeral": _count(media), "unit": words()["word"]["pleats"]}
    return Card(says, pleat_ring(media, look))


def _count(media: MediaFound) -> str:
    either = f" {words()['word']['pleats_or']} "
    return str(media.pleats) if media.pleats else either.join(map(str, media.pleats_candidates))


def _wear(findings: Findings, shape: Shape) -> Card | None:
    rows = _foremost(placeable(findings.elements))
    if not rows:
        return None
    room = 560 if shape.is_wide else 1050
    size = min(
        42 if shape.is_wide else 36, room / (1.95 * len(rows) + (4.6 if shape.is_wide else 6.2))
    )
    look = Look(DARK, text_px=size, width_px=shape.width - 2 * EDGE, scale_numbers=False)
    says = _says(findings, About.ENGINE, shape) | {"layout": "figure-below"}
    return Card(says, spread(rows, look))


def _foremost(rows: tuple[ElementRow, ...]) -> tuple[ElementRow, ...]:
    """Return the rows that stand highest against what is usual, in their own order."""
    highest = sorted(rows, key=lambda row: -row.value.value / (row.peers_middle or row.mean or 1.0))
    return tuple(row for row in rows if row in highest[:MOST_ROWS])


def _next(findings: Findings, shape: Shape) -> Card | None:
    fill = findings.next_fill
    if not has_odds(fill):
        return None
    size = 1040 if shape.is_wide else shape.width - 2 * EDGE
    look = Look(DARK, text_px=31 if shape.is_wide else 29, width_px=size, scale_numbers=False)
    says = _says(findings, About.NEXT_FILL, shape) | {"figure_width": size, "lines": []}
    if fill.reason not in says["headline"]:
        says["lines"] = [fill.reason]
    if fill.advised is not None:
        says |= {"numeral": grouped(fill.advised), "unit": fill.unit, "lines": []}
        if fill.months:
            says["lines"] = [words()["or_months"].format(months=plain(fill.months))]
    return Card(says, odds_curve(fill, look))


def _says(findings: Findings, about: About, shape: Shape) -> Content:
    return {
        "width": shape.width,
        "height": shape.height,
        "edge": EDGE,
        "language": words()["language"],
        "title": title(findings),
        "about": words()["about"][about.value],
        "headline": findings.answer(about).sentence,
        "invented": words()["invented"] if findings.invented else None,
        "numeral": None,
        "unit": None,
        "lines": [],
        "layout": "figure-beside",
        "figure_width": 0,
    }


def _inked(chart: Any, palette: Palette) -> Any:
    """Return a chart drawn with the dark palette in the inks of another."""
    inks = {
        getattr(DARK, ink): getattr(palette, ink) for ink in ("ink", "quiet", "faint", "accent")
    }
    if isinstance(chart, dict):
        return {
            key: inks.get(value, value)
            if key in ("colour", "color") and isinstance(value, str)
            else _inked(value, palette)
            for key, value in chart.items()
        }
    return [_inked(item, palette) for item in chart] if isinstance(chart, list) else chart


def legible_anywhere(png: bytes) -> bytes:
    """Return a card without ground with a soft shade under its letters, for any footage."""
    with Image.open(io.BytesIO(png)) as opened:
        card = opened.convert("RGBA")
    small = card.getchannel("A").resize((card.width // 4, card.height // 4), Image.Resampling.BOX)
    soft = small.filter(ImageFilter.MaxFilter(3)).filter(ImageFilter.GaussianBlur(2.5))
    shade = soft.resize(card.size, Image.Resampling.BILINEAR).point(_DEEPER)
    under = Image.new("RGBA", card.size, (12, 16, 18, 0))
    under.putalpha(shade)
    under.alpha_composite(card)
    out = io.BytesIO()
    under.save(out, "PNG", compress_level=2)
    return out.getvalue()


_DEEPER = [min(225, round(1.7 * level)) for level in range(256)]
"""How dark the shade is for each level of the softened letters."""

"""The cards: one message each on a screen of 1920 × 1080, with a ground and without."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace

from PIL import Image, ImageChops, ImageFilter

from lees.chart.look import DARK, Look, Palette
from lees.chart.media import areas, has_ring, pleat_ring
from lees.chart.numbers import grouped, plain, with_interval
from lees.chart.odds import has_odds, odds_curve
from lees.chart.pieces import Spec
from lees.chart.spread import placeable, spread
from lees.judge.findings import About, Findings
from lees.publish.content import Content, words
from lees.publish.press import Press, press
from lees.publish.settable import each, settable
from lees.quantity.data import text

SCREEN = replace(DARK, ground="#12181b")
MOST_ROWS = 7


@dataclass(frozen=True, slots=True)
class Shape:
    """The size of a card and the ending of its name."""

    width: int
    height: int
    ending: str = ""


WIDE = Shape(1920, 1080)
UPRIGHT = Shape(1080, 1920, "-upright")


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
    made = {}
    for shape in shapes:
        for name, (data, spec) in _cards(each(findings, settable), shape).items():
            ours = with_press or press()
            made[f"{name}{shape.ending}.png"] = _printed(data, spec, SCREEN, ours)
            clear = _printed(data, spec, DARK, ours)
            made[f"{name}{shape.ending}-transparent.png"] = legible_anywhere(clear)
    return made


def _cards(findings: Findings, shape: Shape) -> dict[str, tuple[Content, Spec]]:
    cards: dict[str, tuple[Content, Spec]] = {}
    media = findings.filter.media if findings.filter else None
    wide = shape.width > shape.height
    if media is not None and has_ring(media):
        size = 560 if wide else 760
        lines = [_line(f"{with_interval(value)} {name}") for name, value in areas(media)[:1]]
        count = media.pleats or " or ".join(str(n) for n in media.pleats_candidates)
        cards["pleats"] = (
            _card(
                findings,
                About.FILTER,
                shape,
                numeral=str(count),
                unit=words()["word"]["pleats"],
                lines=lines,
                figure_width=size,
            ),
            pleat_ring(media, Look(DARK, text_px=34, width_px=size)),
        )
    if rows := placeable(findings.elements)[:MOST_ROWS]:
        look = Look(
            DARK, text_px=34 if wide else 30, width_px=shape.width - 216, scale_numbers=False
        )
        cards["wear"] = (
            _card(findings, About.ENGINE, shape, layout="figure-below"),
            spread(rows, look),
        )
    fill = findings.next_fill
    if has_odds(fill):
        size = 1020 if wide else 864
        look = Look(DARK, text_px=30, width_px=size, scale_numbers=False)
        advised = grouped(fill.advised) if fill.advised is not None else None
        months = (
            words()["or_months"].format(months=plain(fill.months))
            if fill.months and advised
            else None
        )
        cards["next-fill"] = (
            _card(
                findings,
                About.NEXT_FILL,
                shape,
                numeral=advised,
                unit=fill.unit,
                lines=[_line(months)] if months else [_line(fill.reason)],
                figure_width=size,
            ),
            odds_curve(fill, look),
        )
    return cards


def _line(said: str, strong: bool = False) -> Content:
    return {"text": said, "strong": strong}


def _card(findings: Findings, about: About, shape: Shape, **more: object) -> Content:
    return {
        "width": shape.width,
        "height": shape.height,
        "language": words()["language"],
        "title": findings.title,
        "about": words()["about"][about.value],
        "headline": findings.answer(about).sentence,
        "invented": words()["invented"] if findings.invented else None,
        "numeral": None,
        "unit": None,
        "lines": [],
        "layout": "figure-beside",
        "figure_width": 0,
        **more,
    }


def _printed(data: Content, spec: Spec, palette: Palette, ours: Press) -> bytes:
    whole = {**data, "palette": asdict(palette), "says": spec["description"]}
    files = {"figure.svg": ours.drawn(spec).encode()}
    return bytes(ours.pages(text("publish", "card.typ"), files, whole, format="png", ppi=72))


def legible_anywhere(png: bytes) -> bytes:
    """Return a card without ground with a soft shade under its letters, for any footage."""
    with Image.open(io.BytesIO(png)) as opened:
        card = opened.convert("RGBA")
    alpha = card.getchannel("A")
    half = alpha.resize((card.width // 2, card.height // 2), Image.Resampling.BILINEAR)
    blurred = half.filter(ImageFilter.MaxFilter(5)).filter(ImageFilter.GaussianBlur(5))
    shade = ImageChops.multiply(
        blurred.resize(card.size, Image.Resampling.BILINEAR), Image.new("L", card.size, 215)
    )
    under = Image.merge(
        "RGBA", (*(Image.new("L", card.size, level) for level in (12, 16, 18)), shade)
    )
    under.alpha_composite(card)
    out = io.BytesIO()
    under.save(out, "PNG", compress_level=4)
    return out.getvalue()

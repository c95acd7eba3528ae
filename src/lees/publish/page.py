"""The page: the case as one HTML file that asks nothing of a network and runs no script."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping
from functools import cache
from typing import Any

from jinja2 import BaseLoader, Environment, StrictUndefined
from markupsafe import Markup

from lees.chart.look import LIGHT, Look
from lees.judge.findings import Findings
from lees.publish.content import content
from lees.publish.drawings import Drawing, drawings
from lees.publish.photographs import smaller
from lees.publish.press import Press, press
from lees.publish.settable import each, paragraphs, readable
from lees.publish.svg import inline_svg
from lees.publish.wording import Content, words
from lees.quantity.data import asset, text

LOOKS = {
    "spread": Look(text_px=13, width_px=920),
    "odds": Look(text_px=13, width_px=560),
    "viscosity": Look(text_px=12.5, width_px=344),
    "parts": Look(text_px=12.5, width_px=344),
    "particles": Look(text_px=12.5, width_px=344),
    "areas": Look(text_px=13, width_px=215),
    "ring": Look(text_px=13, width_px=170),
}
NARROW = {
    "spread": Look(text_px=12.5, width_px=328),
    "odds": Look(text_px=12.5, width_px=328),
}
"""The charts that are drawn a second time for a telephone; the others are scaled by the page."""

LONGEST_PX = 1400
FACES = (
    ("Lees Sans", "LeesSans-Regular", 400, "normal"),
    ("Lees Sans", "LeesSans-Italic", 400, "italic"),
    ("Lees Sans", "LeesSans-SemiBold", 600, "normal"),
    ("Lees Display", "LeesDisplay-SemiBold", 600, "normal"),
    ("Lees Display", "LeesDisplay-Light", 300, "normal"),
)


def page_html(
    findings: Findings, pictures: Mapping[str, bytes], *, with_press: Press | None = None
) -> str:
    """Return the page of a case as one HTML text.

    `pictures` holds JPEG or PNG files by the names that the findings show; one that is missing is
    left out.
    """
    clean = each(findings, readable)
    data = content(clean)
    data["inspector_words"] = paragraphs(findings.inspector_words, readable)
    style = Markup(_style(_needs_east(data)))  # noqa: S704 - our own file
    page: str = _template().render(
        **data,
        w=words(),
        charts=_charts(clean, with_press or press()),
        pictures=_shown(findings, clean, pictures),
        style=style,
        policy=_policy(str(style)),
    )
    return page


def _charts(clean: Findings, ours: Press) -> dict[str, Markup | None]:
    wide, narrow = drawings(clean, LOOKS, ours), drawings(clean, NARROW, ours)
    shown: dict[str, Markup | None] = dict.fromkeys(LOOKS)
    for name, drawing in wide.items():
        title = words()["chart"][name]
        both = [_inline(drawing, title, name)]
        if name in narrow:
            both.append(_inline(narrow[name], title, f"{name}-narrow"))
        kinds = ("wide", "narrow") if len(both) > 1 else ("scaled",)
        shown[name] = Markup("").join(
            Markup('<div class="drawn {}">{}</div>').format(kind, one)
            for kind, one in zip(kinds, both, strict=True)
        )
    return shown


def _inline(drawing: Drawing, title: str, name: str) -> Markup:
    renamed = Drawing(name, drawing.svg, drawing.says, drawing.width_px)
    # Our own drawing: its texts were escaped when it was written out.
    return Markup(inline_svg(renamed, LIGHT, title))  # noqa: S704


def _shown(findings: Findings, clean: Findings, pictures: Mapping[str, bytes]) -> list[Content]:
    shown = []
    for given, safe in zip(findings.pictures, clean.pictures, strict=True):
        photograph = smaller(pictures.get(given.file, b""), LONGEST_PX, "webp")
        if photograph:
            shown.append(
                {
                    "uri": photograph.uri,
                    "width": photograph.width_px,
                    "height": photograph.height_px,
                    "says": f"{safe.of}: {safe.caption}",
                    "caption": safe.caption,
                }
            )
    return shown


def _needs_east(data: Content) -> bool:
    """Tell whether a page has Greek or Cyrillic letters, whose fonts are left out otherwise."""
    return any("\u0370" <= letter <= "\u052f" and letter != "μ" for letter in str(data))


@cache
def _style(with_east: bool) -> str:
    scripts = ("latin", "east") if with_east else ("latin",)
    return (
        "\n".join(_face(*face, script) for script in scripts for face in FACES)
        + "\n"
        + text("publish", "page.css")
    )


def _face(family: str, file: str, weight: int, slant: str, script: str) -> str:
    data = base64.b64encode(asset("publish", "fonts", f"{file}-{script}.woff2")).decode("ascii")
    reach = "unicode-range:U+370-52F;" if script == "east" else ""
    return (
        f'@font-face{{font-family:"{family}";font-weight:{weight};font-style:{slant};{reach}'
        f"src:url(data:font/woff2;base64,{data}) format('woff2')}}"
    )


def _policy(style: str) -> str:
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode("ascii")
    return (
        f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; font-src data:; "
        "base-uri 'none'; form-action 'none'"
    )


@cache
def _template() -> Any:
    environment = Environment(
        loader=BaseLoader(),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.from_string(text("publish", "page.html"))

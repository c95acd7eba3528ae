"""Drawings made part of a page: named for screen readers and coloured by the page."""

from __future__ import annotations

import re
from xml.etree import ElementTree as Tree

from lees.chart.look import Palette
from lees.publish.drawings import Drawing

SVG = "http://www.w3.org/2000/svg"
PAINTS = ("fill", "stroke")
ALLOWED = {"svg", "g", "path", "line", "rect", "text", "tspan", "title", "desc"}
ATTRIBUTES = {
    "d",
    "x",
    "y",
    "x1",
    "x2",
    "y1",
    "y2",
    "width",
    "height",
    "viewBox",
    "transform",
    "fill",
    "stroke",
    "stroke-width",
    "stroke-dasharray",
    "stroke-linejoin",
    "stroke-linecap",
    "stroke-miterlimit",
    "stroke-opacity",
    "fill-opacity",
    "opacity",
    "font-size",
    "font-weight",
    "font-style",
    "text-anchor",
    "display",
}

Tree.register_namespace("", SVG)


def inline_svg(drawing: Drawing, palette: Palette, title: str) -> str:
    """Return a drawing for a page: its inks become the page's own, its text says what it shows.

    Inks of the palette become the custom properties `--ink`, `--quiet`, `--faint` and `--accent`,
    so that one drawing serves light and dark.
    """
    root = Tree.fromstring(drawing.svg)  # noqa: S314 - our own drawings alone are read
    inks = {
        palette.ink: "var(--ink)",
        palette.quiet: "var(--quiet)",
        palette.faint: "var(--faint)",
        palette.accent: "var(--accent)",
    }
    kept = _kept(root, inks)
    assert kept is not None
    width, height = (round(float(root.get(side, "0")), 2) for side in ("width", "height"))
    kept.attrib.clear()
    kept.set("viewBox", f"0 0 {width:g} {height:g}")
    kept.set("width", f"{width:g}")
    kept.set("height", f"{height:g}")
    kept.set("class", "chart")
    kept.set("role", "img")
    name = f"chart-{drawing.name}"
    kept.set("aria-labelledby", f"{name}-title {name}-desc")
    for tag, text in (("desc", drawing.says), ("title", title)):
        element = Tree.Element(f"{{{SVG}}}{tag}", {"id": f"{name}-{tag}"})
        element.text = text
        kept.insert(0, element)
    return Tree.tostring(kept, encoding="unicode")


def _kept(element: Tree.Element, inks: dict[str, str]) -> Tree.Element | None:
    """Return a copy of what a drawing needs, and of nothing else that a file may hold."""
    tag = element.tag.rpartition("}")[2]
    if tag not in ALLOWED or element.get("display") == "none":
        return None
    copy = Tree.Element(f"{{{SVG}}}{tag}")
    for name, value in element.attrib.items():
        if name in ATTRIBUTES:
            copy.set(name, inks.get(value, value) if name in PAINTS else _short(value))
    copy.text = element.text
    for child in element:
        one = _kept(child, inks)
        if one is not None:
            copy.append(one)
    if tag == "g" and not len(copy):
        return None
    return copy


def _short(value: str) -> str:
    """Cut decimals that no eye sees."""
    return re.sub(
        r"-?\d+\.\d{3,}", lambda found: f"{float(found.group()):.2f}".rstrip("0").rstrip("."), value
    )

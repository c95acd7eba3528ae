"""The pieces that charts are put together from, as Vega-Lite layers.

Heights are laid out here in pixels, so that letters sit on one line with the marks they name;
along the width, data stand on a real scale.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from lees.chart.look import Look
from lees.quantity.data import rows

Spec = dict[str, Any]
Rows = Sequence[Mapping[str, Any]]

SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"


@dataclass(frozen=True, slots=True)
class Margins:
    """The room around the plot, in pixels."""

    left: float = 0.0
    top: float = 0.0
    right: float = 0.0
    bottom: float = 0.0


def chart(
    look: Look, layers: Iterable[Spec], *, height: float, margins: Margins, says: str
) -> Spec:
    """Return a whole chart of some layers.

    Parameters
    ----------
    look : Look
        How it is drawn.
    layers : iterable of Spec
        Its layers, from the back to the front; those without rows are left out.
    height : float
        The height of the plot. [px]
    margins : Margins
        The room around the plot.
    says : str
        What it says in words.

    Returns
    -------
    Spec
        The chart.
    """
    palette = look.palette
    return {
        "$schema": SCHEMA,
        "description": says,
        "width": round(look.width_px - margins.left - margins.right, 2),
        "height": round(height, 2),
        "padding": {
            "left": round(margins.left, 2),
            "top": round(margins.top, 2),
            "right": round(margins.right, 2),
            "bottom": round(margins.bottom, 2),
        },
        "autosize": {"type": "none"},
        "background": palette.ground or "transparent",
        "layer": [layer for layer in layers if layer["data"]["values"]],
        "config": {
            "aria": False,
            "font": look.font,
            "view": {"stroke": None},
            "axis": {
                "grid": False,
                "domain": False,
                "ticks": False,
                "labelColor": palette.quiet,
                "labelFontSize": look.text_px * 0.92,
                "titleColor": palette.quiet,
                "titleFontSize": look.text_px * 0.92,
                "titleFontWeight": "normal",
                "labelPadding": 4 * look.unit,
                "titlePadding": 5 * look.unit,
            },
            "text": {"fontSize": look.text_px, "color": palette.ink, "baseline": "middle"},
        },
    }


def layer(marked: Rows, mark: Mapping[str, Any], **encoding: Any) -> Spec:
    """Return one layer: some rows, a mark and what the mark shows."""
    return {
        "data": {"values": [dict(row) for row in marked]},
        "mark": dict(mark),
        "encoding": encoding,
    }


def at_pixel(field: str) -> Spec:
    """Return a channel whose numbers are pixels already."""
    return {"field": field, "type": "quantitative", "scale": None, "axis": None}


def texts(marked: Rows, look: Look, **mark: Any) -> Spec:
    """Return a layer of letters at `x`, `y`, in pixels from the plot's top left."""
    style = {"type": "text", "align": "left", "limit": 0, **mark}
    return layer(marked, style, x=at_pixel("x"), y=at_pixel("y"), text={"field": "text"})


def lines(marked: Rows, **mark: Any) -> Spec:
    """Return a layer of straight lines from `x`, `y` to `x2`, `y2`, in pixels."""
    encoding = {
        "x": at_pixel("x"),
        "y": at_pixel("y"),
        "x2": {"field": "x2"},
        "y2": {"field": "y2"},
    }
    return layer(marked, {"type": "rule", **mark}, **encoding)


def dots(marked: Rows, **mark: Any) -> Spec:
    """Return a layer of marks at `x`, `y`, in pixels."""
    style = {"type": "point", "filled": True, "opacity": 1, **mark}
    return layer(marked, style, x=at_pixel("x"), y=at_pixel("y"))


def width_of(text: str, size_px: float) -> float:
    """Return how wide a text stands in Lees Sans, kerning aside.

    Parameters
    ----------
    text : str
        The text.
    size_px : float
        The size of its letters. [px]

    Returns
    -------
    float
        Its width. [px]
    """
    widths = _advances()
    return sum(widths.get(letter, 0.7) for letter in text) * size_px


@cache
def _advances() -> dict[str, float]:
    return {
        chr(int(row["point"], 16)): int(row["width"]) / 1000 for row in rows("chart", "advances")
    }

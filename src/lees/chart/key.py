"""The line under a chart that says what its marks mean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lees.chart.look import Look
from lees.chart.pieces import Spec, dots, lines, texts, width_of


@dataclass(frozen=True, slots=True)
class Sign:
    """One mark of a chart and what it means: a `band`, `tick`, `past`, `dot`, `ring` or `limit`."""

    mark: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Key:
    """A laid-out key: its layers and the height it takes."""

    layers: tuple[Spec, ...]
    height: float


def key(signs: Sequence[Sign], look: Look, *, left: float, top: float, width: float) -> Key:
    """Return the key of some signs, set in as many lines as the width asks for.

    Parameters
    ----------
    signs : sequence of Sign
        The marks to explain.
    look : Look
        How they are drawn.
    left : float
        Where the key starts. [px]
    top : float
        How far down from the plot's top it starts. [px]
    width : float
        How wide it may stand. [px]

    Returns
    -------
    Key
        Its layers and its height.
    """
    size, unit, palette = look.text_px * 0.88, look.unit, look.palette
    x, y = left, top + size
    step, glyph, gap = size * 1.65, 17 * unit, 14 * unit
    words: list[dict[str, object]] = []
    placed: dict[str, list[dict[str, float]]] = {}
    for sign in signs:
        wide = glyph + 5 * unit + width_of(sign.meaning, size)
        if x > left and x + wide > left + width:
            x, y = left, y + step
        words.append({"x": x + glyph + 5 * unit, "y": y, "text": sign.meaning})
        placed.setdefault(sign.mark, []).append({"x": x, "x2": x + glyph, "y": y, "y2": y})
        x += wide + gap
    middle = {
        mark: [{**p, "x": p["x"] + glyph / 2} for p in places] for mark, places in placed.items()
    }
    upright = {
        mark: [
            {"x": p["x"], "x2": p["x"], "y": p["y"] - 5 * unit, "y2": p["y"] + 5 * unit}
            for p in places
        ]
        for mark, places in middle.items()
    }
    layers = (
        lines(placed.get("band", ()), color=palette.faint, strokeWidth=9 * unit),
        lines(upright.get("tick", ()), color=palette.quiet, strokeWidth=1.3 * unit),
        lines(
            _shorter(upright.get("past", []), 2 * unit), color=palette.quiet, strokeWidth=1 * unit
        ),
        lines(placed.get("dot", ()), color=palette.accent, strokeWidth=1.6 * unit),
        dots(middle.get("dot", ()), color=palette.accent, size=62 * unit**2),
        dots(
            middle.get("ring", ()),
            color=palette.ink,
            size=46 * unit**2,
            filled=False,
            strokeWidth=1.3 * unit,
        ),
        lines(upright.get("limit", ()), color=palette.ink, strokeWidth=2.6 * unit),
        texts(words, look, fontSize=size, color=palette.quiet),
    )
    return Key(tuple(layers), y + size - top)


def _shorter(rows: list[dict[str, float]], by: float) -> list[dict[str, float]]:
    return [{**row, "y": row["y"] + by, "y2": row["y2"] - by} for row in rows]

"""The spread: where each element of this fill lies among its peers, on one line each.

The scale is a ratio to the peers' middle at this fill's run, so that the run is already accounted
for and elements of quite different size stand side by side; it is logarithmic because peers spread
by factors.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, log2
from typing import Any

from lees.chart.key import Marks, Place, Sign, key, reach
from lees.chart.look import Look
from lees.chart.numbers import plain
from lees.chart.pieces import Axis, Margins, Pen, Spec, Stroke, Type, width_of
from lees.judge.findings import ElementRow
from lees.judge.wear import ADDITIVES

WIDEST = (-4, 7)
"""The scale goes from 1/16 to 128 times at most; what lies outside is drawn as an arrow."""

FRACTIONS = {0.0625: "1⁄16", 0.125: "⅛", 0.25: "¼", 0.5: "½", 1.0: "usual"}


def placeable(elements: Sequence[ElementRow]) -> tuple[ElementRow, ...]:
    """Return the elements that have peers or a mean to stand against; additives do not wear."""
    return tuple(row for row in elements if row.key not in ADDITIVES and _usual(row) > 0)


def spread(elements: Sequence[ElementRow], look: Look) -> Spec:
    """Return the spread of the elements that can be placed; see `placeable`."""
    rows = placeable(elements)
    pen, size = Pen(look), look.text_px
    columns, bounds = _columns(rows, look), _bounds(rows)
    height = look.row * size * len(rows)
    place = Place(-columns.left, height + 1.9 * size, look.width_px)
    legend = key(_signs(rows), look, place)
    top = 1.7 * size if columns.rate else 0.3 * size
    margins = Margins(columns.left, top, columns.right, 1.9 * size + legend.height)
    data = [_datum(row, (i + 0.5) * look.row * size, bounds) for i, row in enumerate(rows)]
    layers = [
        *_scale(bounds, height, look),
        *_marks(data, bounds, look),
        *legend.layers,
        *_letters(rows, columns, look),
    ]
    return pen.chart(layers, height, margins, spread_in_words(rows))


def spread_in_words(elements: Sequence[ElementRow]) -> str:
    """Return what the spread shows, for those who do not see it."""
    said = []
    for row in placeable(elements):
        times = plain(float(f"{row.value.value / _usual(row):.2g}"))
        against = "its peers' middle" if row.peers_middle else "the mean on the report"
        said.append(f"{row.name} {row.text}, {times} times {against}")
    return f"Each element against what is usual at this run. {'; '.join(said)}."


@dataclass(frozen=True, slots=True)
class _Columns:
    """Room for names on the left, values and rates on the right, in pixels."""

    left: float
    value: float
    rate: float
    right: float


def _usual(row: ElementRow) -> float:
    return row.peers_middle or row.mean or 0.0


def _bounds(rows: Sequence[ElementRow]) -> tuple[int, int]:
    """Return the powers of two between which all that is known lies."""
    seen = [1.0]
    for row in rows:
        values = (row.value.value, row.peers_low, row.peers_high, row.limit, *row.past)
        seen += [value / _usual(row) for value in values if value is not None and value > 0]
    low, high = floor(log2(min(seen)) - 0.1), ceil(log2(max(seen)) + 0.1)
    return max(WIDEST[0], min(-2, low)), min(WIDEST[1], max(2, high))


def _columns(rows: Sequence[ElementRow], look: Look) -> _Columns:
    gap, small = 12 * look.unit, 0.92 * look.text_px
    left = max(width_of(row.name, look.text_px) for row in rows)
    value = max(width_of(row.text, look.text_px) for row in rows)
    rate = max(width_of(text, small) for text in (*map(_rate, rows), _rate_unit(rows)))
    if look.is_narrow or not look.scale_numbers:
        rate = 0.0
    left, value = min(left, 0.27 * look.width_px), min(value, 0.26 * look.width_px)
    right = value + gap + (rate + gap if rate else 0)
    return _Columns(left + gap, value, rate, right)


def _datum(row: ElementRow, y: float, bounds: tuple[int, int]) -> dict[str, Any]:
    least, most = 2.0 ** bounds[0], 2.0 ** bounds[1]

    def times(value: float | None) -> float | None:
        return None if value is None else min(max(value / _usual(row), least), most)

    low, high = row.value.interval()
    ratio = row.value.value / _usual(row)
    peers = row.peers_low is not None and row.peers_high is not None
    return {
        "key": row.key,
        "y": y,
        "usual": 1.0,
        "ratio": times(row.value.value),
        "low": times(low),
        "high": times(high),
        "peers_low": times(row.peers_low) if peers else None,
        "peers_high": times(row.peers_high) if peers else None,
        "past": [times(value) for value in row.past],
        "limit": times(row.limit),
        "beyond": "left" if ratio < least else "right" if ratio > most else None,
    }


def _axis(bounds: tuple[int, int]) -> Axis:
    domain = [2.0 ** bounds[0], 2.0 ** bounds[1]]
    return Axis({"type": "log", "base": 2, "domain": domain, "nice": False})


def _scale(bounds: tuple[int, int], height: float, look: Look) -> list[Spec]:
    every = 2 if bounds[1] - bounds[0] > 5 and look.is_narrow else 1
    marked = [2.0**n for n in range(bounds[0], bounds[1] + 1) if n % every == 0]
    lines = [{"at": at, "y": 0, "y2": height} for at in marked]
    named = [{"at": at, "y": height + look.text_px, "text": _times(at, look)} for at in marked]
    pen, x, palette = Pen(look), _axis(bounds), look.palette
    return [
        pen.upright(lines, Stroke(palette.faint, 0.7), x, "at"),
        pen.words(
            [row for row in named if row["text"]], Type(palette.quiet, 0.92, "center"), x, "at"
        ),
    ]


def _times(at: float, look: Look) -> str:
    if not look.scale_numbers:
        return FRACTIONS[1.0] if at == 1 else ""
    return FRACTIONS.get(at, f"{at:g}×")


def _marks(data: list[dict[str, Any]], bounds: tuple[int, int], look: Look) -> list[Spec]:
    pen, marks, x = Pen(look), Marks(look), _axis(bounds)
    peers = [row for row in data if row["peers_low"] is not None]
    past = [{"y": row["y"], "past": value} for row in data for value in row["past"]]
    limits = [row for row in data if row["limit"] is not None]
    inside = [row for row in data if row["beyond"] is None]
    return [
        pen.across(peers, marks.band, x, "peers_low peers_high"),
        pen.upright(reach(data, "tick", look), marks.tick, x, "usual"),
        pen.upright(reach(past, "past", look), marks.past, x, "past"),
        pen.upright(reach(limits, "limit", look), marks.limit, x, "limit"),
        pen.across(inside, marks.bar, x, "low high"),
        pen.dots(inside, marks.dot, x, "ratio"),
        *(
            pen.dots([row for row in data if row["beyond"] == side], marks.arrow(side), x, "ratio")
            for side in ("left", "right")
        ),
    ]


def _letters(rows: Sequence[ElementRow], columns: _Columns, look: Look) -> list[Spec]:
    pen, palette, size = Pen(look), look.palette, look.text_px
    plot = look.width_px - columns.left - columns.right
    heights = [(i + 0.5) * look.row * size for i in range(len(rows))]

    def column(x: float, texts: list[str]) -> list[dict[str, object]]:
        return [{"x": x, "y": y, "text": text} for y, text in zip(heights, texts, strict=True)]

    value_x = plot + columns.right - (columns.rate + 12 * look.unit if columns.rate else 0)
    names = column(-columns.left, [row.name for row in rows])
    values = column(value_x, [row.text for row in rows])
    layers = [
        pen.words(names, Type(palette.ink, limit=columns.left - 4 * look.unit)),
        pen.words(values, Type(palette.ink, align="right", limit=columns.value + 2)),
    ]
    if columns.rate:
        right = plot + columns.right
        rates = column(right, [_rate(row) for row in rows])
        head = [{"x": right, "y": -0.75 * size, "text": _rate_unit(rows)}]
        kind = Type(palette.quiet, 0.92, "right")
        layers += [pen.words(rates, kind), pen.words(head, kind)]
    return layers


def _rate(row: ElementRow) -> str:
    return plain(float(f"{row.rate.value:.2g}")) if row.rate else ""


def _rate_unit(rows: Sequence[ElementRow]) -> str:
    return next((row.rate_unit for row in rows if row.rate and row.rate_unit), "")


def _signs(rows: Sequence[ElementRow]) -> list[Sign]:
    peers = any(row.peers_middle for row in rows)
    signs = [
        Sign("dot", "this fill, 95 % interval"),
        Sign("band", "nine in ten of its peers") if peers else None,
        Sign("tick", "their middle" if peers else "the report's mean"),
        Sign("past", "this engine before") if any(row.past for row in rows) else None,
        Sign("limit", "limit") if any(row.limit is not None for row in rows) else None,
    ]
    return [sign for sign in signs if sign]

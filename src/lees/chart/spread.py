"""The spread: where each element of this fill lies among its peers, on one line each.

The scale is a ratio to the peers' middle at this fill's run, so that the run is already accounted
for and elements of quite different size stand side by side; it is logarithmic because peers spread
by factors (Vega-Lite 6, layered view).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor, log2

from lees.chart.key import Key, Sign, key
from lees.chart.look import Look
from lees.chart.numbers import plain
from lees.chart.pieces import Margins, Spec, at_pixel, chart, layer, texts, width_of
from lees.judge.findings import ElementRow

WIDEST = (-4, 7)
"""The scale goes from 1/16 to 128 times at most; what lies outside is drawn as an arrow."""

FRACTIONS = {0.0625: "1⁄16", 0.125: "⅛", 0.25: "¼", 0.5: "½", 1.0: "usual"}


def placeable(elements: Sequence[ElementRow]) -> tuple[ElementRow, ...]:
    """Return the elements that have peers or a mean to stand against."""
    return tuple(row for row in elements if _usual(row))


def spread(elements: Sequence[ElementRow], look: Look) -> Spec:
    """Return the spread of the elements that can be placed; see `placeable`."""
    rows = placeable(elements)
    step, top = look.text_px * 2.05, look.text_px * 1.9
    height = step * len(rows)
    low, high = _domain(rows)
    columns = _columns(rows, look)
    margins = Margins(left=columns["left"], top=top, right=columns["right"])
    plot = look.width_px - margins.left - margins.right
    legend = _key(rows, look, top=height + look.text_px * 1.9)
    margins = Margins(margins.left, margins.top, margins.right, look.text_px * 1.9 + legend.height)
    data = [_datum(row, (i + 0.5) * step, (2.0**low, 2.0**high)) for i, row in enumerate(rows)]
    layers = [
        *_scale(low, high, height, look),
        *_marks(data, look, (2.0**low, 2.0**high)),
        *_letters(data, rows, look, plot),
        *legend.layers,
    ]
    return chart(look, layers, height=height, margins=margins, says=spread_in_words(rows))


def spread_in_words(elements: Sequence[ElementRow]) -> str:
    """Return what the spread shows, for those who do not see it."""
    said = []
    for row in placeable(elements):
        usual = _usual(row) or 1.0
        times = row.value.value / usual
        against = "its peers' middle" if row.peers_middle else "the mean on the report"
        said.append(f"{row.name} {row.text}, {plain(round(times, 2))} times {against}")
    return f"Each element against what is usual at this run. {'; '.join(said)}."


def _usual(row: ElementRow) -> float | None:
    usual = row.peers_middle or row.mean
    return usual if usual and usual > 0 else None


def _domain(rows: Sequence[ElementRow]) -> tuple[int, int]:
    seen = [1.0]
    for row in rows:
        usual = _usual(row) or 1.0
        values = (row.value.value, row.peers_low, row.peers_high, *row.past)
        seen += [v / usual for v in values if v is not None and v > 0]
    low, high = floor(log2(min(seen)) - 0.15), ceil(log2(max(seen)) + 0.15)
    return max(WIDEST[0], min(-2, low)), min(WIDEST[1], max(2, high))


def _columns(rows: Sequence[ElementRow], look: Look) -> dict[str, float]:
    pad = 10 * look.unit
    left = max((width_of(row.name, look.text_px) for row in rows), default=0.0)
    value = max((width_of(row.text, look.text_px) for row in rows), default=0.0)
    rate = max((width_of(_rate(row), look.text_px * 0.92) for row in rows), default=0.0)
    rate = (
        0.0
        if look.is_narrow or not rate
        else max(rate, width_of(_rate_unit(rows), look.text_px * 0.92))
    )
    left, value = min(left, look.width_px * 0.26), min(value, look.width_px * 0.24)
    return {"left": left + pad, "value": value, "right": value + pad + (rate + pad if rate else 0)}


def _datum(row: ElementRow, y: float, bounds: tuple[float, float]) -> dict[str, object]:
    usual = _usual(row) or 1.0
    low, high = row.value.interval()
    ratio = row.value.value / usual
    return {
        "key": row.key,
        "y": y,
        "ratio": min(max(ratio, bounds[0]), bounds[1]),
        "usual": 1.0,
        "under": ratio < bounds[0],
        "over": ratio > bounds[1],
        "low": max(low / usual, bounds[0]),
        "high": min(max(high / usual, bounds[0]), bounds[1]),
        "peers_low": _held(row.peers_low, usual, bounds),
        "peers_high": _held(row.peers_high, usual, bounds),
        "past": [_held(value, usual, bounds) for value in row.past if value > 0],
        "limit": None if row.limit is None else _held(row.limit, usual, bounds),
    }


def _held(value: float | None, usual: float, bounds: tuple[float, float]) -> float | None:
    return None if value is None else min(max(value / usual, bounds[0]), bounds[1])


def _ratio(field: str, low: int, high: int) -> Spec:
    return {
        "field": field,
        "type": "quantitative",
        "axis": None,
        "scale": {"type": "log", "base": 2, "domain": [2.0**low, 2.0**high], "nice": False},
    }


def _scale(low: int, high: int, height: float, look: Look) -> list[Spec]:
    every = 1 if high - low <= 6 or not look.is_narrow else 2
    marked = [2.0**n for n in range(low, high + 1) if n % every == 0]
    rows = [{"at": at, "y": 0, "y2": height} for at in marked]
    named = [{"at": at, "y": height + look.text_px, "text": _times(at, look)} for at in marked]
    x = _ratio("at", low, high)
    colour, unit = look.palette.faint, look.unit
    return [
        layer(
            rows,
            {"type": "rule", "color": colour, "strokeWidth": 0.7 * unit},
            x=x,
            y=at_pixel("y"),
            y2={"field": "y2"},
        ),
        layer(
            [row for row in named if row["text"]],
            {
                "type": "text",
                "align": "center",
                "color": look.palette.quiet,
                "fontSize": look.text_px * 0.92,
            },
            x=x,
            y=at_pixel("y"),
            text={"field": "text"},
        ),
    ]


def _times(at: float, look: Look) -> str:
    if not look.scale_numbers:
        return FRACTIONS[1.0] if at == 1 else ""
    return FRACTIONS.get(at, f"{at:g}×")


def _marks(data: list[dict[str, object]], look: Look, bounds: tuple[float, float]) -> list[Spec]:
    palette, unit = look.palette, look.unit
    low, high = round(log2(bounds[0])), round(log2(bounds[1]))

    def x(field: str) -> Spec:
        return _ratio(field, low, high)

    y = at_pixel("y")
    peers = [row for row in data if row["peers_low"] is not None and row["peers_high"] is not None]
    past = [{"y": row["y"], "past": value} for row in data for value in row["past"]]  # type: ignore[attr-defined]
    inside = [row for row in data if not row["under"] and not row["over"]]
    limits = [row for row in data if row["limit"] is not None]
    stroke = {"type": "point", "shape": "stroke", "angle": 90, "opacity": 1, "filled": False}
    return [
        layer(
            peers,
            {"type": "rule", "color": palette.faint, "strokeWidth": 9 * unit},
            x=x("peers_low"),
            x2={"field": "peers_high"},
            y=y,
        ),
        layer(
            data,
            {**stroke, "color": palette.quiet, "size": 120 * unit**2, "strokeWidth": 1.3 * unit},
            x=x("usual"),
            y=y,
        ),
        layer(
            past,
            {**stroke, "color": palette.quiet, "size": 36 * unit**2, "strokeWidth": 1.0 * unit},
            x=x("past"),
            y=y,
        ),
        layer(
            limits,
            {**stroke, "color": palette.ink, "size": 150 * unit**2, "strokeWidth": 2.6 * unit},
            x=x("limit"),
            y=y,
        ),
        layer(
            inside,
            {"type": "rule", "color": palette.accent, "strokeWidth": 1.6 * unit},
            x=x("low"),
            x2={"field": "high"},
            y=y,
        ),
        layer(
            inside,
            {
                "type": "point",
                "filled": True,
                "opacity": 1,
                "color": palette.accent,
                "size": 62 * unit**2,
            },
            x=x("ratio"),
            y=y,
        ),
        *(
            layer(
                [row for row in data if row[side]],
                {
                    "type": "point",
                    "shape": shape,
                    "filled": True,
                    "opacity": 1,
                    "color": palette.accent,
                    "size": 62 * unit**2,
                },
                x=x("ratio"),
                y=y,
            )
            for side, shape in (("under", "triangle-left"), ("over", "triangle-right"))
        ),
    ]


def _letters(
    data: list[dict[str, object]], rows: Sequence[ElementRow], look: Look, plot: float
) -> list[Spec]:
    columns, pad, palette = _columns(rows, look), 10 * look.unit, look.palette
    value_x = plot + pad + columns["value"]
    rate_x = plot + columns["right"]
    names = [
        {"x": -columns["left"], "y": d["y"], "text": row.name}
        for d, row in zip(data, rows, strict=True)
    ]
    values = [
        {"x": value_x, "y": d["y"], "text": row.text} for d, row in zip(data, rows, strict=True)
    ]
    layers = [
        texts(names, look, limit=columns["left"] - pad / 2),
        texts(values, look, align="right", limit=columns["value"]),
    ]
    if rate_x > value_x:
        rates = [
            {"x": rate_x, "y": d["y"], "text": _rate(row)}
            for d, row in zip(data, rows, strict=True)
        ]
        head = [{"x": rate_x, "y": -0.8 * look.text_px, "text": _rate_unit(rows)}]
        small = look.text_px * 0.92
        layers += [
            texts(rates, look, align="right", color=palette.quiet),
            texts(head, look, align="right", color=palette.quiet, fontSize=small),
        ]
    return layers


def _rate(row: ElementRow) -> str:
    return plain(float(f"{row.rate.value:.2g}")) if row.rate else ""


def _rate_unit(rows: Sequence[ElementRow]) -> str:
    return next((row.rate_unit for row in rows if row.rate and row.rate_unit), "")


def _key(rows: Sequence[ElementRow], look: Look, *, top: float) -> Key:
    signs = [Sign("dot", "this fill, 95 % interval")]
    if any(row.peers_low is not None for row in rows):
        signs.append(Sign("band", "nine in ten of its peers"))
    signs.append(
        Sign(
            "tick", "their middle" if any(row.peers_middle for row in rows) else "the report's mean"
        )
    )
    if any(row.past for row in rows):
        signs.append(Sign("past", "this engine before"))
    if any(row.limit is not None for row in rows):
        signs.append(Sign("limit", "limit"))
    columns = _columns(rows, look)
    return key(signs, look, left=-columns["left"], top=top, width=look.width_px)

"""Measured parts against what is customary, each on a line, the custom drawn alike for all."""

from __future__ import annotations

from collections.abc import Sequence

from lees.chart.look import Look
from lees.chart.numbers import plain, with_interval
from lees.chart.pieces import Margins, Spec, at_pixel, chart, layer, texts, width_of
from lees.judge.findings import MeasuredRow


def comparable(measured: Sequence[MeasuredRow]) -> tuple[MeasuredRow, ...]:
    """Return the rows that have both bounds of a customary range."""
    return tuple(
        row
        for row in measured
        if row.low is not None and row.high is not None and row.high > row.low
    )


def parts_in_range(measured: Sequence[MeasuredRow], look: Look) -> Spec:
    """Return the chart of measured parts that have a customary range; see `comparable`."""
    rows = comparable(measured)
    size, unit, palette = look.text_px, look.unit, look.palette
    left = min(max(width_of(row.what, size) for row in rows), look.width_px * 0.34) + 12 * unit
    right = min(max(width_of(_value(row), size) for row in rows), look.width_px * 0.34) + 12 * unit
    plot, step = look.width_px - left - right, size * 2.3
    band = (plot * 0.3, plot * 0.7)
    bands, bars, names, values, bounds = [], [], [], [], []
    inside: list[dict[str, object]] = []
    arrows: list[dict[str, object]] = []
    for i, row in enumerate(rows):
        y = step * (i + 0.5)
        x, low, high = (
            _place(row, v, band)
            for v in (
                row.value.value,
                row.value.value - row.expanded,
                row.value.value + row.expanded,
            )
        )
        bands.append({"x": band[0], "x2": band[1], "y": y})
        beyond = not 0 <= x <= plot
        (arrows if beyond else inside).append(
            {"x": min(max(x, 0), plot), "y": y, "side": "right" if x > plot else "left"}
        )
        if not beyond:
            bars.append({"x": max(low, 0), "x2": min(high, plot), "y": y})
        names.append({"x": -left, "y": y, "text": row.what})
        values.append({"x": plot + right, "y": y, "text": _value(row)})
        bounds += [
            {"x": band[0] - 4 * unit, "y": y, "text": plain(row.low or 0), "side": "left"},
            {"x": band[1] + 4 * unit, "y": y, "text": plain(row.high or 0), "side": "right"},
        ]
    across = {"x": at_pixel("x"), "x2": {"field": "x2"}, "y": at_pixel("y")}
    spot = {"x": at_pixel("x"), "y": at_pixel("y")}
    small = {"color": palette.quiet, "fontSize": size * 0.85}
    layers = [
        layer(bands, {"type": "rule", "color": palette.faint, "strokeWidth": 9 * unit}, **across),
        texts([b for b in bounds if b["side"] == "left"], look, align="right", **small),
        texts([b for b in bounds if b["side"] == "right"], look, align="left", **small),
        layer(bars, {"type": "rule", "color": palette.accent, "strokeWidth": 1.6 * unit}, **across),
        layer(
            inside,
            {
                "type": "point",
                "filled": True,
                "opacity": 1,
                "color": palette.accent,
                "size": 62 * unit**2,
            },
            **spot,
        ),
        *(
            layer(
                [a for a in arrows if a["side"] == side],
                {
                    "type": "point",
                    "shape": f"triangle-{side}",
                    "filled": True,
                    "opacity": 1,
                    "color": palette.accent,
                    "size": 70 * unit**2,
                },
                **spot,
            )
            for side in ("left", "right")
        ),
        texts(names, look, limit=left - 4 * unit),
        texts(values, look, align="right", limit=right),
    ]
    return chart(
        look,
        layers,
        height=step * len(rows),
        margins=Margins(left, 0, right, 0),
        says=parts_in_words(measured),
    )


def parts_in_words(measured: Sequence[MeasuredRow]) -> str:
    """Return what the chart of parts shows, for those who do not see it."""
    said = [
        f"{row.what} {_value(row)}, customarily {plain(row.low or 0)} to {plain(row.high or 0)}"
        for row in comparable(measured)
    ]
    return f"Measured parts against what is customary: {'; '.join(said)}."


def _place(row: MeasuredRow, value: float, band: tuple[float, float]) -> float:
    low, high = row.low or 0.0, row.high or 1.0
    return band[0] + (value - low) / (high - low) * (band[1] - band[0])


def _value(row: MeasuredRow) -> str:
    return with_interval(row.value, row.expanded)

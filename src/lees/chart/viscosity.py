"""Viscosity in its grade: fresh, now, and the bounds of the grade at 100 °C (SAE J300)."""

from __future__ import annotations

from lees.chart.look import Look
from lees.chart.numbers import plain
from lees.chart.pieces import Margins, Spec, at_pixel, chart, layer, texts, width_of
from lees.judge.findings import OilCondition, PropertyRow


def viscosity_row(oil: OilCondition) -> PropertyRow | None:
    """Return the row of viscosity at 100 °C, where it is there."""
    return next((row for row in oil.properties if row.key == "kv100"), None)


def has_grade(oil: OilCondition) -> bool:
    """Tell whether there is a viscosity and a bound of its grade to draw."""
    bounds = (oil.grade_low_mm2_s, oil.grade_high_mm2_s)
    return viscosity_row(oil) is not None and any(bound is not None for bound in bounds)


def viscosity_in_grade(oil: OilCondition, look: Look) -> Spec:
    """Return the chart of an oil that has a viscosity and a grade; see `has_grade`."""
    row = viscosity_row(oil)
    assert row is not None
    size, unit, palette = look.text_px, look.unit, look.palette
    low, high = oil.grade_low_mm2_s, oil.grade_high_mm2_s
    points = [v for v in (low, high, row.value.value, row.fresh.value if row.fresh else None) if v]
    room = 0.28 * max(max(points) - min(points), 0.2 * max(points))
    start, end = max(0.0, min(points) - room), max(points) + room
    plot = look.width_px
    height = size * 3.4

    def x(value: float) -> float:
        return min(max(plot * (value - start) / (end - start), 0.0), plot)

    y = height / 2
    band = [
        {"x": x(low) if low is not None else 0, "x2": x(high) if high is not None else plot, "y": y}
    ]
    ends = [
        {"x": x(b), "y": y - size * 0.95, "y2": y + size * 0.95}
        for b in (low, high)
        if b is not None
    ]
    bounds = [
        {"x": x(b), "y": height + size * 0.2, "text": plain(b)}
        for b in (low, high)
        if b is not None
    ]
    grade = (
        [
            {
                "x": (band[0]["x"] + band[0]["x2"]) / 2,
                "y": height + size * 0.2,
                "text": f"grade {oil.grade}",
            }
        ]
        if oil.grade
        else []
    )
    at_low, at_high = row.value.interval()
    dot = [{"x": x(row.value.value), "y": y}]
    bar = [{"x": x(at_low), "x2": x(at_high), "y": y}]
    fresh = [{"x": x(row.fresh.value), "y": y}] if row.fresh else []
    names = _apart(
        [
            ("now " + plain(row.value.value), x(row.value.value)),
            *([(f"fresh {plain(row.fresh.value)}", x(row.fresh.value))] if row.fresh else []),
        ],
        size,
        plot,
    )
    across = {"x": at_pixel("x"), "x2": {"field": "x2"}, "y": at_pixel("y")}
    spot = {"x": at_pixel("x"), "y": at_pixel("y")}
    layers = [
        layer(band, {"type": "rule", "color": palette.faint, "strokeWidth": 14 * unit}, **across),
        layer(
            ends,
            {"type": "rule", "color": palette.ink, "strokeWidth": 1.6 * unit},
            x=at_pixel("x"),
            y=at_pixel("y"),
            y2={"field": "y2"},
        ),
        layer(bar, {"type": "rule", "color": palette.accent, "strokeWidth": 1.8 * unit}, **across),
        layer(
            fresh,
            {
                "type": "point",
                "filled": False,
                "opacity": 1,
                "color": palette.ink,
                "size": 60 * unit**2,
                "strokeWidth": 1.4 * unit,
            },
            **spot,
        ),
        layer(
            dot,
            {
                "type": "point",
                "filled": True,
                "opacity": 1,
                "color": palette.accent,
                "size": 80 * unit**2,
            },
            **spot,
        ),
        texts(bounds, look, align="center", color=palette.quiet, fontSize=size * 0.92),
        texts(grade, look, align="center", color=palette.quiet, fontSize=size * 0.92),
        texts(
            [{"x": at, "y": -size * 0.1, "text": word} for word, at in names[:1]],
            look,
            align="center",
            color=palette.accent,
            fontWeight="bold",
        ),
        texts(
            [{"x": at, "y": -size * 0.1, "text": word} for word, at in names[1:]],
            look,
            align="center",
            color=palette.ink,
        ),
    ]
    margins = Margins(0, size * 1.0, 0, size * 1.2)
    return chart(look, layers, height=height, margins=margins, says=viscosity_in_words(oil))


def viscosity_in_words(oil: OilCondition) -> str:
    """Return what the chart of viscosity shows, for those who do not see it."""
    row = viscosity_row(oil)
    if row is None:
        return ""
    bounds = [
        f"{word} {plain(bound)}"
        for word, bound in (("from", oil.grade_low_mm2_s), ("to under", oil.grade_high_mm2_s))
        if bound is not None
    ]
    fresh = f", fresh {plain(row.fresh.value)}" if row.fresh else ""
    return f"{row.name}: {row.text}{fresh}; the grade goes {' '.join(bounds)} {row.value.unit}."


def _apart(named: list[tuple[str, float]], size: float, plot: float) -> list[tuple[str, float]]:
    """Push labels apart and back inside the plot."""
    half = [width_of(word, size) / 2 for word, _ in named]
    if len(named) == 2:
        gap = half[0] + half[1] + size * 0.8
        a, b = named[0][1], named[1][1]
        if abs(a - b) < gap:
            centre, sign = (a + b) / 2, 1 if a >= b else -1
            named = [(named[0][0], centre + sign * gap / 2), (named[1][0], centre - sign * gap / 2)]
    return [(word, min(max(at, h), plot - h)) for (word, at), h in zip(named, half, strict=True)]

"""Particles on the media by size and kind, per 100 cm², with exact limits (Garwood, 1936)."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from lees.chart.look import Look
from lees.chart.numbers import plain
from lees.chart.pieces import Margins, Spec, at_pixel, chart, layer, texts, width_of
from lees.judge.findings import Caught

SHAPES = {"bright": "diamond", "dark": "circle", "fibre": "cross"}


def particles(caught: Sequence[Caught], look: Look) -> Spec:
    """Return the chart of particles caught, one row of marks for each kind."""
    size, unit, palette = look.text_px, look.unit, look.palette
    classes = _classes(caught)
    left = max((width_of(one.kind, size) for one in caught), default=0) + 12 * unit
    plot = look.width_px - left
    step = plot / len(classes)
    row = size * 4.6
    most = max(max(one.high, default=1.0) for one in caught) or 1.0
    rows: dict[str, list[dict[str, object]]] = {"bar": [], "dot": [], "none": [], "text": []}
    for i, one in enumerate(caught):
        base = row * (i + 1) - size * 1.5
        for start, count, value, low, high in zip(
            one.from_mm, one.counts, one.per_100_cm2, one.low, one.high, strict=True
        ):
            x = (classes.index(start) + 0.5) * step
            tall = {
                "low": _up(low, most, row),
                "at": _up(value, most, row),
                "high": _up(high, most, row),
            }
            rows["bar"].append({"x": x, "y": base - tall["low"], "y2": base - tall["high"]})
            rows["dot" if count else "none"].append(
                {"x": x, "y": base - tall["at"], "kind": one.kind}
            )
            rows["text"].append(
                {"x": x + 7 * unit, "y": base - tall["at"], "text": _per(value) if count else "0"}
            )
    grounds = [{"x": 0, "x2": plot, "y": row * (i + 1) - size * 1.5} for i in range(len(caught))]
    names = [
        {"x": -left, "y": row * (i + 1) - size * 1.5, "text": one.kind}
        for i, one in enumerate(caught)
    ]
    sizes = [
        {"x": (i + 0.5) * step, "y": row * len(caught) + size * 0.1, "text": word}
        for i, word in enumerate(_class_names(classes))
    ]
    upright = {"x": at_pixel("x"), "y": at_pixel("y"), "y2": {"field": "y2"}}
    spot = {"x": at_pixel("x"), "y": at_pixel("y")}
    kinds = [one.kind for one in caught]
    shape = {
        "field": "kind",
        "type": "nominal",
        "legend": None,
        "scale": {"domain": kinds, "range": [SHAPES.get(kind, "square") for kind in kinds]},
    }
    layers = [
        layer(
            grounds,
            {"type": "rule", "color": palette.faint, "strokeWidth": 0.8 * unit},
            x=at_pixel("x"),
            x2={"field": "x2"},
            y=at_pixel("y"),
        ),
        layer(
            rows["bar"],
            {"type": "rule", "color": palette.accent, "strokeWidth": 1.4 * unit},
            **upright,
        ),
        layer(
            rows["dot"],
            {
                "type": "point",
                "filled": True,
                "opacity": 1,
                "color": palette.accent,
                "size": 52 * unit**2,
            },
            **spot,
            shape=shape,
        ),
        layer(
            rows["none"],
            {
                "type": "point",
                "filled": False,
                "opacity": 1,
                "color": palette.quiet,
                "size": 30 * unit**2,
            },
            **spot,
        ),
        texts(rows["text"], look, fontSize=size * 0.92),
        texts(names, look, limit=left - 4 * unit),
        texts(sizes, look, align="center", color=palette.quiet, fontSize=size * 0.92),
        texts(
            [
                {
                    "x": 0,
                    "y": row * len(caught) + size * 1.5,
                    "text": "size of particle, mm; figures are per 100 cm² of media",
                }
            ],
            look,
            color=palette.quiet,
            fontSize=size * 0.92,
        ),
    ]
    margins = Margins(left, size * 0.4, 0, size * 2.4)
    return chart(
        look, layers, height=row * len(caught), margins=margins, says=particles_in_words(caught)
    )


def particles_in_words(caught: Sequence[Caught]) -> str:
    """Return what the chart of particles shows, for those who do not see it."""
    said = []
    for one in caught:
        names = _class_names(list(one.from_mm))
        counts = ", ".join(
            f"{_per(value)} of {name} mm"
            for value, name in zip(one.per_100_cm2, names, strict=True)
        )
        said.append(f"{one.kind}: {counts}; largest {plain(one.largest_mm)} mm")
    return f"Particles per 100 cm² of media. {'. '.join(said)}."


def _classes(caught: Sequence[Caught]) -> list[float]:
    return sorted({start for one in caught for start in one.from_mm})


def _class_names(classes: Sequence[float]) -> list[str]:
    closed = [f"{plain(a)}–{plain(b)}" for a, b in pairwise(classes)]
    return [*closed, f"from {plain(classes[-1])}"]


def _up(value: float, most: float, row: float) -> float:
    """Return how far up a number stands; the square root keeps both none and many readable."""
    return float((value / most) ** 0.5 * row * 0.62)


def _per(value: float) -> str:
    return plain(value) if value < 10 else plain(round(value))

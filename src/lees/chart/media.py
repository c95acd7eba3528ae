"""The media's area by strip and by pleats, and the ring of pleats seen from the end."""

from __future__ import annotations

from math import cos, pi, sin

from lees.chart.look import Look
from lees.chart.numbers import with_interval
from lees.chart.pieces import Margins, Spec, at_pixel, chart, layer, texts
from lees.judge.findings import MediaFound
from lees.quantity.measured import Measured


def areas(media: MediaFound) -> tuple[tuple[str, Measured], ...]:
    """Return the areas that are known, by how they were reckoned."""
    both = (("by the strip", media.area_by_strip), ("by the pleats", media.area_by_pleats))
    return tuple((name, value) for name, value in both if value is not None)


def media_areas(media: MediaFound, look: Look) -> Spec:
    """Return the chart of the areas that are known; see `areas`."""
    known = areas(media)
    size, unit, palette = look.text_px, look.unit, look.palette
    step = size * 3.0
    most = max(value.value + value.expanded() for _, value in known)
    bars, whiskers, names = [], [], []
    for i, (name, value) in enumerate(known):
        y = step * i + size * 2.0
        low, high = value.interval()
        scale = look.width_px / most
        bars.append({"x": 0, "x2": value.value * scale, "y": y})
        whiskers.append({"x": low * scale, "x2": high * scale, "y": y})
        names.append({"x": 0, "y": y - size * 1.25, "text": f"{name}: {with_interval(value)}"})
    across = {"x": at_pixel("x"), "x2": {"field": "x2"}, "y": at_pixel("y")}
    layers = [
        layer(bars, {"type": "rule", "color": palette.faint, "strokeWidth": 11 * unit}, **across),
        layer(
            whiskers, {"type": "rule", "color": palette.accent, "strokeWidth": 3 * unit}, **across
        ),
        texts(names, look),
    ]
    return chart(
        look, layers, height=step * len(known), margins=Margins(), says=areas_in_words(media)
    )


def areas_in_words(media: MediaFound) -> str:
    """Return what the chart of areas shows, for those who do not see it."""
    said = "; ".join(f"{name} {with_interval(value)}" for name, value in areas(media))
    return f"Area of the media, with 95 % intervals: {said}."


def has_ring(media: MediaFound) -> bool:
    """Tell whether the pleats were counted and are known well enough to draw."""
    return _pleats(media) >= 3


def pleat_ring(media: MediaFound, look: Look) -> Spec:
    """Return the pleats seen from the end, as many as were counted; see `has_ring`."""
    count = _pleats(media)
    outer = look.width_px / 2 * 0.98
    inner = outer * _inner_share(media, count)
    points = []
    for i in range(2 * count + 1):
        radius = outer if i % 2 == 0 else inner
        angle = pi * i / count - pi / 2
        points.append(
            {
                "i": i,
                "x": look.width_px / 2 + radius * cos(angle),
                "y": look.width_px / 2 + radius * sin(angle),
            }
        )
    stroke = {
        "type": "line",
        "color": look.palette.accent,
        "strokeWidth": max(1.0, look.width_px / 240),
        "strokeJoin": "round",
    }
    x = {**at_pixel("x")}
    layers = [
        layer(points, stroke, x=x, y=at_pixel("y"), order={"field": "i", "type": "quantitative"})
    ]
    says = f"The pleats seen from the end: {count} of them."
    return chart(look, layers, height=look.width_px, margins=Margins(), says=says)


def _pleats(media: MediaFound) -> int:
    return media.pleats or max(media.pleats_candidates, default=0)


def _inner_share(media: MediaFound, count: int) -> float:
    """Return the radius of the inner folds as a share of the outer, from what was measured."""
    if media.spacing_outer and media.spacing_inner and media.spacing_outer.value > 0:
        share = media.spacing_inner.value / media.spacing_outer.value
    elif media.depth and media.spacing_outer:
        radius = media.spacing_outer.value * count / (2 * pi)
        share = 1 - media.depth.to("mm").value / radius if radius > 0 else 0.5
    else:
        share = 0.5
    return min(max(share, 0.15), 0.9)

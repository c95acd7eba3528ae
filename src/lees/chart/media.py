"""The media's area by strip and by pleats, and the ring of pleats seen from the end."""

from __future__ import annotations

from math import cos, pi, sin

from lees.chart.key import Marks
from lees.chart.look import Look
from lees.chart.numbers import with_interval
from lees.chart.pieces import PIXELS, Margins, Pen, Spec, Stroke, Type
from lees.judge.findings import MediaFound
from lees.quantity.measured import Measured


def areas(media: MediaFound) -> tuple[tuple[str, Measured], ...]:
    """Return the areas that are known, by how they were reckoned."""
    both = (("by the strip", media.area_by_strip), ("by the pleats", media.area_by_pleats))
    return tuple((name, value) for name, value in both if value is not None)


def media_areas(media: MediaFound, look: Look) -> Spec:
    """Return the chart of the areas that are known, from zero; see `areas`."""
    known = areas(media)
    pen, palette, size = Pen(look), look.palette, look.text_px
    step = 3.0 * size
    scale = look.width_px / max(value.value + value.expanded() for _, value in known)
    bars, intervals, names = [], [], []
    for i, (name, value) in enumerate(known):
        y = step * i + 2.1 * size
        low, high = value.interval()
        bars.append({"x": 0, "x2": value.value * scale, "y": y})
        intervals.append({"x": max(low, 0) * scale, "x2": high * scale, "y": y})
        names.append({"x": 0, "y": y - 1.3 * size, "text": f"{with_interval(value)}, {name}"})
    layers = [
        pen.across(bars, Marks(look).band),
        pen.across(intervals, Stroke(palette.accent, 3)),
        pen.words(names, Type(palette.ink)),
    ]
    return pen.chart(layers, step * len(known), Margins(), areas_in_words(media))


def areas_in_words(media: MediaFound) -> str:
    """Return what the chart of areas shows, for those who do not see it."""
    said = "; ".join(f"{name} {with_interval(value)}" for name, value in areas(media))
    return f"Area of the media, with 95 % intervals: {said}."


def has_ring(media: MediaFound) -> bool:
    """Tell whether the pleats were counted, so that they can be drawn."""
    return _pleats(media) >= 3


def pleat_ring(media: MediaFound, look: Look) -> Spec:
    """Return the pleats seen from the end, as many as were counted; see `has_ring`."""
    count, middle = _pleats(media), look.width_px / 2
    stroke = Stroke(look.palette.accent, min(2.4, 0.36 * middle / count / look.unit))
    outer = middle - stroke.width * look.unit
    inner = outer * _inner_share(media, count)
    folds = []
    for i in range(2 * count + 1):
        radius, angle = inner if i % 2 else outer, pi * i / count - pi / 2
        folds.append({"x": middle + radius * cos(angle), "y": middle + radius * sin(angle)})
    layers = [Pen(look).curve(folds, stroke, PIXELS, PIXELS)]
    says = f"The pleats seen from the end: {count} of them."
    return Pen(look).chart(layers, look.width_px, Margins(), says)


def _pleats(media: MediaFound) -> int:
    return media.pleats or max(media.pleats_candidates, default=0)


def _inner_share(media: MediaFound, count: int) -> float:
    """Return the radius of the inner folds as a share of the outer, from what was measured."""
    outer, inner = media.spacing_outer, media.spacing_inner
    share = 0.5
    if outer and inner and outer.value > 0:
        share = inner.value / outer.value
    elif outer and media.depth and outer.value > 0:
        share = 1 - media.depth.value / (outer.value * count / (2 * pi))
    return min(max(share, 0.15), 0.9)

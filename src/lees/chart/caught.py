"""Particles on the media by size and kind, per 100 cm², with exact limits (Garwood, 1936)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from lees.chart.key import Marks
from lees.chart.look import Look
from lees.chart.numbers import plain
from lees.chart.pieces import Dot, Margins, Pen, Spec, Stroke, Type, width_of
from lees.judge.findings import Caught

SHAPES = {"bright": "diamond", "dark": "circle", "fibre": "cross"}
ROW, TALLEST = 3.4, 2.7
"""The height of one kind's row and of its tallest mark, as shares of the letters'."""


@dataclass(frozen=True, slots=True)
class _Frame:
    """The plot's measures: its size classes, its widest limit, and its pixels."""

    classes: tuple[float, ...]
    most: float
    left: float
    plot: float
    size: float

    def x(self, start: float) -> float:
        step = self.plot / len(self.classes)
        return (self.classes.index(start) + 0.35) * step

    def ground(self, row: int) -> float:
        return (ROW * (row + 1) - 0.7) * self.size

    def up(self, value: float) -> float:
        """Return how far up a number stands; the square root keeps none and many readable."""
        return float((value / self.most) ** 0.5) * TALLEST * self.size


def particles(caught: Sequence[Caught], look: Look) -> Spec:
    """Return the chart of particles caught, one row of marks for each kind."""
    pen, palette, size = Pen(look), look.palette, look.text_px
    frame = _frame(caught, look)
    marks = [mark for i, one in enumerate(caught) for mark in _row(one, i, frame)]
    grounds = [{"x": 0, "x2": frame.plot, "y": frame.ground(i)} for i in range(len(caught))]
    names = [
        {"x": -frame.left, "y": frame.ground(i), "text": one.kind} for i, one in enumerate(caught)
    ]
    height = ROW * size * len(caught)
    sizes = [
        {"x": frame.x(start), "y": height + 0.6 * size, "text": name}
        for start, name in zip(frame.classes, _class_names(frame.classes), strict=True)
    ]
    title = {"x": -frame.left, "y": height + 2.0 * size, "text": "size in mm; number per 100 cm²"}
    numbers = [{**mark, "x": mark["x"] + 7 * look.unit} for mark in marks]
    some = [mark for mark in marks if mark["count"]]
    layers = [
        pen.across(grounds, Stroke(palette.faint, 0.8)),
        pen.upright(
            [{**mark, "y": mark["low"], "y2": mark["high"]} for mark in marks], Marks(look).bar
        ),
        *(
            pen.dots([m for m in some if m["kind"] == kind], Dot(palette.accent, 5.4, _shape(kind)))
            for kind in dict.fromkeys(one.kind for one in caught)
        ),
        pen.dots([m for m in marks if not m["count"]], Dot(palette.accent, 4.6, hollow=1.2)),
        pen.words(numbers, Type(palette.ink, 0.92)),
        pen.words(names, Type(palette.ink, limit=frame.left - 4 * look.unit)),
        pen.words(sizes, Type(palette.quiet, 0.92, "center")),
        pen.words([title], Type(palette.quiet, 0.92)),
    ]
    margins = Margins(frame.left, 0.6 * size, 0, 2.7 * size)
    return pen.chart(layers, height, margins, particles_in_words(caught))


def particles_in_words(caught: Sequence[Caught]) -> str:
    """Return what the chart of particles shows, for those who do not see it."""
    said = []
    for one in caught:
        pairs = zip(one.per_100_cm2, _class_names(one.from_mm), strict=True)
        counts = ", ".join(f"{_number(value)} of {name} mm" for value, name in pairs)
        said.append(f"{one.kind}: {counts}; largest {plain(one.largest_mm)} mm")
    return f"Particles per 100 cm² of media. {'. '.join(said)}."


def _frame(caught: Sequence[Caught], look: Look) -> _Frame:
    classes = tuple(sorted({start for one in caught for start in one.from_mm}))
    most = max((high for one in caught for high in one.high), default=1.0) or 1.0
    widest = max((width_of(one.kind, look.text_px) for one in caught), default=0.0)
    left = min(widest, 0.25 * look.width_px) + 10 * look.unit
    return _Frame(classes, most, left, look.width_px - left, look.text_px)


def _row(one: Caught, row: int, frame: _Frame) -> list[dict[str, Any]]:
    ground = frame.ground(row)
    return [
        {
            "kind": one.kind,
            "count": count,
            "x": frame.x(start),
            "y": ground - frame.up(value),
            "low": ground - frame.up(low),
            "high": ground - frame.up(high),
            "text": _number(value),
        }
        for start, count, value, low, high in zip(
            one.from_mm, one.counts, one.per_100_cm2, one.low, one.high, strict=True
        )
    ]


def _shape(kind: str) -> str:
    return SHAPES.get(kind, "square")


def _class_names(classes: Sequence[float]) -> list[str]:
    closed = [f"{plain(a)}–{plain(b)}" for a, b in pairwise(classes)]
    return [*closed, f"from {plain(classes[-1])}"] if classes else []


def _number(value: float) -> str:
    return plain(float(f"{value:.2g}")) if value < 10 else plain(round(value))

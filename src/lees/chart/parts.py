"""Measured parts against what is customary, each on a line, the custom drawn alike for all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from lees.chart.key import Marks
from lees.chart.look import Look
from lees.chart.numbers import plain, with_interval
from lees.chart.pieces import Margins, Pen, Spec, Type, width_of
from lees.judge.findings import MeasuredRow

STEP = 2.0
BAND = (0.3, 0.7)
"""Where the customary range lies along the plot, as shares of it."""


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
    pen, palette, size, gap = Pen(look), look.palette, look.text_px, 10 * look.unit
    left = min(max(width_of(row.what, size) for row in rows), 0.36 * look.width_px) + gap
    right = min(max(width_of(_value(row), size) for row in rows), 0.36 * look.width_px) + gap
    plot = look.width_px - left - right
    band, height = (BAND[0] * plot, BAND[1] * plot), STEP * size * len(rows)
    places = [_Place(row, STEP * size * (i + 0.5), plot) for i, row in enumerate(rows)]
    inside = [place.mark for place in places if not place.beyond]
    bands = [{"x": band[0], "x2": band[1], "y": place.y} for place in places]
    lows = [{"x": band[0] - 4 * look.unit, "y": p.y, "text": plain(p.row.low or 0)} for p in places]
    highs = [
        {"x": band[1] + 4 * look.unit, "y": p.y, "text": plain(p.row.high or 0)} for p in places
    ]
    names = [{"x": -left, "y": p.y, "text": p.row.what} for p in places]
    values = [{"x": plot + right, "y": p.y, "text": _value(p.row)} for p in places]
    marks = Marks(look)
    layers = [
        pen.across(bands, marks.band),
        pen.words(lows, Type(palette.quiet, 0.85, "right")),
        pen.words(highs, Type(palette.quiet, 0.85)),
        pen.across(inside, marks.bar, ends="low high"),
        pen.dots(inside, marks.dot),
        *(
            pen.dots([p.mark for p in places if p.beyond == side], marks.arrow(side))
            for side in ("left", "right")
        ),
        pen.words(names, Type(palette.ink, limit=left - 4 * look.unit)),
        pen.words(values, Type(palette.ink, align="right", limit=right - 2 * look.unit)),
    ]
    return pen.chart(layers, height, Margins(left, 0, right, 0), parts_in_words(measured))


def parts_in_words(measured: Sequence[MeasuredRow]) -> str:
    """Return what the chart of parts shows, for those who do not see it."""
    said = [
        f"{row.what} {_value(row)}, customarily {plain(row.low or 0)} to {plain(row.high or 0)}"
        for row in comparable(measured)
    ]
    return f"Measured parts against what is customary: {'; '.join(said)}."


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a part's value lies along the plot, in pixels, and on which side beyond it."""

    row: MeasuredRow
    y: float
    plot: float

    def x(self, value: float) -> float:
        low, high = self.row.low or 0.0, self.row.high or 1.0
        share = BAND[0] + (value - low) / (high - low) * (BAND[1] - BAND[0])
        return share * self.plot

    @property
    def beyond(self) -> str | None:
        at = self.x(self.row.value.value)
        return "left" if at < 0 else "right" if at > self.plot else None

    @property
    def mark(self) -> dict[str, Any]:
        middle, half = self.row.value.value, self.row.expanded
        low, at, high = (
            min(max(self.x(value), 0.0), self.plot)
            for value in (middle - half, middle, middle + half)
        )
        return {"x": at, "low": low, "high": high, "y": self.y}


def _value(row: MeasuredRow) -> str:
    return with_interval(row.value, row.expanded)

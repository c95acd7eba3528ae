"""Viscosity in its grade: fresh, now, and the bounds of the grade at 100 °C (SAE J300)."""

from __future__ import annotations

from dataclasses import dataclass

from lees.chart.key import Marks
from lees.chart.look import Look
from lees.chart.numbers import plain
from lees.chart.pieces import Dot, Margins, Pen, Spec, Stroke, Type, width_of
from lees.judge.findings import OilCondition, PropertyRow


@dataclass(frozen=True, slots=True)
class _Frame:
    """The stretch of viscosity that is drawn, in mm²/s, and its pixels."""

    start: float
    end: float
    plot: float

    def x(self, value: float) -> float:
        share = (value - self.start) / (self.end - self.start)
        return min(max(self.plot * share, 0.0), self.plot)


def has_grade(oil: OilCondition) -> bool:
    """Tell whether there is a viscosity and a bound of its grade to draw."""
    bounds = (oil.grade_low_mm2_s, oil.grade_high_mm2_s)
    return _row(oil) is not None and any(bound is not None for bound in bounds)


def viscosity_in_grade(oil: OilCondition, look: Look) -> Spec:
    """Return the chart of an oil that has a viscosity and a grade; see `has_grade`."""
    row = _row(oil)
    assert row is not None
    pen, palette, size = Pen(look), look.palette, look.text_px
    frame = _frame(oil, row, look)
    low, high = oil.grade_low_mm2_s, oil.grade_high_mm2_s
    height, y = 3.2 * size, 1.6 * size
    band = {
        "x": frame.x(low) if low is not None else 0.0,
        "x2": frame.x(high) if high is not None else frame.plot,
        "y": y,
    }
    bounds = [bound for bound in (low, high) if bound is not None]
    ends = [{"x": frame.x(bound), "y": y - size, "y2": y + size} for bound in bounds]
    under = [
        {"x": frame.x(bound), "y": height + 0.2 * size, "text": plain(bound)} for bound in bounds
    ]
    middle = {"x": (band["x"] + band["x2"]) / 2, "y": height + 0.2 * size, "text": oil.grade or ""}
    at_low, at_high = row.value.interval()
    interval = {"x": frame.x(at_low), "x2": frame.x(at_high), "y": y}
    now = {"x": frame.x(row.value.value), "y": y}
    fresh = [{"x": frame.x(row.fresh.value), "y": y}] if row.fresh else []
    named = _named(row, frame, size)
    layers = [
        pen.across([band], Stroke(palette.faint, 13)),
        pen.upright(ends, Stroke(palette.ink, 1.6)),
        pen.across([interval], Marks(look).bar),
        pen.dots(fresh, Dot(palette.ink, 7.5, hollow=1.4)),
        pen.dots([now], Dot(palette.accent, 9)),
        pen.words(under, Type(palette.quiet, 0.92, "center")),
        pen.words(
            [middle], Type(palette.quiet, 0.92, "center", limit=0.6 * (band["x2"] - band["x"]))
        ),
        pen.words(named[:1], Type(palette.accent, align="center", bold=True)),
        pen.words(named[1:], Type(palette.ink, align="center")),
    ]
    margins = Margins(0, 0.9 * size, 0, 1.1 * size)
    return pen.chart(layers, height, margins, viscosity_in_words(oil))


def viscosity_in_words(oil: OilCondition) -> str:
    """Return what the chart of viscosity shows, for those who do not see it."""
    row = _row(oil)
    if row is None:
        return ""
    bounds = [
        f"{word} {plain(bound)}"
        for word, bound in (("from", oil.grade_low_mm2_s), ("to under", oil.grade_high_mm2_s))
        if bound is not None
    ]
    fresh = f", fresh {plain(row.fresh.value)}" if row.fresh else ""
    return f"{row.name}: {row.text}{fresh}; the grade goes {' '.join(bounds)} {row.value.unit}."


def _row(oil: OilCondition) -> PropertyRow | None:
    return next((row for row in oil.properties if row.key == "kv100"), None)


def _frame(oil: OilCondition, row: PropertyRow, look: Look) -> _Frame:
    known = (oil.grade_low_mm2_s, oil.grade_high_mm2_s, row.value.value)
    points = [value for value in known if value is not None]
    points += [row.fresh.value] if row.fresh else []
    room = 0.22 * max(max(points) - min(points), 0.2 * max(points))
    return _Frame(max(0.0, min(points) - room), max(points) + room, look.width_px)


def _named(row: PropertyRow, frame: _Frame, size: float) -> list[dict[str, object]]:
    """Return the labels now and, where it is known, fresh: apart from each other, in the plot."""
    words = [f"now {plain(row.value.value)}"]
    at = [frame.x(row.value.value)]
    if row.fresh:
        words.append(f"fresh {plain(row.fresh.value)}")
        at.append(frame.x(row.fresh.value))
    half = [width_of(word, size * 1.04) / 2 for word in words]
    if row.fresh and abs(at[0] - at[1]) < (gap := half[0] + half[1] + 0.8 * size):
        centre, sign = (at[0] + at[1]) / 2, 1 if at[0] >= at[1] else -1
        least, most = half[sign > 0] + gap / 2, frame.plot - half[sign < 0] - gap / 2
        centre = min(max(centre, least), most)
        at = [centre + sign * gap / 2, centre - sign * gap / 2]
    return [
        {"x": min(max(x, h), frame.plot - h), "y": -0.1 * size, "text": word}
        for x, h, word in zip(at, half, words, strict=True)
    ]

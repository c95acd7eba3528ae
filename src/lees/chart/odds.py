"""The odds curve of the next fill: by each run, how likely a limit has been crossed.

The run goes across and the chance of having crossed up. Whoever proposes a run stands above the
plot with a line down to the curve.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import floor, log10

from lees.chart.look import Look
from lees.chart.marks import Mark, Room, in_lanes, marks
from lees.chart.numbers import chance, grouped, odds_in
from lees.chart.pieces import Axis, Dot, Margins, Pen, Spec, Stroke, Type, fitted, width_of
from lees.judge.findings import Curve, NextFill

QUARTERS = {0.0: "never", 0.25: "1 in 4", 0.5: "1 in 2", 0.75: "3 in 4", 1.0: "always"}
FAR_ENOUGH = 0.9
"""The curve is drawn until this chance, or until past every marked run."""
LANE = 1.55
"""The height of one line of labels, as a share of the letters'."""


@dataclass(frozen=True, slots=True)
class _Frame:
    """The plot's measures: the runs it spans and its pixels."""

    end: float
    plot: float
    height: float
    margins: Margins

    def x(self, run: float) -> float:
        return self.plot * run / self.end

    def y(self, odds: float) -> float:
        return self.height * (1 - odds)


def has_odds(fill: NextFill) -> bool:
    """Tell whether there is a curve to draw."""
    return len(fill.runs) > 1 and len(fill.first) == len(fill.runs) and fill.runs[-1] > 0


def odds_curve(fill: NextFill, look: Look) -> Spec:
    """Return the odds curve of a next fill that has one; see `has_odds`."""
    frame = _frame(fill, look)
    placed = _placed(fill, frame, look)
    lanes = 1 + max((mark.lane for mark in placed), default=-1)
    margins = replace(frame.margins, top=(lanes * LANE + 0.5) * look.text_px)
    ink, accent = Stroke(look.palette.ink, 0.8), Stroke(look.palette.accent, 1.6)
    layers = [
        *_scales(fill, look, frame),
        *_curves(fill, look, frame),
        *_stems([mark for mark in placed if not mark.ours], look, frame, ink),
        *_stems([mark for mark in placed if mark.ours], look, frame, accent),
    ]
    return Pen(look).chart(layers, frame.height, margins, odds_in_words(fill))


def odds_in_words(fill: NextFill) -> str:
    """Return what the odds curve shows, for those who do not see it."""
    said = "".join(f" {mark.label} {fill.unit}: {_chances(mark)}." for mark in marks(fill))
    limits = ", ".join(curve.limit for curve in fill.curves)
    return (
        f"The chance of having crossed a limit ({limits}) by each run of the next fill.{said}"
        f" A line across marks a chance of {odds_in(fill.risk)}."
    )


def _chances(mark: Mark) -> str:
    """Return the chances at a mark's runs, once where they are told alike."""
    return ", ".join(dict.fromkeys(map(chance, mark.odds)))


def _frame(fill: NextFill, look: Look) -> _Frame:
    size, unit = look.text_px, look.unit
    past_marks = 1.15 * max((mark.runs[-1] for mark in marks(fill)), default=0.0)
    chances = zip(fill.runs, fill.first, strict=True)
    far = next((run for run, odds in chances if odds >= FAR_ENOUGH), fill.runs[-1])
    end = min(fill.runs[-1], max(past_marks, far))
    levels = QUARTERS.values() if look.scale_numbers else ()
    left = max(width_of(word, 0.92 * size) for word in (odds_in(fill.risk), *levels)) + 8 * unit
    names = [width_of(curve.limit, 0.92 * size) for curve in _apart(fill)]
    right = min(max(names, default=0.0), 0.25 * look.width_px) + 8 * unit
    plot = look.width_px - left - right
    bottom = size * (3.2 if look.scale_numbers else 1.2)
    return _Frame(end, plot, max(11 * size, 0.42 * plot), Margins(left, 0, right, bottom))


def _placed(fill: NextFill, frame: _Frame, look: Look) -> list[Mark]:
    """Return the marks with their labels placed above the plot."""
    reach = frame.plot + frame.margins.right
    found = marks(fill)
    if any(width_of(mark.label, look.text_px) > 0.8 * reach for mark in found):
        found = marks(fill, near=0.0)
    widths = [width_of(mark.label, look.text_px * (1.18 if mark.ours else 1.0)) for mark in found]
    gap = 5 * look.unit
    return in_lanes(found, widths, Room(frame.margins.left, reach, frame.plot / frame.end, gap))


def _apart(fill: NextFill) -> tuple[Curve, ...]:
    return fill.curves if len(fill.curves) > 1 else ()


def _scales(fill: NextFill, look: Look, frame: _Frame) -> list[Spec]:
    pen, palette, size, gap = Pen(look), look.palette, look.text_px, 8 * look.unit
    levels = QUARTERS if look.scale_numbers else {0.0: ""}
    grid = [{"x": 0, "x2": frame.plot, "y": frame.y(at)} for at in levels]
    words = [
        {"x": -gap, "y": frame.y(at), "text": word}
        for at, word in levels.items()
        if frame.height * abs(at - fill.risk) > size
    ]
    risk = [{"x": 0, "x2": frame.plot, "y": frame.y(fill.risk)}]
    named = [{"x": -gap, "y": frame.y(fill.risk), "text": odds_in(fill.risk)}]
    pieces = [
        pen.across(grid, Stroke(palette.faint, 0.8)),
        pen.across(risk, Stroke(palette.ink, 0.9, (1.5, 3))),
        pen.words(words, Type(palette.quiet, 0.92, "right")),
        pen.words(named, Type(palette.ink, 0.92, "right")),
    ]
    if look.scale_numbers:
        below = frame.height + size
        ticks = [{"x": frame.x(at), "y": below, "text": grouped(at)} for at in _steps(frame, look)]
        title = {"x": 0, "y": below + 1.4 * size, "text": f"run of the next fill, {fill.unit}"}
        pieces += [
            pen.words(ticks, Type(palette.quiet, 0.92, "center")),
            pen.words([title], Type(palette.quiet, 0.92)),
        ]
    return pieces


def _steps(frame: _Frame, look: Look) -> list[float]:
    """Return round runs along the axis, no closer than their figures are wide."""
    rough = frame.end / max(2, int(frame.plot / (5.2 * look.text_px)))
    power = 10.0 ** floor(log10(rough))
    step = next(many * power for many in (1, 2, 2.5, 5, 10) if many * power >= rough)
    return [step * i for i in range(int(frame.end / step) + 1)]


def _curves(fill: NextFill, look: Look, frame: _Frame) -> list[Spec]:
    pen, palette = Pen(look), look.palette
    x = Axis({"domain": [0, frame.end], "nice": False})
    y = Axis({"domain": [0, 1]})
    single = [
        {"limit": curve.limit, "x": run, "y": odds}
        for curve in _apart(fill)
        for run, odds in _until(fill.runs, curve.odds, frame.end)
    ]
    first = [{"x": run, "y": odds} for run, odds in _until(fill.runs, fill.first, frame.end)]
    ends = [
        (curve.limit, frame.y(_until(fill.runs, curve.odds, frame.end)[-1][1]))
        for curve in _apart(fill)
    ]
    names = [
        {"x": frame.plot + 6 * look.unit, "y": at, "text": limit}
        for limit, at in _no_touching(ends, 1.2 * look.text_px)
    ]
    return [
        pen.curve(single, Stroke(palette.quiet, 1.0, (4, 2.5)), x, y, each="limit"),
        pen.curve(first, Stroke(palette.accent, 2.4), x, y),
        pen.words(names, Type(palette.quiet, 0.92, limit=frame.margins.right - 6 * look.unit)),
    ]


def _until(runs: Sequence[float], odds: Sequence[float], end: float) -> list[tuple[float, float]]:
    return [(run, p) for run, p in zip(runs, odds, strict=True) if run <= end * 1.0001]


def _no_touching(named: list[tuple[str, float]], apart: float) -> list[tuple[str, float]]:
    """Push labels up, from the lowest, until none touches another."""
    placed: list[tuple[str, float]] = []
    for name, at in sorted(named, key=lambda pair: -pair[1]):
        placed.append((name, min(at, placed[-1][1] - apart) if placed else at))
    return placed


def _stems(some: Sequence[Mark], look: Look, frame: _Frame, stroke: Stroke) -> list[Spec]:
    pen, size, gap, strong = Pen(look), look.text_px, 5 * look.unit, stroke.width > 1
    kind = Type(stroke.colour, 1.1 if strong else 1.0, bold=strong)
    stems, points = [], []
    labels: dict[bool, list[dict[str, object]]] = {False: [], True: []}
    for mark in some:
        top, ends = -(mark.lane + 0.75) * LANE * size, [frame.x(run) for run in mark.runs]
        for x, odds in zip(ends, mark.odds, strict=True):
            stems.append({"x": x, "y": top - 0.5 * size, "y2": frame.y(odds)})
            points.append({"x": x, "y": frame.y(odds)})
        x = ends[0] - gap if mark.on_left else ends[-1] + gap
        room = frame.margins.left + x if mark.on_left else frame.plot + frame.margins.right - x
        label = fitted(mark.label, size * kind.size * (1.06 if strong else 1), room)
        labels[mark.on_left].append({"x": x, "y": top, "text": label})
    return [
        pen.upright(stems, stroke),
        pen.dots(points, Dot(stroke.colour, 9.5 if strong else 5.5)),
        pen.words(labels[False], kind),
        pen.words(labels[True], replace(kind, align="right")),
    ]

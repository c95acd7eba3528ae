"""The odds curve of the next fill: by each run, how likely a limit has been crossed.

The run goes across and the chance of having crossed up. Whoever proposes a run stands above the
plot with a line down to the curve (Vega-Lite 6, layered view).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import floor, isfinite, log10

from lees.chart.look import Look
from lees.chart.numbers import chance, grouped, odds_in
from lees.chart.pieces import Margins, Spec, at_pixel, chart, layer, texts, width_of
from lees.judge.findings import Curve, NextFill

QUARTERS = {0.0: "never", 0.25: "1 in 4", 0.5: "1 in 2", 0.75: "3 in 4", 1.0: "always"}
FAR_ENOUGH = 0.9
"""The curve is drawn until this chance, or until past every marked run."""


@dataclass(frozen=True, slots=True)
class _Mark:
    """A marked run: whose, how likely a limit is crossed by then, whether ours, and its lane."""

    who: str
    run: float
    odds: float
    ours: bool
    lane: int = 0

    @property
    def label(self) -> str:
        return f"{self.who} {grouped(self.run)}"


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
    marks = _marks(fill)
    frame = _frame(fill, look, marks)
    marks = _in_lanes(marks, frame, look)
    lanes = 1 + max((mark.lane for mark in marks), default=-1)
    margins = replace(frame.margins, top=(lanes * 1.55 + 0.5) * look.text_px)
    layers = [
        *_scales(fill, look, frame),
        *_curves(fill, look, frame),
        *_marked(marks, look, frame),
    ]
    return chart(look, layers, height=frame.height, margins=margins, says=odds_in_words(fill))


def odds_in_words(fill: NextFill) -> str:
    """Return what the odds curve shows, for those who do not see it."""
    said = [f"{mark.label} {fill.unit}: {chance(mark.odds)}" for mark in _marks(fill)]
    limits = ", ".join(curve.limit for curve in fill.curves)
    return (
        f"The chance of having crossed a limit ({limits}) by each run of the next fill. "
        f"{'; '.join(said)}. A line across marks a chance of {odds_in(fill.risk)}."
    )


def _marks(fill: NextFill) -> list[_Mark]:
    """Return the marked runs from the shortest, one mark for those that share a run."""
    named = [(proposal.who, proposal.run, False) for proposal in fill.proposals]
    if fill.this_fill is not None:
        named.insert(0, ("this fill", fill.this_fill, False))
    if fill.maker is not None and all(run != fill.maker for _, run, _ in named):
        named.append(("the maker", fill.maker, False))
    if fill.advised is not None:
        named.append(("advised", fill.advised, True))
    joined: dict[float, _Mark] = {}
    for who, run, ours in named:
        if not (isfinite(run) and 0 < run <= fill.runs[-1]):
            continue
        before = joined.get(run)
        both = f"{before.who}, {who}" if before else who
        joined[run] = _Mark(both, run, _chance_at(fill, run), ours or bool(before and before.ours))
    return sorted(joined.values(), key=lambda mark: mark.run)


def _chance_at(fill: NextFill, run: float) -> float:
    points = zip(fill.runs, fill.first, strict=True)
    for (x0, y0), (x1, y1) in pairwise(points):
        if x0 <= run <= x1 and x1 > x0:
            return y0 + (y1 - y0) * (run - x0) / (x1 - x0)
    return fill.first[-1]


def _frame(fill: NextFill, look: Look, marks: Sequence[_Mark]) -> _Frame:
    size, unit = look.text_px, look.unit
    past_marks = 1.15 * max((mark.run for mark in marks), default=0.0)
    far = next(
        (r for r, p in zip(fill.runs, fill.first, strict=True) if p >= FAR_ENOUGH), fill.runs[-1]
    )
    end = min(fill.runs[-1], max(past_marks, far))
    left_words = [odds_in(fill.risk), *(QUARTERS.values() if look.scale_numbers else ())]
    left = max(width_of(word, size) for word in left_words) + 8 * unit
    names = [width_of(curve.limit, size * 0.92) for curve in _apart(fill)]
    right = max(names, default=0.0) + 8 * unit
    for mark in marks:
        over = _width(mark, look) - (look.width_px - left - right) * (1 - mark.run / end)
        right = max(right, over) if over < look.width_px * 0.3 else right
    bottom = size * (3.2 if look.scale_numbers else 1.2)
    plot = look.width_px - left - right
    return _Frame(end, plot, max(size * 11, plot * 0.42), Margins(left, 0, right, bottom))


def _width(mark: _Mark, look: Look) -> float:
    return width_of(mark.label, look.text_px * (1.1 if mark.ours else 1)) + 12 * look.unit


def _in_lanes(marks: Sequence[_Mark], frame: _Frame, look: Look) -> list[_Mark]:
    """Place the labels from the right, each in the lowest lane that is free to its right."""
    placed: list[_Mark] = []
    starts: list[float] = []
    for mark in sorted(marks, key=lambda one: -one.run):
        end = frame.x(mark.run) + _width(mark, look)
        lane = next((i for i, start in enumerate(starts) if end <= start), len(starts))
        starts[lane : lane + 1] = [frame.x(mark.run)]
        placed.append(replace(mark, lane=lane))
    return placed


def _apart(fill: NextFill) -> tuple[Curve, ...]:
    return fill.curves if len(fill.curves) > 1 else ()


def _scales(fill: NextFill, look: Look, frame: _Frame) -> list[Spec]:
    palette, unit, size = look.palette, look.unit, look.text_px
    levels = QUARTERS if look.scale_numbers else {0.0: ""}
    grid = [{"x": 0, "x2": frame.plot, "y": frame.y(at)} for at in levels]
    words = [
        {"x": -8 * unit, "y": frame.y(at), "text": word}
        for at, word in levels.items()
        if abs(at - fill.risk) > 0.06
    ]
    risk = [{"x": 0, "x2": frame.plot, "y": frame.y(fill.risk)}]
    named = [{"x": -8 * unit, "y": frame.y(fill.risk), "text": odds_in(fill.risk)}]
    pieces = [
        _across(grid, {"color": palette.faint, "strokeWidth": 0.8 * unit}),
        _across(
            risk,
            {"color": palette.ink, "strokeWidth": 0.9 * unit, "strokeDash": [1.5 * unit, 3 * unit]},
        ),
        texts(words, look, align="right", color=palette.quiet, fontSize=size * 0.92),
        texts(named, look, align="right", color=palette.ink, fontSize=size * 0.92),
    ]
    if look.scale_numbers:
        ticks = [
            {"x": frame.x(at), "y": frame.height + size * 1.0, "text": grouped(at)}
            for at in _steps(frame.end, look, frame)
        ]
        title = [
            {"x": 0, "y": frame.height + size * 2.4, "text": f"run of the next fill, {fill.unit}"}
        ]
        pieces += [
            texts(ticks, look, align="center", color=palette.quiet, fontSize=size * 0.92),
            texts(title, look, color=palette.quiet, fontSize=size * 0.92),
        ]
    return pieces


def _across(rows: list[dict[str, float]], mark: Spec) -> Spec:
    return layer(
        rows, {"type": "rule", **mark}, x=at_pixel("x"), x2={"field": "x2"}, y=at_pixel("y")
    )


def _steps(end: float, look: Look, frame: _Frame) -> list[float]:
    """Return round runs along the axis, no closer than their figures are wide."""
    most = max(2, int(frame.plot / (5.5 * look.text_px)))
    rough = end / most
    power = 10.0 ** floor(log10(rough))
    step = next(m * power for m in (1, 2, 2.5, 5, 10) if m * power >= rough)
    return [step * i for i in range(int(end / step) + 1)]


def _curves(fill: NextFill, look: Look, frame: _Frame) -> list[Spec]:
    palette, unit = look.palette, look.unit
    x = {
        "field": "run",
        "type": "quantitative",
        "axis": None,
        "scale": {"domain": [0, frame.end], "nice": False},
    }
    y = {"field": "odds", "type": "quantitative", "axis": None, "scale": {"domain": [0, 1]}}
    each = {"field": "limit", "type": "nominal"}
    single = [
        {"limit": curve.limit, "run": run, "odds": odds}
        for curve in _apart(fill)
        for run, odds in _until(fill.runs, curve.odds, frame.end)
    ]
    first = [{"run": run, "odds": odds} for run, odds in _until(fill.runs, fill.first, frame.end)]
    ends = _no_touching(
        [
            (curve.limit, frame.y(_until(fill.runs, curve.odds, frame.end)[-1][1]))
            for curve in _apart(fill)
        ],
        look.text_px * 1.2,
    )
    names = [{"x": frame.plot + 6 * unit, "y": at, "text": limit} for limit, at in ends]
    return [
        layer(
            single,
            {
                "type": "line",
                "color": palette.quiet,
                "strokeWidth": 1.0 * unit,
                "strokeDash": [4 * unit, 2.5 * unit],
            },
            x=x,
            y=y,
            detail=each,
        ),
        layer(
            first, {"type": "line", "color": palette.accent, "strokeWidth": 2.4 * unit}, x=x, y=y
        ),
        texts(names, look, color=palette.quiet, fontSize=look.text_px * 0.92),
    ]


def _until(runs: Sequence[float], odds: Sequence[float], end: float) -> list[tuple[float, float]]:
    return [(run, p) for run, p in zip(runs, odds, strict=True) if run <= end * 1.0001]


def _no_touching(named: list[tuple[str, float]], apart: float) -> list[tuple[str, float]]:
    placed: list[tuple[str, float]] = []
    for name, at in sorted(named, key=lambda pair: -pair[1]):
        placed.append((name, min(at, placed[-1][1] - apart) if placed else at))
    return placed


def _marked(marks: Sequence[_Mark], look: Look, frame: _Frame) -> list[Spec]:
    palette, unit, size = look.palette, look.unit, look.text_px
    layers = []
    for ours in (False, True):
        some = [mark for mark in marks if mark.ours is ours]
        colour, weight = (palette.accent, "bold") if ours else (palette.ink, "normal")
        tops = [-(mark.lane + 0.75) * 1.55 * size for mark in some]
        stems = [
            {"x": frame.x(m.run), "y": top - 0.5 * size, "y2": frame.y(m.odds)}
            for m, top in zip(some, tops, strict=True)
        ]
        labels = [
            {"x": frame.x(m.run) + 5 * unit, "y": top, "text": m.label}
            for m, top in zip(some, tops, strict=True)
        ]
        points = [{"x": frame.x(m.run), "y": frame.y(m.odds)} for m in some]
        style = {
            "type": "point",
            "opacity": 1,
            "size": (90 if ours else 46) * unit**2,
            "color": colour,
        }
        style |= {"filled": True} if ours else {"filled": True, "size": 30 * unit**2}
        layers += [
            layer(
                stems,
                {"type": "rule", "color": colour, "strokeWidth": (1.4 if ours else 0.7) * unit},
                x=at_pixel("x"),
                y=at_pixel("y"),
                y2={"field": "y2"},
            ),
            layer(points, style, x=at_pixel("x"), y=at_pixel("y")),
            texts(
                labels, look, color=colour, fontWeight=weight, fontSize=size * (1.1 if ours else 1)
            ),
        ]
    return layers

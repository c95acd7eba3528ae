"""The runs that are marked on the odds curve: whose they are, and where their labels stand.

A label stands beside the line that goes down to the curve: to its right where there is room, else
to its left, in the lowest lane where it crosses no other line and no other label.
Where all labels in a row, the widest twice, are longer than the room, a label may have no such
place; it then crosses what it must.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import isfinite

from lees.chart.numbers import grouped
from lees.judge.findings import NextFill

NEAR = 0.03
"""Runs that differ by no more than this share stand under one label."""


@dataclass(frozen=True, slots=True)
class Mark:
    """One label: whose runs it names, from the shortest, and where it stands.

    `odds` are the chances of having crossed a limit by each of the runs.
    """

    named: tuple[tuple[str, float], ...]
    odds: tuple[float, ...]
    ours: bool
    lane: int = 0
    on_left: bool = False

    @property
    def runs(self) -> tuple[float, ...]:
        """Return the runs, each once."""
        return tuple(dict.fromkeys(run for _, run in self.named))

    @property
    def label(self) -> str:
        """Return whose runs these are, and how long they are."""
        told = []
        for run in self.runs:
            names = [who for who, its in self.named if its == run]
            told.append(f"{', '.join(names)} {grouped(run)}")
        return ", ".join(told)


@dataclass(frozen=True, slots=True)
class Room:
    """Where labels may stand, in pixels: the plot's left edge is 0."""

    left: float
    right: float
    per_run: float
    gap: float

    def x(self, run: float) -> float:
        """Return where a run's line goes down."""
        return run * self.per_run


def marks(fill: NextFill, near: float = NEAR) -> list[Mark]:
    """Return the marked runs of a next fill from the shortest; runs nearly alike share a mark.

    Parameters
    ----------
    fill : NextFill
        The next fill.
    near : float
        By what share runs under one label may differ. [1]

    Returns
    -------
    list of Mark
        The marks; our own advice stands by itself.
    """
    named = [(proposal.who, proposal.run, False) for proposal in fill.proposals]
    if fill.this_fill is not None:
        named.insert(0, ("this fill", fill.this_fill, False))
    if fill.maker is not None and all(run != fill.maker for _, run, _ in named):
        named.append(("the maker", fill.maker, False))
    if fill.advised is not None:
        named.append(("advised", fill.advised, True))
    found: list[Mark] = []
    shown = [one for one in named if isfinite(one[1]) and 0 < one[1] <= fill.runs[-1]]
    for who, run, ours in sorted(shown, key=lambda one: (one[1], one[2])):
        last = found[-1] if found else None
        if last is not None and _belongs(last, (run, ours), near):
            again = any(its == run and who.startswith(before) for before, its in last.named)
            both = last.named if again else (*last.named, (who, run))
            found[-1] = _mark(fill, both, ours=last.ours or ours)
        else:
            found.append(_mark(fill, ((who, run),), ours=ours))
    return found


def in_lanes(some: Sequence[Mark], widths: Sequence[float], room: Room) -> list[Mark]:
    """Return marks with the sides and lanes of their labels.

    Parameters
    ----------
    some : sequence of Mark
        The marks.
    widths : sequence of float
        How wide each label stands. [px]
    room : Room
        Where labels may stand.

    Returns
    -------
    list of Mark
        The same marks, placed.
    """
    wide = dict(zip((mark.named for mark in some), widths, strict=True))
    placed: list[Mark] = []
    starts: list[float] = []
    lefts: list[Mark] = []
    for mark in sorted(some, key=lambda one: -one.runs[-1]):
        start, end = room.x(mark.runs[0]), room.x(mark.runs[-1]) + room.gap + wide[mark.named]
        crossed = any(room.x(run) < end for left in lefts for run in left.runs)
        fits_left = start - room.gap - wide[mark.named] >= -room.left
        if (crossed or end > room.right) and fits_left:
            lefts.append(replace(mark, on_left=True))
            continue
        lane = next((i for i, taken in enumerate(starts) if end <= taken), len(starts))
        starts[: lane + 1] = [start] * (lane + 1)
        placed.append(replace(mark, lane=lane))
    for mark in reversed(lefts):
        start, end = room.x(mark.runs[0]) - room.gap - wide[mark.named], room.x(mark.runs[-1])
        below = [other.lane for other in placed if _meets(other, (start, end), wide, room)]
        placed.append(replace(mark, lane=1 + max(below, default=-1)))
    return placed


def _meets(
    other: Mark,
    span: tuple[float, float],
    wide: dict[tuple[tuple[str, float], ...], float],
    room: Room,
) -> bool:
    """Tell whether a mark's line or label stands within a span."""
    first, last = room.x(other.runs[0]), room.x(other.runs[-1])
    reach = room.gap + wide[other.named]
    start, end = (first - reach, last) if other.on_left else (first, last + reach)
    return start < span[1] and end > span[0]


def _belongs(last: Mark, one: tuple[float, bool], near: float) -> bool:
    """Tell whether a run, ours or not, goes under a mark's label."""
    run, ours = one
    return ours is last.ours and run - last.runs[0] <= near * run


def _mark(fill: NextFill, named: tuple[tuple[str, float], ...], *, ours: bool) -> Mark:
    made = Mark(named, (), ours)
    return replace(made, odds=tuple(_chance_at(fill, run) for run in made.runs))


def _chance_at(fill: NextFill, run: float) -> float:
    points = zip(fill.runs, fill.first, strict=True)
    for (x0, y0), (x1, y1) in pairwise(points):
        if x0 <= run <= x1 and x1 > x0:
            return y0 + (y1 - y0) * (run - x0) / (x1 - x0)
    return fill.first[-1]

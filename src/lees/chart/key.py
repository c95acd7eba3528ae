"""The line under a chart that says what its marks mean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lees.chart.look import Look
from lees.chart.pieces import Dot, Pen, Spec, Stroke, Type, width_of

LETTERS = 0.9
"""The size of a key's letters as a share of the chart's."""


@dataclass(frozen=True, slots=True)
class Sign:
    """One mark of a chart and what it means: a `band`, `tick`, `past`, `dot`, `mean` or `limit`."""

    mark: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Marks:
    """The marks that stand for the same thing in every chart of measured values."""

    look: Look

    @property
    def band(self) -> Stroke:
        """Return the band of what is usual."""
        return Stroke(self.look.palette.faint, 9)

    @property
    def bar(self) -> Stroke:
        """Return the bar of this case's 95 % interval."""
        return Stroke(self.look.palette.accent, 1.8)

    @property
    def dot(self) -> Dot:
        """Return this case's own value."""
        return Dot(self.look.palette.accent, 7.8)

    def arrow(self, side: str) -> Dot:
        """Return this case's own value where it lies beyond the scale, to the left or right."""
        return Dot(self.look.palette.accent, 8.5, f"triangle-{side}")

    @property
    def tick(self) -> Stroke:
        """Return the middle of what is usual."""
        return Stroke(self.look.palette.quiet, 1.4)

    @property
    def past(self) -> Stroke:
        """Return what went before."""
        return Stroke(self.look.palette.quiet, 1.1)

    @property
    def limit(self) -> Stroke:
        """Return a limit."""
        return Stroke(self.look.palette.ink, 2.4)


HALF_HEIGHTS = {"tick": 6.0, "past": 3.2, "limit": 6.5}
"""How far upright marks reach above and below the line, in units of the look."""


def reach(marked: Sequence[dict[str, object]], mark: str, look: Look) -> list[dict[str, object]]:
    """Return rows at a height `y` as upright marks that reach above and below it."""
    half = HALF_HEIGHTS[mark] * look.unit
    return [
        {**row, "y": float(str(row["y"])) - half, "y2": float(str(row["y"])) + half}
        for row in marked
    ]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a key starts, from the plot's top left, and how wide it may stand, in pixels."""

    left: float
    top: float
    width: float


@dataclass(frozen=True, slots=True)
class Key:
    """A laid-out key: its layers and the height it takes, in pixels."""

    layers: tuple[Spec, ...]
    height: float


def key(signs: Sequence[Sign], look: Look, place: Place) -> Key:
    """Return the key of some signs, set in as many lines as the width asks for."""
    size, unit = look.text_px * LETTERS, look.unit
    glyph, gap, step = 16 * unit, 15 * unit, size * 1.7
    x, y = place.left, place.top + size
    words: list[dict[str, object]] = []
    at: dict[str, list[dict[str, object]]] = {}
    for sign in signs:
        room = glyph if sign.mark in ("band", "dot") else 5 * unit
        wide = room + 5 * unit + width_of(sign.meaning, size)
        if x > place.left and x + wide > place.left + place.width:
            x, y = place.left, y + step
        words.append({"x": x + room + 5 * unit, "y": y, "text": sign.meaning})
        at.setdefault(sign.mark, []).append({"x": x, "x2": x + room, "mid": x + room / 2, "y": y})
        x += wide + gap
    pen, marks = Pen(look), Marks(look)
    layers = (
        pen.across(at.get("band", ()), marks.band),
        pen.upright(reach(at.get("tick", []), "tick", look), marks.tick, at="mid"),
        pen.upright(reach(at.get("past", []), "past", look), marks.past, at="mid"),
        pen.upright(reach(at.get("limit", []), "limit", look), marks.limit, at="mid"),
        pen.across(at.get("dot", ()), marks.bar),
        pen.dots(at.get("dot", ()), marks.dot, at="mid"),
        pen.words(words, Type(look.palette.quiet, LETTERS)),
    )
    return Key(layers, y + size - place.top)

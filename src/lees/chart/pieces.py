"""The pieces that charts are put together from, as Vega-Lite layers.

Heights are laid out here in pixels, so that letters sit on one line with the marks they name;
along the width, data stand on a scale of their own.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from lees.chart.look import Look
from lees.quantity.data import rows

Spec = dict[str, Any]
Row = Mapping[str, Any]
Rows = Sequence[Row]

MOST_LETTERS = 300
"""No label is longer, however small its letters."""

SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"


@dataclass(frozen=True, slots=True)
class Margins:
    """The room around the plot, in pixels."""

    left: float = 0.0
    top: float = 0.0
    right: float = 0.0
    bottom: float = 0.0


@dataclass(frozen=True, slots=True)
class Axis:
    """What a direction means: pixels, or a scale as Vega-Lite writes it."""

    scale: Mapping[str, Any] | None = None

    def of(self, field: str) -> Spec:
        """Return the channel of a field along this direction."""
        scale = None if self.scale is None else dict(self.scale)
        return {"field": field, "type": "quantitative", "axis": None, "scale": scale}


PIXELS = Axis()


@dataclass(frozen=True, slots=True)
class Stroke:
    """How a line is drawn; lengths are in units of the look."""

    colour: str
    width: float
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Dot:
    """How a mark is drawn; `size` is its diameter in units of the look, `hollow` its outline."""

    colour: str
    size: float = 8.0
    shape: str = "circle"
    hollow: float = 0.0


@dataclass(frozen=True, slots=True)
class Type:
    """How letters are set; `size` is a share of the ordinary size, `limit` their room in pixels.

    Without a limit they may be as wide as the chart.
    """

    colour: str
    size: float = 1.0
    align: str = "left"
    bold: bool = False
    limit: float = 0.0


@dataclass(frozen=True, slots=True)
class Pen:
    """Draws marks in the proportions of one look.

    Colours and sizes travel with the rows, so that marks of one kind become one layer.
    """

    look: Look

    def across(self, marked: Rows, stroke: Stroke, x: Axis = PIXELS, ends: str = "x x2") -> Spec:
        """Return lines at height `y`, between two fields."""
        start, end = ends.split()
        drawn = [{**row, "x": row[start], "x2": row[end]} for row in marked]
        return self._lines(drawn, stroke, x=x.of("x"), x2={"field": "x2"}, y=PIXELS.of("y"))

    def upright(self, marked: Rows, stroke: Stroke, x: Axis = PIXELS, at: str = "x") -> Spec:
        """Return lines from height `y` to `y2`."""
        drawn = [{**row, "x": row[at]} for row in marked]
        return self._lines(drawn, stroke, x=x.of("x"), y=PIXELS.of("y"), y2={"field": "y2"})

    def dots(self, marked: Rows, dot: Dot, x: Axis = PIXELS, at: str = "x") -> Spec:
        """Return marks at height `y`."""
        unit = self.look.unit
        mark: Spec = {"type": "point", "filled": not dot.hollow, "opacity": 1}
        if dot.hollow:
            mark["strokeWidth"] = round(dot.hollow * unit, 2)
        style = {"colour": dot.colour, "size": (dot.size * unit) ** 2, "shape": dot.shape}
        return layer(
            [{**row, **style, "x": row[at]} for row in marked],
            mark,
            x=x.of("x"),
            y=PIXELS.of("y"),
            color=as_given("colour"),
            size=as_given("size"),
            shape=as_given("shape"),
        )

    def curve(self, marked: Rows, stroke: Stroke, x: Axis, y: Axis, each: str = "") -> Spec:
        """Return a line through the fields `x` and `y`, one for each value of a field."""
        unit = self.look.unit
        mark: Spec = {
            "type": "line",
            "strokeJoin": "round",
            "color": stroke.colour,
            "strokeWidth": round(stroke.width * unit, 2),
            **self._dash(stroke),
        }
        channels: dict[str, Any] = {"x": x.of("x"), "y": y.of("y")}
        channels["order"] = {"field": "order", "type": "quantitative"}
        if each:
            channels["detail"] = {"field": each, "type": "nominal"}
        return layer([{"order": i, **row} for i, row in enumerate(marked)], mark, **channels)

    def words(self, marked: Rows, kind: Type, x: Axis = PIXELS, at: str = "x") -> Spec:
        """Return the letters of the field `text` at height `y`."""
        mark: Spec = {"type": "text", "align": kind.align}
        if kind.bold:
            mark["fontWeight"] = "bold"
        size = kind.size * self.look.text_px
        room = kind.limit or self.look.width_px
        style = {"colour": kind.colour, "size": size}
        return layer(
            [
                {**row, **style, "x": row[at], "text": fitted(str(row["text"]), size, room)}
                for row in marked
            ],
            mark,
            x=x.of("x"),
            y=PIXELS.of("y"),
            text={"field": "text"},
            color=as_given("colour"),
            size=as_given("size"),
        )

    def chart(self, layers: Iterable[Spec], height: float, margins: Margins, says: str) -> Spec:
        """Return a whole chart of some layers, from the back to the front, and what it says."""
        look = self.look
        return {
            "$schema": SCHEMA,
            "description": says,
            "width": round(look.width_px - margins.left - margins.right, 2),
            "height": round(height, 2),
            "padding": {
                "left": round(margins.left, 2),
                "top": round(margins.top, 2),
                "right": round(margins.right, 2),
                "bottom": round(margins.bottom, 2),
            },
            "autosize": {"type": "none"},
            "background": look.palette.ground or "transparent",
            "layer": joined(layers),
            "config": {
                "aria": False,
                "font": look.font,
                "view": {"stroke": None},
                "text": {"baseline": "middle"},
            },
        }

    def _lines(self, marked: Rows, stroke: Stroke, **encoding: Any) -> Spec:
        style = {"colour": stroke.colour, "width": stroke.width * self.look.unit}
        return layer(
            [{**row, **style} for row in marked],
            {"type": "rule", **self._dash(stroke)},
            **encoding,
            color=as_given("colour"),
            strokeWidth=as_given("width"),
        )

    def _dash(self, stroke: Stroke) -> Spec:
        dash = [round(part * self.look.unit, 2) for part in stroke.dash]
        return {"strokeDash": dash} if dash else {}


def as_given(field: str) -> Spec:
    """Return a channel whose values are meant as they stand in the rows."""
    return {"field": field, "type": "nominal", "scale": None, "legend": None}


def layer(marked: Rows, mark: Row, **encoding: Any) -> Spec:
    """Return one layer: some rows, a mark, and what the mark shows of them."""
    values = [
        {k: round(v, 4) if isinstance(v, float) else v for k, v in row.items()} for row in marked
    ]
    return {"data": {"values": values}, "mark": dict(mark), "encoding": encoding}


def joined(layers: Iterable[Spec]) -> list[Spec]:
    """Return layers without empty ones, neighbours of one kind made one, which draws faster."""
    kept: list[Spec] = []
    for one in layers:
        if not one["data"]["values"]:
            continue
        if kept and all(kept[-1][part] == one[part] for part in ("mark", "encoding")):
            values = kept[-1]["data"]["values"] + one["data"]["values"]
            kept[-1] = {**kept[-1], "data": {"values": values}}
        else:
            kept.append(one)
    return kept


def width_of(text: str, size_px: float) -> float:
    """Return how wide a text stands in Lees Sans, kerning aside.

    Parameters
    ----------
    text : str
        The text.
    size_px : float
        The size of its letters. [px]

    Returns
    -------
    float
        Its width. [px]
    """
    widths = _advances()
    return sum(widths.get(letter, 0.7) for letter in text) * size_px


def fitted(text: str, size_px: float, room_px: float) -> str:
    """Return a text cut so that it stands in some room, with an ellipsis where it was cut.

    Parameters
    ----------
    text : str
        The text.
    size_px : float
        The size of its letters. [px]
    room_px : float
        How wide it may stand. [px]

    Returns
    -------
    str
        The text or its beginning.

    Examples
    --------
    >>> fitted("Iron", 11, 60), fitted("Ferrous particles", 11, 60)
    ('Iron', 'Ferrous p…')
    """
    if len(text) <= MOST_LETTERS and width_of(text, size_px) <= room_px:
        return text
    used = width_of("…", size_px)
    for many, letter in enumerate(text[:MOST_LETTERS]):
        used += width_of(letter, size_px)
        if used > room_px:
            return f"{text[:many].rstrip()}…"
    return f"{text[:MOST_LETTERS].rstrip()}…"


@cache
def _advances() -> dict[str, float]:
    return {
        chr(int(row["point"], 16)): int(row["width"]) / 1000 for row in rows("chart", "advances")
    }

"""What the reading of a report passes from step to step: boxes, cells, pages, proposed results."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class Box:
    """A place on the upright page, in PDF points or picture pixels from its top left."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        """How wide it is."""
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        """How high it is."""
        return self.y1 - self.y0

    @property
    def middle_x(self) -> float:
        """The middle from left to right."""
        return (self.x0 + self.x1) / 2

    @property
    def middle_y(self) -> float:
        """The middle from top to bottom."""
        return (self.y0 + self.y1) / 2

    def joined(self, other: Box) -> Box:
        """Return the smallest box that holds both."""
        return Box(
            min(self.x0, other.x0),
            min(self.y0, other.y0),
            max(self.x1, other.x1),
            max(self.y1, other.y1),
        )

    def overlap_x(self, other: Box) -> float:
        """Return how far both run side by side from left to right; below zero where apart."""
        return min(self.x1, other.x1) - max(self.x0, other.x0)

    def overlap_y(self, other: Box) -> float:
        """Return how far both run side by side from top to bottom; below zero where apart."""
        return min(self.y1, other.y1) - max(self.y0, other.y0)


@dataclass(frozen=True, slots=True)
class Word:
    """A word of the page, with the trust its reader puts in its letters (1 for text)."""

    text: str
    box: Box
    confidence: float = 1.0


@dataclass(frozen=True, slots=True)
class Cell:
    """Words that stand together: a name, a number, a heading or a piece of a sentence.

    `typed` marks a number that the file keeps as a number: its decimal sign is a point. `seen`
    marks letters recognised in a picture, `shown` their place there before it was put straight.
    """

    text: str
    box: Box
    page: int
    confidence: float = 1.0
    words: tuple[Word, ...] = ()
    typed: bool = False
    seen: bool = False
    shown: Box | None = None

    @property
    def place(self) -> Box:
        """Where it is shown: in a picture, where it lies there; else its box."""
        return self.shown or self.box


@dataclass(frozen=True, slots=True)
class Page:
    """One page, sheet or table of a document, as cells from the top left to the bottom right."""

    number: int
    width: float
    height: float
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Document:
    """What a reader got out of a file.

    `has_boxes` says whether places mean something to a person (a page's points or pixels);
    `is_grid` whether cells come from a file's own rows and columns.
    """

    kind: str
    pages: tuple[Page, ...]
    warnings: tuple[str, ...] = ()
    has_boxes: bool = False
    is_grid: bool = False


@dataclass(slots=True)
class Result:
    """One proposed result: what was read, where, and how far to trust it."""

    key: str
    value: float | None
    unit: str | None
    text: str
    page: int
    box: Box | None = None
    qualifier: str | None = None
    method: str | None = None
    unit_printed: bool = True
    confidence: float = 1.0
    seen: bool = False
    borne_out: bool = False
    review: bool = False
    reasons: list[str] = field(default_factory=list)
    doubts: list[float] = field(default_factory=list)

    def doubt(self, factor: float, reason: str | None = None) -> None:
        """Lower the trust by a factor; a reason is shown to the person who reviews."""
        self.doubts.append(factor)
        if reason and reason not in self.reasons:
            self.reasons.append(reason)


@dataclass(frozen=True, slots=True)
class Quantity:
    """A distance or a time with its unit as printed, and where it stands."""

    value: float
    unit: str
    text: str
    page: int
    box: Box | None = None


@dataclass(slots=True)
class Sample:
    """One sample of the report: what identifies it and its results by measurand key."""

    label: str | None = None
    date: str | None = None
    oil_distance: Quantity | None = None
    oil_hours: Quantity | None = None
    engine_distance: Quantity | None = None
    engine_hours: Quantity | None = None
    oil: str | None = None
    grade: str | None = None
    engine: str | None = None
    results: dict[str, Result] = field(default_factory=dict)
    also: list[Result] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Limit:
    """A printed limit or range of a measurand: the lower and upper bound, where there is one."""

    low: float | None
    high: float | None
    unit: str | None
    text: str


@dataclass(slots=True)
class Report:
    """Everything proposed from one file."""

    kind: str
    samples: list[Sample] = field(default_factory=list)
    reference: dict[str, Result] = field(default_factory=dict)
    own_mean: dict[str, Result] = field(default_factory=dict)
    fresh: dict[str, Result] = field(default_factory=dict)
    limits: dict[str, Limit] = field(default_factory=dict)
    changes: dict[str, float] = field(default_factory=dict)
    advised_distance: Quantity | None = None
    oil: str | None = None
    grade: str | None = None
    engine: str | None = None
    warnings: list[str] = field(default_factory=list)

    def to_contract(self) -> dict[str, Any]:
        """Return the report as the plain data of the public contract."""
        return {
            "kind": self.kind,
            "samples": [_sample_data(sample) for sample in self.samples],
            "reference": {key: one.value for key, one in self.reference.items()},
            "limits": {
                key: {"low": one.low, "high": one.high, "unit": one.unit, "text": one.text}
                for key, one in self.limits.items()
            },
            "own_mean": {key: one.value for key, one in self.own_mean.items()},
            "fresh": {key: one.value for key, one in self.fresh.items()},
            "advised_distance": _quantity_data(self.advised_distance),
            "oil": self.oil,
            "grade": self.grade,
            "engine": self.engine,
            "warnings": list(self.warnings),
            "details": {
                name: {key: _result_data(one) for key, one in group.items()}
                for name, group in self._side_groups().items()
            },
        }

    def _side_groups(self) -> Mapping[str, dict[str, Result]]:
        return {"reference": self.reference, "own_mean": self.own_mean, "fresh": self.fresh}


def _sample_data(sample: Sample) -> dict[str, Any]:
    data: dict[str, Any] = {"label": sample.label, "date": sample.date}
    for name in ("oil_distance", "oil_hours", "engine_distance", "engine_hours"):
        quantity: Quantity | None = getattr(sample, name)
        if quantity is not None or name == "oil_distance":
            data[name] = _quantity_data(quantity)
    for name in ("oil", "grade", "engine"):
        if getattr(sample, name) is not None:
            data[name] = getattr(sample, name)
    data["results"] = {key: _result_data(result) for key, result in sample.results.items()}
    if sample.also:
        data["also"] = [{"key": result.key, **_result_data(result)} for result in sample.also]
    return data


def _quantity_data(quantity: Quantity | None) -> dict[str, Any] | None:
    if quantity is None:
        return None
    return {
        "value": _plain(quantity.value),
        "unit": quantity.unit,
        "text": quantity.text,
        "page": quantity.page,
        "box": _box_data(quantity.box),
    }


def _result_data(result: Result) -> dict[str, Any]:
    data: dict[str, Any] = {
        "value": _plain(result.value),
        "unit": result.unit,
        "qualifier": result.qualifier,
        "text": result.text,
        "confidence": round(result.confidence, 4),
        "review": result.review,
        "page": result.page,
        "box": _box_data(result.box),
    }
    if result.method:
        data["method"] = result.method
    if not result.unit_printed:
        data["unit_printed"] = False
    if result.reasons:
        data["reasons"] = list(result.reasons)
    return data


def _box_data(box: Box | None) -> list[float] | None:
    if box is None:
        return None
    return [round(side, 1) for side in (box.x0, box.y0, box.x1, box.y1)]


def _plain(value: float | None) -> float | int | None:
    if value is None:
        return None
    return int(value) if value == int(value) and abs(value) < 1e15 else value

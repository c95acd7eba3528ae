"""What the evidence adds up to: answers, the statements behind them, and the facts behind those.

Everything that a letter, a page or a card shows is taken from here, so that no number is computed
twice. Numbers are in the units their names say; texts are whole sentences.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass
from enum import StrEnum
from math import isfinite
from typing import Any

from lees.judge.likelihood import Likelihood
from lees.quantity.measured import Measured


class Action(StrEnum):
    """What to do, in three steps."""

    CARRY_ON = "carry on"
    LOOK_CLOSER = "look closer"
    ACT_NOW = "act now"


class About(StrEnum):
    """What a statement is about; the first four are the owner's questions."""

    ENGINE = "engine"
    OIL = "oil"
    FILTER = "filter"
    NEXT_FILL = "next fill"
    RECORD = "record"


@dataclass(frozen=True, slots=True)
class Fact:
    """A fact that a statement rests on: what, the value as shown, and where it came from."""

    id: str
    name: str
    value: str
    source: str


@dataclass(frozen=True, slots=True)
class Statement:
    """One sentence with all that it rests on.

    `weight_db` weighs it in decibans for (above zero) or against trouble; nothing where it carries
    no weight.
    """

    id: str
    about: About
    text: str
    action: Action = Action.CARRY_ON
    facts: tuple[str, ...] = ()
    formula: str | None = None
    sources: tuple[str, ...] = ()
    weight_db: float | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to one of the owner's questions, in one sentence, and the statements behind it.

    `likelihood` is nothing where the case does not allow an answer.
    """

    about: About
    question: str
    sentence: str
    action: Action
    likelihood: Likelihood | None
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ElementRow:
    """One element: as reported, per distance run, and against its peers.

    `peers_low`, `peers_middle` and `peers_high` are the 5, 50 and 95 % points of the peers'
    concentration at this case's run; `past` holds this engine's earlier values brought to this
    run. `percentile` is this case's place among the peers, from 0 to 1. `limit` is the
    concentration that ought not to be passed, where there is one, with its source.
    """

    key: str
    name: str
    value: Measured
    text: str
    rate: Measured | None
    rate_unit: str | None
    mean: float | None
    peers_low: float | None
    peers_middle: float | None
    peers_high: float | None
    past: tuple[float, ...]
    percentile: float | None
    note: str | None = None
    limit: float | None = None
    limit_source: str | None = None


@dataclass(frozen=True, slots=True)
class PropertyRow:
    """One property of the oil: fresh, now, and the bounds it ought to keep."""

    key: str
    name: str
    value: Measured
    text: str
    method: str | None
    fresh: Measured | None
    fresh_method: str | None
    low: float | None
    high: float | None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class OilCondition:
    """The oil's properties, and how likely its viscosity is below, in and above its grade."""

    name: str | None
    grade: str | None
    properties: tuple[PropertyRow, ...]
    in_grade: float | None
    below_grade: float | None
    above_grade: float | None
    grade_low_mm2_s: float | None
    grade_high_mm2_s: float | None
    grade_source: str | None


@dataclass(frozen=True, slots=True)
class MeasuredRow:
    """One quantity of the specimen: readings, value, and the range customarily found."""

    what: str
    value: Measured
    expanded: float
    readings: tuple[float, ...]
    instrument: str
    zero: float | None
    low: float | None
    high: float | None
    range_source: str | None
    doubts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PartRow:
    """One part of the specimen as found, and what it means."""

    part: str
    material: str | None
    condition: str | None
    seen: str | None
    action: Action
    meaning: str


@dataclass(frozen=True, slots=True)
class MediaFound:
    """The media's area by strip and by pleats, and whether the two agree."""

    area_by_strip: Measured | None
    area_by_pleats: Measured | None
    agree: bool | None
    pleats: int | None
    pleats_candidates: tuple[int, ...]
    spacing_outer: Measured | None
    spacing_inner: Measured | None
    length: Measured | None
    width: Measured | None
    depth: Measured | None


@dataclass(frozen=True, slots=True)
class Caught:
    """Particles of one kind on the media, in size classes, per 100 cm², with exact limits.

    `counts`, `per_100_cm2`, `low` and `high` go with the classes whose lower bounds are
    `from_mm`; the last class is open.
    """

    kind: str
    from_mm: tuple[float, ...]
    counts: tuple[int, ...]
    per_100_cm2: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    largest_mm: float
    smallest_countable_mm: float | None
    area_cm2: float


@dataclass(frozen=True, slots=True)
class FilterFound:
    """What the specimen showed: measured parts, their conditions, the media and its catch."""

    name: str | None
    measured: tuple[MeasuredRow, ...]
    parts: tuple[PartRow, ...]
    media: MediaFound | None
    caught: tuple[Caught, ...]
    transmission: Measured | None


@dataclass(frozen=True, slots=True)
class Curve:
    """The chance of having crossed one limit by each distance of `NextFill.runs`.

    `low`, `middle` and `high` are the runs by which it has been crossed with odds of 5, 50 and
    95 %, nothing where those lie beyond the curve.
    """

    limit: str
    odds: tuple[float, ...]
    low: float | None = None
    middle: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Proposal:
    """A run that somebody proposes, and the chance of having crossed a limit by then."""

    who: str
    run: float
    odds: float
    likelihood: Likelihood
    sentence: str


@dataclass(frozen=True, slots=True)
class Cost:
    """The optional second view: what a run costs per distance, at each run of the curve.

    `per_run` is in the currency by 1000 of the unit (100 for hours), nothing at a run of nought;
    `cheapest` is the run of the least cost within the odds curve.
    """

    currency: str
    per_run: tuple[float | None, ...]
    cheapest: float
    at_advised: float | None
    sentence: str


@dataclass(frozen=True, slots=True)
class FilterLife:
    """The filter's own life, apart from the oil's: how far it ran, was claimed to, and may run.

    `odds` are those of its being full by the end of this run.
    """

    ran: float | None
    claimed: float | None
    unit: str
    odds: float
    likelihood: Likelihood
    sentence: str


@dataclass(frozen=True, slots=True)
class NextFill:
    """The advised next fill and the odds behind it; runs are in `unit` (`km`, `mi` or `h`).

    `advised` is nothing where the case does not allow advice; `reason` then says why, and
    otherwise what bounds it.
    """

    unit: str
    runs: tuple[float, ...]
    curves: tuple[Curve, ...]
    first: tuple[float, ...]
    risk: float
    advised: float | None
    bound: str | None
    reason: str
    months: float | None
    this_fill: float | None
    maker: float | None
    proposals: tuple[Proposal, ...]
    cost: Cost | None = None


@dataclass(frozen=True, slots=True)
class Explanation:
    """An explanation for the evidence, with what speaks for and against it.

    `not_looked_at` names what it would be likely to show and nobody looked at; `about` tells whose
    question it answers: `engine`, `oil`, `filter` or `record`.
    """

    cause: str
    name: str
    probability: float
    likelihood: Likelihood
    evidence_for: tuple[str, ...]
    evidence_against: tuple[str, ...]
    check: str | None
    not_looked_at: tuple[str, ...] = ()
    about: str = "engine"


@dataclass(frozen=True, slots=True)
class NextCheck:
    """Something to check: how much it would tell of which causes, and the effort in hours."""

    name: str
    bits: float
    effort_h: float
    speaks_to: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PictureShown:
    """A photograph that the letter or the page may show."""

    file: str
    of: str
    caption: str


@dataclass(frozen=True, slots=True)
class Findings:
    """All that was found in one case."""

    format: int
    made_with: str
    title: str
    invented: bool
    owner: str | None
    engine: str | None
    inspector: str | None
    inspector_words: str | None
    run: Measured | None
    run_unit: str | None
    dates: tuple[str | None, str | None]
    answers: tuple[Answer, ...]
    statements: tuple[Statement, ...]
    facts: tuple[Fact, ...]
    elements: tuple[ElementRow, ...]
    oil: OilCondition
    filter: FilterFound | None
    next_fill: NextFill
    explanations: tuple[Explanation, ...]
    checks: tuple[str, ...]
    not_judged: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    pictures: tuple[PictureShown, ...]
    basis: str
    next_check: NextCheck | None = None
    filter_life: FilterLife | None = None

    def answer(self, about: About) -> Answer:
        """Return the answer to one of the owner's questions."""
        return next(answer for answer in self.answers if answer.about is about)

    def statement(self, key: str) -> Statement:
        """Return a statement by its id."""
        return next(statement for statement in self.statements if statement.id == key)


def as_json(value: Any) -> Any:
    """Return findings as plain JSON data, numbers cut to eight digits so that bytes repeat."""
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: as_json(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, tuple | list):
        return [as_json(item) for item in value]
    if isinstance(value, dict):
        return {str(key): as_json(item) for key, item in value.items()}
    if isinstance(value, float):
        return float(f"{value:.8g}") if isfinite(value) else None
    return value

"""What the causes are weighed by: every kind of evidence on the scale that its table expects."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

GLITTER_WORDS = {"none": 0, "a few": 1, "some": 2, "much": 3}


@dataclass(frozen=True, slots=True)
class Glitter:
    """Bright metal on the media: a count of 0.2 mm and more on an area, or the inspector's word."""

    count: int | None = None
    area_cm2: float | None = None
    word: str | None = None

    @property
    def counted(self) -> bool:
        """Whether there is a count, on an area that is known."""
        return self.count is not None and bool(self.area_cm2)

    @property
    def seen(self) -> bool:
        """Whether anybody looked."""
        return self.count is not None or self.word is not None


@dataclass(frozen=True, slots=True)
class Told:
    """A value and its standard uncertainty, on the scale of its table."""

    value: float
    doubt: float


@dataclass(frozen=True, slots=True)
class Evidence:
    """Everything that the causes are weighed by.

    `log_ratio` holds the natural logarithm of each element's content over its peers' middle,
    `log_uncertainty` the measurement's part in it, `deviation` the peers' own, and `past` this
    engine's earlier values on the same scale. `signs` holds the level of each sign that was looked
    for, and nothing for one that was not.
    """

    log_ratio: Mapping[str, float] = field(default_factory=dict)
    log_uncertainty: Mapping[str, float] = field(default_factory=dict)
    deviation: float = 0.45
    past: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    glitter: Glitter = Glitter()
    fluids: Mapping[str, Told] = field(default_factory=dict)
    additives: Mapping[str, Told] = field(default_factory=dict)
    signs: Mapping[str, int] = field(default_factory=dict)
    circumstances: frozenset[str] = frozenset()
    standing_out: tuple[str, ...] = ()

    @property
    def weighable(self) -> bool:
        """Whether anything at all was seen or measured."""
        return bool(self.log_ratio or self.glitter.seen or self.fluids or self.signs)

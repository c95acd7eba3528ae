"""The precision statements of the methods as data: a power law of the level for each of r and R."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from lees.quantity.data import rows


class Tag(StrEnum):
    """How well a figure is known here."""

    PUBLISHED = "published"
    FROM_MEMORY = "from memory"


@dataclass(frozen=True, slots=True)
class PowerLaw:
    """A precision as the methods print it: factor · (level + shift)^exponent."""

    factor: float
    shift: float
    exponent: float

    def at(self, level: float) -> float:
        """Return the precision at a level."""
        return self.factor * math.pow(level + self.shift, self.exponent)


@dataclass(frozen=True, slots=True)
class Statement:
    """One method's precision for one measurand, its levels, and how well it is known."""

    measurand: str
    unit: str
    method: str
    also: str
    edition: str
    low: float
    high: float
    r: PowerLaw
    R: PowerLaw
    r_tag: Tag
    R_tag: Tag
    is_customary: bool


_TAGS = {"published": Tag.PUBLISHED, "memory": Tag.FROM_MEMORY}


@cache
def statements() -> dict[str, tuple[Statement, ...]]:
    """Return the statements held, by measurand."""
    found: dict[str, list[Statement]] = {}
    for row in rows("oil", "precision"):
        laws = {
            name: PowerLaw(
                *(float(row[f"{name}_{part}"]) for part in ("factor", "shift", "exponent"))
            )
            for name in ("r", "R")
        }
        entry = Statement(
            row["measurand"],
            row["unit"],
            row["method"],
            row["also"],
            row["edition"],
            float(row["low"]),
            float(row["high"]),
            laws["r"],
            laws["R"],
            _TAGS[row["r_tag"]],
            _TAGS[row["R_tag"]],
            row["customary"] == "yes",
        )
        found.setdefault(entry.measurand, []).append(entry)
    return {key: tuple(entries) for key, entries in found.items()}

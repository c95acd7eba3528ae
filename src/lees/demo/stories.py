"""What a story of the scenario is: an engine's habit, its fills, its oil and who looked at it.

Rates are per thousand of the story's unit of run (miles, kilometres or engine hours).
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from lees.demo.laboratory import RECKONED, Laboratory
from lees.demo.physics import (
    PETROL_LEFT_IN_SUMP_KV40,
    PETROL_LEFT_IN_SUMP_KV100,
    base_number_left,
    diluted_viscosity,
    flash_with_petrol,
    worn_content,
)

ADDITIVES_LEFT = MappingProxyType(
    {"Ca": 1.01, "Mg": 1.0, "Zn": 0.98, "P": 0.96, "Mo": 0.97, "B": 0.72}
)
"""Share of each additive element that a laboratory still finds: boron and some phosphorus go with
use, what boils off leaves the rest a little richer (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class OilTruth:
    """A fresh oil as it truly is; `bn` is by the method that the story's laboratory uses."""

    name: str
    grade: str
    kv40: float
    kv100: float
    flash: float
    bn: float
    elements: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class FillTruth:
    """One fill as it truly was: its run in thousands, and what differed from the story's habit."""

    label: str
    drained: datetime.date
    thousands: float
    engine_total: int
    fuel: float = 0.0
    soot: float = 0.0
    insolubles: float = 0.002
    top_up_kg: float = 0.0
    rates: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Means:
    """Population means that a laboratory prints, with their run and number where it says them."""

    values: Mapping[str, float]
    run: str | None = None
    count: int | None = None


@dataclass(frozen=True, slots=True)
class Story:
    """One case: the engine's habit, its fills with the latest last, and who looked at the oil."""

    folder: str
    engine: str
    engine_words: str
    run_unit: str
    oil: OilTruth
    sump_kg: float
    shear: float
    base_loss: float
    rates: Mapping[str, float]
    fills: tuple[FillTruth, ...]
    laboratory: Laboratory
    reported: tuple[str, ...]
    means: Means | None
    remark: str

    def truth(self, fill: FillTruth) -> dict[str, float]:
        """Return what is true of the oil of one fill, for all that the laboratory measures."""
        left = 1 - self.shear
        state = {
            "kv40": diluted_viscosity(self.oil.kv40 * left, PETROL_LEFT_IN_SUMP_KV40, fill.fuel),
            "kv100": diluted_viscosity(self.oil.kv100 * left, PETROL_LEFT_IN_SUMP_KV100, fill.fuel),
            "flash": flash_with_petrol(self.oil.flash, fill.fuel),
            "bn": base_number_left(self.oil.bn, self.base_loss, fill.thousands),
            "fuel": fill.fuel * 100,
            "soot": fill.soot * 100,
            "insolubles": fill.insolubles * 100,
            "water": 0.0,
            "glycol": 0.0,
        }
        rates = {**self.rates, **fill.rates}
        for key in self.reported:
            if key in state or key in RECKONED:
                continue
            fresh = self.oil.elements.get(key, 0.0) * ADDITIVES_LEFT.get(key, 1.0)
            worn = worn_content(
                rates.get(key, 0.0),
                fill.thousands,
                sump_kg=self.sump_kg,
                top_up_kg=fill.top_up_kg,
            )
            state[key] = (fresh + worn) * (1 - fill.fuel)
        return {key: state[key] for key in self.reported if key not in RECKONED}

    def printed(self, fill: FillTruth) -> dict[str, str]:
        """Return what the laboratory prints of one fill."""
        found = self.laboratory.measured(self.truth(fill), f"{self.folder}, {fill.label}")
        found |= {key: RECKONED[key](found) for key in self.reported if key in RECKONED}
        return {key: self.laboratory.printed(key, found[key]) for key in self.reported}

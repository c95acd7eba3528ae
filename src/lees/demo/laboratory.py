"""How an invented laboratory turns the truth of an oil into what it prints: scatter, rounding."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from lees.oil.saybolt import saybolt_seconds
from lees.oil.viscosity_index import viscosity_index
from lees.quantity.measurands import measurand
from lees.quantity.units import convert

RECKONED: Mapping[str, Callable[[Mapping[str, float]], float]] = MappingProxyType(
    {
        "vi": lambda found: float(viscosity_index(found["kv40"], found["kv100"])),
        "sus210": lambda found: float(saybolt_seconds(found["kv100"], temperature_f=210)),
    }
)
"""What a laboratory does not measure but reckons from its viscosities: the index by ASTM D2270,
Saybolt seconds by D2161 straight from the 100 °C value (common practice, no source)."""

_SCATTER = {
    "kv100": (0.003, 0.0),
    "kv40": (0.003, 0.0),
    "flash": (0.0, 2.0),
    "bn": (0.02, 0.02),
    "fuel": (0.0, 0.08),
    "soot": (0.04, 0.0),
    "insolubles": (0.05, 0.0),
}
_ELEMENT_SCATTER = (0.012, 0.12)
"""Standard deviations, relative and absolute, near what the repeatability of ASTM D5185, D445, D92
and D4739 allows a good laboratory (their figures from memory)."""


@dataclass(frozen=True, slots=True)
class Laboratory:
    """An invented laboratory: how it names, measures, rounds and writes.

    `units` and `digits` are by measurand where they differ from whole mg/kg; `below` is the least
    content that it prints as a number.
    """

    name: str
    address: str
    methods: Mapping[str, str]
    units: Mapping[str, str] = field(default_factory=dict)
    digits: Mapping[str, int] = field(default_factory=dict)
    below: Mapping[str, float] = field(default_factory=dict)
    decimal_comma: bool = False

    def unit(self, key: str) -> str:
        """Return the unit that it prints a measurand in."""
        return self.units.get(key, measurand(key).unit)

    def printed(self, key: str, value: float) -> str:
        """Return a value in the measurand's unit as the laboratory prints it."""
        if key in self.below and value < self.below[key]:
            return self._written(f"<{self.below[key]:g}")
        shown = convert(value, measurand(key).unit, self.unit(key))
        rounded = round(shown / 5) * 5 if self.unit(key) == "°F" else shown
        return self._written(f"{max(rounded, 0.0):.{self.digits.get(key, 0)}f}")

    def measured(self, truth: Mapping[str, float], seed: str) -> dict[str, float]:
        """Return what it finds where `truth` is true, the same each time for one seed."""
        chance = random.Random(f"{self.name}, {seed}")  # noqa: S311 (no secret hangs on it)
        found = {}
        for key, value in truth.items():
            relative, absolute = _SCATTER.get(
                key, _ELEMENT_SCATTER if measurand(key).is_element else (0.0, 0.0)
            )
            found[key] = max(value + chance.gauss(0.0, relative * value + absolute), 0.0)
        return found

    def _written(self, text: str) -> str:
        return text.replace(".", ",") if self.decimal_comma else text

"""Caliper readings of the scenario's filters: true sizes, their spread, the instrument's zero."""

from __future__ import annotations

import csv
import io
import random
from collections.abc import Mapping
from dataclasses import dataclass

MM_PER_INCH = 25.4


@dataclass(frozen=True, slots=True)
class Size:
    """A true size of a specimen, how it differs from place to place, and how often it was read."""

    mm: float
    spread_mm: float
    readings: int


@dataclass(frozen=True, slots=True)
class Caliper:
    """What the bench used: its unit, the step it shows, and what it shows when it is closed."""

    unit: str = "mm"
    step: float = 0.01
    zero_mm: float = 0.0


TALL = {
    "can wall": Size(0.37, 0.006, 5),
    "can outer diameter": Size(76.21, 0.03, 4),
    "can height": Size(97.98, 0.05, 3),
    "gasket outer diameter": Size(71.42, 0.06, 3),
    "gasket thickness": Size(5.08, 0.03, 4),
    "media thickness": Size(0.80, 0.02, 5),
    "pleat depth": Size(12.31, 0.05, 4),
}
SHORT = {
    "can wall": Size(0.36, 0.006, 5),
    "can outer diameter": Size(76.19, 0.03, 3),
    "can height": Size(66.05, 0.04, 3),
    "gasket outer diameter": Size(71.48, 0.06, 3),
    "gasket thickness": Size(5.02, 0.03, 3),
    "media thickness": Size(0.74, 0.02, 4),
    "pleat depth": Size(11.80, 0.05, 4),
}
WIDE = {
    "can wall": Size(0.40, 0.006, 5),
    "can outer diameter": Size(93.22, 0.03, 3),
    "can height": Size(142.05, 0.05, 3),
    "gasket thickness": Size(5.60, 0.03, 3),
    "media thickness": Size(0.92, 0.02, 5),
    "pleat depth": Size(15.50, 0.05, 4),
}


def caliper_csv(sizes: Mapping[str, Size], caliper: Caliper, *, seed: str) -> bytes:
    """Return the readings as a table, one row a reading, the same each time for one seed."""
    chance = random.Random(seed)  # noqa: S311 (no secret hangs on it)
    out = io.StringIO()
    out.write("# invented for demonstration\r\n")
    lines = csv.writer(out, lineterminator="\r\n")
    lines.writerow(["what", "reading", "unit", "with"])
    per_unit = MM_PER_INCH if caliper.unit == "in" else 1.0
    digits = 4 if caliper.unit == "in" else 2
    for what, size in sizes.items():
        for _ in range(size.readings):
            shown = (size.mm + chance.gauss(0.0, size.spread_mm) + caliper.zero_mm) / per_unit
            reading = round(shown / caliper.step) * caliper.step
            lines.writerow([what, f"{reading:.{digits}f}", caliper.unit, "caliper"])
    return out.getvalue().encode("utf-8")

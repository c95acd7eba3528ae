"""Invented filters and oils for the tests of filtration."""

from __future__ import annotations

from lees.filtration.flowing import Oil
from lees.filtration.pressure_drop import Media
from lees.quantity.measured import Measured


def of(value: float, unit: str, uncertainty: float = 0.0) -> Measured:
    """Return a made-up measured value."""
    return Measured(value, uncertainty, unit, "made up")


MEDIA = Media(of(1000, "cm²", 20), of(0.8, "mm", 0.02), of(4.826e-11, "m²", 5e-12))
WARM = Oil(of(14, "mm²/s", 0.3), of(850, "kg/m³", 5))
COLD = Oil(of(1000, "mm²/s", 50), of(880, "kg/m³", 5))

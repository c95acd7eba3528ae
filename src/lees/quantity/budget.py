"""An uncertainty budget that can be printed (JCGM 100:2008, clauses 4 and 5, annexes F and G)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from lees.errors import OutOfRange
from lees.quantity.measured import Measured, coverage_factor


class Spread(StrEnum):
    """How a quantity known by its bounds is spread between them (JCGM 100, 4.3.7, 4.3.9, F.2.2)."""

    RECTANGULAR = "rectangular"
    TRIANGULAR = "triangular"
    U_SHAPED = "U-shaped"


_DIVISOR = {
    Spread.RECTANGULAR: math.sqrt(3),
    Spread.TRIANGULAR: math.sqrt(6),
    Spread.U_SHAPED: math.sqrt(2),
}


@dataclass(frozen=True, slots=True)
class Component:
    """One source of uncertainty.

    `uncertainty` is standard and in the source's own unit; `sensitivity` is the change of the
    result for one of that unit (JCGM 100, 5.1.3). `evaluation` is ``A`` for statistics of
    readings, ``B`` for anything else.
    """

    name: str
    uncertainty: float
    evaluation: str = "B"
    sensitivity: float = 1.0
    degrees_of_freedom: float = math.inf

    @property
    def contribution(self) -> float:
        """The part of the result's standard uncertainty, in the result's unit."""
        return abs(self.sensitivity) * self.uncertainty


@dataclass(frozen=True, slots=True)
class Budget:
    """The components of one result's uncertainty, taken as independent."""

    components: tuple[Component, ...]
    unit: str

    @property
    def combined(self) -> float:
        """The combined standard uncertainty (JCGM 100, eq. 10 and 11a)."""
        return math.hypot(*(part.contribution for part in self.components))

    @property
    def degrees_of_freedom(self) -> float:
        """The effective degrees of freedom by Welch and Satterthwaite (JCGM 100, eq. G.2b)."""
        below = sum(
            part.contribution**4 / part.degrees_of_freedom
            for part in self.components
            if math.isfinite(part.degrees_of_freedom)
        )
        return self.combined**4 / below if below else math.inf

    def expanded(self, coverage: float = 0.95) -> float:
        """Return the expanded uncertainty for a coverage probability (JCGM 100, G.6.4)."""
        return coverage_factor(coverage, self.degrees_of_freedom) * self.combined

    def measured(self, value: float, source: str) -> Measured:
        """Return a value with this budget's uncertainty."""
        return Measured(value, self.combined, self.unit, source, self.degrees_of_freedom)

    def share(self, part: Component) -> float:
        """Return a component's share of the variance, from 0 to 1."""
        return (part.contribution / self.combined) ** 2 if self.combined else 0.0


def type_a(name: str, readings: Sequence[float], sensitivity: float = 1.0) -> Component:
    """Return the uncertainty of the mean of repeated readings (JCGM 100, 4.2.3).

    Parameters
    ----------
    name : str
        The source of uncertainty, as the budget shows it.
    readings : sequence of float
        The repeated readings. [any]
    sensitivity : float
        The change of the result for one unit of the readings. [result's unit per readings' unit]

    Returns
    -------
    Component
        The component, with one degree of freedom fewer than readings.

    Raises
    ------
    OutOfRange
        For fewer than two readings, which say nothing of their scatter.

    Examples
    --------
    >>> round(type_a("scatter", [10.02, 10.00, 10.03, 10.01, 10.02]).uncertainty, 7)
    0.005099
    """
    count = len(readings)
    if count < 2:
        raise OutOfRange("The number of readings", count, "two or more to show their scatter")
    mean = math.fsum(readings) / count
    variance = math.fsum((value - mean) ** 2 for value in readings) / (count - 1)
    return Component(name, math.sqrt(variance / count), "A", sensitivity, count - 1)


def resolution(name: str, step: float, sensitivity: float = 1.0) -> Component:
    """Return the uncertainty of an indication that moves in steps (JCGM 100, F.2.2.1).

    Parameters
    ----------
    name : str
        The source of uncertainty, as the budget shows it.
    step : float
        The step of the last digit. [any]
    sensitivity : float
        The change of the result for one unit of the step. [result's unit per step's unit]

    Returns
    -------
    Component
        The component.

    Examples
    --------
    >>> round(resolution("display", 0.01).uncertainty, 7)
    0.0028868
    """
    return Component(name, abs(step) / math.sqrt(12), "B", sensitivity)


def bounded(
    name: str, half_width: float, spread: Spread = Spread.RECTANGULAR, sensitivity: float = 1.0
) -> Component:
    """Return the uncertainty of something known to lie within ± a half-width (JCGM 100, 4.3.7).

    Parameters
    ----------
    name : str
        The source of uncertainty, as the budget shows it.
    half_width : float
        Half the distance between the bounds. [any]
    spread : Spread
        How it is spread between them.
    sensitivity : float
        The change of the result for one unit of the half-width. [result's unit per its unit]

    Returns
    -------
    Component
        The component.

    Examples
    --------
    >>> round(bounded("limit of error", 0.03).uncertainty, 7)
    0.0173205
    """
    return Component(name, abs(half_width) / _DIVISOR[spread], "B", sensitivity)

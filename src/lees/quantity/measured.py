"""A value with its standard uncertainty, its unit and where it came from (JCGM 100:2008)."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from lees.errors import OutOfRange
from lees.quantity.units import convert, convert_difference


@dataclass(frozen=True, slots=True)
class Measured:
    """A quantity as known: the best value, one standard uncertainty, the unit and the source.

    `degrees_of_freedom` is the effective number behind the uncertainty (JCGM 100, G.4), infinite
    where it is taken as known.
    """

    value: float
    uncertainty: float
    unit: str
    source: str
    degrees_of_freedom: float = math.inf

    def __post_init__(self) -> None:
        if not math.isfinite(self.value):
            raise OutOfRange("A measured value", self.value, "a finite number")
        if not (math.isfinite(self.uncertainty) and self.uncertainty >= 0):
            raise OutOfRange("A standard uncertainty", self.uncertainty, "zero or above")
        if not self.degrees_of_freedom > 0:
            raise OutOfRange("Degrees of freedom", self.degrees_of_freedom, "above zero")

    def to(self, target: str) -> Measured:
        """Return the same quantity in another unit of its dimension."""
        return replace(
            self,
            value=convert(self.value, self.unit, target),
            uncertainty=abs(convert_difference(self.uncertainty, self.unit, target)),
            unit=target,
        )

    def interval(self, coverage: float = 0.95) -> tuple[float, float]:
        """Return the symmetric interval of a coverage probability (JCGM 100, 6.2)."""
        half = self.expanded(coverage)
        return self.value - half, self.value + half

    def expanded(self, coverage: float = 0.95) -> float:
        """Return the expanded uncertainty for a coverage probability (JCGM 100, 6.2, G.6.4)."""
        return coverage_factor(coverage, self.degrees_of_freedom) * self.uncertainty

    def __str__(self) -> str:
        best, doubt = rounded(self.value, self.uncertainty), significant(self.uncertainty)
        return f"{best} ± {doubt}" if self.unit == "1" else f"{best} ± {doubt} {self.unit}"


def coverage_factor(coverage: float, degrees_of_freedom: float = math.inf) -> float:
    """Return the two-sided coverage factor, from Student's t at the degrees of freedom cut down.

    Parameters
    ----------
    coverage : float
        The coverage probability, between 0 and 1. [1]
    degrees_of_freedom : float
        The effective degrees of freedom. [1]

    Returns
    -------
    float
        The factor by which a standard uncertainty becomes an expanded one. [1]

    Raises
    ------
    OutOfRange
        Where the probability is not between 0 and 1.

    References
    ----------
    .. [1] JCGM 100:2008, G.3.2, G.4.1 note 1 (degrees of freedom truncated to the next lower
       integer).

    Examples
    --------
    >>> round(coverage_factor(0.99, 16.7), 4)
    2.9208
    """
    from scipy.special import ndtri, stdtrit

    if not 0 < coverage < 1:
        raise OutOfRange("A coverage probability", coverage, "between 0 and 1")
    upper = (1 + coverage) / 2
    if math.isinf(degrees_of_freedom):
        return float(ndtri(upper))
    return float(stdtrit(max(1, math.floor(degrees_of_freedom)), upper))


def significant(uncertainty: float) -> str:
    """Write an uncertainty to two significant digits at most (JCGM 100, 7.2.6).

    Parameters
    ----------
    uncertainty : float
        The uncertainty. [any]

    Returns
    -------
    str
        Its digits.

    Examples
    --------
    >>> significant(0.01295), significant(0.5), significant(303), significant(0)
    ('0.013', '0.50', '300', '0')
    """
    if uncertainty == 0:
        return "0"
    return f"{float(f'{uncertainty:.1e}'):.{decimals_for(uncertainty)}f}"


def rounded(value: float, uncertainty: float) -> str:
    """Write a value to the last digit of its uncertainty (JCGM 100, 7.2.6).

    Parameters
    ----------
    value : float
        The value. [any]
    uncertainty : float
        Its uncertainty, whose second digit is the last shown; zero shows six digits. [as the value]

    Returns
    -------
    str
        The value's digits.

    Examples
    --------
    >>> rounded(10.016, 0.01295), rounded(9312.4, 120)
    ('10.016', '9310')
    """
    if uncertainty == 0:
        return f"{value:.6g}"
    places = _places(uncertainty)
    if places >= 0:
        return f"{value:.{places}f}"
    return f"{round(value, places):.0f}"


def decimals_for(uncertainty: float) -> int:
    """Return how many decimals two significant digits of an uncertainty take.

    Parameters
    ----------
    uncertainty : float
        The uncertainty, above zero. [any]

    Returns
    -------
    int
        The number of decimals. [1]
    """
    return max(0, _places(uncertainty))


def _places(uncertainty: float) -> int:
    """Return the place of the second digit of an uncertainty, after rounding to two digits."""
    return 1 - math.floor(math.log10(float(f"{uncertainty:.1e}")))

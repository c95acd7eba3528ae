"""What straight line readings lie on, how well it is known, and where it crosses a level.

Least squares in closed form, weighted or not (ISO/TS 28037:2010); limits of a crossing by Fieller.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from lees.errors import NotComparable, OutOfRange
from lees.quantity.arrays import Numbers, alike, finite, positive
from lees.quantity.measured import coverage_factor

UNLIKELY = 0.05
"""Below this probability the scatter is more than the stated uncertainties allow."""


@dataclass(frozen=True, slots=True)
class LineFit:
    """A straight line through readings, kept by its value at `centre`, near the middle of them.

    `centre_variance`, `slope_variance` and `covariance` belong to the value there and the slope;
    `from_x` and `to_x` say where the readings lie. Slope and values are in the readings' units.
    """

    centre: float
    centre_value: float
    slope: float
    centre_variance: float
    slope_variance: float
    covariance: float
    degrees_of_freedom: float
    from_x: float
    to_x: float
    warnings: tuple[str, ...] = ()

    @property
    def slope_uncertainty(self) -> float:
        """The standard uncertainty of the slope."""
        return math.sqrt(self.slope_variance)

    @property
    def intercept(self) -> float:
        """The value at zero."""
        return self.centre_value - self.slope * self.centre

    @property
    def intercept_uncertainty(self) -> float:
        """The standard uncertainty of the value at zero."""
        return float(self.uncertainty_at(0.0))

    def value_at(self, x: ArrayLike) -> Numbers:
        """Return the line's value at a place."""
        return np.asarray(self.centre_value + self.slope * (finite("The place", x) - self.centre))

    def uncertainty_at(self, x: ArrayLike) -> Numbers:
        """Return the standard uncertainty of the line's value at a place, not of a reading."""
        away = finite("The place", x) - self.centre
        variance = self.centre_variance + away * (2 * self.covariance + away * self.slope_variance)
        return np.sqrt(np.maximum(variance, 0.0))


@dataclass(frozen=True, slots=True)
class Scatter:
    """A line whose doubt comes from how the readings scatter about it."""

    line: LineFit
    residual_deviation: float
    determination: float


@dataclass(frozen=True, slots=True)
class Weighted:
    """A line whose doubt comes from the uncertainties stated with the readings.

    `probability` is that of a scatter at least so large where those uncertainties are true.
    """

    line: LineFit
    chi_square: float
    probability: float


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where a line crosses a level, its standard uncertainty to first order, and its limits."""

    at: float
    uncertainty: float
    low: float
    high: float
    warnings: tuple[str, ...]


def line_fit(x: ArrayLike, y: ArrayLike) -> Scatter:
    """Return the straight line through readings of unknown but equal scatter.

    Parameters
    ----------
    x : ArrayLike
        Where each reading was taken, such as the distance; taken as exact. [any]
    y : ArrayLike
        The readings. [any]

    Returns
    -------
    Scatter
        The line, the standard deviation of the readings about it, and the share of their variance
        that it accounts for; a warning where they do not scatter at all.

    Raises
    ------
    OutOfRange
        For fewer than three readings, or where all were taken at one place.
    ShapesDiffer
        Where there are not as many places as readings.

    Notes
    -----
    With means taken off first, *b = Σ (x − x̄)(y − ȳ) / Σ (x − x̄)²*, *s² = Σ (y − ŷ)² / (n − 2)*,
    *u²(ȳ) = s²/n*, *u²(b) = s²/Σ (x − x̄)²*. *Valid for* independent readings that scatter alike
    about a straight line. *Not for* readings rounded so far that they fall on the line by
    themselves: their scatter then says too little.

    References
    ----------
    .. [1] ISO/TS 28037:2010, Determination and use of straight-line calibration functions, clause 6
       and annex (uncertainty from the scatter; from memory).
    .. [2] NIST, Statistical Reference Datasets, Linear Regression, Norris (the check).

    Examples
    --------
    >>> found = line_fit([2, 4, 6, 8, 10], [8.1, 7.3, 6.4, 5.7, 4.8])
    >>> round(found.line.slope, 4), round(found.line.slope_uncertainty, 5)
    (-0.41, 0.00816)
    >>> round(found.line.intercept, 3), round(found.line.intercept_uncertainty, 4)
    (8.92, 0.0542)
    """
    places, readings = _points(x, y, least=3)
    count = len(places)
    centre, middle = float(places.mean()), float(readings.mean())
    away, apart = places - centre, readings - middle
    spread = float(away @ away)
    slope = float(away @ apart) / spread
    residual = apart - slope * away
    freedom = count - 2
    variance = float(residual @ residual) / freedom
    total = float(apart @ apart)
    warnings: tuple[str, ...] = ()
    if variance <= (1e-12 * float(np.abs(readings).max())) ** 2:
        warnings = (
            "The readings lie on the line exactly: their scatter tells nothing of their doubt.",
        )
    line = LineFit(
        centre,
        middle,
        slope,
        variance / count,
        variance / spread,
        0.0,
        freedom,
        float(places.min()),
        float(places.max()),
        warnings,
    )
    accounted = 1.0 - float(residual @ residual) / total if total > 0 else 0.0
    return Scatter(line, math.sqrt(variance), accounted)


def weighted_line_fit(x: ArrayLike, y: ArrayLike, *, uncertainty: ArrayLike) -> Weighted:
    """Return the straight line through readings whose standard uncertainties are known.

    Parameters
    ----------
    x : ArrayLike
        Where each reading was taken; taken as exact. [any]
    y : ArrayLike
        The readings. [any]
    uncertainty : ArrayLike
        The standard uncertainty of each, or one for all. [as the readings]

    Returns
    -------
    Weighted
        The line, χ², and how probable so much scatter is; a warning with the line where it is not.

    Raises
    ------
    OutOfRange
        For fewer than two readings, all at one place, or an uncertainty that is not above zero.
    ShapesDiffer
        Where there are not as many places as readings.

    Notes
    -----
    Weights *w = 1/u²*; with weighted means taken off first,
    *b = Σ w (x − x̄)(y − ȳ) / Σ w (x − x̄)²*, *u²(ȳ) = 1/Σ w*, *u²(b) = 1/Σ w (x − x̄)²*.
    *Valid for* independent readings. *Not for* readings with an error in common, such as a
    laboratory's bias: it shifts the line and does not show.

    References
    ----------
    .. [1] ISO/TS 28037:2010, Determination and use of straight-line calibration functions, clause 6
       (from memory).

    Examples
    --------
    >>> found = weighted_line_fit([1, 2, 3, 4, 5, 6], [3.3, 5.6, 7.1, 9.3, 10.7, 12.1],
    ...                           uncertainty=0.5)
    >>> round(found.line.slope, 3), round(found.line.slope_uncertainty, 3)
    (1.757, 0.12)
    >>> round(found.chi_square, 3), round(found.probability, 2)
    (1.665, 0.8)
    """
    from scipy.special import gammaincc

    places, readings = _points(x, y, least=2)
    doubts = positive("An uncertainty", uncertainty)
    alike(x=places, uncertainty=doubts)
    weights = np.broadcast_to(1.0 / doubts**2, places.shape)
    total = float(weights.sum())
    centre, middle = float(weights @ places) / total, float(weights @ readings) / total
    away, apart = places - centre, readings - middle
    spread = float(weights @ away**2)
    slope = float((weights * away) @ apart) / spread
    chi_square = float(weights @ (apart - slope * away) ** 2)
    freedom = len(places) - 2
    probability = float(gammaincc(freedom / 2, chi_square / 2)) if freedom else 1.0
    warnings: tuple[str, ...] = ()
    if probability < UNLIKELY:
        warnings = (
            "The readings scatter more than their uncertainties allow: they lie on no straight "
            "line, or are less certain than stated.",
        )
    line = LineFit(
        centre,
        middle,
        slope,
        1.0 / total,
        1.0 / spread,
        0.0,
        math.inf,
        float(places.min()),
        float(places.max()),
        warnings,
    )
    return Weighted(line, chi_square, probability)


def line_between(first: LineFit, second: LineFit) -> LineFit:
    """Return one line less another: it crosses zero where the two cross.

    Parameters
    ----------
    first : LineFit
        One line, such as the base number's.
    second : LineFit
        The other over the same places, such as the acid number's, from readings of its own.

    Returns
    -------
    LineFit
        Their difference, with the fewer degrees of freedom of the two.

    Raises
    ------
    NotComparable
        Where the two were read at places that do not overlap.

    Notes
    -----
    Variances add up; the covariance follows from the change of centre. *Valid for* lines from
    independent readings.

    References
    ----------
    .. [1] JCGM 100:2008, Evaluation of measurement data: Guide to the expression of uncertainty in
       measurement, eq. 10.

    Examples
    --------
    >>> places = [2, 4, 6, 8, 10]
    >>> base = line_fit(places, [8.1, 7.3, 6.4, 5.7, 4.8]).line
    >>> acid = line_fit(places, [1.4, 1.8, 2.2, 2.6, 3.0]).line
    >>> round(crossing(line_between(base, acid), 0).at, 4)
    12.9836
    """
    from_x, to_x = max(first.from_x, second.from_x), min(first.to_x, second.to_x)
    if from_x > to_x:
        raise NotComparable(
            f"One line was read from {first.from_x:g} to {first.to_x:g}, the other from "
            f"{second.from_x:g} to {second.to_x:g}; give both over the same run."
        )
    centre = first.centre
    away = centre - second.centre
    return LineFit(
        centre,
        first.centre_value - float(second.value_at(centre)),
        first.slope - second.slope,
        first.centre_variance + float(second.uncertainty_at(centre)) ** 2,
        first.slope_variance + second.slope_variance,
        first.covariance + second.covariance + away * second.slope_variance,
        min(first.degrees_of_freedom, second.degrees_of_freedom),
        from_x,
        to_x,
        (*first.warnings, *second.warnings),
    )


def crossing(line: LineFit, level: float, coverage: float = 0.95) -> Crossing:
    """Return where a line crosses a level, with exact limits.

    Parameters
    ----------
    line : LineFit
        The line.
    level : float
        The level, such as a floor of the base number. [as the readings]
    coverage : float
        The probability that the limits hold the true crossing. [1]

    Returns
    -------
    Crossing
        The place, its standard uncertainty and its limits; warnings where it lies beyond the
        readings, and where the slope may be zero, so that the limits are infinite. [as the places]

    Raises
    ------
    OutOfRange
        Where the line is level, the level is no finite number, or the coverage is not between 0
        and 1.

    Notes
    -----
    The limits are the places *x* at which *(y(x) − L)² = t² u²(y(x))*: a quadratic, whose roots
    enclose the crossing while *b² > t² u²(b)*. The standard uncertainty is *u(y(x))/|b|*.
    *Valid for* normal scatter. *Not for* the scatter of the next reading, which is larger, nor for
    a loss that bends beyond the readings.

    References
    ----------
    .. [1] E. C. Fieller, Some problems in interval estimation, Journal of the Royal Statistical
       Society B 16 (1954) 175–185.

    Examples
    --------
    >>> line = line_fit([2, 4, 6, 8, 10], [8.1, 7.3, 6.4, 5.7, 4.8]).line
    >>> found = crossing(line, 4.0)
    >>> round(found.at, 3), round(found.low, 2), round(found.high, 2)
    (12.0, 11.6, 12.45)
    """
    height = line.centre_value - float(finite("The level", level))
    if line.slope == 0:
        raise OutOfRange("The slope", 0, "other than zero, for the line to cross a level")
    factor = coverage_factor(coverage, line.degrees_of_freedom) ** 2
    away = -height / line.slope
    at = line.centre + away
    uncertainty = float(line.uncertainty_at(at)) / abs(line.slope)
    warnings = line.warnings
    if not line.from_x <= at <= line.to_x:
        warnings += (
            f"The crossing lies beyond the readings ({line.from_x:g} to {line.to_x:g}): the line "
            "is taken to go on straight.",
        )
    square = line.slope**2 - factor * line.slope_variance
    if square <= 0:
        warnings += (
            "The slope is not clearly other than zero: the line may never cross the level.",
        )
        return Crossing(at, uncertainty, -math.inf, math.inf, warnings)
    middle = -(height * line.slope - factor * line.covariance) / square
    constant = (height**2 - factor * line.centre_variance) / square
    half = math.sqrt(max(0.0, middle**2 - constant))
    return Crossing(
        at, uncertainty, line.centre + middle - half, line.centre + middle + half, warnings
    )


def _points(x: ArrayLike, y: ArrayLike, *, least: int) -> tuple[Numbers, Numbers]:
    """Return places and readings as two rows of one length, at two places or more."""
    places, readings = np.atleast_1d(finite("A place", x)), np.atleast_1d(finite("A reading", y))
    alike(x=places, y=readings)
    if places.ndim > 1:
        raise OutOfRange("The number of rows", places.shape[0], "one: the readings of one line")
    if len(places) < least:
        raise OutOfRange("The number of readings", len(places), f"{least} or more for a line")
    if (places == places[0]).all():
        raise OutOfRange(
            "The place of every reading", f"{places[0]:g}", "another for at least one of them"
        )
    return places, readings

"""Whether two results really differ, and whether one result breaches a limit (ISO 4259-2:2017)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from lees.errors import OutOfRange
from lees.oil.precision import (
    FROM_LIMIT_TO_DEVIATION,
    Laboratory,
    Precision,
    precision,
)

ONE_SIDED_95 = 1.645 / FROM_LIMIT_TO_DEVIATION
"""0.59: by how many R a single result must lie past a limit to fail it with 95 % confidence."""


class Side(StrEnum):
    """Which side of a limit is allowed."""

    MINIMUM = "minimum"
    MAXIMUM = "maximum"


@dataclass(frozen=True, slots=True)
class Difference:
    """Two results of one measurand held against what chance allows.

    `probability_by_chance` is that of a difference at least so large between results of one and
    the same oil.
    """

    difference: float
    allowed: float
    is_real: bool
    probability_by_chance: float
    precision: Precision
    laboratory: Laboratory


@dataclass(frozen=True, slots=True)
class Breach:
    """A single result held against a limit.

    `fails_beyond` is where failing is 95 % sure; `probability` is that the true value lies on the
    wrong side of the limit.
    """

    result: float
    limit: float
    side: Side
    fails_beyond: float
    fails: bool
    probability: float
    precision: Precision


def difference(
    measurand: str,
    results: tuple[float, float],
    *,
    unit: str,
    method: str | None,
    laboratory: Laboratory,
) -> Difference:
    """Return whether two results differ by more than chance allows.

    Parameters
    ----------
    measurand : str
        The contract key of what was measured.
    results : tuple of float
        The earlier and the later result [in `unit`].
    unit : str
        Their unit.
    method : str or None
        The method of both; None for the customary one, which a warning then names.
    laboratory : Laboratory
        Whether both came from one laboratory.

    Returns
    -------
    Difference
        Later less earlier, and the allowed difference at their mean [in `unit`].

    Raises
    ------
    NotHeld
        Where no precision is held for that measurand and method.
    OutOfRange
        For a result that is negative or not a finite number.

    Notes
    -----
    Differs really where ``|Δ| > r`` (one laboratory) or ``|Δ| > R`` (two); r and R at the mean.

    *Valid for* results of one method. *Not for* ASTM D2896 against D4739, nor open against closed
    cup: those are different measurands.

    References
    ----------
    .. [1] ISO 4259-2:2017, Petroleum and related products, Precision of measurement methods and
       results, Part 2, 2017, clause 5.

    Examples
    --------
    >>> found = difference(
    ...     "Fe", (12, 16), unit="mg/kg", method="ASTM D5185", laboratory=Laboratory.SAME
    ... )
    >>> found.is_real, round(found.allowed, 2)
    (True, 1.07)
    """
    first, second = (float(result) for result in results)
    for result in (first, second):
        precision(measurand, method, result, unit)  # refuses what cannot be a result
    at_mean = precision(measurand, method, (first + second) / 2, unit)
    allowed = at_mean.limit(laboratory)
    apart = second - first
    deviation = allowed / FROM_LIMIT_TO_DEVIATION * math.sqrt(2)
    by_chance = math.erfc(abs(apart) / deviation / math.sqrt(2))
    return Difference(apart, allowed, abs(apart) > allowed, by_chance, at_mean, laboratory)


def breach(result: float, at_limit: Precision, *, side: Side) -> Breach:
    """Return whether a single result breaches a limit with 95 % confidence.

    Parameters
    ----------
    result : float
        The single result [in the unit of `at_limit`].
    at_limit : Precision
        The precision of the method at the level of the limit; its value is the limit.
    side : Side
        Whether the limit is a minimum or a maximum.

    Returns
    -------
    Breach
        Where failing begins, whether it fails, and the probability that the true value does.

    Raises
    ------
    OutOfRange
        For a result that is not a finite number.

    Notes
    -----
    Fails only beyond ``limit ± 0.59 R``. The probability takes the result as normal about the true
    value with R/2.77, and any true value as equally likely beforehand.

    *Valid for* one result. The reproducibility counts even for one's own laboratory, since a limit
    holds for all of them.

    References
    ----------
    .. [1] ISO 4259-2:2017, Petroleum and related products, Precision of measurement methods and
       results, Part 2, 2017, clause 6; ASTM D3244.

    Examples
    --------
    >>> at_limit = precision("kv100", "ASTM D445", 12.5, "mm²/s")
    >>> found = breach(12.45, at_limit, side=Side.MINIMUM)
    >>> round(found.fails_beyond, 2), found.fails
    (12.42, False)
    """
    if not math.isfinite(result):
        raise OutOfRange("The result", result, "a finite number")
    limit, margin = at_limit.value, ONE_SIDED_95 * at_limit.reproducibility
    sign = 1.0 if side is Side.MAXIMUM else -1.0
    past = sign * (result - limit)
    deviation = at_limit.reproducibility / FROM_LIMIT_TO_DEVIATION
    probability = 0.5 * math.erfc(-past / deviation / math.sqrt(2))
    return Breach(result, limit, side, limit + sign * margin, past > margin, probability, at_limit)
